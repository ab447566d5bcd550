package substitute

import (
	"fmt"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// filmSpare is how far below its class a shim should stay: the leg is hotter than the mean of the winding (common practice, no
// source).
const filmSpare si.Celsius = 10

// warnings says what the builder must know beyond the checks: what was assumed, and what gets worse.
func (j *job) warnings(m *measured, c *control, loops LoopChoice) []string {
	out := append([]string(nil), m.c.notes...)
	if m.donor != nil {
		out = append(out, m.donorWarnings()...)
	}
	if w := m.c.lossRange.warning(m.v.frequency, m.fluxSwing/2); w != "" {
		out = append(out, w)
	}
	for _, g := range append(m.gauges[:m.count:m.count], c.gauges...) {
		if checkNames[g.id].soft && !g.passed() {
			d := checkNames[g.id]
			out = append(out, fmt.Sprintf("%s is %.3g %s, better below %.3g", d.name, g.value, d.unit, g.limit))
		}
	}
	if m.v.class == 0 {
		out = append(out, "the maker's power class of this switcher is not known; only limit, heat and voltage were checked")
	}
	if onHeatSink(m.v.stock.part) {
		out = append(out, "bolt the switcher to aluminium of 20 K/W or better, with an insulating pad where its tab is live; "+
			"count it as mains: 6 mm from the battery side, out of reach")
	}
	if needsCopper(m.v.stock.part) {
		out = append(out, "the switcher is cooled by its pins: give its source or drain pins, as its data sheet says, 200 mm2 of copper or more, "+
			"35 um thick, on the board; on perforated board a soldered piece of copper sheet")
	}
	if m.needsSink() {
		out = append(out, fmt.Sprintf("bolt the output rectifier to aluminium of 20 K/W or better: without it its junction reaches %.0f C",
			float64(flyback.Junction(m.hottest.inside, m.loss.Rectifier, tabAir))))
	}
	if part := m.v.stock.part; part.SelfSupply != "yes" {
		if !part.SupplyMin.Known() {
			out = append(out, "voltage at which the switcher stops is not known: 10 V assumed, look it up")
		}
		if !part.SupplyMax.Known() {
			out = append(out, "highest supply voltage of the switcher is not known: 20 V assumed, look it up")
		}
	}
	if m.v.stock.part.Latches == "yes" {
		out = append(out, "the switcher latches after an overvoltage or overheating: only taking the mains off starts it again")
	}
	out = append(out, pinWarnings(m.v.stock.part)...)
	out = append(out, loopWarnings(loops, c)...)
	out = append(out, c.drainWarning())
	for _, f := range m.gap.films {
		if film := j.drawer.films[f.film].part; film.Class.Known() && film.Class.Value < m.hottest.coil+filmSpare {
			out = append(out, fmt.Sprintf("%s bears %.0f C, the transformer reaches %.0f C: take a film of a higher class",
				film.Designation(), float64(film.Class.Value), float64(m.hottest.coil)))
		}
	}
	out = append(out, j.deepWarnings(m, c)...)
	if v := j.starves(m); v > 0 {
		out = append(out, fmt.Sprintf("a pack below %.1f V starves the chip: it tries to start again and again until the pack has risen", float64(v)))
	}
	if j.target.Case != Open && j.target.Box == nil {
		out = append(out, "no box size given: a closed case of 90 x 55 x 40 mm was assumed for the heat")
	}
	if m.plan.barrier != tripleInsulated && m.donor == nil && !m.c.stock.part.PinCreepage.Known() {
		out = append(out, "creepage between the former's pin rows not entered: it must be 6 mm or more, measure before use")
	}
	if m.plan.barrier == tripleInsulated && m.donor == nil && m.c.stock.part.PinCreepage.Or(0) < creepageNeeded {
		out = append(out, "lead the ends of the secondary out in their own insulation, not to the former's pins: "+
			"bare pins need 6 mm to core and mains pins")
	}
	if m.plan.barrier != tripleInsulated && m.donor == nil {
		out = append(out, "sleeve every end that crosses a margin, wall 0.41 mm or more")
	}
	return out
}

// needsCopper reports that the thermal resistance of a switcher holds only with copper on the board: every package that is not
// bolted to something.
func needsCopper(p catalog.Switcher) bool {
	bolted := strings.Contains(strings.ReplaceAll(p.Package, "-", ""), "TO220") || strings.Contains(p.Package, "TO-3")
	return p.Package != "" && !bolted
}

// pinWarnings says what the pins of the switcher want beyond the parts of the list.
func pinWarnings(p catalog.Switcher) []string {
	var out []string
	switch p.Start {
	case "pin":
		out = append(out, "join the start-up pin of the switcher to bulk +: without it the chip never starts")
	case "":
		out = append(out, "how this switcher starts is not known: some need a pin or a resistor at bulk +, look it up")
	}
	switch {
	case p.FeedbackPin != "" && p.Pins != "":
		out = append(out, fmt.Sprintf("the optocoupler goes to the switcher's pin %s; its other pins: %s", p.FeedbackPin, p.Pins))
	case p.FeedbackPin != "":
		out = append(out, fmt.Sprintf("the optocoupler goes to the switcher's pin %s, whatever other pin has FB in its name", p.FeedbackPin))
	case p.Pins != "":
		out = append(out, "other pins of the switcher: "+p.Pins)
	}
	return append(out, "the circuit shows the usual pins of the switcher: wire any other one as its data sheet says before the first power")
}

// drainWarning says what the circuit takes from a pack that stays on it without mains.
func (c *control) drainWarning() string {
	idle := c.idle()
	return fmt.Sprintf("without mains the pack feeds the circuit with %.0f mA, %.0f mAh a day, until it is empty: "+
		"take the pack off, not only the mains",
		float64(idle)*1e3, float64(idle)*24e3)
}

// idle is the most a full pack gives to the circuit without mains: reference with its dividers and the amplifier; the lamp is dark.
func (c *control) idle() si.Current {
	return c.own - c.lamp.Least
}

// deepWarnings say what a deeply discharged pack gets: full current, of which a lithium cell bears a tenth at first, and more where
// nothing but the switcher's limit holds the current while the switcher still has its supply.
func (j *job) deepWarnings(m *measured, c *control) []string {
	var out []string
	if !strings.HasPrefix(j.target.Chemistry, "lead-acid") {
		out = append(out, fmt.Sprintf("a pack below %.3g V wants a tenth of the current and gets all of it: do not charge it here",
			float64(j.target.Empty)))
	}
	if c.lowest > j.starves(m) {
		out = append(out, fmt.Sprintf("below %.1f V at the output only the switcher's limit holds the current: up to %.1f A",
			float64(c.lowest), float64(j.unheld(m, c.lowest))))
	}
	return out
}
