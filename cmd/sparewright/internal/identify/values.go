package identify

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute/magnetics"
)

// Reading is the value of an option that takes what an instrument showed, with its error behind it:
// 2.44ohm+-1%, 0.44mm+-0.02mm. A bare number is read in the unit of the option.
type Reading[Q si.Quantity] struct {
	Value, Half Q          // in SI; Half is the error to either side
	Stated      bool       // whether the error was typed
	Unit        typed.Unit // how a bare number is read
	Text        string     // as typed
	remark      string     // how a bare number was read
}

// Set implements flag.Value.
func (r *Reading[Q]) Set(text string) error {
	number, spread := cutSpread(text)
	v, remark, err := typed.Option[Q]("value", number, r.Unit)
	if err != nil {
		return err
	}
	if !(v > 0) {
		return errors.New("must be above 0")
	}
	r.Value, r.Text, r.Stated, r.remark = v, text, spread != "", remark
	if !r.Stated {
		return nil
	}
	if drawer.BareNumber().MatchString(spread) && !drawer.BareNumber().MatchString(number) {
		return errors.New("the error may be in percent or in the unit of the value; write +-" +
			spread + "% or a unit behind it")
	}
	r.Half, err = spreadOf(spread, v, r.parse)
	return err
}

// Said tells how the value was read, "" where it says it itself.
func (r *Reading[Q]) Said() string { return r.remark }

func (r *Reading[Q]) parse(text string) (Q, error) {
	v, _, err := typed.Option[Q]("error", text, r.Unit)
	return v, err
}

// spreadOf reads an error, a percentage of v or a quantity, from 0 to half of v.
func spreadOf[Q si.Quantity](text string, v Q, parse func(string) (Q, error)) (Q, error) {
	if strings.HasSuffix(text, "%") || strings.HasSuffix(text, "ppm") {
		e, err := si.Parse[si.Ratio](text)
		if err != nil {
			return 0, err
		}
		if e < 0 || e > 0.5 {
			return 0, errors.New("an error must be from 0 to 50 %")
		}
		return v * Q(e), nil
	}
	half, err := parse(text)
	if err == nil && (half < 0 || half > v/2) {
		err = errors.New("an error must be from 0 to half of the value")
	}
	return half, err
}

func cutSpread(text string) (number, spread string) {
	for _, mark := range []string{"+/-", "+-", "±"} {
		if before, after, found := strings.Cut(text, mark); found {
			return strings.TrimSpace(before), strings.TrimSpace(after)
		}
	}
	return strings.TrimSpace(text), ""
}

// String implements flag.Value.
func (r *Reading[Q]) String() string { return r.Text }

// Given reports whether the option stood in the call.
func (r *Reading[Q]) Given() bool { return r.Text != "" }

// Known is the reading with its error, or with the usual one when none was typed.
func (r *Reading[Q]) Known(usual si.Ratio) magnetics.Known[Q] {
	if r.Stated {
		return magnetics.Give(r.Value, r.Half)
	}
	return magnetics.Within(r.Value, usual)
}

// Numbered is one NUMBER=VALUE of an option that may be repeated.
type Numbered struct {
	number int
	value  si.Inductance
}

// NumberedReadings reads --reading 10=14.2uH and --step 0=1.2mH.
func NumberedReadings(option string, list frame.Texts, lowest int) ([]Numbered, error) {
	var out []Numbered
	for _, text := range list {
		left, right, found := strings.Cut(text, "=")
		n, err := strconv.Atoi(strings.TrimSpace(left))
		if !found || err != nil || n < lowest || n > 10000 {
			return nil, frame.WrongCall(option, text,
				"write a whole number, = and the inductance, such as 20=56.9uH")
		}
		v, _, err := typed.Option[si.Inductance]("inductance", right, typed.Henries)
		if err != nil {
			return nil, frame.WrongCall(option, text, frame.WithoutEcho(err.Error()))
		}
		if !(v > 0) {
			return nil, frame.WrongCall(option, text, "an inductance must be above 0")
		}
		out = append(out, Numbered{n, v})
	}
	return out, nil
}

// Resonance is one CAPACITOR=FREQUENCY.
type Resonance struct {
	capacitor magnetics.Known[si.Capacitance]
	frequency magnetics.Known[si.Frequency]
}

// usual errors of readings typed without one: capacitors off the shelf, and a peak found by eye.
const (
	usualCapacitor si.Ratio = 0.05
	usualFrequency si.Ratio = 0.005
)

// Resonances reads --resonance: a capacitance and the frequency found with it, each with its error.
func Resonances(list frame.Texts) ([]Resonance, error) {
	var out []Resonance
	for _, text := range list {
		left, right, found := strings.Cut(text, "=")
		if !found {
			return nil, frame.WrongCall("--resonance", text,
				"write capacitor=frequency, such as 10nF+-1%=50.3kHz")
		}
		c := Reading[si.Capacitance]{Unit: typed.Farads}
		f := Reading[si.Frequency]{Unit: typed.Hertz}
		for _, err := range []error{c.Set(left), f.Set(right)} {
			if err != nil {
				return nil, frame.WrongCall("--resonance", text, frame.WithoutEcho(err.Error()))
			}
		}
		out = append(out, Resonance{c.Known(usualCapacitor), f.Known(usualFrequency)})
	}
	if len(out) < 1 || len(out) > 2 {
		return nil, frame.WrongCall("--resonance", "",
			fmt.Sprintf("one or two are needed, %d given", len(out)))
	}
	return out, nil
}
