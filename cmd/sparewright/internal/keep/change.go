package keep

import (
	"errors"
	"fmt"
	"slices"
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

// ChangeCommand alters what is known of a lot that is in the drawer already.
func ChangeCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "LOT",
		Description: "Changes what is noted of a lot that is in the drawer: the bin it lies in, " +
			"its condition, its note, what it " +
			"is (shape, ferrite, family, former or gap of a core, the voltage of a capacitor: " +
			"everything put takes, and " +
			"designation for what it is called), and what was measured on it, in " +
			"place of an earlier reading of the same figure. A reading counts for every piece of " +
			"the lot; a piece that differs is " +
			"taken out and put back with its own reading. Counts are changed by put and take. An " +
			"empty bin or note takes the old " +
			"one away.",
		UsageText: "sparewright change 175 --measured resistance=9.97k+-0.2% --condition tested\n" +
			"sparewright change 175 --bin B7\n" +
			"sparewright change 12 --set gap=0.3mm",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the drawer or box the lot lies in now"},
			&cli.GenericFlag{Name: "condition", Value: &frame.Choice{Words: ConditionWords},
				Usage: "`WORD`: new, tested, untested or damaged"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to remember"},
			&cli.GenericFlag{Name: "set", Value: &frame.Texts{},
				Usage: "`NAME=VALUE`, such as shape=E25/13/7; an empty value takes it away; " +
					"may be repeated"},
			&cli.GenericFlag{Name: "measured", Value: &frame.Texts{},
				Usage: "`FIGURE=VALUE` read on the bench, such as resistance=4.683k+-0.2%; " +
					"may be repeated"},
		}, frame.WritingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error { return change(env, c) }),
	}
}

