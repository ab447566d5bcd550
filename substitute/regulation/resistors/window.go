package resistors

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// window makes the networks of three parts between two values, in order of value. Its windows must
// follow one another upwards.
type window struct {
	of     *Assortment
	series []int // for each piece the first pair that reaches the window in series with it
	beside []int // likewise parallel to it
	legs   []Twig
	dealt  dealt
}

func NewWindow(a *Assortment) *window {
	return &window{of: a, series: make([]int, len(a.Pieces)), beside: make([]int, len(a.Pieces))}
}

// Between returns the networks from lo up to but not including hi ohm. They are valid until the
// next call. Sums and sums of conductances rise with the pair also in rounded numbers, so that none
// is lost at the edges.
func (w *window) Between(lo, hi float64) []Twig {
	w.legs = w.legs[:0]
	pair, siemens := w.of.Pair, w.of.siemens
	for i := range w.of.Single {
		r := w.of.Single[i].Ohm
		j := w.series[i]
		for j < len(pair) && r+pair[j].Ohm < lo {
			j++
		}
		w.series[i] = j
		for ; j < len(pair) && r+pair[j].Ohm < hi; j++ {
			if t, ok := w.of.three(i, &pair[j], true, r+pair[j].Ohm); ok {
				w.legs = append(w.legs, t)
			}
		}
		if r <= lo {
			continue // parallel to it everything is smaller
		}
		g, most := 1/r, 1/lo
		j = w.beside[i]
		for j < len(pair) && g+siemens[j] > most {
			j++
		}
		w.beside[i] = j
		for least := 1 / hi; j < len(pair) && g+siemens[j] > least; j++ {
			if t, ok := w.of.three(i, &pair[j], false, 1/(g+siemens[j])); ok {
				w.legs = append(w.legs, t)
			}
		}
	}
	w.dealt = w.dealt.order(w.legs)
	return w.dealt.list
}

// dealt is a list of networks put in order, with the memory it took, to be used again.
type dealt struct {
	list []Twig
	ends []int32
}

// order sorts legs: they are dealt out into a few times as many boxes as there are legs, even steps
// of the bits of their values, which rise with positive values about as logarithms do; then each
// box is sorted.
func (d dealt) order(legs []Twig) dealt {
	n := len(legs)
	if cap(d.list) < n {
		d.list = make([]Twig, n+n/4)
	}
	d.list = d.list[:n]
	if n == 0 {
		return d
	}
	low, high := uint64(math.MaxUint64), uint64(0)
	for i := range legs {
		b := math.Float64bits(legs[i].Ohm)
		low, high = min(low, b), max(high, b)
	}
	shift := uint(max(0, bits.Len64(high-low)-bits.Len(uint(n))))
	boxes := int((high-low)>>shift) + 1
	if len(d.ends) < boxes+1 {
		d.ends = make([]int32, boxes+boxes/4+1)
	}
	ends := d.ends[:boxes+1]
	clear(ends)
	for i := range legs {
		ends[(math.Float64bits(legs[i].Ohm)-low)>>shift+1]++
	}
	for i := 1; i <= boxes; i++ {
		ends[i] += ends[i-1]
	}
	for i := range legs {
		at := &ends[(math.Float64bits(legs[i].Ohm)-low)>>shift]
		d.list[*at] = legs[i]
		*at++
	}
	start := int32(0)
	for _, end := range ends[:boxes] {
		if end-start > 1 {
			settle(d.list[start:end])
		}
		start = end
	}
	return d
}

// settle sorts one box: in place while it is small, as nearly all are.
func settle(box []Twig) {
	if len(box) > 24 {
		slices.SortFunc(box, func(a, b Twig) int { return cmp.Compare(a.Ohm, b.Ohm) })
		return
	}
	for i := 1; i < len(box); i++ {
		t := box[i]
		j := i
		for j > 0 && t.Ohm < box[j-1].Ohm {
			box[j] = box[j-1]
			j--
		}
		box[j] = t
	}
}
