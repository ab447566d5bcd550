package substitute

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// rectifierChoice is an output rectifier with what it bears after derating.
type rectifierChoice struct {
	stock   *stock[catalog.Rectifier]
	reverse si.Voltage // usable
	average si.Current // usable
	drop    si.Voltage
	amps    si.Current           // it was chosen for
	air     si.ThermalResistance // junction to air as mounted
	hottest si.Celsius           // junction
	sink    bool                 // reckoned with a piece of aluminium
}

// Heat of the output rectifier. A tab stands 60 K/W in free air (from memory) and 20 K/W on a piece of aluminium, with 4 K/W from
// junction to sink (junction to case 1.4 to 3.5 K/W in TSC, ST and onsemi sheets of such pairs, and a pad); an axial body of 3 to 5 A
// 20 to 40 K/W on its leads (sheets of HER303, SB5100-G, 1N5822), one of 1 A 60 to 100 K/W. Junction: SB520 to SB5100 and
// 1N5817 sheets allow 125 C, ultrafast parts and pairs with a tab 150 C; 15 K less for both (common practice, no source).
const (
	tabAir         = 60.0 // K/W
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
	case p.Legs.Or(1) >= 2 || p.Average.Value >= tabbed:
		return tabOnSink, true
	case p.JunctionAir.Known() && p.JunctionAir.Value >= 15: // below that it is the resistance to the leads that was printed
		return p.JunctionAir.Value, false
	case p.Average.Value < smallRectifier:
		return smallAir, false
	}
	return axialAir, false
}

// rectifierMost is the highest junction temperature to design for.
func rectifierMost(p catalog.Rectifier) si.Celsius {
	if p.Technology == "schottky" && p.Legs.Or(1) < 2 && p.Average.Value < tabbed {
		return 125 - rectifierSpare
	}
	return 150 - rectifierSpare
}

// needsSink reports that the rectifier gets too hot without its heat sink.
func (m *measured) needsSink() bool {
	free := flyback.Junction(m.hottest.inside, m.loss.Rectifier, tabAir)
	return m.rect.sink && free > m.rect.hottest
}

// rectifierChoices lists the output rectifiers fast enough for the job: Schottky, or ultrafast up to 75 ns (a published
// comparison rejects 500 ns parts).
func (j *job) rectifierChoices(all []stock[catalog.Rectifier]) []rectifierChoice {
	var out []rectifierChoice
	for i := range all {
		p := all[i].part
		legs := p.Legs.Or(1)
		r := rectifierChoice{stock: &all[i], reverse: p.Reverse.Value * reverseUse,
			average: p.Average.Value * si.Current(legs) * rectifierUse, drop: forwardAt(p, j.target.Current/si.Current(legs)), hottest: rectifierMost(p),
			amps: j.target.Current}
		r.air, r.sink = rectifierAir(p)
		cool := flyback.Junction(j.target.Ambient, flyback.RectifierLoss(j.target.Current, r.drop), r.air) <= r.hottest
		if !fastEnough(p) || r.average < j.target.Current || r.reverse <= j.target.Absolute || !cool {
			continue
		}
		out = append(out, r)
	}
	return undominated(out)
}

// undominated drops every rectifier that another of the same origin matches or beats in voltage, current, drop and heat.
func undominated(all []rectifierChoice) []rectifierChoice {
	cool := func(r *rectifierChoice) float64 {
		return float64(r.hottest) - float64(r.air)*float64(r.drop)*float64(r.amps)
	}
	var out []rectifierChoice
	for i := range all {
		r, beaten := &all[i], false
		for k := range all {
			o := &all[k]
			if k == i || o.stock.buy != r.stock.buy && o.stock.buy || o.reverse < r.reverse || o.average < r.average || o.drop > r.drop || cool(o) < cool(r) {
				continue
			}
			if o.reverse > r.reverse || o.average > r.average || o.drop < r.drop || cool(o) > cool(r) || k < i {
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

// rectifierRoom is what the heat of a rectifier leaves at best.
func (j *job) rectifierRoom(r *rectifierChoice) float64 {
	hot := flyback.Junction(j.coolest, flyback.RectifierLoss(j.target.Current, r.drop), r.air)
	return most(chkRectifierHot, hot, r.hottest).from(float64(j.target.Ambient)).room()
}
