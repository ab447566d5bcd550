package bench

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// Command logs parts as fast as they can be read aloud: one line a lot, answered at once.
func Command(env *frame.Environment) *cli.Command {
	return &cli.Command{
		Description: "Reads lines until the end of the file, such as r 4k7 1% x20 B4. Every line " +
			"is stored and answered at " +
			"once. A line that is not understood changes nothing, says why on standard error, " +
			"and makes the exit status 3 at " +
			"the end; the others are kept. bin NAME, donor \"NAME\" and condition WORD hold for " +
			"the lines that follow, also " +
			"within one line for that line. With a donor in force whose plate is known, the word " +
			"plate on a line stands for " +
			"figures that are not printed on the part: at least what the plate says, as an " +
			"estimate. undo takes back the last " +
			"line about a part, undo 3 the last three. help lists the forms. # opens a comment. " +
			"At the keyboard the count of " +
			"lots entered stands before each line, exit or quit ends the session, and its exit " +
			"status is 0 whatever was mistyped.",
		UsageText: "printf 'bin B4\\nr 4k7 1%% x20\\nd UF4007 x4\\n' | sparewright bench\n" +
			"echo 'r brown-black-orange-gold x12' | sparewright bench --donor \"router " +
			"brick\" --json",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the bin to begin with"},
			&cli.StringFlag{Name: "donor", Usage: "`NAME` of the donor to begin with"},
		}, frame.WritingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error { return bench(env, c) }),
	}
}

// bench runs the session. The answers go to standard output line by line, before the outcome of the
// whole is known.
func bench(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	set := Setting{bin: c.String("bin"), donor: c.String("donor")}
	if err := errors.Join(inventory.CheckName("bin", set.bin),
		inventory.CheckName("donor", set.donor)); err != nil {
		return err
	}
	return drawer.Filling(env, c, func(s *sqlite.Store) error {
		b := &benchSession{env: env, store: s, set: set, quiet: c.Bool("json")}
		b.typing = b.atKeyboard()
		err := b.readPlates()
		if err == nil {
			err = b.run()
		}
		if c.Bool("json") && err == nil {
			if err := ui.WriteJSON(env.Stdout, ui.Numbered(b.document())); err != nil {
				return frame.NotWritten("standard output", "", err)
			}
		}
		if err == nil && b.faulty > 0 && !b.typing {
			err = frame.BadData("bench", "", fmt.Sprintf(
				"%d of %d lines not understood; the others are kept", b.faulty, b.line))
		}
		return err
	})
}

// benchSession is one run of bench.
type benchSession struct {
	env    *frame.Environment
	store  *sqlite.Store
	set    Setting
	quiet  bool // with --json the answers are collected
	typing bool // lines are typed and answers read by a person
	line   int
	faulty int
	stored []benchMove // what undo can take back, oldest first
	log    []benchAnswer
	unsaid error // why an answer could not be written
}

// benchMove is one movement of this session.
type benchMove struct {
	line  int
	batch int64
}

// benchAnswer is one answered line of --json.
type benchAnswer struct {
	Line    int               `json:"line"`
	Text    string            `json:"text"`
	OK      bool              `json:"ok"`
	Answer  string            `json:"answer"`
	Added   float64           `json:"added,omitempty" figures:"entered"`
	Remarks []string          `json:"remarks,omitempty"`
	Lot     *exchange.LotJSON `json:"lot,omitempty"`
}

// Document is the answer of bench: the lines it took and what became of them.
type Document struct {
	Lines  int           `json:"lines"`
	Faulty int           `json:"faulty"`
	Log    []benchAnswer `json:"answers"`
}

func (b *benchSession) document() Document { return Document{b.line, b.faulty, b.log} }

// run reads to the end of the input. Only what makes every further line pointless ends it early: an
// interrupt, or a drawer file that cannot be written any more.
func (b *benchSession) run() error {
	in := bufio.NewReaderSize(b.env.Stdin, 2*longestBenchLine)
	if err := b.welcome(); err != nil {
		return err
	}
	for {
		if err := b.prompt(); err != nil {
			return err
		}
		text, err := readBenchLine(in)
		if text == "" && errors.Is(err, io.EOF) {
			return b.farewell(true)
		}
		if b.typing && leaves(text) {
			return b.farewell(false)
		}
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, errLongLine) {
			return err
		}
		b.line++
		answer, lineErr := b.answer(text, err)
		if fatal := fatalAtBench(lineErr); fatal != nil {
			return fatal
		}
		b.say(text, answer, lineErr)
		if b.unsaid != nil {
			return b.unsaid
		}
		if errors.Is(err, io.EOF) {
			return b.farewell(true)
		}
	}
}

