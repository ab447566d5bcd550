package catalog

import (
	"strings"

	"sparewright/catalog/si"
)

// completeSwitcher assumes what a sheet left out. Common practice, no source, unless another stands
// beside a figure.
func completeSwitcher(p Switcher) Switcher {
	spread(&p.FrequencyMin, &p.Frequency, &p.FrequencyMax, 0.10)
	spread(&p.LimitMin, &p.Limit, &p.LimitMax, 0.12)
	spread(&p.SenseMin, &p.Sense, &p.SenseMax, 0.08)
	assume(&p.DutyMax, 0.6)
	// below the lowest of the table, 650 V, and of VIPer53, 620 V (from memory)
	assume(&p.Breakdown, 600)
	derive(&p.OnHot, 1.8*p.OnResistance.Value, p.OnResistance.Basis)
	assume(&p.Coss, 50e-12)
	if p.SelfSupply == "yes" {
		// self-supplied chips take 0.3 to 1.1 mA (from memory); more would burn them
		assume(&p.SupplyCurrent, 1.2e-3)
	} else {
		assume(&p.SupplyCurrent, 4e-3)
	}
	// a narrow window among the supplies whose sheets were read
	stops := si.Voltage(10)
	if p.SupplyMax.Known() {
		stops = min(stops, p.SupplyMax.Value)
	}
	assume(&p.SupplyMin, stops)
	assume(&p.SupplyMax, max(20, p.SupplyMin.Value))
	assume(&p.JunctionAir, mounted(p.Package))
	assume(&p.JunctionMax, 125)
	assume(&p.Delay, 300e-9) // the NCP1050 sheet prints 135 and 160 ns
	if p.Start == "" && p.SelfSupply == "yes" {
		p.Start = "inside"
	}
	if p.Start == "resistor" {
		assume(&p.StartCurrent, 0.5e-3)
	}
	if p.Setting == "" {
		p.Setting = "internal"
	}
	if p.SelfSupply == "" {
		p.SelfSupply = "no"
	}
	if p.Overload == "timed" {
		// where the chip itself takes 10 to 15 ms to start softly (from memory)
		assume(&p.FeedbackStore, 27e-9)
	}
	return completeFeedback(p)
}

// completeFeedback assumes what the optocoupler has to do. The current that stops the switching is
// an allowance from memory: 1 mA for a pin that is pulled down or fed, 0.1 mA for one that gates
// cycles, 7 mA for a control pin (TOP242 to TOP245: 7.0 mA printed). The resistance of the pin is
// the highest and the span the smallest of the kind: pulled down against 20 to 25 kohm (NCP1251,
// NCP1236) and 0.17 mA (STR-A6000, from memory); fed into 1.2 kohm over 0.9 mA (AP8022); control
// pin 22 ohm (TOP242 to TOP250) and 2.4 mA (TOP221 to TOP227, 67 % by the 28 %/mA of their
// successors). A pin that gates cycles has the resistance of its kind, an enable pin 10 kohm (from
// memory).
func completeFeedback(p Switcher) Switcher {
	switch {
	case p.Feedback == "feeds-control":
		assume(&p.FeedbackStop, 7e-3)
		assume(&p.FeedbackOhm, 22)
		assume(&p.FeedbackSpan, 2.4e-3)
	case p.Law == "gated" || p.Control == "on-off":
		assume(&p.FeedbackStop, 0.1e-3)
	case p.Feedback == "feeds-in":
		assume(&p.FeedbackStop, 1e-3)
		assume(&p.FeedbackOhm, 1200)
		assume(&p.FeedbackSpan, 0.9e-3)
	case p.Feedback == "pulls-down":
		assume(&p.FeedbackStop, 1e-3)
		assume(&p.FeedbackOhm, 25e3)
		assume(&p.FeedbackSpan, 0.17e-3)
	case p.Feedback == "pulls-enable":
		assume(&p.FeedbackStop, 0.5e-3)
	default:
		assume(&p.FeedbackStop, 1.5e-3)
	}
	switch p.Feedback { // of pins that gate cycles, and of those nothing is said about
	case "feeds-in":
		assume(&p.FeedbackOhm, 1200)
	case "pulls-enable":
		assume(&p.FeedbackOhm, 10e3)
	default:
		assume(&p.FeedbackOhm, 25e3)
	}
	return p
}

// listedSwitcher fills a switcher from the table. The same number in two packages is two parts: one
// of the named package is taken before the row of the bare number, which has the worse figures of
// all.
func listedSwitcher(p Switcher) Switcher {
	key, pack := bareKey(KindSwitcher, p.Name), packageKey(p.Package)
	if key == "" || pack == "" {
		return listed(p)
	}
	for _, r := range rowsOf(KindSwitcher).rows {
		row := r.part.(Switcher)
		more := r.bare != key && strings.HasPrefix(r.bare, key)
		if more && packageKey(row.Package) == pack && !disagrees(p, row) {
			return fill(p, row)
		}
	}
	return listed(p)
}

// packageKey is a package as squeezed letters, then its pins: DIP-8 and 8-DIP are the same.
func packageKey(pack string) string {
	pins := strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, pack)
	letters := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return -1
		}
		return r
	}, squeeze(pack))
	return letters + pins
}

// mounted is the thermal resistance to air of a package as builders mount it: a TO-220 body on
// aluminium of 20 K/W (4 + 1 + 20 K/W, from memory), anything else on copper of 200 mm2; the table
// has 45, 55 and 75 K/W for such mountings.
func mounted(pack string) si.ThermalResistance {
	if strings.Contains(strings.ReplaceAll(pack, "-", ""), "TO220") {
		return 25
	}
	return 70
}
