package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// changeCommand alters what is known of a lot that is in the drawer already.
func changeCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "LOT",
		Description: "Changes what is noted of a lot that is in the drawer: the bin it lies in, " +
			"its condition, its note, what it " +
			"is (shape, family, ferrite or former of a core and other words, as put takes them), " +
			"and what was measured on it, in " +
			"place of an earlier reading of the same figure. A reading counts for every piece of " +
			"the lot; a piece that differs is " +
			"taken out and put back with its own reading. Counts are changed by put and take. An " +
			"empty bin or note takes the old " +
			"one away.",
		UsageText: "sparewright change 175 --measured resistance=9.97k+-0.2% --condition tested\n" +
			"sparewright change 175 --bin B7\n" +
			"sparewright change 12 --set shape=E25/13/7 --set ferrite=N87",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the drawer or box the lot lies in now"},
			&cli.GenericFlag{Name: "condition", Value: &choice{words: conditionWords},
				Usage: "`WORD`: new, tested, untested or damaged"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to remember"},
			&cli.GenericFlag{Name: "set", Value: &texts{},
				Usage: "`NAME=WORD`, such as shape=E25/13/7; an empty word takes it away; " +
					"may be repeated"},
			&cli.GenericFlag{Name: "measured", Value: &texts{},
				Usage: "`FIGURE=VALUE` read on the bench, such as resistance=4.683k+-0.2%; " +
					"may be repeated"},
		}, writingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error { return change(env, c) }),
	}
}

func change(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	id, err := lotNumber(c.Args().First())
	if err != nil {
		return err
	}
	wanted := changeFromCall(c)
	if wanted == (sqlite.Change{}) && !c.IsSet("measured") && !c.IsSet("set") {
		return wrongCall("change", "", "says nothing to change; give --bin, --condition, --note, "+
			"--set or --measured").
			try("sparewright help change")
	}
	var before, after inventory.Lot
	err = env.changing(c, func(s *sqlite.Store) error {
		if before, err = s.Lot(env.ctx, id); err != nil {
			return err
		}
		readings, err := readingsFromCall(c, before)
		if err != nil {
			return err
		}
		if wanted.Part, err = wordsFromCall(c, before.Part); err != nil {
			return err
		}
		return s.Together(env.ctx, "change", "change", env.now(), func(s *sqlite.Store) error {
			if after, err = s.Edit(env.ctx, id, wanted, env.now()); err != nil {
				return err
			}
			for _, m := range readings {
				if after, err = s.Measure(env.ctx, id, m, env.now()); err != nil {
					return err
				}
			}
			return nil
		})
	})
	switch {
	case err != nil:
		return err
	case c.Bool("json"):
		return env.json(exchange.LotDocument(after))
	}
	sayChanged(env, c, before, after)
	return nil
}

// changeFromCall is what the call says of place, condition and note.
func changeFromCall(c *cli.Context) sqlite.Change {
	var out sqlite.Change
	if c.IsSet("bin") {
		bin := c.String("bin")
		out.Bin = &bin
	}
	if c.IsSet("note") {
		note := c.String("note")
		out.Note = &note
	}
	if word := c.Generic("condition").(*choice); word.given() {
		condition := inventory.Condition(word.word)
		out.Condition = &condition
	}
	return out
}

// wordsFromCall is the part with the words of --set, nil without any. A shape or grade that is not
// listed is refused: nothing could be filled in from it.
func wordsFromCall(c *cli.Context, p catalog.Part) (catalog.Part, error) {
	list := *c.Generic("set").(*texts)
	if len(list) == 0 {
		return nil, nil
	}
	for _, text := range list {
		name, word, found := strings.Cut(text, "=")
		name, word = strings.TrimSpace(name), strings.TrimSpace(word)
		if !found {
			return nil, wrongCall("--set", text,
				"write a name, = and a word, such as shape=E25/13/7")
		}
		if err := listedWord(name, word); err != nil {
			return nil, wrongCall("--set", text, err.Error())
		}
		set, err := catalog.WithWord(p, name, word)
		if err != nil {
			return nil, wrongCall("--set", text, withoutEcho(err.Error()))
		}
		p = set
	}
	return p, nil
}

