package find

import (
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/shop"
)

// mostWanted is how many chargers one purchase may serve; each multiplies the work.
const mostWanted = 6

// ShopCommand answers what to buy for one target, or several at once.
func ShopCommand(env *frame.Environment) *cli.Command {
	target, also := NewTargetFlags(), frame.Texts{}
	return &cli.Command{
		Description: "Finds the cheapest list of parts that makes the wanted charger buildable " +
			"together with what is in the " +
			"drawer, " +
			"and shows the build it makes possible. Without prices every line of the list costs " +
			"1, so that the shortest wins; with " +
			"--prices your own prices, postage and minimum orders decide. Further chargers that " +
			"are to be built at once from the " +
			"same drawer are named with --also. Other lists of the same cost are shown. What has " +
			"no price stands apart and is " +
			"in no sum; names of the price list that are no part are told. -o writes the list to " +
			"order from: how many, what for, " +
			"and what may stand in. The exit " +
			"status is 1 when " +
			"no list of up to two " +
			"kinds of part helps.",
		UsageText: "sparewright shop --chemistry lifepo4 --cells 4 --current 2A --demo\n" +
			"printf 'designation,price\\nETD34/17/11 N87,2.80\\n' | " +
			"sparewright shop --chemistry lifepo4 --cells 4 --current 2A --prices - --demo\n" +
			"sparewright shop --chemistry lifepo4 --cells 4 --current 2A --demo -o list.csv\n" +
			"sparewright shop --chemistry li-ion --cells 2 --current 1A --also 'lifepo4 4S " +
			"500mA' --demo --json",
		Flags: append(append(target.Flags(),
			&cli.StringFlag{Name: "prices",
				Usage: "CSV `FILE` of your prices, - for standard input; see help prices"},
			&cli.GenericFlag{Name: "also", Value: &also,
				Usage: "another charger at once, such as `'li-ion 4S 1A'`; may be repeated"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write the list to order from to `FILE` as CSV; - is standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"}),
			frame.ReadingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return runShop(env, c, target, also)
		}),
	}
}

func runShop(env *frame.Environment, c *cli.Context, flags *TargetFlags, also frame.Texts) error {
	if err := checkOrder(c); err != nil {
		return err
	}
	target, err := flags.Target()
	if err != nil {
		return err
	}
	var options shop.ShopOptions
	if options.Also, err = flags.further(also); err != nil {
		return err
	}
	if c.IsSet("prices") {
		if options.Prices, err = readPrices(env, c.String("prices")); err != nil {
			return err
		}
	}
	snapshot, err := drawer.Snapshot(env, c)
	if err != nil {
		return err
	}
	list := Shopping(target, snapshot, options)
	switch {
	case c.Bool("json"):
		err = env.JSON(list)
	case c.String("output") != "-":
		err = env.Blocks(screen.Shopping(list), env.Screen(c), c.Bool("header"))
	}
	if err == nil && c.IsSet("output") && list.Then != nil {
		err = writeOrder(env, c, list)
	}
	if err == nil && list.Then == nil {
		what := "this charger"
		if len(also) > 0 {
			what = "these chargers"
		}
		return frame.NothingFeasible("no purchase of up to two kinds of part makes " + what)
	}
	return err
}

// readPrices reads a price list from a file, or from standard input for a dash.
func readPrices(env *frame.Environment, name string) (inventory.PriceList, error) {
	in, label := env.Stdin, "standard input"
	if name != "-" {
		f, err := frame.OpenPlain(name)
		if err != nil {
			return inventory.PriceList{}, frame.BadData("--prices", name, frame.PlainReason(err))
		}
		defer f.Close()
		in, label = f, name
	} else if keep.Keyboard(env) {
		env.Note("reading prices from the keyboard; end with Ctrl-D")
	}
	list, faults := exchange.ReadPrices(in, label)
	if err := env.Ctx.Err(); err != nil {
		return list, err
	}
	return list, keep.FaultsInFile(faults)
}

// further reads the chargers of --also. What is not of the battery is as for the first.
func (t *TargetFlags) further(also frame.Texts) ([]substitute.Target, error) {
	if len(also) >= mostWanted {
		return nil, frame.WrongCall("--also", also[mostWanted-1],
			"more than six chargers at once; ask in two calls")
	}
	var out []substitute.Target
	for _, text := range also {
		f := NewTargetFlags()
		f.mains, f.line, f.enclosure, f.ambient, f.box = t.mains, t.line, t.enclosure,
			t.ambient, t.box
		for _, word := range strings.Fields(text) {
			if err := f.word(word); err != nil {
				return nil, frame.WrongCall("--also", text,
					"word "+frame.Quoted(word)+": "+
						frame.WithoutEcho(err.Error())).Try("sparewright help targets")
			}
		}
		wanted, err := f.Target()
		if err != nil {
			return nil, frame.WrongCall("--also", text,
				strings.TrimPrefix(err.Error(), "--")).Try("sparewright help targets")
		}
		out = append(out, wanted)
	}
	return out, nil
}

// word reads one word of a charger in short: chemistry, duty, cells (4 or 4S), charge voltage
// (16.8V) or current (1A).
func (t *TargetFlags) word(text string) error {
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
		return frame.WrongCall("", "",
			"neither chemistry, cells (4S), charge voltage (16.8V), current "+
				"(1A) nor duty"+
				frame.DidYouMean("", text, append(ChemistryWords, dutyWords...)))
	}
	return nil
}
