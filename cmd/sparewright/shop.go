package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/shop"
)

// mostWanted is how many chargers one purchase may serve; each multiplies the work.
const mostWanted = 6

// shopCommand answers what to buy for one target, or several at once.
func shopCommand(env *environment) *cli.Command {
	target, also := newTargetFlags(), texts{}
	return &cli.Command{
		Description: "Finds the cheapest list of parts that makes the wanted charger buildable " +
			"together with what is in the " +
			"drawer, " +
			"and shows the build it makes possible. Without prices every line of the list costs " +
			"1, so that the shortest wins; with " +
			"--prices your own prices, postage and minimum orders decide. Further chargers that " +
			"are to be built at once from the " +
			"same drawer are named with --also. Other lists of the same cost are shown. The exit " +
			"status is 1 when " +
			"no list of up to two " +
			"kinds of part helps.",
		UsageText: "sparewright shop --chemistry lifepo4 --cells 4 --current 2A --demo\n" +
			"printf 'designation,price\\nETD34/17/11 N87,2.80\\n' | " +
			"sparewright shop --chemistry lifepo4 --cells 4 --current 2A --prices - --demo\n" +
			"sparewright shop --chemistry li-ion --cells 2 --current 1A --also 'lifepo4 4S " +
			"500mA' --demo --json",
		Flags: append(append(target.flags(),
			&cli.StringFlag{Name: "prices",
				Usage: "CSV `FILE` of your prices, - for standard input; see help prices"},
			&cli.GenericFlag{Name: "also", Value: &also,
				Usage: "another charger at once, such as `'li-ion 4S 1A'`; may be repeated"}),
			readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error {
			return runShop(env, c, target, also)
		}),
	}
}

func runShop(env *environment, c *cli.Context, flags *targetFlags, also texts) error {
	target, err := flags.target()
	if err != nil {
		return err
	}
	var options shop.ShopOptions
	if options.Also, err = flags.further(also); err != nil {
		return err
	}
	if c.IsSet("prices") {
		if options.Prices, err = env.readPrices(c.String("prices")); err != nil {
			return err
		}
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	list := shopping(target, snapshot, options)
	if c.Bool("json") {
		err = env.json(list)
	} else {
		err = env.blocks(screen.Shopping(list), env.screen(c), c.Bool("header"))
	}
	if err == nil && list.Then == nil {
		what := "this charger"
		if len(also) > 0 {
			what = "these chargers"
		}
		return nothingFeasible("no purchase of up to two kinds of part makes " + what)
	}
	return err
}

// readPrices reads a price list from a file, or from standard input for a dash.
func (env *environment) readPrices(name string) (inventory.PriceList, error) {
	in, label := env.stdin, "standard input"
	if name != "-" {
		f, err := openPlain(name)
		if err != nil {
			return inventory.PriceList{}, badData("--prices", name, plainReason(err))
		}
		defer f.Close()
		in, label = f, name
	} else if env.keyboard() {
		env.note("reading prices from the keyboard; end with Ctrl-D")
	}
	list, faults := exchange.ReadPrices(in, label)
	if err := env.ctx.Err(); err != nil {
		return list, err
	}
	return list, faultsInFile(faults)
}

// further reads the chargers of --also. What is not of the battery is as for the first.
func (t *targetFlags) further(also texts) ([]substitute.Target, error) {
	if len(also) >= mostWanted {
		return nil, wrongCall("--also", also[mostWanted-1],
			"more than six chargers at once; ask in two calls")
	}
	var out []substitute.Target
	for _, text := range also {
		f := newTargetFlags()
		f.mains, f.line, f.enclosure, f.ambient, f.box = t.mains, t.line, t.enclosure,
			t.ambient, t.box
		for _, word := range strings.Fields(text) {
			if err := f.word(word); err != nil {
				return nil, wrongCall("--also", text,
					"word "+quoted(word)+": "+
						withoutEcho(err.Error())).try("sparewright help targets")
			}
		}
		wanted, err := f.target()
		if err != nil {
			return nil, wrongCall("--also", text,
				strings.TrimPrefix(err.Error(), "--")).try("sparewright help targets")
		}
		out = append(out, wanted)
	}
	return out, nil
}

// word reads one word of a charger in short: chemistry, duty, cells (4 or 4S), charge voltage
// (16.8V) or current (1A).
func (t *targetFlags) word(text string) error {
	cells := strings.TrimRight(text, "sS")
	switch {
	case t.duty.Set(text) == nil, t.chemistry.Set(text) == nil:
		return nil
	case strings.Trim(cells, "0123456789") == "" && cells != "":
		return t.cells.Set(cells)
	}
	if _, err := si.Parse[si.Voltage](text); err == nil {
		return t.volts.Set(text)
	}
	if err := t.current.Set(text); err != nil {
		return wrongCall("", "", "neither chemistry, cells (4S), charge voltage (16.8V), current "+
			"(1A) nor duty"+
			didYouMean("", text, append(chemistryWords, dutyWords...)))
	}
	return nil
}