// errLongLine marks a line that was cut.
var errLongLine = errors.New("line too long")

// readBenchLine reads one line without its end. The rest of a line that is too long is read over.
func readBenchLine(in *bufio.Reader) (string, error) {
	text, err := in.ReadSlice('\n')
	line := strings.TrimRight(string(text), "\r\n")
	if errors.Is(err, bufio.ErrBufferFull) {
		for errors.Is(err, bufio.ErrBufferFull) {
			_, err = in.ReadSlice('\n')
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return line, err
		}
		return line, errLongLine
	}
	return line, err
}

// fatalAtBench keeps the errors that end the session.
func fatalAtBench(err error) error {
	var open inventory.OpenError
	if errors.As(err, &open) || errors.Is(err, context.Canceled) {
		return err
	}
	return nil
}

// answer does what a line asks for.
func (b *benchSession) answer(text string, readErr error) (benchAnswer, error) {
	out := benchAnswer{Line: b.line, Text: text}
	switch {
	case errors.Is(readErr, errLongLine) || len(text) > longestBenchLine:
		return out, frame.WrongCall("line", text,
			fmt.Sprintf("longer than %d bytes", longestBenchLine))
	case !utf8.ValidString(text):
		return out, frame.WrongCall("line", text, "not valid UTF-8")
	}
	if leaves(text) {
		return out, noExit(text)
	}
	a, err := ParseLine(text, b.set)
	if err != nil {
		return out, err
	}
	switch a.Verb {
	case "nothing":
		return out, nil
	case "help":
		out.Answer = benchHelp()
		if b.typing {
			out.Answer += "; exit"
		}
	case "undo":
		out.Answer, err = b.undo(a.steps)
	case "put":
		return b.put(a, out)
	default:
		out.Answer, err = b.setting(a)
	}
	return out, err
}

// readPlates reads what is known of the donors, so that a line can take a figure from the plate of
// one.
func (b *benchSession) readPlates() error {
	donors, err := b.store.Donors(b.env.Ctx)
	b.set.plates = map[string]inventory.Plate{}
	for _, d := range donors {
		b.set.plates[d.Name] = inventory.ParsePlate(d.Plate)
	}
	return err
}

// setting keeps bin, donor or condition for the lines that follow.
func (b *benchSession) setting(a Action) (string, error) {
	if a.donor.Name != "" {
		if err := b.describe(a.donor); err != nil {
			return "", err
		}
	}
	b.set = a.setting
	value := map[string]string{"bin": b.set.bin, "donor": b.set.donor,
		"condition": string(b.set.condition)}[a.Verb]
	if value == "" {
		return "no " + a.Verb + " from here on", nil
	}
	text := a.Verb + " " + frame.Quoted(value) + " from here on"
	p, known := b.set.plates[b.set.donor]
	switch {
	case a.Verb != "donor":
	case !known:
		text += "; no such donor so far" +
			frame.DidYouMean("", b.set.donor, slices.Sorted(maps.Keys(b.set.plates)))
	case p.Known() || a.donor.Plate != "":
		text += "; plate: " + keep.PlateText(p)
	}
	return text, nil
}

// describe notes what a line said of a donor; what it did not mention stays as it was.
func (b *benchSession) describe(d inventory.Donor) error {
	said := func(text string) *string {
		if text == "" {
			return nil
		}
		return &text
	}
	d, _, err := b.store.EditDonor(b.env.Ctx, d.Name,
		sqlite.DonorChange{Was: said(d.Was), Plate: said(d.Plate), State: said(d.State),
			Note: said(d.Note)}, b.env.Now())
	if err == nil {
		b.set.plates[d.Name] = inventory.ParsePlate(d.Plate)
	}
	return err
}

// put stores a lot and words what was understood.
func (b *benchSession) put(a Action, out benchAnswer) (benchAnswer, error) {
	ids, number, err := b.store.PutBatch(b.env.Ctx, []inventory.Lot{a.Lot},
		fmt.Sprintf("bench line %d", b.line), b.env.Now())
	if err != nil {
		return out, err
	}
	after, err := b.store.Lot(b.env.Ctx, ids[0])
	if err != nil {
		return out, err
	}
	b.stored = append(b.stored, benchMove{b.line, number})
	if _, known := b.set.plates[after.Donor]; !known {
		b.set.plates[after.Donor] = inventory.Plate{}
	}
	doc := exchange.LotDocument(after)
	out.Lot, out.Added, out.Remarks = &doc, a.Lot.Count, a.remarks
	out.Answer = fmt.Sprintf("put in %s: %s; %s", drawer.Counted(a.Lot.Count, after.Unit()),
		partText(after), placeText(after))
	return out, nil
}

