package compensation

import (
	"math"

	"sparewright/catalog/si"
)

// watched is a set of corners at the frequencies by which margins are stated. What does not depend
// on the compensation is worked out once, when a corner is first asked for; what does not depend on
// the corner, once for every compensation.
type watched struct {
	loops []Loop
	rows  []row
	bands []*band // of each corner; those with the same end share one
}

// band is a row of frequencies with the gain of an amplifier there.
type band struct {
	top   float64
	freqs []float64
	gains []complex128
	amp   Amplifier
	parts Parts
	known bool // the gains are those of amp with parts
}

func watch(loops []Loop) *watched {
	return &watched{loops: loops, rows: make([]row, len(loops)), bands: make([]*band, len(loops))}
}

// band is that of a corner, its chain with it.
func (w *watched) band(i int) *band {
	if w.bands[i] != nil {
		return w.bands[i]
	}
	top := w.loops[i].top()
	for _, b := range w.bands {
		if b != nil && b.top == top {
			w.bands[i] = b
		}
	}
	if w.bands[i] == nil {
		freqs := grid(top, perDecade)
		w.bands[i] = &band{top: top, freqs: freqs, gains: make([]complex128, len(freqs))}
	}
	w.rows[i] = w.loops[i].row(w.bands[i].freqs)
	return w.bands[i]
}

// hear fills in the gains of an amplifier.
func (b *band) hear(a Amplifier, p Parts) {
	if b.known && b.amp == a && b.parts == p {
		return
	}
	b.amp, b.parts, b.known = a, p, true
	for i, f := range b.freqs {
		b.gains[i] = a.Gain(p, complex(0, 2*math.Pi*f))
	}
}

// margins are those of one corner.
func (w *watched) margins(i int, p Parts) Margins {
	l := &w.loops[i]
	b := w.band(i)
	b.hear(l.Amplifier, p)
	r := &w.rows[i]
	exact := func(f float64) complex128 { return l.Open(p, si.Frequency(f)) }
	var n nyquist
	n.start()
	for k, gain := range b.gains {
		g := r.watched[k]*gain + r.direct[k]
		if k == 0 {
			n.first(g)
		} else {
			n.step(b.freqs[k-1], b.freqs[k], g, exact)
		}
	}
	return n.margins()
}

// worst looks at a compensation in all corners.
func (w *watched) worst(p Parts) Margins {
	all := make([]Margins, len(w.loops))
	for i := range all {
		all[i] = w.margins(i, p)
	}
	return worst(all)
}

// steady reports whether every corner is; it stops at the first that is not.
func (w *watched) steady(p Parts) bool {
	for i := range w.loops {
		if !w.margins(i, p).steady() {
			return false
		}
	}
	return true
}
