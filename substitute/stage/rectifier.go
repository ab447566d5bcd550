package stage

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// RectifierChoice is an output rectifier with what it bears after derating.
type RectifierChoice struct {
	Stock   *stock.Stock[catalog.Rectifier]
	Reverse si.Voltage // usable
	average si.Current // usable
	Drop    si.Voltage
	amps    si.Current           // it was chosen for
	air     si.ThermalResistance // junction to air as mounted
	hottest si.Celsius           // junction
	sink    bool                 // reckoned with a piece of aluminium
}

// Rated is its average rating whole; 0 where it is not known.
func (r *RectifierChoice) Rated() si.Current { return r.average / RectifierUse }

// Heat of the output rectifier. A tab stands 60 K/W in free air (from memory) and 20 K/W on a piece
// of aluminium, with 4 K/W from junction to sink (junction to case 1.4 to 3.5 K/W in TSC, ST and
// onsemi sheets of such pairs, and a pad); an axial body of 3 to 5 A 20 to 40 K/W on its leads
// (sheets of HER303, SB5100-G, 1N5822), one of 1 A 60 to 100 K/W. Junction: SB520 to SB5100 and
// 1N5817 sheets allow 125 C, ultrafast parts and pairs with a tab 150 C; 15 K less for both (common
// practice, no source).
const (
	TabAir         = 60.0 // K/W
	tabOnSink      = 24.0
	axialAir       = 40.0
	smallAir       = 100.0
	rectifierSpare = 15.0 // K
	smallRectifier = 2.5  // A, below it the body is that of 1 A
	tabbed         = 6.0  // A a leg, from which on a single rectifier has a tab
)

// rectifierAir is the thermal resistance from junction to air, and whether that takes a heat sink.
func rectifierAir(p catalog.Rectifier) (si.ThermalResistance, bool) {
	switch {
	case p.Legs.Value >= 2 || p.Average.Value >= tabbed:
		return tabOnSink, true
	case p.JunctionAir.Known() && p.JunctionAir.Value >= 15:
		// below that it is the resistance to the leads that was printed
		return p.JunctionAir.Value, false
	case p.Average.Value < smallRectifier:
		return smallAir, false
	}
	return axialAir, false
}

// rectifierMost is the highest junction temperature to design for.
func rectifierMost(p catalog.Rectifier) si.Celsius {
	if p.Technology == "schottky" && p.Legs.Value < 2 && p.Average.Value < tabbed {
		return 125 - rectifierSpare
	}
	return 150 - rectifierSpare
}

// NeedsSink reports that the rectifier gets too hot without its heat sink.
func (m *Measured) NeedsSink() bool {
	free := flyback.Junction(m.Hottest.Inside, m.Loss.Rectifier, TabAir)
	return m.Rect.sink && free > m.Rect.hottest
}

// rectifierChoices lists the output rectifiers fast enough for the job: Schottky, or ultrafast up
// to 75 ns (a published comparison rejects 500 ns parts).
func (j *Frame) rectifierChoices(all []stock.Stock[catalog.Rectifier]) []RectifierChoice {
	var out []RectifierChoice
	asked := Asked(j.Target, j.BusMax)
	suits := stock.Suits[catalog.Rectifier](seats.OutputRectifier, &asked)
	for i := range all {
		p := all[i].Part
		legs := p.Legs.Value
		r := RectifierChoice{Stock: &all[i], Reverse: p.Reverse.Value * ReverseUse,
			average: p.Average.Value * si.Current(legs) *
				RectifierUse, Drop: ForwardAt(p,
				j.Target.Current/si.Current(legs)), hottest: rectifierMost(p),
			amps: j.Target.Current}
		r.air, r.sink = rectifierAir(p)
		cool := flyback.Junction(j.Target.Ambient, flyback.RectifierLoss(j.Target.Current, r.Drop),
			r.air) <= r.hottest
		if !suits(&all[i]) || r.Reverse <= j.Target.Absolute || !cool {
			continue
		}
		out = append(out, r)
	}
	return undominated(out)
}

// undominated drops every rectifier that another of the same origin matches or beats in voltage,
// current, drop and heat.
func undominated(all []RectifierChoice) []RectifierChoice {
	cool := func(r *RectifierChoice) float64 {
		return float64(r.hottest) - float64(r.air)*float64(r.Drop)*float64(r.amps)
	}
	var out []RectifierChoice
	for i := range all {
		r, beaten := &all[i], false
		for k := range all {
			o := &all[k]
			if k == i || o.Stock.Buy != r.Stock.Buy && o.Stock.Buy || o.Reverse < r.Reverse ||
				o.average < r.average || o.Drop > r.Drop || cool(o) < cool(r) {
				continue
			}
			if o.Reverse > r.Reverse || o.average > r.average || o.Drop < r.Drop ||
				cool(o) > cool(r) || k < i {
				beaten = true
				break
			}
		}
		if !beaten {
			out = append(out, *r)
		}
	}
	return out
}

// rectifierMargin is what the heat of a rectifier leaves at best.
func (j *Chooser) rectifierMargin(r *RectifierChoice) float64 {
	hot := flyback.Junction(j.Coolest, flyback.RectifierLoss(j.Target.Current, r.Drop), r.air)
	return substitute.Most(substitute.ChkRectifierHot, hot,
		r.hottest).From(float64(j.Target.Ambient)).Margin()
}
