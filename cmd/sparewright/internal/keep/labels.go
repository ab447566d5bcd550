package keep

import (
	"cmp"
	"slices"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/label"
)

// LabelsCommand writes labels for drawers and bags.
func LabelsCommand(env *frame.Environment) *cli.Command {
	var papers []string
	for _, p := range label.Papers() {
		papers = append(papers, p.Name)
	}
	paper := &frame.Choice{Words: papers, Word: papers[0]}
	return &cli.Command{
		ArgsUsage: "[LOT ...]",
		Description: "Writes a page of labels to print: value, name, count, bin and donor of " +
			"each lot, for resistors the colour bands with the letter codes of the colours, and " +
			"a code to scan (QR code, ISO/IEC 18004). The code holds the mark printed below it, " +
			"such as SW:12-K, which names the lot wherever its number does: show, take, change. " +
			"A mark that was mistyped is refused. All lots get a label, or those named, or those " +
			"that fit every option. Print without scaling; three labels of 63 by 34 mm lie " +
			"beside each other. The file needs no network and is written whole or not at all.",
		UsageText: "sparewright labels --demo -o labels.html\n" +
			"sparewright labels --kind resistor --bin F3 --paper Letter --demo -o labels.html",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bin", Usage: "only lots in `BIN`"},
			&cli.StringFlag{Name: "kind", Usage: "only lots of one `KIND`"},
			&cli.StringFlag{Name: "donor", Usage: "only lots from a donor with `NAME` in its name"},
			&cli.GenericFlag{Name: "paper", Value: paper,
				Usage: "`WORD`: A4 (when not given) or Letter"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`; - is standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
		}, frame.DrawersFlag(), frame.DemoFlag("label the built-in drawer"), frame.JSONFlag()),
		Action: env.Action(0, -1, func(c *cli.Context) error { return labels(env, c, paper.Word) }),
	}
}

// labelJSON is one label. Bands are colours with their codes, from the first band on.
type labelJSON struct {
	Lot         int64        `json:"lot"`
	Mark        string       `json:"mark"`
	Kind        catalog.Kind `json:"kind"`
	Value       string       `json:"value"`
	Designation string       `json:"designation,omitempty"`
	Figures     string       `json:"figures,omitempty"`
	Count       float64      `json:"count" figures:"entered"`
	Unit        string       `json:"unit"`
	Bin         string       `json:"bin,omitempty"`
	Donor       string       `json:"donor,omitempty"`
	Bands       []bandJSON   `json:"bands,omitempty"`
	BandNote    string       `json:"band_note,omitempty"`
}

type bandJSON struct {
	Colour string `json:"colour"`
	Code   string `json:"code"`
}

func labels(env *frame.Environment, c *cli.Context, paperWord string) error {
	if err := checkLabels(c); err != nil {
		return err
	}
	query, err := labelQuery(c)
	if err != nil {
		return err
	}
	numbers, err := lotNumbers(c.Args().Slice())
	if err != nil {
		return err
	}
	snapshot, err := drawer.Snapshot(env, c)
	if err != nil {
		return err
	}
	lots, err := wantedLots(snapshot, query, numbers)
	if err != nil {
		return err
	}
	list := label.Of(lots)
	if c.Bool("json") {
		return env.JSON(LabelsDocument(paperWord, list))
	}
	if len(list) == 0 {
		return frame.WrongCall("labels", "", "no lot matches, so there is no label to write").Try(
			"sparewright list")
	}
	paper, _ := label.PaperNamed(paperWord)
	page, err := label.Page(list, paper)
	if err != nil {
		return err
	}
	if name := c.String("output"); name != "-" {
		if err := env.WriteWhole(name, page, c.Bool("force")); err != nil {
			return err
		}
		env.Note("wrote %d labels for %s paper to %s", len(list), paper.Name, name)
		return nil
	}
	env.Raw(string(page))
	return nil
}

// checkLabels refuses options that mean nothing together.
func checkLabels(c *cli.Context) error {
	switch {
	case c.IsSet("output") && c.String("output") == "":
		return frame.WrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return frame.WrongCall("--json", "", "goes to standard output; leave --output away")
	case !c.Bool("json") && !c.IsSet("output"):
		return frame.WrongCall("labels", "", "needs a file for the page; give -o FILE").Try(
			"sparewright labels --demo -o labels.html")
	}
	return nil
}

func labelQuery(c *cli.Context) (inventory.Query, error) {
	q := inventory.Query{Bin: c.String("bin"), Donor: c.String("donor")}
	if c.IsSet("kind") {
		kind, err := drawer.ParseKind(c.String("kind"))
		if err != nil {
			return q, err
		}
		q.Kind = string(kind)
	}
	return q, nil
}

func lotNumbers(words []string) ([]int64, error) {
	var out []int64
	for _, w := range words {
		n, err := drawer.LotNumber(w)
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

// wantedLots picks the lots named, or all, of those that fit the query. A number that is not in the
// drawer is an error; one that does not fit the query is left out like any other.
func wantedLots(s inventory.Snapshot, q inventory.Query, numbers []int64) ([]inventory.Lot, error) {
	for _, n := range numbers {
		if _, ok := s.Lot(n); !ok {
			return nil, inventory.NoLot{Lot: n}
		}
	}
	lots := s.Select(q)
	if len(numbers) > 0 {
		lots = slices.DeleteFunc(lots, func(l inventory.Lot) bool {
			return !slices.Contains(numbers, l.ID)
		})
	}
	slices.SortFunc(lots, func(a, b inventory.Lot) int { return cmp.Compare(a.ID, b.ID) })
	return lots, nil
}

// LabelsDocument is the answer of labels.
func LabelsDocument(paper string, list []label.Label) any {
	doc := struct {
		Paper  string      `json:"paper"`
		Labels []labelJSON `json:"labels"`
	}{paper, []labelJSON{}}
	for _, l := range list {
		one := labelJSON{l.Lot, l.Mark, l.Kind, l.Value, l.Designation, l.Figures, l.Count,
			string(l.Unit),
			l.Bin, l.Donor, nil, l.BandNote}
		for _, b := range l.Bands {
			one.Bands = append(one.Bands, bandJSON{string(b.Colour), b.Code})
		}
		doc.Labels = append(doc.Labels, one)
	}
	return doc
}
