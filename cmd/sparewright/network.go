package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/substitute/control"
	"sparewright/substitute/report/screen"
)

// networkFlags holds what the call says about a wanted network, as typed.
type networkFlags struct {
	parts, show       *whole
	tolerance         *quantity[si.Ratio]
	ratio             *quantity[si.Ratio]
	reference, output *quantity[si.Voltage]
	total             *ohmSpan
	remark            string // how the value was read
}

// networkCommand finds resistor networks and dividers in the drawer.
func networkCommand(env *environment) *cli.Command {
	f := &networkFlags{parts: &whole{low: 1, high: 3}, show: &whole{low: 1, high: 20, value: 3},
		tolerance: &quantity[si.Ratio]{unit: typed.Error},
		ratio:     &quantity[si.Ratio]{}, reference: &quantity[si.Voltage]{},
		output: &quantity[si.Voltage]{},
		total:  &ohmSpan{value: si.Interval[si.Resistance]{Low: 1e3, High: 1e6}}}
	return &cli.Command{
		ArgsUsage: "VALUE | --ratio K | --reference V --output V",
		Description: "Finds the networks of one, two and three resistors from the drawer that " +
			"come nearest to a value, or the " +
			"dividers that come nearest to a ratio of output to reference. Nothing is left out: " +
			"the counts on hand, every " +
			"series, parallel and mixed connection, parts used in one leg gone for the other. " +
			"The band is the worst of all parts " +
			"at the ends of their tolerance; of a measured part its meter error. For dividers " +
			"the spread of the " +
			"reference comes on top. " +
			"The exit status is 1 when nothing keeps the limits.",
		UsageText: "sparewright network 12.1k --demo\nsparewright network 3k33 " +
			"--tolerance 2% --demo\n" +
			"sparewright network --reference 2.495 --output 12.6 --demo\n" +
			"sparewright network --ratio 5.05 --parts 3 --total 10k-100k --demo --json",
		Flags: append([]cli.Flag{
			&cli.GenericFlag{Name: "parts", Value: f.parts,
				Usage: "at most `N` resistors a network or leg, 1 to 3 (default 3, dividers 2)"},
			&cli.GenericFlag{Name: "show", Value: f.show,
				Usage: "`N` networks for each number of parts (default 3)"},
			&cli.GenericFlag{Name: "tolerance", Value: f.tolerance,
				Usage: "only networks that keep within `P` of the value, tolerances included"},
			&cli.GenericFlag{Name: "ratio", Value: f.ratio,
				Usage: "divider: output over reference `K`, above 1"},
			&cli.GenericFlag{Name: "reference", Value: f.reference,
				Usage: "divider: reference voltage `V`, with --output"},
			&cli.GenericFlag{Name: "output", Value: f.output,
				Usage: "divider: output voltage `V` the reference is to see as itself"},
			&cli.GenericFlag{Name: "total", Value: f.total,
				Usage: "divider: both legs together within `RANGE` (default 1k-1M)"},
		}, readingFlags()...),
		Action: env.action(0, 1, func(c *cli.Context) error { return network(env, c, f) }),
	}
}

func network(env *environment, c *cli.Context, f *networkFlags) error {
	wish, err := f.wish(c.Args().First())
	if err != nil {
		return err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	answer := control.Networks(wish, snapshot)
	if c.Bool("json") {
		err = env.json(answer)
	} else {
		err = env.blocks(screen.Networks(answer), env.screen(c), c.Bool("header"))
	}
	if f.remark != "" {
		env.remarks(c, []string{f.remark})
	}
	if err == nil && len(answer.Networks)+len(answer.Dividers) == 0 {
		return nothingFeasible("no network from the drawer serves")
	}
	return err
}

// wish checks the call and puts the wish together.
func (f *networkFlags) wish(value string) (control.NetworkWish, error) {
	w := control.NetworkWish{Parts: f.parts.value, Keep: f.show.value, Within: f.tolerance.value,
		Total: f.total.value}
	divider := f.ratio.given() || f.reference.given() || f.output.given()
	switch {
	case value == "" && !divider:
		return w, wrongCall("network", "",
			"needs a value, or --ratio, or --reference and --output").
			try("sparewright help network")
	case value != "" && divider:
		return w, wrongCall("network", value,
			"give a value or a divider, not both").try("sparewright help network")
	case divider:
		return f.divider(w)
	case f.total.text != "":
		return w, wrongCall("--total", f.total.text,
			"only dividers have a total").try("sparewright help network")
	}
	ohm, remark, err := typed.Option[si.Resistance]("value", value, typed.Ohms)
	f.remark = remark
	if err != nil {
		return w, wrongCall("value", value, withoutEcho(err.Error())).try("sparewright help units")
	}
	if ohm < 1e-4 || ohm > 1e10 {
		return w, wrongCall("value", value, "must be from 0.1 mohm to 10 Gohm")
	}
	if f.tolerance.given() && (w.Within <= 0 || w.Within >= 1) {
		return w, wrongCall("--tolerance", f.tolerance.text, "must be above 0 and below 100 %")
	}
	w.Ohm = ohm
	if w.Parts == 0 {
		w.Parts = 3
	}
	return w, nil
}

// divider checks the options of a divider.
func (f *networkFlags) divider(w control.NetworkWish) (control.NetworkWish, error) {
	switch {
	case f.ratio.given() && f.output.given():
		return w, wrongCall("--output", f.output.text,
			"--ratio says it already; give one of the two")
	case !f.ratio.given() && !f.reference.given():
		return w, wrongCall("--reference", "", "missing; --output needs the reference voltage")
	case !f.ratio.given() && !f.output.given():
		return w, wrongCall("--output", "",
			"missing; say the output voltage, or the ratio with --ratio")
	case f.reference.given() && (f.reference.value < 0.01 || f.reference.value > 1000):
		return w, wrongCall("--reference", f.reference.text, "must be from 10 mV to 1000 V")
	case f.tolerance.given():
		return w, wrongCall("--tolerance", f.tolerance.text,
			"not for dividers; the band of each is shown")
	case f.show.given():
		return w, wrongCall("--show", f.show.text,
			"not for dividers; the best of each number of parts is shown")
	case f.total.value.Low <= 0 || f.total.value.High < f.total.value.Low:
		return w, wrongCall("--total", f.total.text, "must be a range above 0 ohm")
	}
	w.Reference, w.Ratio = f.reference.value, f.ratio.value
	if f.output.given() {
		w.Ratio = si.Ratio(f.output.value / f.reference.value)
	}
	if w.Ratio < 1.000001 || w.Ratio > 1e6 {
		if f.output.given() {
			return w, wrongCall("--output", f.output.text,
				"must be above the reference voltage, up to a million times")
		}
		return w, wrongCall("--ratio", f.ratio.text, "must be above 1, up to a million")
	}
	if w.Parts == 0 {
		w.Parts = 2
	}
	return w, nil
}
