package main

import (
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// requireTold holds a refusal against the rules: a wrong call, told on lines that are harmless.
func requireTold(t *testing.T, err error) {
	t.Helper()
	require.Equal(t, statusUsage, statusOf(err), "%v", err)
	require.NotEmpty(t, complaint(err))
	for _, line := range complaint(err) {
		require.Empty(t, harm(line), "%q", line)
		require.NotContains(t, line, "\n")
	}
}

// Whatever words a call consists of, they are understood or refused as a wrong call; options moved
// to the front mean the same.
func FuzzUnderstand(f *testing.F) {
	for name, tr := range trials {
		f.Add(name, strings.Join(tr.words(name)[1:], "\n"))
	}
	f.Add("list", "--bin\n--\n--json")
	f.Add("take", "1\n-5\n-h")
	f.Fuzz(func(t *testing.T, name, text string) {
		i := slices.IndexFunc(theCommands(), func(c *cli.Command) bool { return c.Name == name })
		if i < 0 {
			return
		}
		command := theCommands()[i]
		c, err := understand(command, strings.Split(text, "\n"))
		if err != nil {
			requireTold(t, err)
			return
		}
		if c.help {
			return
		}
		again, err := understand(command, c.words()[1:])
		require.NoError(t, err)
		require.Equal(t, c.operands, again.operands)
		require.Equal(t, c.options, again.options)
	})
}

// Whatever stands behind the options of the wanted charger, it is refused, or it makes a charger of
// finite figures.
func FuzzTarget(f *testing.F) {
	f.Add("li-ion", "4", "", "1A", "195-265", "50", "sealed", "35", "90x60x40", "")
	f.Add("lead-acid-agm", "", "14.4V", "500mA", "85..265V", "60Hz", "open", "-5", "", "float")
	f.Add("NIMH", "8", "", "1e0", "230", "4e1", "vented", "3.5e1C", "1m×2mx3", "")
	f.Fuzz(func(t *testing.T, chemistry, cells, volts, current, mains, line, enclosure, ambient,
		box, duty string) {
		target := newTargetFlags()
		typed := []string{chemistry, cells, volts, current, mains, line, enclosure,
			ambient, box, duty}
		for i, flag := range target.flags() {
			if typed[i] != "" && flag.(*cli.GenericFlag).Value.Set(typed[i]) != nil {
				return
			}
		}
		wanted, err := target.target()
		if err != nil {
			requireTold(t, err)
			return
		}
		for _, x := range []float64{float64(wanted.Set), float64(wanted.Empty),
			float64(wanted.Absolute),
			float64(wanted.Current), float64(wanted.MainsMin), float64(wanted.MainsMax),
			float64(wanted.Line),
			float64(wanted.Ambient)} {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0))
		}
		require.Less(t, wanted.Empty, wanted.Set)
		require.Less(t, wanted.Set, wanted.Absolute)
	})
}

// Whatever an instrument is said to have shown, it is refused or has a finite value and a band that
// holds it.
func FuzzReading(f *testing.F) {
	for _, seed := range []string{"2.44ohm+-1%", "14.2uH", "10nF+-1%=50.3kHz", "2x35+1x34=322uH",
		"10=14.2uH", "high=16.71V",
		"20=56.9uH+-0%", "0.1+-5", "sheet=385uH", "1e3±20ppm"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range []interface{ Set(string) error }{&reading[si.Resistance]{},
			&reading[si.Length]{unit: typed.Millimetres},
			&reading[si.Ratio]{}, &reading[si.Celsius]{}, &reading[si.Inductance]{}} {
			if err := r.Set(text); err != nil {
				require.Empty(t, harm(complaint(wrongCall("--ohms", text, err.Error()))[0]))
			}
		}
		r := &reading[si.Resistance]{}
		if r.Set(text) == nil {
			known := r.known(0.01)
			require.False(t, math.IsNaN(float64(known.Value)) ||
				math.IsInf(float64(known.Value), 0))
		}
		for _, parse := range []func() error{
			func() error { _, err := numberedReadings("reading", texts{text}, 1); return err },
			func() error { _, err := resonances(texts{text}); return err },
			func() error { _, err := stackReading(text, 0.02); return err },
			func() error { _, err := legReading(text); return err },
			func() error {
				_, err := setReadings[si.Voltage]("set-voltage", texts{text},
					0.005)
				return err
			},
		} {
			if err := parse(); err != nil {
				requireTold(t, err)
			}
		}
	})
}

