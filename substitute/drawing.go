package substitute

import (
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation"
)

// Drawing is what the build sheet draws and reckons with beside the figures of the Build: shapes, networks and neighbours
// that no script asks for.
type Drawing struct {
	Geometry magnetics.Geometry
	Former   magnetics.Former
	Joint    si.Length // residual joint of the faces, both joints in series
	Tape     si.Length // thickness of one layer of tape
	Thinner  *GapStep  // next smaller gap of the films on hand, nil when there is none
	Thicker  *GapStep  // next larger
	Voltage  regulation.VoltageNetwork
	Current  regulation.CurrentNetwork
	Bias     regulation.BiasNetwork
	Bridge   si.Voltage // drop of two diodes of the bridge

	BulkHigh    si.Capacitance // most that the bulk capacitor may have, 20 % above its nominal value
	Bleed       si.Resistance  // across it
	BleedTime   si.Time        // from the highest mains down to BleedTo through Bleed
	BleedTo     si.Voltage
	Start       string     // how the switcher starts, word of the catalog; empty when not known
	Unheld      si.Current // into an empty pack with nothing holding the converter, the most
	FeedbackPin string     // its pin for the optocoupler, where that has a name of its own

	Feedback string // what the optocoupler does to the switcher, word of the catalog; empty when not known
	ClampLow si.Voltage

	// StandIn is a build with a stage that stands for the inside of a whole adapter where netlist, curves and faults need one;
	// its inductance is assumed. nil for every other build.
	StandIn *Build
}

// GapStep is the same core with another stack of films.
type GapStep struct {
	Layers     []ShimFilm    `json:"layers"`
	Shim       si.Length     `json:"shim_m"`
	Inductance si.Inductance `json:"inductance_h"`
}

// drawing collects what the sheet needs of a measured design.
func (j *job) drawing(m *measured, c *control) Drawing {
	d := Drawing{Geometry: m.c.geometry, Former: m.c.former, Joint: m.c.residual, Voltage: c.voltage, Current: c.current, Bias: c.bias, Bridge: j.bridgeDrop,
		BulkHigh: j.bulk.least / 0.8 * 1.2, Bleed: j.bleed, BleedTo: bleedVolts, Feedback: m.v.stock.part.Feedback, Start: m.v.stock.part.Start, FeedbackPin: m.v.stock.part.FeedbackPin,
		ClampLow: m.clamp.lowest, Unheld: j.unheld(m, j.target.Empty)}
	if m.plan.tape != nil {
		d.Tape = m.plan.tape.part.Thickness.Value
	}
	if s := j.bulk.stock; s != nil {
		d.BulkHigh = si.Capacitance(float64(j.bulk.n) * float64(s.part.Capacitance.Value) * 1.2)
	}
	d.BleedTime = flyback.BleedTime(d.Bleed, d.BulkHigh, j.busMax, bleedVolts)
	d.Thinner, d.Thicker = j.gapSteps(m)
	return d
}

// gapSteps finds the nearest other stacks of film: the largest gap below the chosen one and the smallest above it, at least a
// twentieth away so that the step shows on an inductance meter.
func (j *job) gapSteps(m *measured) (thinner, thicker *GapStep) {
	turns := float64(m.np) * float64(m.np)
	step := func(g *madeGap) *GapStep {
		s := &GapStep{Shim: g.shim, Layers: []ShimFilm{}, Inductance: si.Inductance(float64(g.al) * turns)}
		for _, f := range g.films {
			film := j.drawer.films[f.film]
			s.Layers = append(s.Layers, ShimFilm{Designation: film.name(), Thickness: film.part.Thickness.Value, Count: f.count})
			if len(film.lots) > 0 {
				s.Layers[len(s.Layers)-1].Lot = film.lots[0].lot
			}
		}
		return s
	}
	var under, over *madeGap
	for i := range m.c.gaps {
		g := &m.c.gaps[i]
		switch {
		case g.al > m.gap.al*1.05 && (under == nil || g.al < under.al || g.al == under.al && g.layers < under.layers):
			under = g
		case g.al < m.gap.al/1.05 && (over == nil || g.al > over.al || g.al == over.al && g.layers < over.layers):
			over = g
		}
	}
	if under != nil {
		thinner = step(under)
	}
	if over != nil {
		thicker = step(over)
	}
	return thinner, thicker
}