func change(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	id, err := drawer.LotNumber(c.Args().First())
	if err != nil {
		return err
	}
	wanted := changeFromCall(c)
	if wanted == (sqlite.Change{}) && !c.IsSet("measured") && !c.IsSet("set") {
		return frame.WrongCall("change", "",
			"says nothing to change; give --bin, --condition, --note, "+
				"--set or --measured").
			Try("sparewright help change")
	}
	var before, after inventory.Lot
	var said []string
	err = drawer.Changing(env, c, func(s *sqlite.Store) error {
		if before, err = s.Lot(env.Ctx, id); err != nil {
			return err
		}
		readings, err := readingsFromCall(c, before)
		if err != nil {
			return err
		}
		if wanted.Part, said, err = partFromCall(c, before.Part); err != nil {
			return err
		}
		return s.Together(env.Ctx, "change", "change", env.Now(), func(s *sqlite.Store) error {
			if after, err = s.Edit(env.Ctx, id, wanted, env.Now()); err != nil {
				return err
			}
			for _, m := range readings {
				if after, err = s.Measure(env.Ctx, id, m, env.Now()); err != nil {
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
		env.Remarks(c, said)
		return env.JSON(exchange.LotDocument(after))
	}
	sayChanged(env, c, before, after)
	env.Remarks(c, said)
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
	if word := c.Generic("condition").(*frame.Choice); word.Given() {
		condition := inventory.Condition(word.Word)
		out.Condition = &condition
	}
	return out
}

// partFromCall is the part with what --set says of it, nil without any. All of it is read together,
// as put reads it: the figures of a part must go with each other and with its name. A shape or
// grade that is not listed is refused: nothing could be filled in from it. said tells what was read
// otherwise than as it stands.
func partFromCall(c *cli.Context, p catalog.Part) (set catalog.Part, said []string, err error) {
	list := *c.Generic("set").(*frame.Texts)
	if len(list) == 0 {
		return nil, nil, nil
	}
	name, entries := p.Designation(), []catalog.Entry{}
	for _, v := range catalog.Describe(p).Values {
		entries = append(entries, catalog.Entry{Field: v.Field, Text: v.Text})
	}
	given := map[string]bool{}
	for _, text := range list {
		e, err := entryFromCall(p, text)
		if err != nil {
			return nil, nil, err
		}
		if given[e.Field] {
			return nil, nil, frame.WrongCall("--set", text, "stands there twice; give it once")
		}
		given[e.Field] = true
		if e.Field == "designation" {
			name = e.Text
			continue
		}
		entries = slices.DeleteFunc(entries, func(o catalog.Entry) bool {
			return o.Field == e.Field
		})
		if e.Text == "" {
			continue
		}
		remark := ""
		if e.Text, remark, err = figureFromCall(p, e); err != nil {
			return nil, nil, frame.WrongCall("--set", text, frame.WithoutEcho(err.Error()))
		}
		if entries = append(entries, e); remark != "" {
			said = append(said, remark)
		}
	}
	set, err = catalog.ParseFields(p.Kind(), name, entries)
	var faults catalog.Faults
	if err == nil {
		faults = typed.Contradictions(set)
	}
	if len(faults) > 0 || errors.As(err, &faults) {
		list := &frame.FaultList{Status: frame.StatusUsage,
			Hint: "sparewright help " + string(p.Kind())}
		for _, f := range faults {
			list.Faults = append(list.Faults, "--set "+f.Error())
		}
		return nil, nil, list
	}
	return set, said, err
}

// figureFromCall is the text of a figure as package catalog reads it, a word as it is. remark tells
// what was read otherwise than as it stands.
func figureFromCall(p catalog.Part, e catalog.Entry) (text, remark string, err error) {
	f, ok := catalog.FieldNamed(p.Kind(), e.Field)
	if !ok || !f.Numeric {
		return e.Text, "", nil
	}
	body := strings.TrimLeft(e.Text, "~?!")
	dielectric := ""
	if v, ok := drawer.FigureNamed(p, "dielectric"); ok {
		dielectric = v.Text
	}
	v, err := typed.Figure(p.Kind(), f, body, dielectric)
	if err != nil {
		return "", "", err
	}
	if plain, err := f.Dimension().Parse(body); err == nil && plain == v.Number {
		return e.Text, v.Said, nil
	}
	return e.Text[:len(e.Text)-len(body)] + typed.Exact(f.Dimension(), v.Number), v.Said, nil
}

// entryFromCall reads one NAME=VALUE of --set.
func entryFromCall(p catalog.Part, text string) (catalog.Entry, error) {
	name, value, found := strings.Cut(text, "=")
	name = catalog.PresentFigure(strings.ToLower(strings.TrimSpace(name)))
	value = strings.TrimSpace(value)
	if !found {
		return catalog.Entry{}, frame.WrongCall("--set", text,
			"write a name, = and a value, such as shape=E25/13/7")
	}
	if f, ok := catalog.FieldNamed(p.Kind(), name); ok {
		name = f.Name
	} else if name != "designation" {
		_, err := catalog.WithWord(p, name, value)
		return catalog.Entry{}, frame.WrongCall("--set", text, frame.WithoutEcho(err.Error()))
	}
	if err := listedWord(name, value); err != nil {
		return catalog.Entry{}, frame.WrongCall("--set", text, err.Error())
	}
	return catalog.Entry{Field: name, Text: value}, nil
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
	for _, text := range *c.Generic("measured").(*frame.Texts) {
		m, err := exchange.ParseReading(l.Part.Kind(), text)
		if err == nil {
			err = inventory.CheckReading(l.Part, m)
		}
		if err != nil {
			return nil, frame.WrongCall("--measured", text, frame.WithoutEcho(err.Error()))
		}
		if slices.ContainsFunc(out, func(o inventory.Measurement) bool {
			return o.Field == m.Field
		}) {
			return nil, frame.WrongCall("--measured", text,
				m.Field+" stands there twice; give it once")
		}
		out = append(out, m)
	}
	return out, nil
}

// sayChanged prints the lot as it is now and the call that brings back what was noted before.
func sayChanged(env *frame.Environment, c *cli.Context, before, after inventory.Lot) {
	fmt.Fprintf(&env.Out, "changed lot %d, %s %s\n", after.ID, after.Part.Kind(),
		frame.Quoted(after.Part.Designation()))
	var back []string
	row := func(name, was, is string) {
		if was != is {
			fmt.Fprintf(&env.Out, "  %-18s %s (%s before)\n", name, ui.Safe(frame.Or(is, "none")),
				ui.Safe(frame.Or(was, "none")))
			back = append(back, "--"+name, frame.ShellWord(was))
		}
	}
	row("bin", before.Bin, after.Bin)
	row("condition", string(before.Condition), string(after.Condition))
	row("note", before.Note, after.Note)
	if was, is := before.Part.Designation(), after.Part.Designation(); was != is {
		fmt.Fprintf(&env.Out, "  %-18s %s (%s before)\n", "designation", ui.Safe(is), ui.Safe(was))
		back = append(back, "--set", frame.ShellWord("designation="+was))
	}
	for _, w := range changedFigures(before.Part, after.Part) {
		fmt.Fprintf(&env.Out, "  %-18s %s (%s before)\n", w.name, ui.Safe(frame.Or(w.is, "none")),
			ui.Safe(frame.Or(w.was, "none")))
		back = append(back, "--set", frame.ShellWord(w.name+"="+w.typed))
	}
	for _, m := range after.Measured {
		at := slices.IndexFunc(before.Measured,
			func(o inventory.Measurement) bool { return o.Field == m.Field })
		if at >= 0 && before.Measured[at] == m {
			continue
		}
		fmt.Fprintf(&env.Out, "  %-18s %s\n", "measured",
			ui.Safe(ReadingText(after.Part.Kind(), m)))
		if at >= 0 {
			back = append(back, "--measured",
				frame.ShellWord(exchange.ReadingWords(after.Part.Kind(), before.Measured[at])))
		}
	}
	if c.IsSet("measured") && after.Count > 1 && after.Unit() == inventory.Pieces {
		fmt.Fprintf(&env.Out, "the reading counts for all %s pieces of the lot\n",
			inventory.FormatCount(after.Count))
	}
	if len(back) > 0 {
		again := fmt.Sprintf("sparewright change %d %s%s", after.ID, strings.Join(back, " "),
			drawer.SameDrawers(c))
		fmt.Fprintf(&env.Out, "undo: %s\n", ui.Safe(again))
	}
}

// changedFigure is a word or figure of a part before and after a change, as shown and, as it was,
// to be typed again.
type changedFigure struct{ name, was, is, typed string }

func changedFigures(before, after catalog.Part) []changedFigure {
	values := func(p catalog.Part) map[string]catalog.Value {
		out := map[string]catalog.Value{}
		for _, v := range catalog.Describe(p).Values {
			out[v.Field] = v
		}
		return out
	}
	text := func(v catalog.Value) string {
		if v.Field == "" {
			return ""
		}
		return WithBasis(drawer.FigureText(after.Kind(), v), v.Basis)
	}
	was, is := values(before), values(after)
	var out []changedFigure
	for _, f := range catalog.Schema(after.Kind()) {
		if a, b := was[f.Name], is[f.Name]; a != b {
			out = append(out, changedFigure{f.Name, text(a), text(b), typedAgain(f, a)})
		}
	}
	return out
}

// typedAgain is a value as --set takes it, with its mark and its unit: a bare number may be
// refused.
func typedAgain(f catalog.Field, v catalog.Value) string {
	if !f.Numeric || v.Field == "" {
		return v.Text
	}
	mark := v.Text[:len(v.Text)-len(strings.TrimLeft(v.Text, "~?!"))]
	return mark + strings.ReplaceAll(typed.Exact(f.Dimension(), v.Number), " ", "")
}
