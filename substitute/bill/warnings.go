package bill

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/stage"
)

// FilmSpare is how far below its class a shim should stay: the leg is hotter than the mean of the
// winding (common practice, no source).
const FilmSpare si.Celsius = 10

// warnings says what the builder must know beyond the checks: what was assumed, and what gets
// worse.
func (f *Finished) warnings() []string {
	j, m, c := f.Writer, f.m, f.ctl
	out := append([]string(nil), m.C.Notes...)
	if m.Donor != nil {
		out = append(out, m.DonorWarnings()...)
	}
	if w := m.C.LossRange.Warning(m.V.Frequency, m.FluxSwing/2); w != "" {
		out = append(out, w)
	}
	for _, g := range append(m.Gauges[:m.Count:m.Count], c.Gauges...) {
		if substitute.CheckNames[g.Id].Soft && !g.Passed() {
			d := substitute.CheckNames[g.Id]
			out = append(out, fmt.Sprintf("%s is %.3g %s, better below %.3g", d.Name, g.Value,
				d.Unit, g.Limit))
		}
	}
	if k := c.Voltage.Step; k != nil {
		out = append(out, fmt.Sprintf("its voltage is set by a measurement between %.2f and %.2f V, "+
			"below the full %.2f V: the pack is filled a little less, and lasts longer",
			float64(k.Accept.Low), float64(k.Accept.High), float64(j.Target.Set)))
	}
	if m.V.Class == 0 {
		out = append(out, "the maker's power class of this switcher is not known; only limit, "+
			"heat and voltage were checked")
	}
	if m.V.HeatSink {
		out = append(out, "bolt the switcher to aluminium of 20 K/W or better, with an "+
			"insulating pad where its tab is live; "+
			"count it as mains: 6 mm from the battery side, out of reach")
	}
	if m.V.Copper {
		out = append(out, "the switcher is cooled by its pins: give its source or drain pins, as "+
			"its data sheet says, 200 mm2 of copper or more, "+
			"35 um thick, on the board; on perforated board a soldered piece of copper sheet")
	}
	if m.NeedsSink() {
		out = append(out, fmt.Sprintf("bolt the output rectifier to aluminium of 20 K/W or "+
			"better: without it its junction reaches %.0f C",
			float64(flyback.Junction(m.Hottest.Inside, m.Loss.Rectifier, stage.TabAir))))
	}
	if s := &m.V.Supply; !s.Self {
		if s.Min.Basis == catalog.Assumed {
			out = append(out, "voltage at which the switcher stops is not known: 10 V "+
				"assumed, look it up")
		}
		if s.Max.Basis == catalog.Assumed {
			out = append(out, "highest supply voltage of the switcher is not known: 20 V "+
				"assumed, look it up")
		}
	}
	if m.V.Supply.Latches {
		out = append(out, "the switcher latches after an overvoltage or overheating: only taking "+
			"the mains off starts it again")
	}
	out = append(out, pinWarnings(&m.V.Drive)...)
	out = append(out, loops.LoopWarnings(f.out.Regulation.Loops, c)...)
	out = append(out, c.DrainWarning())
	for _, layer := range m.Gap.Films {
		if film := j.Drawer.Films[layer.Film].Part; film.Class.Known() &&
			film.Class.Value < m.Hottest.Coil+FilmSpare {
			out = append(out, fmt.Sprintf("%s bears %.0f C, the transformer reaches %.0f C: take "+
				"a film of a higher class",
				film.Designation(), float64(film.Class.Value), float64(m.Hottest.Coil)))
		}
	}
	out = append(out, f.deepWarnings()...)
	if v := j.Starves(m); v > 0 {
		out = append(out, fmt.Sprintf("a pack below %.1f V starves the chip: it tries to start "+
			"again and again until the pack has risen", float64(v)))
	}
	if j.Target.Case != substitute.Open && j.Target.Box == nil {
		out = append(out, "no box size given: a closed case of 90 x 55 x 40 mm was assumed "+
			"for the heat")
	}
	if m.Plan.Barrier != stage.TripleInsulated && m.Donor == nil &&
		!m.C.Stock.Part.PinCreepage.Known() {
		out = append(out, "creepage between the former's pin rows not entered: it must be 6 mm "+
			"or more, measure before use")
	}
	if m.Plan.Barrier == stage.TripleInsulated && m.Donor == nil &&
		m.C.Stock.Part.PinCreepage.Value < stage.CreepageNeeded {
		out = append(out, "lead the ends of the secondary out in their own insulation, not to "+
			"the former's pins: "+
			"bare pins need 6 mm to core and mains pins")
	}
	if m.Plan.Barrier != stage.TripleInsulated && m.Donor == nil {
		out = append(out, "sleeve every end that crosses a margin, wall 0.41 mm or more")
	}
	return out
}

// pinWarnings says what the pins of the switcher want beyond the parts of the list.
func pinWarnings(d *stage.Drive) []string {
	var out []string
	switch d.Supply.Start {
	case "pin":
		out = append(out, "join the start-up pin of the switcher to bulk +: without it the chip "+
			"never starts")
	case "":
		out = append(out, "how this switcher starts is not known: some need a pin or a resistor "+
			"at bulk +, look it up")
	}
	switch {
	case d.Feedback.Pin != "" && d.Pins != "":
		out = append(out, fmt.Sprintf("the optocoupler goes to the switcher's pin %s; its "+
			"other pins: %s", d.Feedback.Pin, d.Pins))
	case d.Feedback.Pin != "":
		out = append(out, fmt.Sprintf("the optocoupler goes to the switcher's pin %s, whatever "+
			"other pin has FB in its name", d.Feedback.Pin))
	case d.Pins != "":
		out = append(out, "other pins of the switcher: "+d.Pins)
	}
	return append(out, "the circuit shows the usual pins of the switcher: wire any other one as "+
		"its data sheet says before the first power")
}

// deepWarnings say what a deeply discharged pack gets, of which a lithium cell bears a tenth of the
// full current at first: more where nothing but the switcher's limit holds the current while the
// switcher still has its supply.
func (f *Finished) deepWarnings() []string {
	j, m, c := f.Writer, f.m, f.ctl
	out := loops.PreChargeWarning(j.Looper)
	if c.Lowest > j.Starves(m) {
		out = append(out, fmt.Sprintf("below %.1f V at the output only the switcher's limit "+
			"holds the current: up to %.1f A",
			float64(c.Lowest), float64(j.Unheld(m, c.Lowest))))
	}
	return out
}
