package main

import (
	"fmt"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
	"sparewright/substitute"
	"sparewright/substitute/report"
)

// asideDocument is what reserve, reserved, release and consume print with --json.
type asideDocument struct {
	DryRun   bool                 `json:"dry_run"`
	Purposes []purposeJSON        `json:"purposes"`
	Buy      []substitute.PartUse `json:"buy,omitempty"` // what a build of reserve lacks
}

type purposeJSON struct {
	Purpose string      `json:"purpose"`
	Since   string      `json:"since,omitempty"` // RFC 3339, the first part set aside
	Parts   []asideJSON `json:"parts"`
}

type asideJSON struct {
	Lot         int64          `json:"lot"`
	Kind        string         `json:"kind"`
	Designation string         `json:"designation"`
	Count       float64        `json:"count" figures:"entered"`
	Unit        inventory.Unit `json:"unit"`
	Bin         string         `json:"bin,omitempty"`
}

// asideOf describes n of a lot. A damaged drawer may hold something back of a lot that holds
// nothing; then only the number of the lot is known.
func asideOf(id int64, n float64, s inventory.Snapshot) asideJSON {
	l, ok := s.Lot(id)
	if !ok {
		return asideJSON{Lot: id, Count: n}
	}
	return asideJSON{l.ID, string(l.Part.Kind()), l.Part.Designation(), n, l.Unit(), l.Bin}
}

// claimed lists claims with the names of the parts.
func claimed(claims []inventory.Claim, s inventory.Snapshot) []purposeJSON {
	out := []purposeJSON{}
	for _, c := range claims {
		p := purposeJSON{Purpose: c.Purpose, Parts: []asideJSON{}}
		for _, d := range c.Draws {
			p.Parts = append(p.Parts, asideOf(d.Lot, d.Count, s))
		}
		out = append(out, p)
	}
	return out
}

// heldFor lists what is set aside, by purpose, lots of one purpose added up in the order they were
// set aside.
func heldFor(held []inventory.SetAside, s inventory.Snapshot) []purposeJSON {
	out := []purposeJSON{}
	at := map[int64]int{}
	for _, h := range held {
		if len(out) == 0 || out[len(out)-1].Purpose != h.Purpose {
			out = append(out, purposeJSON{Purpose: h.Purpose,
				Since: h.When.UTC().Format(time.RFC3339), Parts: []asideJSON{}})
			clear(at)
		}
		p := &out[len(out)-1]
		if i, seen := at[h.Lot]; seen {
			p.Parts[i].Count = inventory.RoundCount(p.Parts[i].Count + h.Count)
			continue
		}
		at[h.Lot] = len(p.Parts)
		p.Parts = append(p.Parts, asideOf(h.Lot, h.Count, s))
	}
	return out
}

// reservedCommand lists what is set aside.
func reservedCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[NAME]",
		Description: "Lists what is set aside, by the name it was set aside under, or what is " +
			"set aside under one name.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --as \"garden " +
			"pack\" && sparewright reserved\n" +
			"sparewright reserved --json",
		Flags:  readingFlags(),
		Action: env.action(0, 1, func(c *cli.Context) error { return reserved(env, c) }),
	}
}

func reserved(env *environment, c *cli.Context) error {
	if c.Args().Present() && c.Args().First() == "" {
		return wrongCall("reserved", "", "an empty name; leave it away to list all")
	}
	doc := asideDocument{Purposes: []purposeJSON{}}
	builtIn, err := demo(c)
	if err != nil {
		return err
	}
	if !builtIn {
		if doc.Purposes, err = env.held(c, c.Args().First()); err != nil {
			return err
		}
	}
	if c.Args().Present() && len(doc.Purposes) == 0 {
		return inventory.NoPurpose{Purpose: c.Args().First()}
	}
	switch {
	case c.Bool("json"):
		return env.json(doc)
	case len(doc.Purposes) == 0:
		env.note("nothing is set aside")
		return nil
	}
	return uiTable(asideTable(doc.Purposes), false).Write(&env.out, env.screen(c), c.Bool("header"))
}

// held reads what is set aside under a name, or under all when it is empty.
func (env *environment) held(c *cli.Context, purpose string) ([]purposeJSON, error) {
	var out []purposeJSON
	err := env.reading(c, func(s *sqlite.Store) error {
		held, err := s.SetAsides(env.ctx, purpose)
		if err != nil {
			return err
		}
		snapshot, err := s.Snapshot(env.ctx)
		if err != nil {
			return err
		}
		out = heldFor(held, snapshot)
		return nil
	})
	return out, err
}

func asideTable(purposes []purposeJSON) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "FOR", Shrink: 1},
		{Title: "LOT", Number: true}, {Title: "KIND"},
		{Title: "DESIGNATION", Shrink: 2}, {Title: "COUNT",
			Number: true}, {Title: "BIN", Shrink: 1}}}
	for _, p := range purposes {
		for _, a := range p.Parts {
			t.Rows = append(t.Rows, []string{p.Purpose, fmt.Sprint(a.Lot), a.Kind, a.Designation,
				counted(a.Count, a.Unit), a.Bin})
		}
	}
	return t
}

// asideWords say what was done with the parts.
type asideWords struct {
	done, would string
	undo        string // command that undoes it; empty when there is none
}

// sayAside prints what was set aside, given back or used up, one sentence for each name, what is
// still to buy, and how to undo it.
func (env *environment) sayAside(c *cli.Context, doc asideDocument, w asideWords) error {
	verb := w.done
	if doc.DryRun {
		verb = w.would
	}
	answer := report.Block{Word: "answer"}
	for _, p := range doc.Purposes {
		text := fmt.Sprintf("%s for %s: parts of %s.", verb, quoted(p.Purpose),
			lotsInWords(len(p.Parts)))
		answer.Lines = append(answer.Lines, report.Line{Text: text})
	}
	for _, b := range doc.Buy {
		answer.Lines = append(answer.Lines,
			report.Line{Text: fmt.Sprintf("To buy: %s, %s.", b.Role, b.Designation)})
	}
	blocks := []report.Block{{Word: "part", Table: asideTable(doc.Purposes)}, answer}
	if err := env.blocks(blocks, env.screen(c), c.Bool("header")); err != nil {
		return err
	}
	for _, p := range doc.Purposes {
		if w.undo != "" && !doc.DryRun {
			fmt.Fprintf(&env.out, "undo: %s\n",
				ui.Safe("sparewright "+w.undo+" "+shellWord(p.Purpose)+sameDrawers(c)))
		}
	}
	return nil
}

func lotsInWords(n int) string {
	if n == 1 {
		return "1 lot"
	}
	return fmt.Sprintf("%d lots", n)
}
