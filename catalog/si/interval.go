package si

import "math"

// Interval is a closed range of a quantity, Low <= High. The zero value is the interval [0, 0].
type Interval[Q Quantity] struct {
	Low, High Q
}

// Exactly returns the interval holding only q.
func Exactly[Q Quantity](q Q) Interval[Q] { return Interval[Q]{q, q} }

// Around returns q widened by the relative tolerance tol on both sides.
func Around[Q Quantity](q Q, tol Ratio) Interval[Q] {
	d := Q(math.Abs(float64(q)) * float64(tol))
	return Interval[Q]{q - d, q + d}
}

// Between returns the interval spanned by a and b in either order.
func Between[Q Quantity](a, b Q) Interval[Q] {
	if a > b {
		a, b = b, a
	}
	return Interval[Q]{a, b}
}

// Mid is the arithmetic middle.
func (i Interval[Q]) Mid() Q { return (i.Low + i.High) / 2 }

// Width is High - Low.
func (i Interval[Q]) Width() Q { return i.High - i.Low }

// Contains reports whether q lies inside, ends included.
func (i Interval[Q]) Contains(q Q) bool { return q >= i.Low && q <= i.High }

// Within reports whether i lies wholly inside o.
func (i Interval[Q]) Within(o Interval[Q]) bool { return i.Low >= o.Low && i.High <= o.High }

// Union is the smallest interval holding both.
func (i Interval[Q]) Union(o Interval[Q]) Interval[Q] {
	return Interval[Q]{min(i.Low, o.Low), max(i.High, o.High)}
}

// Scale multiplies both ends by k and keeps them in order.
func (i Interval[Q]) Scale(k float64) Interval[Q] {
	return Between(Q(float64(i.Low)*k), Q(float64(i.High)*k))
}
