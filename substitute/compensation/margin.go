package compensation

import (
	"math"
	"math/cmplx"

	"sparewright/catalog/si"
)

// Margins is how far a loop is from oscillating.
type Margins struct {
	Phase float64 // degrees, the least over all crossovers; negative: it oscillates
	// by which the gain may rise or fall until it oscillates, the nearer of both; below 1: it does
	Gain       si.Ratio
	Slow, Fast si.Frequency // lowest and highest crossover; 0: the gain never reaches 1
}

// Frequencies over which a loop is looked at: below, every integrator has come to its end; above
// half the switching frequency no averaged stage holds.
const (
	lowest    = 0.1 // Hz
	highest   = 500e3
	perDecade = 40
)

// top is the highest frequency that is looked at, half of what the chip samples with; its delay is
// half a period at least.
func (l Loop) top() float64 {
	if l.Delay <= 0 {
		return highest
	}
	return min(highest, 0.25/float64(l.Delay))
}

// grid lists frequencies up to top in equal ratios.
func grid(top float64, perDecade int) []float64 {
	n := int(math.Ceil(math.Log10(top/lowest) * float64(perDecade)))
	out := make([]float64, n+1)
	for i := range out {
		out[i] = lowest * math.Pow(top/lowest, float64(i)/float64(n))
	}
	return out
}

// nyquist follows the gain around a loop over frequency.
type nyquist struct {
	at    complex128
	turns int // passes of the negative axis beyond -1, downward less upward
	phase float64
	gain  float64
	slow  float64
	fast  float64
	lost  bool // somewhere the gain is no number: nothing is known of this loop
}

func (n *nyquist) start() { n.phase, n.gain, n.slow, n.fast = 180, math.Inf(1), 0, 0 }

// first notes where the curve begins: above the axis on the left it has already passed it, for at
// rest the gain is positive.
func (n *nyquist) first(g complex128) {
	n.at, n.lost = g, !finite(g)
	if imag(g) > 0 && real(g) < 0 {
		n.turns++
	}
}

// step goes on to the next frequency; exact is the gain in between, nil for straight lines of
// logarithm and phase.
func (n *nyquist) step(last, f float64, g complex128, exact func(float64) complex128) {
	if (size(n.at) >= 1) != (size(g) >= 1) {
		c, at := straightUnity(n.at, g), math.Sqrt(last*f)
		if exact != nil {
			c, at = crossing(last, f, size(n.at) >= 1, exact,
				func(g complex128) bool { return size(g) >= 1 })
		}
		n.phase = min(n.phase, 180-math.Abs(cmplx.Phase(c))*180/math.Pi)
		if n.fast = at; n.slow == 0 {
			n.slow = at
		}
	}
	if (imag(n.at) > 0) != (imag(g) > 0) && (real(n.at) < 0 || real(g) < 0) {
		gain := straightAxis(n.at, g)
		if exact != nil {
			c, _ := crossing(last, f, imag(n.at) > 0, exact,
				func(g complex128) bool { return imag(g) > 0 })
			gain = -real(c)
		}
		if gain > 0 {
			n.pass(gain, imag(g) > 0)
		}
	}
	n.at, n.lost = g, n.lost || !finite(g)
}

// finite reports that a gain is a number.
func finite(g complex128) bool { return !cmplx.IsNaN(g) && !cmplx.IsInf(g) }

// pass notes where the curve meets the negative axis.
func (n *nyquist) pass(gain float64, down bool) {
	if gain > 1 {
		if down {
			n.turns++
		} else {
			n.turns--
		}
	}
	n.gain = min(n.gain, max(gain, 1/gain))
}

func (n *nyquist) margins() Margins {
	m := Margins{Phase: n.phase, Gain: si.Ratio(n.gain), Slow: si.Frequency(n.slow),
		Fast: si.Frequency(n.fast)}
	if n.lost {
		return Margins{Phase: -180}
	}
	if n.turns != 0 {
		m.Phase, m.Gain = min(-n.phase, -1e-3), 1/m.Gain
	}
	return m
}

func size(g complex128) float64 { return real(g)*real(g) + imag(g)*imag(g) }

// crossing finds where a property of the gain changes between two frequencies, to a millionth by
// halving their ratio.
func crossing(low, high float64, first bool, gain func(float64) complex128,
	is func(complex128) bool) (complex128, float64) {
	for high/low > 1+1e-6 {
		mid := math.Sqrt(low * high)
		if is(gain(mid)) == first {
			low = mid
		} else {
			high = mid
		}
	}
	return gain(low), low
}

// straightUnity is where the straight line between two gains has the size 1.
func straightUnity(g1, g2 complex128) complex128 {
	l1, l2 := math.Log(size(g1)), math.Log(size(g2))
	return cmplx.Rect(1, cmplx.Phase(g1)+cmplx.Phase(g2/g1)*l1/(l1-l2))
}

// straightAxis is the size at which that line meets the negative axis; 0 when it goes by the other
// side.
func straightAxis(g1, g2 complex128) float64 {
	from, turn := cmplx.Phase(g1), cmplx.Phase(g2/g1)
	to := math.Copysign(math.Pi, from)
	share := (to - from) / turn
	if !(share >= 0 && share <= 1) {
		return 0
	}
	return math.Exp((math.Log(size(g1))*(1-share) + math.Log(size(g2))*share) / 2)
}

// worst is the least of the margins of several corners. A corner whose gain never reaches 1 has no
// crossover to count.
func worst(all []Margins) Margins {
	out := Margins{Phase: 180, Gain: si.Ratio(math.Inf(1))}
	for _, m := range all {
		out.Phase, out.Gain, out.Fast = min(out.Phase, m.Phase), min(out.Gain, m.Gain),
			max(out.Fast, m.Fast)
		if out.Slow == 0 || m.Slow > 0 && m.Slow < out.Slow {
			out.Slow = m.Slow
		}
	}
	return out
}
