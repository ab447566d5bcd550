package identify

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
	"sparewright/substitute/magnetics"
)

// Method is one way to identify something: the options it uses and its work.
type Method struct {
	Name    string   // the operand that asks for it
	What    string   // in a few words
	Options []string // long names
	run     func(*identifying) (finding, error)
}

// Methods in the order help lists them.
var Methods = []Method{
	{"core", "the shape from caliper readings",
		[]string{"a", "b", "c", "d", "e", "f", "i", "k", "family", "caliper"}, identifyCore},
	{"al", "the inductance factor from test windings", []string{"reading", "meter"}, identifyAL},
	{"permeability", "the ferrite of a pair without a gap",
		slices.Concat(pairOptions, []string{"joint"}), identifyPermeability},
	{"gap", "the gap from one inductance factor, or from films laid in one by one",
		slices.Concat(pairOptions, []string{"grade", "mu", "joint", "step", "turns", "film"}),
		identifyGap},
	{"saturation", "the flux density at the knee of a current pulse",
		[]string{"shape", "core", "area", "area-error", "volts", "time", "knee", "ohms",
			"turns"}, identifySaturation},
	{"wire", "the copper diameter from any two of ohms, length and mass",
		[]string{"ohms", "length", "mass", "temperature"},
		identifyWire},
	{"spool", "the metres left on a spool from ohms, or from mass and empty mass",
		[]string{"ohms", "mass", "empty", "diameter", "temperature"}, identifySpool},
	{"film", "the thickness of a film from inductance before and after, or from a folded stack",
		[]string{"before", "after", "turns", "shape", "core", "area-error", "meter", "grade", "mu",
			"joint", "stack", "layers"},
		identifyFilm},
	{"inductance", "the inductance from resonance with one or two known capacitors",
		[]string{"resonance", "stray"},
		identifyInductance},
}

// pairOptions say which pair was measured and what its inductance factor is.
var pairOptions = []string{"shape", "core", "area-error", "al", "reading", "meter"}

func methodNames() []string {
	names := make([]string, len(Methods))
	for i, m := range Methods {
		names[i] = m.Name
	}
	return names
}

// Command turns readings of the bench into figures with their bands.
func Command(env *frame.Environment) *cli.Command {
	var list string
	for _, m := range Methods {
		list += fmt.Sprintf("\n  %-13s%s", m.Name, m.What)
	}
	return &cli.Command{
		ArgsUsage: "METHOD",
		Description: "Works out a figure from what instruments showed: its best value, the band " +
			"it lies in 19 times out of 20, " +
			"and what would narrow the band most. --store LOT keeps it in that lot as measured. " +
			"An error is typed behind a " +
			"reading, such as 2.44ohm+-1%. The methods:\n" + list,
		UsageText: "sparewright identify core --a 25.1 --b 12.5 --c 7.2 --f 7.3 --family E\n" +
			"sparewright identify al --reading 10=14.2uH --reading 20=56.9uH --meter 2%\n" +
			"sparewright identify gap --shape E25/13/7 --grade N87 --reading 40=420uH\n" +
			"sparewright identify gap --shape E25/13/7 --turns 40 --film 0.1mm+-5% --step " +
			"0=548uH --step 1=307uH --step 2=227uH\n" +
			"sparewright identify permeability --shape E25/13/7 --al 2000nH\n" +
			"sparewright identify saturation --shape E25/13/7 --turns 60 --volts 24V --time 50us " +
			"--knee 1.5A --ohms 1.2ohm\n" +
			"sparewright identify wire --ohms 2.44ohm --length 10m\n" +
			"sparewright identify spool --mass 310g --empty 55g --diameter 0.3\n" +
			"sparewright identify film --stack 0.44mm --layers 8\n" +
			"sparewright identify inductance --resonance 10nF+-1%=50.3kHz",
		Flags:  identifyFlags(),
		Action: env.Action(1, 1, func(c *cli.Context) error { return identify(env, c) }),
	}
}

// lengthOption is an option for a caliper reading in millimetres.
func lengthOption(name, usage string) cli.Flag {
	return &cli.GenericFlag{Name: name, Value: &Reading[si.Length]{Unit: typed.Millimetres},
		Usage: usage}
}

