package inventory

import (
	"strings"

	"sparewright/catalog/si"
)

// Plate is the rating plate of a donor as far as its text was understood. Zero figures are not on
// the plate.
type Plate struct {
	Input   PlateInput
	Outputs []PlateOutput // in the order printed
	Watts   si.Power      // rated output, when printed
	Unread  []string      // quantities that found no place
}

// PlateInput is what the plate says about the supply side.
type PlateInput struct {
	Low, High         si.Voltage // equal when one voltage is printed
	Settings          bool       // two settings such as 115/230 V, not a range
	DC                bool       // fed with direct current, so no mains side
	LineLow, LineHigh si.Frequency
	Current           si.Current
	Watts             si.Power // or VA
}

// Mains reports whether a mains voltage is known.
func (in PlateInput) Mains() bool { return in.High >= leastMains && !in.DC }

// PlateOutput is one output. Low and High are equal unless a range is printed.
type PlateOutput struct {
	Low, High si.Voltage
	Current   si.Current
	AC        bool // a bare transformer: no rectifier, no capacitor
}

// Power is what the output gives at its lower voltage; 0 when the current is not printed.
func (o PlateOutput) Power() si.Power { return si.Power(float64(o.Low) * float64(o.Current)) }

// leastMains parts mains voltages from outputs where the plate does not say which is which. The
// lowest mains voltage in use is 100 V, less 15 % (common practice, no source).
const leastMains si.Voltage = 85

// Largest figures that are taken for real; what is beyond is more likely a type number.
const (
	mostVolts = 1000
	mostAmps  = 200
	mostWatts = 10000
	mostHertz = 500
)

// ParsePlate reads the text of a rating plate leniently: "100-240V~ 50/60Hz 0.5A, 5V 2A", "INPUT:
// AC 230V 8VA OUTPUT: DC 9V 600mA". It never fails: what finds no place is named in Unread, and the
// text should be kept beside it.
func ParsePlate(text string) Plate {
	r := plateReader{tokens: plateTokens(text), last: -1}
	for r.at < len(r.tokens) {
		r.step()
	}
	return r.plate
}

// plateReader walks over the tokens of a plate.
type plateReader struct {
	plate   Plate
	tokens  []plateToken
	at      int
	section plateSide // what the last heading said
	mark    plateMark // AC or DC written before the voltage to come
	last    int       // index of the last voltage token read, -1 for none
	side    plateSide // where that voltage went
	run     []int     // outputs since the last current
}

// plateSide is the side of the donor a figure is about.
type plateSide int

const (
	sideUnsaid plateSide = iota
	sideInput
	sideOutput
)

func (r *plateReader) step() {
	t := r.tokens[r.at]
	r.at++
	switch t.unit {
	case "section":
		r.section, r.mark = t.side, markNone
		r.side = t.side
	case "mark":
		r.readMark(t)
	case "V":
		r.voltage(t)
	case "A":
		r.currents(t)
	case "Hz":
		r.frequency(t)
	case "W":
		r.power(t)
	}
}

// readMark gives AC or DC to the voltage just before it, or keeps it for the next one.
func (r *plateReader) readMark(t plateToken) {
	before := r.at - 2
	if before < 0 || before != r.last || r.tokens[before].mark != markNone {
		r.mark = t.mark
		return
	}
	r.tokens[before].mark = t.mark
	switch n := len(r.plate.Outputs); {
	case r.side == sideInput && t.mark == markDC:
		r.plate.Input.DC = true
	case r.side == sideOutput && n > 0:
		r.plate.Outputs[n-1].AC = t.mark == markAC
	}
}

func (r *plateReader) voltage(t plateToken) {
	if t.mark == markNone {
		t.mark = r.mark
	}
	r.mark, r.last = markNone, r.at-1
	r.tokens[r.last].mark = t.mark
	if !(t.low > 0) || t.high > mostVolts {
		r.leave(t)
		return
	}
	if r.isInput(t) {
		r.side = sideInput
		r.plate.Input.Low, r.plate.Input.High = si.Voltage(t.low), si.Voltage(t.high)
		r.plate.Input.Settings, r.plate.Input.DC = t.slash, t.mark == markDC
		return
	}
	r.side = sideOutput
	if r.section == sideInput {
		r.section = sideOutput // the heading of the outputs is missing
	}
	r.run = append(r.run, len(r.plate.Outputs))
	r.plate.Outputs = append(r.plate.Outputs,
		PlateOutput{Low: si.Voltage(t.low), High: si.Voltage(t.high),
			AC: t.mark == markAC})
}

