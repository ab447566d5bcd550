package find

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/report/screen"
)

// bendFlags are the options of bend beside those of every reading command.
type bendFlags struct {
	mains   *frame.Mains
	line    *frame.Quantity[si.Frequency]
	volts   *frame.Quantity[si.Voltage]
	current *frame.Quantity[si.Current]
}

// BendCommand answers how far the output of a whole adapter can be moved.
func BendCommand(env *frame.Environment) *cli.Command {
	f := bendFlags{&frame.Mains{Value: si.Interval[si.Voltage]{Low: 195, High: 265}},
		&frame.Quantity[si.Frequency]{Value: 50},
		&frame.Quantity[si.Voltage]{}, &frame.Quantity[si.Current]{}}
	return &cli.Command{
		ArgsUsage: "LOT",
		Description: "Answers for one lot of kind adapter how far its output can be moved by its " +
			"divider: every limit with the " +
			"output at which it binds, what must be measured first, the current it gives there, " +
			"which parts of the drawer widen " +
			"the range, and the divider leg for it. With --volts one output is held against " +
			"every limit; the exit status is then 1 " +
			"when it is not reached. A figure that is not known never counts as kept.",
		UsageText: "sparewright bend 281 --demo\nsparewright bend 281 --volts 15 --current 1A " +
			"--demo\nsparewright bend 281 --json --demo",
		Flags: append([]cli.Flag{
			&cli.GenericFlag{Name: "volts", Value: f.volts,
				Usage: "hold the output `V` against every limit"},
			&cli.GenericFlag{Name: "current", Value: f.current,
				Usage: "with the current `A` (default: what it gives there)"},
			&cli.GenericFlag{Name: "mains", Value: f.mains,
				Usage: "mains voltage `RANGE` (default 195-265); 230 alone is 230 V +-10 %"},
			&cli.GenericFlag{Name: "line", Value: f.line,
				Usage: "lowest mains frequency `HZ` (default 50)"},
		}, frame.ReadingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error { return bend(env, c, f) }),
	}
}

func bend(env *frame.Environment, c *cli.Context, f bendFlags) error {
	if err := f.check(); err != nil {
		return err
	}
	id, err := drawer.LotNumber(c.Args().First())
	if err != nil {
		return err
	}
	snapshot, err := drawer.Snapshot(env, c)
	if err != nil {
		return err
	}
	lot, ok := snapshot.Lot(id)
	if !ok {
		return inventory.NoLot{Lot: id}
	}
	if _, is := lot.Part.(catalog.Adapter); !is {
		return frame.WrongCall("bend", fmt.Sprint(id),
			fmt.Sprintf("this lot is of kind %s; only an adapter can be bent", lot.Part.Kind())).
			Try("sparewright list adapter")
	}
	answer, ok := adapter.Bend(snapshot, id,
		adapter.BendSpec{Mains: f.mains.Value, Line: f.line.Value, Output: f.volts.Value,
			Current: f.current.Value})
	if !ok {
		return frame.WrongCall("bend", fmt.Sprint(id),
			"this adapter is damaged, or none of it is free")
	}
	if c.Bool("json") {
		err = env.JSON(answer)
	} else {
		err = env.Blocks(screen.Bending(answer), env.Screen(c), c.Bool("header"))
	}
	if err == nil && answer.Asked != nil && !answer.Asked.Feasible {
		return frame.NothingFeasible("this output is not reached with what is known of the adapter")
	}
	return err
}

// check holds the numbers against what an adapter can be asked at all.
func (f bendFlags) check() error {
	switch {
	case f.volts.Given() && !(f.volts.Value >= 1 && f.volts.Value <= 100):
		return frame.WrongCall("--volts", f.volts.Text, "must be from 1 V to 100 V")
	case f.current.Given() && !f.volts.Given():
		return frame.WrongCall("--current", f.current.Text, "goes with --volts")
	}
	err := substitute.CheckMains(f.mains.Value.Low, f.mains.Value.High, f.line.Value)
	if err == nil && f.current.Given() {
		err = substitute.CheckCurrent(f.current.Value)
	}
	return faultOfCall(err, map[string]string{"mains": f.mains.Text, "line": f.line.Text,
		"current": f.current.Text})
}