// Option is an option for a reading; the unit says how a bare number is read.
func Option[Q si.Quantity](name, usage string, unit typed.Unit) cli.Flag {
	return &cli.GenericFlag{Name: name, Value: &Reading[Q]{Unit: unit}, Usage: usage}
}

func identifyFlags() []cli.Flag {
	var flags []cli.Flag
	for _, side := range []struct{ name, usage string }{
		{"a", "overall width in `MM`"}, {"b", "height of one half in `MM`"}, {"c", "depth in `MM`"},
		{"d", "window height of one half in `MM`"},
		{"e", "distance between the outer legs in `MM`"},
		{"f", "centre leg, width or diameter, in `MM`"},
		{"i", "thickness of the bar of an EI set in `MM`"},
		{"k", "thickness of a flat centre leg in `MM`"},
		{"caliper", "error of one caliper reading in `MM` (0.1 when not given)"},
	} {
		flags = append(flags, lengthOption(side.name, side.usage))
	}
	return append(flags,
		&cli.GenericFlag{Name: "family", Value: &frame.Choice{Words: familyWords()},
			Usage: "`WORD` for the family of the shape"},
		&cli.GenericFlag{Name: "reading", Value: &frame.Texts{},
			Usage: "`TURNS=INDUCTANCE` of a test winding; may be repeated"},
		Option[si.Ratio]("meter", "error of the inductance meter, `PERCENT` (2% when not given)",
			typed.Error),
		&cli.StringFlag{Name: "shape", Usage: "`NAME` of the standard shape of the pair"},
		&cli.StringFlag{Name: "core",
			Usage: "`LOT` of the pair in the drawer, in place of --shape"},
		Option[si.Ratio]("area-error", "error of the effective area, `PERCENT` (3% when not given)",
			typed.Error),
		Option[si.InductanceFactor]("al",
			"inductance factor, `HENRY` per turn squared, in place "+
				"of --reading", typed.Nanohenries),
		&cli.StringFlag{Name: "grade", Usage: "`NAME` of the ferrite grade"},
		Option[si.Ratio]("mu", "initial permeability, `NUMBER` such as 2300+-25%, in "+
			"place of --grade", typed.Base),
		Option[si.Length]("joint", "joint of clean faces as one gap, `LENGTH` (7um within 4 to "+
			"11 when not given)", typed.Micrometres),
		&cli.GenericFlag{Name: "step", Value: &frame.Texts{},
			Usage: "`FILMS=INDUCTANCE` with so many films in; may be repeated"},
		&cli.GenericFlag{Name: "turns", Value: &frame.Whole{Low: 1, High: 10000},
			Usage: "`N` turns of the winding"},
		Option[si.Length]("film", "thickness of one film, `LENGTH` such as 0.1mm or 50um",
			typed.Thickness),
		Option[si.Voltage]("volts", "`VOLTS` of the pulse", typed.Base), Option[si.Time]("time",
			"`TIME` from its start to the knee", typed.Microseconds),
		Option[si.Current]("knee", "`CURRENT` at the knee",
			typed.Base), Option[si.Resistance]("ohms", "`OHMS` of the copper", typed.Base),
		Option[si.Area]("area", "section of the pair, `AREA`, in place of --shape",
			typed.SquareMillimetres),
		Option[si.Length]("length", "`LENGTH` of the wire", typed.Base), Option[si.Mass]("mass",
			"`MASS`, with the spool for spool", typed.Mass),
		Option[si.Mass]("empty", "`MASS` of the empty spool", typed.Mass), lengthOption("diameter",
			"copper diameter in `MM`"),
		Option[si.Celsius]("temperature",
			"`TEMPERATURE` of the wire (20C within 5 when not given)", typed.Base),
		Option[si.Inductance]("before", "`INDUCTANCE` without the film",
			typed.Henries), Option[si.Inductance]("after", "`INDUCTANCE` with it", typed.Henries),
		lengthOption("stack", "thickness of the folded stack in `MM` (error 0.02 mm "+
			"when not typed)"),
		&cli.GenericFlag{Name: "layers", Value: &frame.Whole{Low: 1, High: 1000},
			Usage: "`N` layers of the stack"},
		&cli.GenericFlag{Name: "resonance", Value: &frame.Texts{},
			Usage: "`CAPACITOR=FREQUENCY`; may be given twice"},
		Option[si.Capacitance]("stray", "capacitance of winding and leads, `FARAD` (30pF within "+
			"30 when not given)", typed.Picofarads),
		&cli.StringFlag{Name: "store", Usage: "keep the answer in the lot with the number " +
			"`LOT`, as measured"},
		frame.DrawersFlag(), frame.DemoFlag("look --core up in the built-in drawer"),
		frame.JSONFlag(),
		frame.HeaderFlag(), frame.ColourFlag())
}

