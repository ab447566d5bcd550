package main

import (
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
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
	if r := c.Generic("meter").(*reading[si.Ratio]); r.given() {
		if meter = r.value; meter > 0.25 {
			return b, wrongCall("--meter", r.text, "must be from above 0 to 25 %")
		}
	}
	for _, text := range *c.Generic("reading").(*texts) {
		s, err := stackReading(text, meter)
		if err != nil {
			return b, err
		}
		b.Stacks = append(b.Stacks, s)
	}
	for _, text := range *c.Generic("resistor").(*texts) {
		l, err := legReading(text)
		if err != nil {
			return b, err
		}
		b.Legs = append(b.Legs, l)
	}
	var err error
	volts, amps := *c.Generic("set-voltage").(*texts), *c.Generic("set-current").(*texts)
	if b.SetVoltages, err = setReadings[si.Voltage]("--set-voltage", volts,
		usualVolts); err != nil {
		return b, err
	}
	if b.SetCurrents, err = setReadings[si.Current]("--set-current", amps, usualAmps); err != nil {
		return b, err
	}
	if r := c.Generic("reference").(*reading[si.Voltage]); r.given() {
		b.Reference = r.known(usualVolts)
	}
	if r := c.Generic("leakage").(*reading[si.Inductance]); r.given() {
		b.Leakage = r.known(usualLeakage)
	}
	if len(b.Stacks)+len(b.Legs)+len(b.SetVoltages)+len(b.SetCurrents) == 0 &&
		b.Reference.Value == 0 && b.Leakage.Value == 0 {
		return b,
			wrongCall("tune", "", "needs at least one reading, such as --reading sheet=385uH").try(
				"sparewright help tune")
	}
	return b, nil
}

// cutReading splits what was measured from the value, at the last equals sign, and reads the value.
func cutReading[Q si.Quantity](option, text, example string, unit typed.Unit) (string,
	reading[Q], error) {
	r := reading[Q]{unit: unit}
	i := strings.LastIndex(text, "=")
	if i < 0 {
		return "", r, wrongCall(option, text,
			"write what was measured, = and the value, such as "+example)
	}
	if err := r.Set(text[i+1:]); err != nil {
		return "", r, wrongCall(option, text, withoutEcho(err.Error()))
	}
	return strings.TrimSpace(text[:i]), r, nil
}

// mostLayers is how many layers of one film a reading may name.
const mostLayers = 20

var layerTerm = pattern.OnFirstUse(`^([0-9]+)\s*[xX×]\s*(.+)$`)

// stackReading reads sheet=385uH, none=2.1mH, 2x35+34=310uH and 2x polyester film 50 um=310uH.
func stackReading(text string, meter si.Ratio) (tune.StackReading, error) {
	const example = "sheet=385uH or 2x35+1x34=310uH"
	stack, r, err := cutReading[si.Inductance]("--reading", text, example, typed.Henries)
	s := tune.StackReading{Inductance: r.known(meter)}
	switch {
	case err != nil:
		return s, err
	case r.stated && r.half <= 0:
		return s, wrongCall("--reading", text, "the error of a meter is above 0")
	case strings.EqualFold(stack, "sheet"):
		s.AsBuilt = true
		return s, nil
	case strings.EqualFold(stack, "none"):
		return s, nil
	}
	for term := range strings.SplitSeq(stack, "+") {
		l := tune.LayerReading{Count: 1, Designation: strings.TrimSpace(term)}
		if m := layerTerm().FindStringSubmatch(l.Designation); m != nil {
			if l.Count, err = wholeNumber(m[1], 1, mostLayers); err != nil {
				return s, wrongCall("--reading", text, "the number of layers "+err.Error())
			}
			l.Designation = strings.TrimSpace(m[2])
		}
		if l.Designation == "" {
			return s, wrongCall("--reading", text, "names no film; write "+example)
		}
		if lot, err := strconv.ParseInt(l.Designation, 10, 64); err == nil && lot > 0 {
			l.Lot, l.Designation = lot, ""
		}
		s.Layers = append(s.Layers, l)
	}
	return s, nil
}

var partOfLeg = pattern.OnFirstUse(`^(.*\S)\s+([0-9])$`)

// legReading reads "divider top=11.06k" and, for the second part of a leg, "divider bottom
// 2=49.7k".
func legReading(text string) (tune.LegReading, error) {
	place, r, err := cutReading[si.Resistance]("--resistor", text,
		"\"divider top=11.06k\"", typed.Ohms)
	l, role := tune.LegReading{Ohm: r.known(usualOhms)}, strings.ToLower(place)
	if err != nil {
		return l, err
	}
	if m := partOfLeg().FindStringSubmatch(role); m != nil {
		role, l.Part = m[1], int(m[2][0]-'0')
	}
	if l.Role, _ = seats.Named(role); !slices.Contains(tune.LegRoles(), l.Role) {
		roles := seats.Names(tune.LegRoles())
		return l, wrongCall("--resistor", text,
			"no such place; one of "+strings.Join(roles, ", ")+didYouMean("", role, roles))
	}
	return l, nil
}

// setReadings reads 16.71V, low=16.1V and high=16.95V.
func setReadings[Q si.Quantity](option string, list texts,
	usual si.Ratio) ([]tune.SetReading[Q], error) {
	var out []tune.SetReading[Q]
	for _, text := range list {
		s := tune.SetReading[Q]{End: tune.AtPresent}
		value := text
		if end, rest, found := strings.Cut(text, "="); found {
			if s.End, value = strings.ToLower(strings.TrimSpace(end)), rest; s.End != tune.AtLow &&
				s.End != tune.AtHigh {
				return nil, wrongCall(option, text,
					"only low= and high= are known; leave the word away for the set point "+
						"as it stands")
			}
		}
		var r reading[Q]
		if err := r.Set(value); err != nil {
			return nil, wrongCall(option, text, withoutEcho(err.Error()))
		}
		if slices.ContainsFunc(out, func(o tune.SetReading[Q]) bool { return o.End == s.End }) {
			return nil, wrongCall(option, text,
				"this end was given already; give the last reading only")
		}
		s.Value = r.known(usual)
		out = append(out, s)
	}
	return out, nil
}
