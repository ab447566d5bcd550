package bench

import (
	"errors"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// PutCommand puts parts into the drawer.
func PutCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "PART",
		Description: "Puts parts into the drawer. PART is what is printed on it, in the words of " +
			"a line of bench " +
			"(sparewright help bench): r 4k7 1%, d UF4007 x4, core EF20 N87. Or it is a kind, a " +
			"name of your own and what is " +
			"known: core \"grey pair\" shape=EF20. Figures are explained by sparewright help " +
			"KIND. An equal part in the same " +
			"place, from the same donor and in the same condition joins the lot that is there. " +
			"The drawer file is made when it is missing.",
		UsageText: "sparewright put r 4k7 1% x20 --bin B4\n" +
			"sparewright put UF4007 x4 --donor \"router brick\"\n" +
			"sparewright put core \"grey pair\" shape=EF20 ferrite=unknown\n" +
			"sparewright put resistor 4k7 --measured resistance=4.683k+-0.2%\n" +
			"sparewright put wire 0.3 enamelled 12.5m",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "count",
				Usage: "`N` pieces (1 when not given) or metres such as 12.5m; some, " +
					"plenty for a guess"},
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the drawer or box they lie in"},
			&cli.StringFlag{Name: "donor", Usage: "`NAME` of the equipment they came out of"},
			&cli.GenericFlag{Name: "condition", Value: &frame.Choice{Words: keep.ConditionWords},
				Usage: "`WORD`: new, tested, untested (when not given) or damaged"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to remember"},
			&cli.GenericFlag{Name: "measured", Value: &frame.Texts{},
				Usage: "`FIGURE=VALUE` read on the bench, such as resistance=4.683k+-0.2%; " +
					"may be repeated"},
			&cli.StringFlag{Name: "reason", Usage: "`TEXT` that goes into the history"},
		}, frame.WritingFlags()...),
		Action: env.Action(1, -1, func(c *cli.Context) error { return put(env, c) }),
	}
}

func put(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	lot, said, err := lotFromCall(env, c)
	if err != nil {
		return err
	}
	var after inventory.Lot
	var created bool
	err = drawer.Filling(env, c, func(s *sqlite.Store) error {
		created = s.Created()
		ids, err := s.Put(env.Ctx, []inventory.Lot{lot}, frame.Or(c.String("reason"), "put"),
			env.Now())
		if err != nil {
			return err
		}
		after, err = s.Lot(env.Ctx, ids[0])
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		env.Remarks(c, said)
		return env.JSON(keep.StoredJSON{Added: lot.Count, Created: created,
			LotJSON: exchange.LotDocument(after)})
	}
	keep.SayStored(env, lot.Count, after, drawer.SameDrawers(c))
	env.Remarks(c, said)
	return nil
}

// lotFromCall reads the lot the call describes, before anything is changed, and tells what was read
// otherwise than as it stands.
func lotFromCall(env *frame.Environment, c *cli.Context) (inventory.Lot, []string, error) {
	set := Setting{bin: c.String("bin"), donor: c.String("donor"), count: c.String("count")}
	if condition := c.Generic("condition").(*frame.Choice); condition.Given() {
		set.condition = inventory.Condition(condition.Word)
	}
	if c.IsSet("count") && set.count == "" {
		return inventory.Lot{}, nil, frame.WrongCall("--count", "", "says nothing; give a number")
	}
	words := c.Args().Slice()
	if slices.Contains(strings.Fields(strings.Join(words, " ")), "plate") {
		var err error
		if set.plates, err = knownPlates(env, c); err != nil {
			return inventory.Lot{}, nil, err
		}
	}
	readings := *c.Generic("measured").(*frame.Texts)
	a, err := readPut(words, set, len(readings) > 0)
	if err != nil {
		return inventory.Lot{}, nil, err
	}
	lot := a.Lot
	for _, text := range readings {
		m, err := exchange.ParseReading(lot.Part.Kind(), text)
		if err != nil {
			return lot, nil, frame.WrongCall("--measured", text, frame.WithoutEcho(err.Error()))
		}
		lot.Measured = append(lot.Measured, m)
	}
	for _, twice := range []struct{ option, word string }{{"bin", lot.Bin}, {"donor", lot.Donor},
		{"condition", string(lot.Condition)}, {"note", frame.Or(lot.Note, c.String("note"))}} {
		said := c.String(twice.option)
		if twice.option == "condition" {
			said = string(set.condition)
		}
		if said != "" && said != twice.word {
			return lot, nil, frame.WrongCall("--"+twice.option, said,
				"the words of the part say "+frame.Quoted(twice.word)+"; keep one of the two")
		}
	}
	lot.Note = frame.Or(lot.Note, c.String("note"))
	return lot, a.remarks, lot.Validate()
}

// knownPlates are the plates of the donors of the drawer, none while there is no drawer.
func knownPlates(env *frame.Environment, c *cli.Context) (map[string]inventory.Plate, error) {
	b := benchSession{env: env}
	path, err := drawer.DrawersPath(env, c)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	err = drawer.Reading(env, c, func(s *sqlite.Store) error {
		b.store = s
		return b.readPlates()
	})
	return b.set.plates, err
}

// readPut reads the operands of put: a kind, a name and figures, or the words of a bench line. A
// name of one's own stands beside what is known of the part; without any, what stands there is
// taken for a mark and read as bench reads it, or refused. measured tells that a reading follows.
func readPut(words []string, set Setting, measured bool) (Action, error) {
	kind := knownKind(words[0])
	named := kind != "" && len(words) >= 2 && onlyFigures(words[2:])
	if named {
		if err := noFigureForName(kind, words[1]); err != nil {
			return Action{}, err
		}
	}
	if !named || len(words) == 2 && !measured {
		a, err := readWordsOfPut(words, set)
		if err != nil && named && strings.Contains(words[1], " ") {
			if own, ownErr := namedPart(words, set); ownErr == nil {
				return own, nil
			}
		}
		return a, err
	}
	a, err := namedPart(words, set)
	if err != nil {
		if line, lineErr := readWordsOfPut(words, set); lineErr == nil {
			return line, nil
		}
	}
	return a, err
}

// onlyFigures tells whether every word is name=value.
func onlyFigures(words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return strings.Index(w, "=") < 1 })
}

