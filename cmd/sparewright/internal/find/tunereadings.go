package find

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
	"sparewright/inventory"
	"sparewright/substitute/seats"
	"sparewright/substitute/tune"
)

// Usual errors of tune's readings typed without one: a hand-held multimeter, and the inductance of
// a shorted winding.
const (
	usualInductance si.Ratio = 0.02
	usualVolts      si.Ratio = 0.005
	usualAmps       si.Ratio = 0.02
	usualLeakage    si.Ratio = 0.05
)

// benchOf reads everything that was measured.
func benchOf(c *cli.Context) (tune.Bench, error) {
	var b tune.Bench
	meter := usualInductance
	if r := c.Generic("meter").(*identify.Reading[si.Ratio]); r.Given() {
		if meter = r.Value; meter > 0.25 {
			return b, frame.WrongCall("--meter", r.Text, "must be from above 0 to 25 %")
		}
	}
	for _, text := range *c.Generic("reading").(*frame.Texts) {
		s, err := StackReading(text, meter)
		if err != nil {
			return b, err
		}
		b.Stacks = append(b.Stacks, s)
	}
	for _, text := range *c.Generic("resistor").(*frame.Texts) {
		l, err := LegReading(text)
		if err != nil {
			return b, err
		}
		b.Legs = append(b.Legs, l)
	}
	var err error
	volts, amps := *c.Generic("set-voltage").(*frame.Texts),
		*c.Generic("set-current").(*frame.Texts)
	if b.SetVoltages, err = SetReadings[si.Voltage]("--set-voltage", volts,
		usualVolts); err != nil {
		return b, err
	}
	if b.SetCurrents, err = SetReadings[si.Current]("--set-current", amps, usualAmps); err != nil {
		return b, err
	}
	if r := c.Generic("reference").(*identify.Reading[si.Voltage]); r.Given() {
		b.Reference = r.Known(usualVolts)
	}
	if r := c.Generic("leakage").(*identify.Reading[si.Inductance]); r.Given() {
		b.Leakage = r.Known(usualLeakage)
	}
	if len(b.Stacks)+len(b.Legs)+len(b.SetVoltages)+len(b.SetCurrents) == 0 &&
		b.Reference.Value == 0 && b.Leakage.Value == 0 {
		return b,
			frame.WrongCall("tune", "",
				"needs at least one reading, such as --reading sheet=385uH").Try(
				"sparewright help tune")
	}
	return b, nil
}

// cutReading splits what was measured from the value, at the last equals sign, and reads the value.
func cutReading[Q si.Quantity](option, text, example string, unit typed.Unit) (string,
	identify.Reading[Q], error) {
	r := identify.Reading[Q]{Unit: unit}
	i := strings.LastIndex(text, "=")
	if i < 0 {
		return "", r, frame.WrongCall(option, text,
			"write what was measured, = and the value, such as "+example)
	}
	if err := r.Set(text[i+1:]); err != nil {
		return "", r, frame.WrongCall(option, text, frame.WithoutEcho(err.Error()))
	}
	return strings.TrimSpace(text[:i]), r, nil
}

// mostLayers is how many layers of one film a reading may name.
const mostLayers = 20

var layerTerm = pattern.OnFirstUse(`^([0-9]+)\s*[xX×]\s*(.+)$`)

// StackReading reads sheet=385uH, none=2.1mH, 2x35+34=310uH and 2x polyester film 50 um=310uH.
func StackReading(text string, meter si.Ratio) (tune.StackReading, error) {
	const example = "sheet=385uH or 2x35+1x34=310uH"
	stack, r, err := cutReading[si.Inductance]("--reading", text, example, typed.Henries)
	s := tune.StackReading{Inductance: r.Known(meter)}
	switch {
	case err != nil:
		return s, err
	case r.Stated && r.Half <= 0:
		return s, frame.WrongCall("--reading", text, "the error of a meter is above 0")
	case strings.EqualFold(stack, "sheet"):
		s.AsBuilt = true
		return s, nil
	case strings.EqualFold(stack, "none"):
		return s, nil
	}
	for term := range strings.SplitSeq(stack, "+") {
		l := tune.LayerReading{Count: 1, Designation: strings.TrimSpace(term)}
		if m := layerTerm().FindStringSubmatch(l.Designation); m != nil {
			if l.Count, err = frame.WholeNumber(m[1], 1, mostLayers); err != nil {
				return s, frame.WrongCall("--reading", text, "the number of layers "+err.Error())
			}
			l.Designation = strings.TrimSpace(m[2])
		}
		if l.Designation == "" {
			return s, frame.WrongCall("--reading", text, "names no film; write "+example)
		}
		if l, err = layerOfLot(l); err != nil {
			return s, frame.WrongCall("--reading", text, l.Designation+": "+err.Error())
		}
		s.Layers = append(s.Layers, l)
	}
	return s, nil
}

// layerOfLot finds the lot where a film is called by its number or the mark on its label.
func layerOfLot(l tune.LayerReading) (tune.LayerReading, error) {
	lot, err := inventory.ReadMark(l.Designation)
	if errors.Is(err, inventory.ErrWrongMark) {
		return l, err
	}
	if err != nil {
		lot, err = strconv.ParseInt(l.Designation, 10, 64)
	}
	if err == nil && lot > 0 {
		l.Lot, l.Designation = lot, ""
	}
	return l, nil
}

var partOfLeg = pattern.OnFirstUse(`^(.*\S)\s+([0-9])$`)

// LegReading reads "divider top=11.06k" and, for the second part of a leg, "divider bottom
// 2=49.7k".
func LegReading(text string) (tune.LegReading, error) {
	place, r, err := cutReading[si.Resistance]("--resistor", text,
		"\"divider top=11.06k\"", typed.Ohms)
	l, role := tune.LegReading{Ohm: r.Known(identify.UsualOhms)}, strings.ToLower(place)
	if err != nil {
		return l, err
	}
	if m := partOfLeg().FindStringSubmatch(role); m != nil {
		role, l.Part = m[1], int(m[2][0]-'0')
	}
	if l.Role, _ = seats.Named(role); !slices.Contains(tune.LegRoles(), l.Role) {
		roles := seats.Names(tune.LegRoles())
		return l, frame.WrongCall("--resistor", text,
			"no such place; one of "+strings.Join(roles, ", ")+frame.DidYouMean("", role, roles))
	}
	return l, nil
}

// SetReadings reads 16.71V, low=16.1V and high=16.95V.
func SetReadings[Q si.Quantity](option string, list frame.Texts,
	usual si.Ratio) ([]tune.SetReading[Q], error) {
	var out []tune.SetReading[Q]
	for _, text := range list {
		s := tune.SetReading[Q]{End: tune.AtPresent}
		value := text
		if end, rest, found := strings.Cut(text, "="); found {
			if s.End, value = strings.ToLower(strings.TrimSpace(end)), rest; s.End != tune.AtLow &&
				s.End != tune.AtHigh && s.End != tune.AtBare {
				return nil, frame.WrongCall(option, text,
					"only low=, high= and bare= are known; leave the word away for the set point "+
						"as it stands")
			}
		}
		var r identify.Reading[Q]
		if err := r.Set(value); err != nil {
			return nil, frame.WrongCall(option, text, frame.WithoutEcho(err.Error()))
		}
		if slices.ContainsFunc(out, func(o tune.SetReading[Q]) bool { return o.End == s.End }) {
			return nil, frame.WrongCall(option, text,
				"this end was given already; give the last reading only")
		}
		s.Value = r.Known(usual)
		out = append(out, s)
	}
	return out, nil
}
