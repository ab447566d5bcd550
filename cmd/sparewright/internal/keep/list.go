package keep

import (
	"bytes"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/browse"
	"sparewright/inventory/exchange"
)

// ListCommand shows the lots of the drawer, all or those that match.
func ListCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[KIND]",
		Description: "Shows the lots of the drawer, or those of one kind, with the number each " +
			"is called by. Emptied lots are " +
			"left out; show still tells their history. FREE is what is not set aside for a " +
			"build, " +
			"with a mark for what runs low over all bins (in a pipe in a column LOW): last is " +
			"the " +
			"last free piece, none that all is set aside, short that less than 5 m of wire or " +
			"tape is free. With --html the lots become one file to filter, sort and look " +
			"through, on a telephone too: every figure, colour bands, donors; it needs no " +
			"network.",
		UsageText: "sparewright list --demo\n" +
			"sparewright list --html --demo -o drawer.html\n" +
			"sparewright list resistor --between 1k-10k --demo\n" +
			"sparewright list --text adapter --json --demo",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "text",
				Usage: "only lots with `TEXT` in name, note, donor or bin"},
			&cli.StringFlag{Name: "bin", Usage: "only lots in `BIN`"},
			&cli.StringFlag{Name: "donor", Usage: "only lots from a donor with `NAME` in its name"},
			&cli.StringFlag{Name: "between",
				Usage: "only lots with the main figure, or that of --figure, in `RANGE`"},
			&cli.StringFlag{Name: "figure",
				Usage: "`NAME` of the figure --between is about; alone: lots that state it"},
			&cli.BoolFlag{Name: "low", Usage: "only what runs low"},
			&cli.BoolFlag{Name: "html", Usage: "as one page to look through on any screen"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`, without --html as in a pipe; - is standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
		}, frame.ReadingFlags()...),
		Action: env.Action(0, 1, func(c *cli.Context) error { return list(env, c) }),
	}
}

func list(env *frame.Environment, c *cli.Context) error {
	if err := checkList(c); err != nil {
		return err
	}
	query, about, said, err := listQuery(c)
	if err != nil {
		return err
	}
	held, err := drawer.Contents(env, c)
	if err != nil {
		return err
	}
	found := listing{query: query, low: inventory.RunningLow(held.Lots), donors: held.Donors}
	found.lots = selected(inventory.Snapshot{Lots: held.Lots}, query, about)
	if c.Bool("low") {
		found.lots = slices.DeleteFunc(found.lots,
			func(l inventory.Lot) bool { return found.low[l.ID] == "" })
	}
	if err := found.give(env, c, len(held.Lots) == 0); err != nil {
		return err
	}
	for _, text := range said { // beside the table, which other programs read
		env.Note("note: %s", text)
	}
	return nil
}

// checkList refuses options that mean nothing together.
func checkList(c *cli.Context) error {
	switch {
	case c.IsSet("output") && c.String("output") == "":
		return frame.WrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return frame.WrongCall("--json", "", "goes to standard output; leave --output away")
	case c.Bool("json") && c.Bool("html"):
		return frame.WrongCall("--json", "", "is another form than --html; give one of them")
	}
	return nil
}

// listing is what list shows: lots, which of the drawer run low, all donors, and what was asked
// for.
type listing struct {
	lots   []inventory.Lot
	low    map[int64]inventory.Scarcity
	donors []inventory.Donor
	query  inventory.Query
}

// ListJSON is the answer of list: lots, and the numbers of those of them that run low.
type ListJSON struct {
	exchange.LotsJSON
	Low []int64 `json:"low"`
}

// listDocument makes the answer of list out of lots and what runs low in their drawer.
func listDocument(lots []inventory.Lot, low map[int64]inventory.Scarcity) ListJSON {
	doc := ListJSON{exchange.LotsDocument(lots), []int64{}}
	for _, l := range lots {
		if low[l.ID] != "" {
			doc.Low = append(doc.Low, l.ID)
		}
	}
	return doc
}

// give prints the lots or writes them to a file.
func (f listing) give(env *frame.Environment, c *cli.Context, empty bool) error {
	if c.Bool("json") {
		return env.JSON(listDocument(f.lots, f.low))
	}
	switch {
	case len(f.lots) > 0:
	case empty:
		env.Note("the drawer is empty")
	default:
		env.Note("no lot matches")
	}
	if name := c.String("output"); name != "" && name != "-" {
		return f.write(env, c, name)
	}
	if c.Bool("html") {
		page, err := browse.Page(f.lots, f.low, f.donors)
		env.Raw(string(page))
		return err
	}
	return f.printed(&env.Out, env.Screen(c), c.Bool("header"))
}

// write makes a file of the lots: the page, or the lines that other programs read.
func (f listing) write(env *frame.Environment, c *cli.Context, name string) error {
	var text bytes.Buffer
	err := f.printed(&text, ui.Screen{}, c.Bool("header"))
	content, form := text.Bytes(), "lines"
	if c.Bool("html") {
		content, err = browse.Page(f.lots, f.low, f.donors)
		form = "a page"
	}
	if err != nil {
		return err
	}
	if err := env.WriteWhole(name, content, c.Bool("force")); err != nil {
		return err
	}
	env.Note("wrote %d lots as %s to %s", len(f.lots), form, name)
	return nil
}

// printed prints the table, if there is anything in it.
func (f listing) printed(w io.Writer, screen ui.Screen, header bool) error {
	if len(f.lots) == 0 {
		return nil
	}
	return f.table(screen.Terminal).Write(w, screen, header)
}

// listQuery turns the options into a query, names the figure it is about and tells how bare numbers
// were read.
func listQuery(c *cli.Context) (q inventory.Query, about catalog.Field, said []string, err error) {
	q = inventory.Query{Text: c.String("text"), Bin: c.String("bin"), Donor: c.String("donor"),
		Field: c.String("figure")}
	kinds := catalog.Kinds()
	if c.Args().Present() {
		kind, err := drawer.ParseKind(c.Args().First())
		if err != nil {
			return q, about, nil, err
		}
		q.Kind, kinds = string(kind), []catalog.Kind{kind}
	}
	about, err = queryFigure(q)
	if err != nil || !c.IsSet("between") {
		return q, about, nil, err
	}
	if about.Name == "" {
		return q, about, nil, frame.WrongCall("--between", c.String("between"),
			"say of which KIND, or of which --figure").
			Try("sparewright list resistor --between 1k-10k")
	}
	q.Field = about.Name
	if q.Low, q.High, said, err = drawer.CommonRange(kinds, about,
		c.String("between")); err != nil {
		return q, about, nil, frame.WrongCall("--between", c.String("between"),
			frame.WithoutEcho(err.Error()))
	}
	if q.Low == 0 && q.High == 0 {
		// a query with both ends 0 would be one without a range
		q.High = math.SmallestNonzeroFloat64
	}
	return q, about, said, nil
}

// queryFigure finds the figure a query is about: the named one, or the main figure of the kind. It
// has no name when the query is about none. Where kinds use one name for different quantities (the
// resistance of a wire is that of a metre), the quantity called so is meant.
func queryFigure(q inventory.Query) (catalog.Field, error) {
	kinds := catalog.Kinds()
	if q.Kind != "" {
		kinds = []catalog.Kind{catalog.Kind(q.Kind)}
	}
	if q.Field == "" {
		if q.Kind == "" {
			return catalog.Field{}, nil
		}
		f, _ := catalog.FieldNamed(kinds[0], inventory.MainFigure(kinds[0]))
		return f, nil
	}
	var found catalog.Field
	var known []string
	for _, k := range kinds {
		if f, ok := catalog.FieldNamed(k, q.Field); ok &&
			(found.Name == "" || f.Quantity == f.Name) {
			found = f
		}
		for _, f := range catalog.Schema(k) {
			known = append(known, f.Name)
		}
	}
	if found.Name == "" {
		return found, frame.WrongCall("--figure", q.Field,
			"no such figure"+frame.DidYouMean("", q.Field, known)).
			Try("sparewright help " + frame.Or(q.Kind, "kinds"))
	}
	return found, nil
}

// selected returns the lots a query picks. A range looks at figures filled in from the tables too,
// as the column shows them; it speaks of one quantity, so lots whose figure of that name is another
// quantity are left out.
func selected(s inventory.Snapshot, q inventory.Query, about catalog.Field) []inventory.Lot {
	if q.Low == 0 && q.High == 0 {
		return s.Select(q)
	}
	var lots []inventory.Lot
	for _, l := range s.Lots {
		f, ok := catalog.FieldNamed(l.Part.Kind(), q.Field)
		if !ok || f.Dimension() != about.Dimension() {
			continue
		}
		filled := l
		filled.Part = complete.Part(l.Part)
		if q.Match(filled) {
			lots = append(lots, l)
		}
	}
	return lots
}

// table lays lots out. When all are of one kind, its main figure takes the place of the kind. On a
// screen, which is narrow, the mark of what runs low stands before what is free.
func (f listing) table(screen bool) ui.Table {
	second := ui.Column{Title: "KIND"}
	figure := ""
	if q := f.query; q.Kind != "" {
		figure = frame.Or(q.Field, inventory.MainFigure(catalog.Kind(q.Kind)))
		second = ui.Column{Title: strings.ToUpper(figure), Number: true}
	}
	t := ui.Table{Columns: []ui.Column{{Title: "LOT", Number: true}, second,
		{Title: "DESIGNATION", Shrink: 1},
		{Title: "COUNT", Number: true}, {Title: "FREE", Number: true}, {Title: "BIN", Shrink: 1},
		{Title: "CONDITION"},
		{Title: "DONOR", Shrink: 2}}}
	if !screen {
		t.Columns = append(t.Columns, ui.Column{Title: "LOW"})
	}
	for _, l := range f.lots {
		free, low := drawer.Counted(l.Available(), l.Unit()), string(f.low[l.ID])
		if screen {
			free = strings.TrimLeft(low+" "+free, " ")
		}
		row := []string{inventory.FormatCount(float64(l.ID)),
			kindOrFigure(l, figure), l.Part.Designation(),
			drawer.Counted(l.Count, l.Unit()), free, l.Bin, string(l.Condition), l.Donor}
		if !screen {
			row = append(row, low)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// kindOrFigure fills the second column. Estimated and assumed figures carry the mark they would be
// typed with.
func kindOrFigure(l inventory.Lot, figure string) string {
	if figure == "" {
		return string(l.Part.Kind())
	}
	v, ok := drawer.FigureNamed(complete.Part(inventory.Effective(l)), figure)
	if !ok {
		return ""
	}
	return basisMarks[v.Basis] + drawer.FigureText(l.Part.Kind(), v)
}

// basisMarks are the signs before a figure that is not firm.
var basisMarks = map[catalog.Basis]string{catalog.Estimated: "~", catalog.Assumed: "?"}