func familyWords() []string {
	f, _ := catalog.FieldNamed(catalog.KindCore, "family")
	return f.Words
}

// identifying is one call of identify.
type identifying struct {
	env *frame.Environment
	c   *cli.Context
}

// valueOf returns the reading of an option.
func valueOf[Q si.Quantity](id *identifying, name string) *Reading[Q] {
	return id.c.Generic(name).(*Reading[Q])
}

func (id *identifying) list(name string) frame.Texts { return *id.c.Generic(name).(*frame.Texts) }

func (id *identifying) number(name string) int { return id.c.Generic(name).(*frame.Whole).Value }

// need refuses a call that lacks an option.
func (id *identifying) need(names ...string) error {
	for _, n := range names {
		if !id.c.IsSet(n) {
			return frame.WrongCall("--"+n, "",
				"missing; "+id.c.Args().First()+" needs it").Try("sparewright help identify")
		}
	}
	return nil
}

// identified is one figure of an answer with its band, in the base unit.
type identified struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Unit  string  `json:"unit"`
	text  [3]string
}

// asFigure words an estimate.
func asFigure[Q si.Quantity](name string, e magnetics.Estimate[Q]) identified {
	return identified{name, float64(e.Value), float64(e.Band.Low), float64(e.Band.High),
		si.DimensionOf[Q]().ASCII,
		[3]string{si.Text(e.Value), si.Text(e.Band.Low), si.Text(e.Band.High)}}
}

// shapeMatch is one shape beside the caliper readings.
type shapeMatch struct {
	Shape      string             `json:"shape"`
	Score      float64            `json:"score"`
	Mismatches map[string]float64 `json:"mismatch_m"` // read less listed, by letter
	line       string
}

// finding is what a method found.
type finding struct {
	Figures []identified      `json:"figures"`
	Shapes  []shapeMatch      `json:"shapes,omitempty"`
	Shares  []magnetics.Share `json:"-"`
	Notes   []string          `json:"notes,omitempty"`

	kind   catalog.Kind            // what may be stored into
	store  []inventory.Measurement // what --store keeps
	words  []catalog.Entry         // of a core: shape or family, for a lot whose shape is not known
	metres *float64                // of spool: the new count of the lot
}

// keeps notes an estimate to be stored as the figure of a part, with the digits of what is worked
// out.
func keeps[Q si.Quantity](f *finding, field string, e magnetics.Estimate[Q]) {
	value := si.Derived(float64(e.Value))
	f.store = append(f.store, inventory.Measurement{Field: field, Value: value,
		Error: max(si.Derived(float64(e.Error())),
			inventory.MinMeterError), Text: si.FormatExact(Q(value))})
}

func identify(env *frame.Environment, c *cli.Context) error {
	name := c.Args().First()
	i := slices.IndexFunc(Methods, func(m Method) bool { return m.Name == name })
	if i < 0 {
		return frame.WrongCall("identify", name,
			"no such method; use one of "+strings.Join(methodNames(), ", ")+
				frame.DidYouMean("", name, methodNames()))
	}
	if err := refuseOthers(c, Methods[i]); err != nil {
		return err
	}
	if c.IsSet("store") {
		if err := drawer.RefuseDemo(c); err != nil {
			return err
		}
	}
	f, err := Methods[i].run(&identifying{env, c})
	if err != nil {
		return frame.AsCallError(err)
	}
	f.Notes = append(f.Notes, frame.SaidOf(c)...)
	stored, err := storeFinding(env, c, f)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.JSON(findingDocument(name, f, stored))
	}
	return sayFinding(env, c, f, stored)
}

