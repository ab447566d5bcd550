package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/report/screen"
)

// bendFlags are the options of bend beside those of every reading command.
type bendFlags struct {
	mains   *mains
	line    *quantity[si.Frequency]
	volts   *quantity[si.Voltage]
	current *quantity[si.Current]
}

// bendCommand answers how far the output of a whole adapter can be moved.
func bendCommand(env *environment) *cli.Command {
	f := bendFlags{&mains{value: si.Interval[si.Voltage]{Low: 195, High: 265}},
		&quantity[si.Frequency]{value: 50},
		&quantity[si.Voltage]{}, &quantity[si.Current]{}}
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
		}, readingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error { return bend(env, c, f) }),
	}
}

func bend(env *environment, c *cli.Context, f bendFlags) error {
	if err := f.check(); err != nil {
		return err
	}
	id, err := lotNumber(c.Args().First())
	if err != nil {
		return err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	lot, ok := snapshot.Lot(id)
	if !ok {
		return inventory.NoLot{Lot: id}
	}
	if _, is := lot.Part.(catalog.Adapter); !is {
		return wrongCall("bend", fmt.Sprint(id),
			fmt.Sprintf("this lot is of kind %s; only an adapter can be bent", lot.Part.Kind())).
			try("sparewright list adapter")
	}
	answer, ok := adapter.Bend(snapshot, id,
		adapter.BendSpec{Mains: f.mains.value, Line: f.line.value, Output: f.volts.value,
			Current: f.current.value})
	if !ok {
		return wrongCall("bend", fmt.Sprint(id), "this adapter is damaged, or none of it is free")
	}
	if c.Bool("json") {
		err = env.json(answer)
	} else {
		err = env.blocks(screen.Bending(answer), env.screen(c), c.Bool("header"))
	}
	if err == nil && answer.Asked != nil && !answer.Asked.Feasible {
		return nothingFeasible("this output is not reached with what is known of the adapter")
	}
	return err
}

// check holds the numbers against what an adapter can be asked at all.
func (f bendFlags) check() error {
	switch {
	case f.volts.given() && !(f.volts.value >= 1 && f.volts.value <= 100):
		return wrongCall("--volts", f.volts.text, "must be from 1 V to 100 V")
	case f.current.given() && !f.volts.given():
		return wrongCall("--current", f.current.text, "goes with --volts")
	}
	err := substitute.CheckMains(f.mains.value.Low, f.mains.value.High, f.line.value)
	if err == nil && f.current.given() {
		err = substitute.CheckCurrent(f.current.value)
	}
	return faultOfCall(err, map[string]string{"mains": f.mains.text, "line": f.line.text,
		"current": f.current.text})
}
