package search

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
)

// Variants lists every switcher of the drawer with every setting of its limit; kinds that are not
// modelled are refused by the name of their control.
func (j *Job) Variants() []stage.Variant {
	var out []stage.Variant
	for i := range j.drawer.Switchers {
		s := &j.drawer.Switchers[i]
		p := s.Part
		if p.Control != "fixed-frequency" && p.Control != "on-off" {
			j.Refused = append(j.Refused,
				substitute.Refusal{Switcher: s.Name(), Check: substitute.CheckSwitcherKind, Miss: 9,
					Why: fmt.Sprintf("its %s control is not modelled",
						p.Control), Cure: "use a fixed-frequency or on/off switcher"})
			continue
		}
		missing := missingFigures(p)
		if missing != "" {
			j.Refused = append(j.Refused,
				substitute.Refusal{Switcher: s.Name(),
					Check: substitute.CheckSwitcherFigures, Miss: 8,
					Why: missing + " not known", Cure: "enter it from the data sheet"})
			continue
		}
		v := stage.Variant{Stock: s, Drive: stage.DriveOf(p), Switch: stage.SwitchOf(p)}
		v.Class, v.ClassText = PowerClass(p, j.Target)
		out = append(out, settings(j, v)...)
	}
	return out
}

// settings makes one variant of a drive whose limit is fixed inside, and one for each sense
// resistor on hand of one with a threshold.
func settings(j *Job, v stage.Variant) []stage.Variant {
	if v.Threshold.High == 0 {
		return []stage.Variant{v}
	}
	// a triangle over the whole period at 60 % duty would need this peak; much above it only the
	// core suffers. The upper end is that of the lowest mains there is, so that a narrower range
	// leaves no setting out.
	peakAt := func(mains si.Voltage) si.Current {
		return flyback.PeakForDuty(flyback.BusPeak(mains, 0.7),
			si.Power(float64(j.Target.Set)*float64(j.Target.Current)), 0.6)
	}
	const settingsReach, lowestMains = 3.5, 85
	leastPeak, mostPeak := peakAt(j.Target.MainsMin),
		settingsReach*peakAt(min(j.Target.MainsMin, lowestMains))
	var out []stage.Variant
	for i := range j.drawer.Resistors {
		r := &j.drawer.Resistors[i]
		ohm := float64(r.Part.Resistance.Value)
		if ohm < 0.15 || ohm > 10 || r.Part.Type == "fusible" || r.Count < 1 || r.Buy {
			continue
		}
		w := v
		w.Drive = v.WithSense(r)
		if w.PeakMost > 0 && w.Limit.High > w.PeakMost {
			continue // more than the switch bears
		}
		if w.Usable >= leastPeak && w.Usable <= mostPeak {
			out = append(out, w)
		}
	}
	return out
}

// missingFigures names the figure without which a chip cannot be reckoned with; empty when none is.
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
