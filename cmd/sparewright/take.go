package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// takeCommand takes parts out of a lot.
func takeCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "LOT COUNT",
		Description: "Takes COUNT pieces, or metres of wire and tape, out of the lot with the " +
			"number LOT; all takes everything " +
			"that is not set aside. More than is free is refused. An emptied lot keeps its " +
			"number and its history.",
		UsageText: "sparewright take 12 1 --reason \"charger no. 3\"\nsparewright take 22 1.5m",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "reason", Usage: "`TEXT` that goes into the history"},
		}, writingFlags()...),
		Action: env.action(2, 2, func(c *cli.Context) error { return take(env, c) }),
	}
}

// takenJSON is what take prints with --json: the lot as it is now, and how much went out.
type takenJSON struct {
	Taken float64 `json:"taken" figures:"entered"`
	exchange.LotJSON
}

func take(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	id, err := lotNumber(c.Args().Get(0))
	if err != nil {
		return err
	}
	var after inventory.Lot
	var count float64
	err = env.changing(c, func(s *sqlite.Store) error {
		before, err := s.Lot(env.ctx, id)
		if err != nil {
			return err
		}
		if count, err = takenCount(before, c.Args().Get(1)); err != nil {
			return err
		}
		after, err = s.Take(env.ctx, id, count, or(c.String("reason"), "take"), env.now())
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(takenJSON{count, exchange.LotDocument(after)})
	}
	fmt.Fprintf(&env.out, "took %s of lot %d, %s %s\n", counted(count, after.Unit()), id,
		after.Part.Kind(),
		quoted(after.Part.Designation()))
	fmt.Fprintf(&env.out, "lot %d holds %s now (%s before)\n", id,
		counted(after.Count, after.Unit()),
		counted(inventory.RoundCount(after.Count+count), after.Unit()))
	fmt.Fprintf(&env.out, "undo: %s\n", ui.Safe(putBack(after, count)+sameDrawers(c)))
	return nil
}

// takenCount reads how much to take. The words some and plenty, good for a rough count, are no
// amount to take.
func takenCount(l inventory.Lot, text string) (float64, error) {
	switch strings.ToLower(text) {
	case "all":
		if l.Available() <= 0 {
			return 0, wrongCall("take", text, fmt.Sprintf("nothing in lot %d is free", l.ID)).
				try(fmt.Sprintf("sparewright show %d", l.ID))
		}
		return inventory.RoundCount(l.Available()), nil
	case "some", "plenty":
		return 0, wrongCall("count", text, "say how many to take, or all")
	}
	return inventory.ParseCount(text, l.Unit())
}

// putBack returns the put command that brings parts back into the lot they came from: equal parts
// in the same place, from the same donor and in the same condition fall together.
func putBack(l inventory.Lot, count float64) string {
	words := []string{"sparewright", "put", string(l.Part.Kind()), shellWord(l.Part.Designation())}
	for _, v := range catalog.Describe(l.Part).Values {
		words = append(words, shellWord(v.Field+"="+typed.Text(l.Part.Kind(), v)))
	}
	words = append(words, "--count", shellWord(
		strings.ReplaceAll(counted(count, l.Unit()), " ", "")))
	for _, option := range []struct{ name, value string }{
		{"--bin", l.Bin}, {"--donor", l.Donor}, {"--condition", string(l.Condition)}, {"--note", l.Note},
	} {
		if option.value != "" {
			words = append(words, option.name, shellWord(option.value))
		}
	}
	for _, m := range l.Measured {
		words = append(words, "--measured", shellWord(m.Field+"="+m.Text))
	}
	return strings.Join(words, " ")
}

// shellWord quotes a word for a POSIX shell where it needs it.
func shellWord(word string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' ||
			strings.ContainsRune("_-=.,/%+:@", r)
	}
	if word != "" && strings.IndexFunc(word, func(r rune) bool { return !plain(r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