// refuseOthers refuses options another method uses: they would be ignored without a word.
func refuseOthers(c *cli.Context, m Method) error {
	general := []string{"store", "drawers", "demo", "json", "header", "color"}
	for _, flag := range c.Command.Flags {
		n := flag.Names()[0]
		if c.IsSet(n) && !slices.Contains(m.Options, n) && !slices.Contains(general, n) {
			return frame.WrongCall("--"+n, "",
				"identify "+m.Name+" has no use for it; it uses --"+strings.Join(m.Options, ", --"))
		}
	}
	return nil
}

// storeFinding keeps the finding in the lot of --store and says so.
func storeFinding(env *frame.Environment, c *cli.Context, f finding) (string, error) {
	if !c.IsSet("store") {
		return "", nil
	}
	id, err := drawer.LotNumber(c.String("store"))
	if err != nil {
		return "", err
	}
	if len(f.store) == 0 && len(f.words) == 0 && f.metres == nil {
		return "", frame.WrongCall("--store", c.String("store"),
			"there is nothing in this answer that a lot keeps")
	}
	var said string
	err = drawer.Changing(env, c, func(s *sqlite.Store) error {
		l, err := s.Lot(env.Ctx, id)
		if err != nil {
			return err
		}
		if l.Part.Kind() != f.kind {
			return frame.WrongCall("--store", c.String("store"),
				fmt.Sprintf("the lot is %s, not %s", l.Part.Kind().WithArticle(),
					f.kind.WithArticle()))
		}
		if f.metres != nil {
			said, err = storeMetres(env, s, l, *f.metres)
			return err
		}
		return s.Together(env.Ctx, "change", "identify", env.Now(), func(s *sqlite.Store) error {
			if said, err = storeReadings(env, s, l, f.store); err != nil || len(f.words) == 0 {
				return err
			}
			more, err := storeWords(env, s, l, f.words)
			said += more
			return err
		})
	})
	return said, err
}

// shareJSON is what a part of the band comes from.
type shareJSON struct {
	Input string  `json:"input"`
	Part  float64 `json:"part"`
	Cure  string  `json:"cure"`
}

// FindingJSON is the answer of identify.
type FindingJSON struct {
	Method string `json:"method"`
	finding
	Causes []shareJSON `json:"band_from"`
	Stored string      `json:"stored,omitempty"`
}

func findingDocument(name string, f finding, stored string) FindingJSON {
	doc := FindingJSON{Method: name, finding: f, Causes: []shareJSON{}, Stored: stored}
	if doc.Figures == nil {
		doc.Figures = []identified{}
	}
	for _, s := range f.Shares {
		doc.Causes = append(doc.Causes, shareJSON{s.Input, float64(s.Part), s.Cure})
	}
	return doc
}

// sayFinding prints the figures, what limits them and what was kept.
func sayFinding(env *frame.Environment, c *cli.Context, f finding, stored string) error {
	for _, s := range f.Shapes {
		fmt.Fprintln(&env.Out, s.line)
	}
	if len(f.Figures) > 0 {
		t := ui.Table{Columns: []ui.Column{{Title: "FIGURE"}, {Title: "VALUE", Number: true},
			{Title: "FROM", Number: true},
			{Title: "TO", Number: true}}}
		for _, x := range f.Figures {
			t.Rows = append(t.Rows, append([]string{x.Name}, x.text[:]...))
		}
		if err := t.Write(&env.Out, env.Screen(c), c.Bool("header")); err != nil {
			return err
		}
	}
	if len(f.Shares) > 0 && f.Shares[0].Part > 0 {
		fmt.Fprintf(&env.Out, "%s of the band comes from: %s; %s\n",
			si.Percent(f.Shares[0].Part, 2), f.Shares[0].Input,
			f.Shares[0].Cure)
	}
	for _, n := range f.Notes {
		fmt.Fprintf(&env.Out, "note: %s\n", ui.Safe(n))
	}
	switch {
	case stored != "":
		fmt.Fprintln(&env.Out, stored)
	case len(f.store) > 0 || f.metres != nil:
		fmt.Fprintf(&env.Out, "keep it: the same with --store LOT (a lot of kind %s)\n", f.kind)
	}
	return nil
}