// isInput decides on which side a voltage belongs: under its heading, else by its size.
func (r *plateReader) isInput(t plateToken) bool {
	known := r.plate.Input.High > 0
	large := si.Voltage(t.high) >= leastMains && t.mark != markDC
	switch r.section {
	case sideInput:
		return !known || large
	case sideOutput:
		return false
	}
	return !known && large
}

// currents gives a run of currents to the voltages before it: one each when there are as many, else
// the last ones.
func (r *plateReader) currents(first plateToken) {
	all := []plateToken{first}
	for r.at < len(r.tokens) && r.tokens[r.at].unit == "A" {
		all = append(all, r.tokens[r.at])
		r.at++
	}
	if r.side == sideInput || r.side == sideUnsaid && r.section == sideInput {
		r.inputCurrent(all)
		return
	}
	run := r.run
	r.run = nil
	if len(run) > len(all) {
		run = run[len(run)-len(all):]
	}
	for i, t := range all {
		if i >= len(run) || !(t.low > 0) || t.high > mostAmps {
			r.leave(t)
			continue
		}
		r.plate.Outputs[run[i]].Current = si.Current(t.low)
	}
}

// inputCurrent takes the first current; of two settings the larger belongs to the lower voltage,
// and the smaller is taken.
func (r *plateReader) inputCurrent(all []plateToken) {
	for i, t := range all {
		if i > 0 || !(t.low > 0) || t.high > mostAmps || r.plate.Input.Current > 0 {
			r.leave(t)
			continue
		}
		r.plate.Input.Current = si.Current(t.low)
	}
}

func (r *plateReader) frequency(t plateToken) {
	if !(t.low > 0) || t.high > mostHertz || r.plate.Input.LineHigh > 0 {
		r.leave(t)
		return
	}
	r.plate.Input.LineLow, r.plate.Input.LineHigh = si.Frequency(t.low), si.Frequency(t.high)
}

func (r *plateReader) power(t plateToken) {
	slot := &r.plate.Watts
	if r.side == sideInput {
		slot = &r.plate.Input.Watts
	}
	if !(t.low > 0) || t.high > mostWatts || *slot > 0 {
		r.leave(t)
		return
	}
	*slot = si.Power(t.low)
}

func (r *plateReader) leave(t plateToken) { r.plate.Unread = append(r.plate.Unread, t.text) }

// Known reports whether anything was understood.
func (p Plate) Known() bool {
	return p.Input.High > 0 || p.Input.Current > 0 || p.Input.Watts > 0 ||
		len(p.Outputs) > 0 || p.Watts > 0
}

// String says in one line what was understood; empty when nothing was.
func (p Plate) String() string { return strings.Join(p.Lines(), "; ") }

// Lines says what was understood: the supply side, each output, the rated power.
func (p Plate) Lines() []string {
	var parts []string
	if in := p.Input.String(); in != "" {
		parts = append(parts, in)
	}
	for _, o := range p.Outputs {
		parts = append(parts, o.String())
	}
	if p.Watts > 0 {
		parts = append(parts, "rated output "+si.Text(p.Watts))
	}
	return parts
}

// String words the supply side.
func (in PlateInput) String() string {
	var parts []string
	if in.High > 0 {
		word := "mains "
		if !in.Mains() {
			word = "input "
		}
		between := " to "
		if in.Settings {
			between = " or "
		}
		text := word + rangeText(in.Low, in.High, between)
		if in.DC {
			text += " DC"
		}
		parts = append(parts, text)
	}
	if in.LineHigh > 0 {
		parts = append(parts, rangeText(in.LineLow, in.LineHigh, " to "))
	}
	if in.Current > 0 {
		parts = append(parts, si.Text(in.Current)+" in")
	}
	if in.Watts > 0 {
		parts = append(parts, si.Text(in.Watts)+" in")
	}
	return strings.Join(parts, ", ")
}

// String words one output.
func (o PlateOutput) String() string {
	text := "output " + rangeText(o.Low, o.High, " to ")
	if o.AC {
		text += " AC"
	}
	if o.Current > 0 {
		text += ", " + si.Text(o.Current)
	}
	return text
}

func rangeText[Q si.Quantity](low, high Q, between string) string {
	if low == high {
		return si.Text(low)
	}
	return si.Text(low) + between + si.Text(high)
}