// namedPart reads KIND NAME figure=value.
func namedPart(words []string, set Setting) (Action, error) {
	lot, said, faults := exchange.ParseLot(words[0], words[1], words[2:])
	if len(faults) > 0 {
		return Action{}, keep.CallFaults(faults, "sparewright help "+knownKind(words[0]))
	}
	if len(catalog.Describe(lot.Part).Values) == 0 {
		said = append(said,
			"taken as a name: nothing is known of it yet; sparewright change adds it")
	}
	lot.Bin, lot.Donor, lot.Condition = set.bin, set.donor, set.condition
	if lot.Condition == "" {
		lot.Condition = inventory.Untested
	}
	var err error
	if lot.Count, err = benchCount(set.count, lot.Unit()); err != nil {
		return Action{}, err
	}
	return Action{Verb: "put", Lot: lot, remarks: said}, nil
}

// readWordsOfPut reads the words as a line of bench. One operand is a whole line; among several,
// one that holds blanks was quoted for the shell.
func readWordsOfPut(words []string, set Setting) (Action, error) {
	line := make([]benchWord, len(words))
	for i, w := range words {
		line[i] = benchWord{w, strings.ContainsAny(w, " \t")}
	}
	if len(words) == 1 {
		var err error
		if line, err = splitBenchLine(words[0]); err != nil {
			return Action{}, err
		}
	}
	a, err := parseWords(line, set)
	if err == nil && a.Verb != "put" {
		err = frame.WrongCall("put", strings.Join(words, " "),
			"names no part; write its kind and what is printed on it, such as r 4k7 1%").
			Try("sparewright help put")
	}
	return a, err
}

// noFigureForName refuses a figure where the designation stands, which would be lost in silence.
func noFigureForName(kind, designation string) error {
	field, _, is := strings.Cut(designation, "=")
	if _, known := catalog.FieldNamed(catalog.Kind(kind), strings.TrimSpace(field)); !is || !known {
		return nil
	}
	return frame.WrongCall("designation", designation,
		"is a figure; first say what the part is called, then its figures")
}

// knownKind returns the word when it is a kind.
func knownKind(word string) string {
	k, err := catalog.ParseKind(word)
	if err != nil {
		return ""
	}
	return string(k)
}
