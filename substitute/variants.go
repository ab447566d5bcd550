package substitute

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// variants lists every switcher of the drawer with every setting of its limit; kinds that are not modelled are refused by
// the name of their control.
func (j *job) variants() []variant {
	var out []variant
	for i := range j.drawer.switchers {
		s := &j.drawer.switchers[i]
		p := s.part
		if p.Control != "fixed-frequency" && p.Control != "on-off" {
			j.refused = append(j.refused, Refusal{Switcher: s.name(), Check: checkSwitcherKind, miss: 9,
				Why: fmt.Sprintf("its %s control is not modelled", p.Control), Cure: "use a fixed-frequency or on/off switcher"})
			continue
		}
		missing := missingFigures(p)
		if missing != "" {
			j.refused = append(j.refused, Refusal{Switcher: s.name(), Check: checkSwitcherFigures, miss: 8,
				Why: missing + " not known", Cure: "enter it from the data sheet"})
			continue
		}
		v := variant{stock: s, gated: p.Control == "on-off", frequency: p.Frequency.Value, duty: p.DutyMax.Or(defaultDutyMax),
			delay: p.Delay.Or(defaultDelay)}
		v.freq = si.Interval[si.Frequency]{Low: p.FrequencyMin.Or(p.Frequency.Value * 0.9), High: p.FrequencyMax.Or(p.Frequency.Value * 1.1)}
		v.breakdown = p.Breakdown.Value * breakdownGuess
		if p.Breakdown.Firm() {
			v.breakdown = p.Breakdown.Value * breakdownUse
		}
		v.class, v.classText = powerClass(p, j.target)
		out = append(out, j.settings(v)...)
	}
	return out
}

func missingFigures(p catalog.Switcher) string {
	switch {
	case !p.Frequency.Known():
		return "switching frequency"
	case !p.Breakdown.Known():
		return "drain breakdown voltage"
	case !p.OnHot.Known() && !p.OnResistance.Known():
		return "on-resistance"
	case p.Setting == "external" && (!p.SenseMin.Known() || !p.SenseMax.Known()):
		return "threshold of the external limit"
	case p.Setting != "external" && (!p.LimitMin.Known() || !p.LimitMax.Known()):
		return "current limit"
	}
	return ""
}

// settings makes one variant of an internally limited switcher, and one for each sense resistor on hand of an external one.
func (j *job) settings(v variant) []variant {
	p := v.stock.part
	if p.Setting != "external" {
		v.limit = si.Interval[si.Current]{Low: p.LimitMin.Value, High: p.LimitMax.Value}
		v.usable = v.limit.Low * limitUseGuess
		if p.LimitMin.Firm() {
			v.usable = v.limit.Low * limitUse
		}
		if v.gated {
			v.usable = v.limit.Low
		}
		return []variant{v}
	}
	// a triangle over the whole period at 60 % duty would need this peak; much above it only the core suffers
	leastPeak := si.Current(2 * float64(j.target.Set) * float64(j.target.Current) / (0.6 * float64(flyback.BusPeak(j.target.MainsMin, 0.7))))
	const settingsReach = 3.5
	var out []variant
	for i := range j.drawer.resistors {
		r := &j.drawer.resistors[i]
		ohm, tol := float64(r.part.Resistance.Value), float64(r.part.Tolerance.Or(0.05))
		if ohm < 0.15 || ohm > 10 || r.part.Type == "fusible" || r.count < 1 || r.buy {
			continue
		}
		w := v
		w.sense = r
		w.limit = si.Interval[si.Current]{Low: si.Current(float64(p.SenseMin.Value) / (ohm * (1 + tol))),
			High: si.Current(float64(p.SenseMax.Value) / (ohm * (1 - tol)))}
		if p.LimitMax.Known() && w.limit.High > p.LimitMax.Value {
			continue // more than the switch bears
		}
		w.usable = w.limit.Low * limitUseGuess
		if p.SenseMin.Firm() {
			w.usable = w.limit.Low * limitUse
		}
		if w.usable >= leastPeak && w.usable <= settingsReach*leastPeak {
			out = append(out, w)
		}
	}
	return out
}

// selfClass is the share of a class that is left where the chip feeds itself from the drain although the class was printed for a
// supply from a bias winding: 14 of 19 W and 6 of 8 W for NCP1014 (from memory). On/off parts are printed as they feed themselves.
const selfClass = 14.0 / 19

// powerClass is the maker's ceiling for this mains range, case and way of supply. What holds for a wider range holds for a narrower
// one too, so the larger of both counts; a class known only for an open frame is scaled by the usual ratio of the printed tables
// (sealed 0.6 x open), one from memory by 0.9.
func powerClass(p catalog.Switcher, t Target) (si.Power, string) {
	if p.SelfSupply == "yes" && p.SelfWide.Known() {
		var none catalog.Datum[si.Power]
		best, text := classOf(none, p.SelfWide, t.Case, "85-265 V without a bias winding")
		if t.MainsMin >= 180 {
			if narrow, words := classOf(none, p.SelfNarrow, t.Case, "195-265 V without a bias winding"); narrow > best {
				best, text = narrow, words
			}
		}
		return best, text
	}
	best, text := classOf(p.SealedWide, p.OpenWide, t.Case, "85-265 V")
	if t.MainsMin >= 180 {
		if narrow, words := classOf(p.SealedNarrow, p.OpenNarrow, t.Case, "195-265 V"); narrow > best {
			best, text = narrow, words
		}
	}
	if p.SelfSupply == "yes" && p.Control == "fixed-frequency" && best > 0 {
		best, text = best*selfClass, text+", x14/19 without a bias winding"
	}
	return best, text
}

// classOf is the ceiling from one row of a maker's table, for the case; zero where it has none.
func classOf(sealed, open catalog.Datum[si.Power], in Case, row string) (best si.Power, text string) {
	use := func(d catalog.Datum[si.Power], k float64, words string) {
		if !d.Known() {
			return
		}
		if !d.Firm() {
			k, words = 0.9*k, words+", from memory, x0.9"
		}
		if w := d.Value * si.Power(k); w > best {
			best, text = w, fmt.Sprintf("maker's class, %s, %s", row, words)
		}
	}
	use(sealed, 1, "sealed")
	switch {
	case in == Open:
		use(open, 1, "open frame")
	case !sealed.Known():
		use(open, 0.6, "open frame x0.6 for a closed case")
	}
	return best, text
}
