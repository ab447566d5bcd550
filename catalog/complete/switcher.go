package complete

import (
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// switcher assumes what a sheet left out. Common practice, no source, unless another stands
// beside a figure.
func switcher(p catalog.Switcher) catalog.Switcher {
	catalog.Spread(&p.FrequencyMin, &p.Frequency, &p.FrequencyMax, 0.10)
	catalog.Spread(&p.LimitMin, &p.Limit, &p.LimitMax, 0.12)
	catalog.Spread(&p.SenseMin, &p.Sense, &p.SenseMax, 0.08)
	p.DutyMax.Assume(0.6)
	// below the lowest of the table, 650 V, and of VIPer53, 620 V (from memory)
	p.Breakdown.Assume(600)
	p.OnHot.Derive(1.8*p.OnResistance.Value, p.OnResistance.Basis)
	p.Coss.Assume(50e-12)
	if p.SelfSupply == "yes" {
		// self-supplied chips take 0.3 to 1.1 mA (from memory); more would burn them
		p.SupplyCurrent.Assume(1.2e-3)
	} else {
		p.SupplyCurrent.Assume(4e-3)
	}
	// a narrow window among the supplies whose sheets were read
	stops := si.Voltage(10)
	if p.SupplyMax.Known() {
		stops = min(stops, p.SupplyMax.Value)
	}
	p.SupplyMin.Assume(stops)
	p.SupplyMax.Assume(max(20, p.SupplyMin.Value))
	p.JunctionAir.Assume(mounted(p.Package))
	p.JunctionMax.Assume(125)
	p.Delay.Assume(300e-9) // the NCP1050 sheet prints 135 and 160 ns
	if p.Start == "" && p.SelfSupply == "yes" {
		p.Start = "inside"
	}
	if p.Start == "resistor" {
		p.StartCurrent.Assume(0.5e-3)
	}
	if p.Setting == "" {
		p.Setting = "internal"
	}
	if p.SelfSupply == "" {
		p.SelfSupply = "no"
	}
	if p.Overload == "timed" {
		// where the chip itself takes 10 to 15 ms to start softly (from memory)
		p.FeedbackStore.Assume(27e-9)
	}
	return feedback(p)
}

// feedback assumes what the optocoupler has to do. The current that stops the switching is
// an allowance from memory: 1 mA for a pin that is pulled down or fed, 0.1 mA for one that gates
// cycles, 7 mA for a control pin (TOP242 to TOP245: 7.0 mA printed). The resistance of the pin is
// the highest and the span the smallest of the kind: pulled down against 20 to 25 kohm (NCP1251,
// NCP1236) and 0.17 mA (STR-A6000, from memory); fed into 1.2 kohm over 0.9 mA (AP8022); control
// pin 22 ohm (TOP242 to TOP250) and 2.4 mA (TOP221 to TOP227, 67 % by the 28 %/mA of their
// successors). A pin that gates cycles has the resistance of its kind, an enable pin 10 kohm (from
// memory).
func feedback(p catalog.Switcher) catalog.Switcher {
	switch {
	case p.Feedback == "feeds-control":
		p.FeedbackStop.Assume(7e-3)
		p.FeedbackOhm.Assume(22)
		p.FeedbackSpan.Assume(2.4e-3)
	case p.Law == "gated" || p.Control == "on-off":
		p.FeedbackStop.Assume(0.1e-3)
	case p.Feedback == "feeds-in":
		p.FeedbackStop.Assume(1e-3)
		p.FeedbackOhm.Assume(1200)
		p.FeedbackSpan.Assume(0.9e-3)
	case p.Feedback == "pulls-down":
		p.FeedbackStop.Assume(1e-3)
		p.FeedbackOhm.Assume(25e3)
		p.FeedbackSpan.Assume(0.17e-3)
	case p.Feedback == "pulls-enable":
		p.FeedbackStop.Assume(0.5e-3)
	default:
		p.FeedbackStop.Assume(1.5e-3)
	}
	switch p.Feedback { // of pins that gate cycles, and of those nothing is said about
	case "feeds-in":
		p.FeedbackOhm.Assume(1200)
	case "pulls-enable":
		p.FeedbackOhm.Assume(10e3)
	default:
		p.FeedbackOhm.Assume(25e3)
	}
	return p
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
