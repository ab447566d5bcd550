package bill

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// drawing collects what the sheet needs of a measured design.
func (f *Finished) drawing() substitute.Drawing {
	j, m, c := f.Writer, f.m, f.ctl
	d := substitute.Drawing{Geometry: m.C.Geometry, Former: m.C.Former, Joint: m.C.Residual,
		Voltage: c.Voltage, Current: c.Current, Bias: c.Bias, Bridge: j.BridgeDrop,
		BulkHigh: j.Bulk.Most(), Bleed: j.Bleed, BleedTo: stage.BleedVolts,
		Feedback: m.V.Feedback.Kind, Start: m.V.Supply.Start,
		FeedbackPin: m.V.Feedback.Pin,
		ClampLow:    m.Clamp.Lowest, Unheld: j.Unheld(m, j.Target.Empty)}
	d.OutputLeast = j.Output.Least
	d.Overload, d.SelfFed = m.V.Feedback.Overload, m.V.Supply.Self
	if m.Plan.Tape != nil {
		d.Tape = m.Plan.Tape.Part.Thickness.Value
	}
	if s := j.Bulk.Stock; s != nil {
		d.BulkHigh = si.Capacitance(float64(j.Bulk.N) * float64(s.Part.Capacitance.Value) * 1.2)
	}
	d.BleedTime = flyback.BleedTime(d.Bleed, d.BulkHigh, j.BusMax, stage.BleedVolts)
	d.Thinner, d.Thicker = gapSteps(m, j.Drawer.Films)
	d.Dynamics = loops.DynamicsOf(j.Looper, m, c)
	return d
}

// gapSteps finds the nearest other stacks of film: the largest gap below the chosen one and the
// smallest above it, at least a twentieth away so that the step shows on an inductance meter.
func gapSteps(m *stage.Measured,
	films []stock.Stock[catalog.Film]) (thinner, thicker *substitute.GapStep) {
	turns := float64(m.Np) * float64(m.Np)
	step := func(g *stage.MadeGap) *substitute.GapStep {
		s := &substitute.GapStep{Shim: g.Shim, Layers: []substitute.ShimFilm{},
			Inductance: si.Inductance(float64(g.Al) * turns)}
		for _, f := range g.Films {
			film := films[f.Film]
			s.Layers = append(s.Layers, substitute.ShimFilm{Designation: film.Name(),
				Thickness: film.Part.Thickness.Value, Count: f.Count})
			if len(film.Lots) > 0 {
				s.Layers[len(s.Layers)-1].Lot = film.Lots[0].Lot
			}
		}
		return s
	}
	var under, over *stage.MadeGap
	for i := range m.C.Gaps {
		g := &m.C.Gaps[i]
		switch {
		case g.Al > m.Gap.Al*1.05 && (under == nil || g.Al < under.Al ||
			g.Al == under.Al && g.Layers < under.Layers):
			under = g
		case g.Al < m.Gap.Al/1.05 && (over == nil || g.Al > over.Al ||
			g.Al == over.Al && g.Layers < over.Layers):
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