// partText writes a part on one line: kind, name and what is known.
func partText(l inventory.Lot) string {
	text := string(l.Part.Kind()) + " " + frame.Quoted(l.Part.Designation())
	for i, v := range catalog.Describe(l.Part).Values {
		if i == 6 {
			text += " ..."
			break
		}
		text += ", " + strings.ReplaceAll(v.Field, "_", " ") + " " +
			keep.WithBasis(drawer.FigureText(l.Part.Kind(), v), v.Basis)
	}
	for _, m := range l.Measured {
		text += ", measured " + keep.ReadingText(l.Part.Kind(), m)
	}
	return text
}

// placeText says where a lot is and how much it holds.
func placeText(l inventory.Lot) string {
	text := fmt.Sprintf("lot %d", l.ID)
	if l.Bin != "" {
		text += " in bin " + frame.Quoted(l.Bin)
	}
	if l.Donor != "" {
		text += " from " + frame.Quoted(l.Donor)
	}
	return text + " holds " + drawer.Counted(l.Count, l.Unit())
}

// undo takes back the last lines about parts by contrary movements, the last one first, whole or
// not at all. The ledger keeps both.
func (b *benchSession) undo(steps int) (string, error) {
	if steps > len(b.stored) {
		return "", frame.WrongCall("undo", "",
			fmt.Sprintf("%d asked, %d stored in this session are left to take back; "+
				"sparewright undo goes further back", steps, len(b.stored)))
	}
	last := slices.Clone(b.stored[len(b.stored)-steps:])
	slices.Reverse(last)
	numbers := make([]int64, steps)
	for i, m := range last {
		numbers[i] = m.batch
	}
	done, err := b.store.UndoBatches(b.env.Ctx, numbers, b.env.Now())
	if errors.Is(err, inventory.ErrNothingToUndo) {
		return "", frame.WrongCall("undo", "",
			"taken back already from elsewhere; history shows it")
	}
	if err != nil {
		return "", err
	}
	b.stored = b.stored[:len(b.stored)-steps]
	var said []string
	for i, u := range done {
		m := u.Moves[0]
		l := u.Lots[m.Lot]
		said = append(said, fmt.Sprintf("took back line %d: %s of lot %d, %s now", last[i].line,
			drawer.Counted(m.Delta, l.Unit()), m.Lot,
			drawer.Counted(l.Count, l.Unit())))
	}
	return strings.Join(said, "; "), nil
}

// say answers one line at once: what was understood on standard output, what was wrong on standard
// error.
func (b *benchSession) say(text string, a benchAnswer, err error) {
	a.OK = err == nil
	if err != nil {
		b.faulty++
		a.Answer = strings.Join(frame.FaultsOf(err), "; ")
		for _, fault := range frame.FaultsOf(err) {
			fmt.Fprintf(b.env.Stderr, "sparewright: line %d: %s\n", b.line, ui.Safe(fault))
		}
	}
	if b.quiet {
		if a.Answer != "" {
			b.log = append(b.log, a)
		}
		return
	}
	if err != nil || a.Answer == "" {
		return
	}
	text, opening := "", fmt.Sprintf("%d: ", b.line)
	for line := range strings.SplitSeq(a.Answer, "\n") {
		text += opening + ui.Safe(line) + "\n"
		opening = "   "
	}
	for _, r := range a.Remarks {
		text += "   note: " + ui.Safe(r) + "\n"
	}
	b.unsaid = b.tell(text)
}

// tell writes an answer out at once. When it cannot be written the session ends: whoever types on
// would not know what is stored.
func (b *benchSession) tell(text string) error {
	_, err := io.WriteString(b.env.Stdout, b.env.Fitted(text))
	if frame.WrittenOrUnread(err) {
		return nil
	}
	return frame.NotWritten("standard output", "", err)
}

// benchHelp lists the forms of a line, one example each.
func benchHelp() string {
	lines := []string{"one line a lot; words in any order after the first:"}
	for _, f := range benchOrder {
		lines = append(lines, "  "+f.form.sample)
	}
	return strings.Join(append(lines,
		"  a listed part or a type name alone: LM358 x3, 1N5822 x4, P6KE200A, EF20 N87",
		"  count: x20, 20x, some, plenty, 10+; wire and tape in metres: 40m",
		"  also: bin B4, donor \"router brick\", tested, note \"short legs\", measured "+
			"4.68k+-0.5%, figure=value",
		"  plate: figures not printed on the part, at least what the donor's plate says: "+
			"c 470u plate",
		"  alone: bin B4; donor \"router brick\" was \"wall adapter\" plate \"12 V 1 A\" dead; "+
			"condition tested;",
		"  undo; undo 3"), "\n")
}
