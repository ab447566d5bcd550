package keep

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// TakeCommand takes parts out of a lot.
func TakeCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "LOT COUNT",
		Description: "Takes COUNT pieces, or metres of wire and tape, out of the lot with the " +
			"number LOT; all takes everything " +
			"that is not set aside. More than is free is refused. An emptied lot keeps its " +
			"number and its history.",
		UsageText: "sparewright take 12 1 --reason \"charger no. 3\"\nsparewright take 22 1.5m",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "reason", Usage: "`TEXT` that goes into the history"},
		}, frame.WritingFlags()...),
		Action: env.Action(2, 2, func(c *cli.Context) error { return take(env, c) }),
	}
}

// TakenJSON is what take prints with --json: the lot as it is now, and how much went out.
type TakenJSON struct {
	Taken float64 `json:"taken" figures:"entered"`
	exchange.LotJSON
}

func take(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	id, err := drawer.LotNumber(c.Args().Get(0))
	if err != nil {
		return err
	}
	var after inventory.Lot
	var count float64
	err = drawer.Changing(env, c, func(s *sqlite.Store) error {
		before, err := s.Lot(env.Ctx, id)
		if err != nil {
			return err
		}
		if count, err = takenCount(before, c.Args().Get(1)); err != nil {
			return err
		}
		after, err = s.Take(env.Ctx, id, count, frame.Or(c.String("reason"), "take"), env.Now())
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.JSON(TakenJSON{count, exchange.LotDocument(after)})
	}
	fmt.Fprintf(&env.Out, "took %s of lot %d, %s %s\n", drawer.Counted(count, after.Unit()), id,
		after.Part.Kind(),
		frame.Quoted(after.Part.Designation()))
	fmt.Fprintf(&env.Out, "lot %d holds %s now (%s before)\n", id,
		drawer.Counted(after.Count, after.Unit()),
		drawer.Counted(inventory.RoundCount(after.Count+count), after.Unit()))
	fmt.Fprintf(&env.Out, "undo: %s\n", ui.Safe(putBack(after, count)+drawer.SameDrawers(c)))
	return nil
}

// takenCount reads how much to take. The words some and plenty, good for a rough count, are no
// amount to take.
func takenCount(l inventory.Lot, text string) (float64, error) {
	switch strings.ToLower(text) {
	case "all":
		if l.Available() <= 0 {
			return 0, frame.WrongCall("take", text, fmt.Sprintf("nothing in lot %d is free", l.ID)).
				Try(fmt.Sprintf("sparewright show %d", l.ID))
		}
		return inventory.RoundCount(l.Available()), nil
	case "some", "plenty":
		return 0, frame.WrongCall("count", text, "say how many to take, or all")
	}
	return inventory.ParseCount(text, l.Unit())
}

// putBack returns the put command that brings parts back into the lot they came from: equal parts
// in the same place, from the same donor and in the same condition fall together.
func putBack(l inventory.Lot, count float64) string {
	words := []string{
		"sparewright",
		"put",
		string(l.Part.Kind()),
		frame.ShellWord(l.Part.Designation()),
	}
	for _, v := range catalog.Describe(l.Part).Values {
		words = append(words, frame.ShellWord(v.Field+"="+typed.Text(l.Part.Kind(), v)))
	}
	words = append(words, "--count", frame.ShellWord(
		strings.ReplaceAll(drawer.Counted(count, l.Unit()), " ", "")))
	for _, option := range []struct{ name, value string }{
		{"--bin", l.Bin}, {"--donor", l.Donor}, {"--condition", string(l.Condition)},
		{"--note", l.Note},
	} {
		if option.value != "" {
			words = append(words, option.name, frame.ShellWord(option.value))
		}
	}
	for _, m := range l.Measured {
		words = append(words, "--measured", frame.ShellWord(m.Field+"="+m.Text))
	}
	return strings.Join(words, " ")
}
