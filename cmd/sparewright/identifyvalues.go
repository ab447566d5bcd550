package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/substitute/magnetics"
)

// reading is the value of an option that takes what an instrument showed, with its error behind it:
// 2.44ohm+-1%, 0.44mm+-0.02mm. A bare number is read in the unit of the option.
type reading[Q si.Quantity] struct {
	value, half Q
	stated      bool // whether the error was typed
	unit        typed.Unit
	text        string
	remark      string // how a bare number was read
}

// Set implements flag.Value.
func (r *reading[Q]) Set(text string) error {
	number, spread := cutSpread(text)
	v, remark, err := typed.Option[Q]("value", number, r.unit)
	if err != nil {
		return err
	}
	if !(v > 0) {
		return errors.New("must be above 0")
	}
	r.value, r.text, r.stated, r.remark = v, text, spread != "", remark
	if !r.stated {
		return nil
	}
	if bareNumber().MatchString(spread) && !bareNumber().MatchString(number) {
		return errors.New("the error may be in percent or in the unit of the value; write +-" +
			spread + "% or a unit behind it")
	}
	r.half, err = spreadOf(spread, v, r.parse)
	return err
}

func (r *reading[Q]) said() string { return r.remark }

func (r *reading[Q]) parse(text string) (Q, error) {
	v, _, err := typed.Option[Q]("error", text, r.unit)
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
func (r *reading[Q]) String() string { return r.text }

func (r *reading[Q]) given() bool { return r.text != "" }

// known is the reading with its error, or with the usual one when none was typed.
func (r *reading[Q]) known(usual si.Ratio) magnetics.Known[Q] {
	if r.stated {
		return magnetics.Give(r.value, r.half)
	}
	return magnetics.Within(r.value, usual)
}

// numbered is one NUMBER=VALUE of an option that may be repeated.
type numbered struct {
	number int
	value  si.Inductance
}

// numberedReadings reads --reading 10=14.2uH and --step 0=1.2mH.
func numberedReadings(option string, list texts, lowest int) ([]numbered, error) {
	var out []numbered
	for _, text := range list {
		left, right, found := strings.Cut(text, "=")
		n, err := strconv.Atoi(strings.TrimSpace(left))
		if !found || err != nil || n < lowest || n > 10000 {
			return nil, wrongCall(option, text,
				"write a whole number, = and the inductance, such as 20=56.9uH")
		}
		v, _, err := typed.Option[si.Inductance]("inductance", right, typed.Henries)
		if err != nil {
			return nil, wrongCall(option, text, withoutEcho(err.Error()))
		}
		if !(v > 0) {
			return nil, wrongCall(option, text, "an inductance must be above 0")
		}
		out = append(out, numbered{n, v})
	}
	return out, nil
}

// resonance is one CAPACITOR=FREQUENCY.
type resonance struct {
	capacitor magnetics.Known[si.Capacitance]
	frequency magnetics.Known[si.Frequency]
}

// usual errors of readings typed without one: capacitors off the shelf, and a peak found by eye.
const (
	usualCapacitor si.Ratio = 0.05
	usualFrequency si.Ratio = 0.005
)

func resonances(list texts) ([]resonance, error) {
	var out []resonance
	for _, text := range list {
		left, right, found := strings.Cut(text, "=")
		if !found {
			return nil, wrongCall("--resonance", text,
				"write capacitor=frequency, such as 10nF+-1%=50.3kHz")
		}
		c := reading[si.Capacitance]{unit: typed.Farads}
		f := reading[si.Frequency]{unit: typed.Hertz}
		for _, err := range []error{c.Set(left), f.Set(right)} {
			if err != nil {
				return nil, wrongCall("--resonance", text, withoutEcho(err.Error()))
			}
		}
		out = append(out, resonance{c.known(usualCapacitor), f.known(usualFrequency)})
	}
	if len(out) < 1 || len(out) > 2 {
		return nil, wrongCall("--resonance", "",
			fmt.Sprintf("one or two are needed, %d given", len(out)))
	}
	return out, nil
}
