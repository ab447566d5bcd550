package main

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
	"pgregory.net/rapid"

	"sparewright/substitute"
)

// parseTarget runs target options through the whole frame and returns what they came to.
func parseTarget(t *testing.T, complete bool, words ...string) (*targetFlags, error) {
	t.Helper()
	target := newTargetFlags()
	command := &cli.Command{Name: "sample", Flags: target.flags(), HideHelp: true,
		OnUsageError: func(_ *cli.Context, err error, _ bool) error { return libraryError(err) },
		Action:       func(*cli.Context) error { return target.check(complete) }}
	c, err := understand(command, words)
	if err != nil {
		return target, err
	}
	app := &cli.App{Name: "x", HideHelp: true, Commands: []*cli.Command{command},
		ExitErrHandler: func(*cli.Context, error) {}}
	return target, app.Run(append([]string{"x"}, c.words()...))
}

func TestTargetAsTyped(t *testing.T) {
	target, err := parseTarget(t, true, "--chemistry", "li-ion", "--cells", "4", "--current",
		"500mA", "--mains", "85-265V",
		"--line=60", "--case", "vented", "--ambient", "40", "--box", "90x60x40")
	require.NoError(t, err)
	require.Equal(t, "li-ion", target.chemistry.word)
	require.Equal(t, 4, target.cells.value)
	near(t, float64(target.current.value), 0.5, 1e-12)
	near(t, float64(target.mains.value.Low), 85, 1e-12)
	near(t, float64(target.mains.value.High), 265, 1e-12)
	near(t, float64(target.line.value), 60, 1e-12)
	require.Equal(t, "vented", target.enclosure.word)
	near(t, float64(target.ambient.value), 40, 1e-12)
	near(t, float64(target.box.sides[2]), 0.04, 1e-12)
	require.False(t, target.duty.given())
}

// The defaults are those of the brief of the target options: 195-265 V, 50 Hz, sealed, 35 degrees.
func TestTargetDefaults(t *testing.T) {
	target, err := parseTarget(t, false)
	require.NoError(t, err)
	near(t, float64(target.mains.value.Low), 195, 1e-12)
	near(t, float64(target.mains.value.High), 265, 1e-12)
	near(t, float64(target.line.value), 50, 1e-12)
	near(t, float64(target.ambient.value), 35, 1e-12)
	require.Equal(t, "sealed", target.enclosure.word)
	require.False(t, target.box.given() || target.chemistry.given() || target.cells.given() ||
		target.current.given())
}

func TestTargetRefused(t *testing.T) {
	whole := []string{"--chemistry", "li-ion", "--cells", "4", "--current", "1A"}
	for _, row := range []struct {
		words []string
		want  string
	}{
		{whole[2:], `--chemistry: missing; say what is to be charged`},
		{[]string{"--chemistry", "li-ion", "--current", "1A"},
			`--cells: missing; say how many cells in series, or the charge voltage with --volts`},
		{whole[:4], `--current: missing; say the charge current, such as 1A`},
		{append(whole, "--volts", "16.8"), `--volts "16.8": --cells says the voltage already; give one of the two`},
		{append(whole, "--duty", "float"), `--duty "float": only lead-acid batteries know cyclic and float duty`},
		{append(whole, "--mains", "195-500"), `--mains "195-500": give the lowest and highest mains voltage within 80-280 V, such as 195-265`},
		{append(whole, "--ambient", "135"), `--ambient "135": give the hottest surrounding air, -10 to 60 C`},
		{append(whole, "--line", "1"), `--line "1": give the mains frequency, 50 or 60 Hz`},
		{append(whole[:4:4], "--current", "100A"), `--current "100A": give a charging current of 0.05 A to 10 A`},
		{append(whole, "--box", "9000x60x40"),
			`--box "9000x60x40": give outside length x width x height in millimetres, each 10 to 1000, such as 90x55x40`},
		{append(whole, "--box", "9x60x40"),
			`--box "9x60x40": give outside length x width x height in millimetres, each 10 to 1000, such as 90x55x40`},
		{append(whole[:4:4], "--current", "1,5"), `--current "1,5": decimal comma; write 1.5`},
		{append(whole[:4:4], "--current", "NaN"),
			`--current "NaN": not a finite number; leave the figure out when it is not known`},
		{append(whole[:2:2], "--cells", "0", "--current", "1A"), `--cells "0": must be from 1 to 24`},
	} {
		_, err := parseTarget(t, true, row.words...)
		require.EqualError(t, err, row.want)
		require.Equal(t, statusUsage, statusOf(err), row.want)
	}
}

// There is one wall around what can be asked: whatever check lets through, the engine takes, and
// what it refuses the engine would refuse in the same words. So no call gets past one to be turned
// away by the other with another limit.
func TestOneWallAroundTheTarget(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		f := newTargetFlags()
		set := func(v interface{ Set(string) error }, text string) {
			require.NoError(r, v.Set(text))
		}
		set(f.chemistry, rapid.SampledFrom([]string{"li-ion", "nimh"}).Draw(r, "chemistry"))
		set(f.cells, strconv.Itoa(rapid.IntRange(1, 14).Draw(r, "cells")))
		set(f.current, strconv.FormatFloat(
			rapid.SampledFrom([]float64{0.01, 0.049, 0.05, 1, 10, 10.1, 15, 20, 25}).Draw(r,
				"A"), 'g', -1, 64))
		low, up := rapid.IntRange(50, 200).Draw(r, "low"), rapid.IntRange(0, 150).Draw(r, "span")
		set(f.mains, fmt.Sprintf("%d-%d", low, low+up))
		set(f.line, strconv.Itoa(rapid.IntRange(38, 70).Draw(r, "line")))
		set(f.ambient, strconv.Itoa(rapid.IntRange(-45, 90).Draw(r, "ambient")))
		set(f.box, fmt.Sprintf("%dx50x50", rapid.IntRange(5, 2000).Draw(r, "box")))
		typed := f.check(true)
		bare := f.conditions()
		bare.Chemistry, bare.Cells, bare.Current = f.chemistry.word, f.cells.value, f.current.value
		_, engine := bare.Resolve(0)
		require.Equal(r, engine == nil, typed == nil, "%v, %v", typed, engine)
		if fault, is := engine.(substitute.TargetFault); is {
			require.ErrorContains(r, typed, fault.Why)
		}
	})
}

// The library's texts are rewritten where their form is known and passed on where it is not.
func TestLibraryErrors(t *testing.T) {
	require.EqualError(t, libraryError(errText("something else.")), "something else")
	require.EqualError(t, libraryError(errText(
		`invalid value "a\"b" for flag -bin: resistance "a\"b": no`)),
		`--bin "a\"b": no`)
	require.EqualError(t, libraryError(errText(`invalid value unquoted`)), "invalid value unquoted")
}

type errText string

func (e errText) Error() string { return string(e) }