func listedWord(name, word string) error {
	var ok bool
	switch {
	case name == "shape" && word != "":
		_, ok = catalog.ShapeNamed(word)
	case name == "ferrite" && word != "" && word != "unknown":
		_, ok = catalog.FerriteNamed(word)
	default:
		return nil
	}
	if !ok {
		return fmt.Errorf("no such %s is listed; leave it out and give the figures as measured",
			name)
	}
	return nil
}

// readingsFromCall reads --measured for a lot, all of them before the first is stored.
func readingsFromCall(c *cli.Context, l inventory.Lot) ([]inventory.Measurement, error) {
	var out []inventory.Measurement
	for _, text := range *c.Generic("measured").(*texts) {
		m, err := exchange.ParseReading(l.Part.Kind(), text)
		if err == nil {
			err = inventory.CheckReading(l.Part, m)
		}
		if err != nil {
			return nil, wrongCall("--measured", text, withoutEcho(err.Error()))
		}
		if slices.ContainsFunc(out, func(o inventory.Measurement) bool {
			return o.Field == m.Field
		}) {
			return nil, wrongCall("--measured", text, m.Field+" stands there twice; give it once")
		}
		out = append(out, m)
	}
	return out, nil
}

// sayChanged prints the lot as it is now and the call that brings back what was noted before.
func sayChanged(env *environment, c *cli.Context, before, after inventory.Lot) {
	fmt.Fprintf(&env.out, "changed lot %d, %s %s\n", after.ID, after.Part.Kind(),
		quoted(after.Part.Designation()))
	var back []string
	row := func(name, was, is string) {
		if was != is {
			fmt.Fprintf(&env.out, "  %-18s %s (%s before)\n", name, ui.Safe(or(is, "none")),
				ui.Safe(or(was, "none")))
			back = append(back, "--"+name, shellWord(was))
		}
	}
	row("bin", before.Bin, after.Bin)
	row("condition", string(before.Condition), string(after.Condition))
	row("note", before.Note, after.Note)
	for _, w := range changedWords(before.Part, after.Part) {
		fmt.Fprintf(&env.out, "  %-18s %s (%s before)\n", w.name, ui.Safe(or(w.is, "none")),
			ui.Safe(or(w.was, "none")))
		back = append(back, "--set", shellWord(w.name+"="+w.was))
	}
	for _, m := range after.Measured {
		at := slices.IndexFunc(before.Measured,
			func(o inventory.Measurement) bool { return o.Field == m.Field })
		if at >= 0 && before.Measured[at] == m {
			continue
		}
		fmt.Fprintf(&env.out, "  %-18s %s\n", "measured",
			ui.Safe(readingText(after.Part.Kind(), m)))
		if at >= 0 {
			back = append(back, "--measured",
				shellWord(exchange.ReadingWords(after.Part.Kind(), before.Measured[at])))
		}
	}
	if c.IsSet("measured") && after.Count > 1 && after.Unit() == inventory.Pieces {
		fmt.Fprintf(&env.out, "the reading counts for all %s pieces of the lot\n",
			inventory.FormatCount(after.Count))
	}
	if len(back) > 0 {
		again := fmt.Sprintf("sparewright change %d %s%s", after.ID, strings.Join(back, " "),
			sameDrawers(c))
		fmt.Fprintf(&env.out, "undo: %s\n", ui.Safe(again))
	}
}

// changedWord is a word of a part before and after a change.
type changedWord struct{ name, was, is string }

func changedWords(before, after catalog.Part) []changedWord {
	words := func(p catalog.Part) map[string]string {
		out := map[string]string{}
		for _, v := range catalog.Describe(p).Values {
			if !v.Numeric {
				out[v.Field] = v.Text
			}
		}
		return out
	}
	was, is := words(before), words(after)
	var out []changedWord
	for _, f := range catalog.Schema(after.Kind()) {
		if was[f.Name] != is[f.Name] {
			out = append(out, changedWord{f.Name, was[f.Name], is[f.Name]})
		}
	}
	return out
}