// Whatever stands on the line of a shell, completion answers with harmless words, and what bash
// puts in for one of them makes exactly that word.
func FuzzCompletion(f *testing.F) {
	for _, seed := range []string{"sparewright li", "sparewright put resistor \"10",
		"sparewright advise --case=s",
		"sparewright put core E25\\ ", "sparewright help '", "sparewright identify --gra",
		"sparewright list --demo --bin \"A",
		"x $(y) z\\"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		env := newEnvironment(t.Context(), strings.NewReader(""), io.Discard, io.Discard)
		env.getenv = func(string) string { return "" }
		env.home = func() (string, error) { return "", io.EOF }
		line := splitShellLine(text)
		if len(line.words) < 2 || strings.Contains(text, "--drawers") {
			return
		}
		for _, s := range env.suggest(line.words[1:]).words {
			require.Empty(t, harm(s.word+s.about))
			require.NotContains(t, s.word+s.about, "\n")
			last := line.words[len(line.words)-1]
			require.True(t, strings.HasPrefix(s.word, last), "%q goes on with %q", last, s.word)
			quoted, ok := line.quote(s.word)
			if !ok {
				continue
			}
			// What bash keeps of the line, and then the word.
			closing := ""
			if line.within != 0 {
				closing = string(line.within)
			}
			kept := shellLine{}.mustQuote(line.kept)
			if line.within != 0 {
				kept += closing
			}
			got := splitShellLine("x " + kept + quoted + closing).words
			require.Equal(t, []string{"x", s.word}, got, "%q with %q", text, quoted)
		}
	})
}

// Whatever is wished for, on a line or in a JSON file, or asked of a stand-in, it is refused with
// its place, or it is finite.
func FuzzWants(f *testing.F) {
	for _, seed := range []string{"li-ion 4 1A x2", "lead-acid-agm 6 500mA float x2",
		"li-ion 16.8V 1A",
		`[{"chemistry": "li-ion", "cells": 4, "current": "1A", "count": 2}]`,
		`[{"chemistry":"nimh","volts":"9.6","current":"1"} ,]`,
		"[[[[", "reverse>=60V", "technology=schottky", "average=3A-1A", "reverse<=-5"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		w, err := parseWant(newTargetFlags(), text)
		var fault wantFault
		if errors.As(err, &fault) {
			require.Positive(t, fault.column)
			require.Empty(t, harm(complaint(wrongCall("--want", text, fault.Error()))[0]))
		} else if err == nil {
			require.Positive(t, w.Count)
			require.False(t, math.IsNaN(float64(w.Target.Current)) ||
				math.IsInf(float64(w.Target.Set), 0))
		}
		if _, err = wantsFromJSON(newTargetFlags(), "wants.json", []byte(text)); err != nil {
			require.Contains(t, []int{statusUsage, statusData}, statusOf(err), "%v", err)
			var data inventory.DataError
			if errors.As(err, &data) {
				require.Positive(t, data.Line)
				require.Positive(t, data.Column)
			}
			require.Empty(t, harm(strings.Join(complaint(err), "\n")))
		}
		for _, kind := range []catalog.Kind{catalog.KindRectifier, catalog.KindCapacitor,
			catalog.KindCore} {
			wanted, _, err := parseWanted(kind, text, "")
			for _, end := range []*float64{wanted.Low, wanted.High} {
				require.False(t, err == nil && end != nil &&
					(math.IsNaN(*end) || math.IsInf(*end, 0)))
			}
		}
	})
}

// mustQuote quotes a text that stands outside quotes.
func (l shellLine) mustQuote(text string) string {
	quoted, _ := l.quote(text)
	return quoted
}
