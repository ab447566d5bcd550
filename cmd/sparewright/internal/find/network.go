package find

import (
	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute/control"
	"sparewright/substitute/report/screen"
)

// networkFlags holds what the call says about a wanted network, as typed.
type networkFlags struct {
	parts, show       *frame.Whole
	tolerance         *frame.Quantity[si.Ratio]
	ratio             *frame.Quantity[si.Ratio]
	reference, output *frame.Quantity[si.Voltage]
	total             *frame.OhmSpan
	remark            string // how the value was read
}

// NetworkCommand finds resistor networks and dividers in the drawer.
func NetworkCommand(env *frame.Environment) *cli.Command {
	f := &networkFlags{parts: &frame.Whole{Low: 1, High: 3},
		show:      &frame.Whole{Low: 1, High: 20, Value: 3},
		tolerance: &frame.Quantity[si.Ratio]{Unit: typed.Error},
		ratio:     &frame.Quantity[si.Ratio]{}, reference: &frame.Quantity[si.Voltage]{},
		output: &frame.Quantity[si.Voltage]{},
		total:  &frame.OhmSpan{Value: si.Interval[si.Resistance]{Low: 1e3, High: 1e6}}}
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
		}, frame.ReadingFlags()...),
		Action: env.Action(0, 1, func(c *cli.Context) error { return network(env, c, f) }),
	}
}

func network(env *frame.Environment, c *cli.Context, f *networkFlags) error {
	wish, err := f.wish(c.Args().First())
	if err != nil {
		return err
	}
	snapshot, err := drawer.Snapshot(env, c)
	if err != nil {
		return err
	}
	answer := control.Networks(wish, snapshot)
	if c.Bool("json") {
		err = env.JSON(answer)
	} else {
		err = env.Blocks(screen.Networks(answer), env.Screen(c), c.Bool("header"))
	}
	if f.remark != "" {
		env.Remarks(c, []string{f.remark})
	}
	if err == nil && len(answer.Networks)+len(answer.Dividers) == 0 {
		return frame.NothingFeasible("no network from the drawer serves")
	}
	return err
}

// wish checks the call and puts the wish together.
func (f *networkFlags) wish(value string) (control.NetworkWish, error) {
	w := control.NetworkWish{Parts: f.parts.Value, Keep: f.show.Value, Within: f.tolerance.Value,
		Total: f.total.Value}
	divider := f.ratio.Given() || f.reference.Given() || f.output.Given()
	switch {
	case value == "" && !divider:
		return w, frame.WrongCall("network", "",
			"needs a value, or --ratio, or --reference and --output").
			Try("sparewright help network")
	case value != "" && divider:
		return w, frame.WrongCall("network", value,
			"give a value or a divider, not both").Try("sparewright help network")
	case divider:
		return f.divider(w)
	case f.total.Text != "":
		return w, frame.WrongCall("--total", f.total.Text,
			"only dividers have a total").Try("sparewright help network")
	}
	ohm, remark, err := typed.Option[si.Resistance]("value", value, typed.Ohms)
	f.remark = remark
	if err != nil {
		return w, frame.WrongCall("value", value, frame.WithoutEcho(err.Error())).
			Try("sparewright help units")
	}
	if ohm < 1e-4 || ohm > 1e10 {
		return w, frame.WrongCall("value", value, "must be from 0.1 mohm to 10 Gohm")
	}
	if f.tolerance.Given() && (w.Within <= 0 || w.Within >= 1) {
		return w, frame.WrongCall("--tolerance", f.tolerance.Text,
			"must be above 0 and below 100 %")
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
	case f.ratio.Given() && f.output.Given():
		return w, frame.WrongCall("--output", f.output.Text,
			"--ratio says it already; give one of the two")
	case !f.ratio.Given() && !f.reference.Given():
		return w, frame.WrongCall("--reference", "",
			"missing; --output needs the reference voltage")
	case !f.ratio.Given() && !f.output.Given():
		return w, frame.WrongCall("--output", "",
			"missing; say the output voltage, or the ratio with --ratio")
	case f.reference.Given() && (f.reference.Value < 0.01 || f.reference.Value > 1000):
		return w, frame.WrongCall("--reference", f.reference.Text, "must be from 10 mV to 1000 V")
	case f.tolerance.Given():
		return w, frame.WrongCall("--tolerance", f.tolerance.Text,
			"not for dividers; the band of each is shown")
	case f.show.Given():
		return w, frame.WrongCall("--show", f.show.Text,
			"not for dividers; the best of each number of parts is shown")
	case f.total.Value.Low <= 0 || f.total.Value.High < f.total.Value.Low:
		return w, frame.WrongCall("--total", f.total.Text, "must be a range above 0 ohm")
	}
	w.Reference, w.Ratio = f.reference.Value, f.ratio.Value
	if f.output.Given() {
		w.Ratio = si.Ratio(f.output.Value / f.reference.Value)
	}
	if w.Ratio < 1.000001 || w.Ratio > 1e6 {
		if f.output.Given() {
			return w, frame.WrongCall("--output", f.output.Text,
				"must be above the reference voltage, up to a million times")
		}
		return w, frame.WrongCall("--ratio", f.ratio.Text, "must be above 1, up to a million")
	}
	if w.Parts == 0 {
		w.Parts = 2
	}
	return w, nil
}
