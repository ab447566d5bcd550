package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// benchCommand logs parts as fast as they can be read aloud: one line a lot, answered at once.
func benchCommand(env *environment) *cli.Command {
	return &cli.Command{
		Name:     "bench",
		Category: groupDrawer,
		Usage:    "log parts from standard input, one line a lot",
		Description: "Reads lines until the end of the file, such as r 4k7 1% x20 B4. Every line is stored and answered at " +
			"once. A line that is not understood changes nothing, says why on standard error, and makes the exit status 3 at " +
			"the end; the others are kept. bin NAME, donor \"NAME\" and condition WORD hold for the lines that follow, also " +
			"within one line for that line. undo takes back the last line about a part, undo 3 the last three. help lists " +
			"the forms. # opens a comment.",
		UsageText: "printf 'bin B4\\nr 4k7 1%% x20\\nd UF4007 x4\\n' | sparewright bench\n" +
			"echo 'r brown-black-orange-gold x12' | sparewright bench --donor \"router brick\" --json",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the bin to begin with"},
			&cli.StringFlag{Name: "donor", Usage: "`NAME` of the donor to begin with"},
		}, writingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error { return bench(env, c) }),
	}
}

// bench runs the session. The answers go to standard output line by line, before the outcome of the whole is known.
func bench(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	set := benchSetting{bin: c.String("bin"), donor: c.String("donor")}
	if err := errors.Join(inventory.CheckName("bin", set.bin), inventory.CheckName("donor", set.donor)); err != nil {
		return err
	}
	return env.filling(c, func(s *sqlite.Store) error {
		b := &benchSession{env: env, store: s, set: set, quiet: c.Bool("json")}
		err := b.run()
		if c.Bool("json") && err == nil {
			if err := ui.WriteJSON(env.stdout, b.document()); err != nil {
				return notWritten("standard output", "", err)
			}
		}
		if err == nil && b.faulty > 0 {
			err = badData("bench", "", fmt.Sprintf("%d of %d lines not understood; the others are kept", b.faulty, b.line))
		}
		return err
	})
}

// benchSession is one run of bench.
type benchSession struct {
	env    *environment
	store  *sqlite.Store
	set    benchSetting
	quiet  bool // with --json the answers are collected
	line   int
	faulty int
	stored []benchMove // what undo can take back, oldest first
	log    []benchAnswer
}

// benchMove is one movement of this session.
type benchMove struct {
	line  int
	lot   int64
	count float64
}

// benchAnswer is one answered line of --json.
type benchAnswer struct {
	Line    int               `json:"line"`
	Text    string            `json:"text"`
	OK      bool              `json:"ok"`
	Answer  string            `json:"answer"`
	Added   float64           `json:"added,omitempty"`
	Remarks []string          `json:"remarks,omitempty"`
	Lot     *exchange.LotJSON `json:"lot,omitempty"`
}

type benchJSON struct {
	Lines  int           `json:"lines"`
	Faulty int           `json:"faulty"`
	Log    []benchAnswer `json:"answers"`
}

func (b *benchSession) document() benchJSON { return benchJSON{b.line, b.faulty, b.log} }

// run reads to the end of the input. Only what makes every further line pointless ends it early: an interrupt, or a drawer
// file that cannot be written any more.
func (b *benchSession) run() error {
	in := bufio.NewReaderSize(b.env.stdin, 2*longestBenchLine)
	for {
		text, err := readBenchLine(in)
		if text == "" && errors.Is(err, io.EOF) {
			return nil
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
		if errors.Is(err, io.EOF) {
			return nil
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
		return out, wrongCall("line", text, fmt.Sprintf("longer than %d bytes", longestBenchLine))
	case !utf8.ValidString(text):
		return out, wrongCall("line", text, "not valid UTF-8")
	}
	a, err := parseBenchLine(text, b.set)
	if err != nil {
		return out, err
	}
	switch a.verb {
	case "nothing":
		return out, nil
	case "help":
		out.Answer = benchHelp()
	case "undo":
		out.Answer, err = b.undo(a.steps)
	case "put":
		return b.put(a, out)
	default:
		out.Answer, err = b.setting(a)
	}
	return out, err
}

// setting keeps bin, donor or condition for the lines that follow.
func (b *benchSession) setting(a benchAction) (string, error) {
	if a.donor.Name != "" {
		if err := b.store.DescribeDonor(b.env.ctx, a.donor); err != nil {
			return "", err
		}
	}
	b.set = a.setting
	value := map[string]string{"bin": b.set.bin, "donor": b.set.donor, "condition": string(b.set.condition)}[a.verb]
	if value == "" {
		return "no " + a.verb + " from here on", nil
	}
	return a.verb + " " + quoted(value) + " from here on", nil
}

// put stores a lot and words what was understood.
func (b *benchSession) put(a benchAction, out benchAnswer) (benchAnswer, error) {
	ids, err := b.store.Put(b.env.ctx, []inventory.Lot{a.lot}, fmt.Sprintf("bench line %d", b.line), b.env.now())
	if err != nil {
		return out, err
	}
	after, err := b.store.Lot(b.env.ctx, ids[0])
	if err != nil {
		return out, err
	}
	b.stored = append(b.stored, benchMove{b.line, after.ID, a.lot.Count})
	doc := exchange.LotDocument(after)
	out.Lot, out.Added, out.Remarks = &doc, a.lot.Count, a.remarks
	out.Answer = fmt.Sprintf("put in %s: %s; %s", counted(a.lot.Count, after.Unit()), partText(after), placeText(after))
	return out, nil
}

// partText writes a part on one line: kind, name and what is known.
func partText(l inventory.Lot) string {
	text := string(l.Part.Kind()) + " " + quoted(l.Part.Designation())
	for i, v := range catalog.Describe(l.Part).Values {
		if i == 6 {
			text += " ..."
			break
		}
		text += ", " + strings.ReplaceAll(v.Field, "_", " ") + " " + withBasis(figureText(l.Part.Kind(), v), v.Basis)
	}
	for _, m := range l.Measured {
		text += ", measured " + readingText(l.Part.Kind(), m)
	}
	return text
}

// placeText says where a lot is and how much it holds.
func placeText(l inventory.Lot) string {
	text := fmt.Sprintf("lot %d", l.ID)
	if l.Bin != "" {
		text += " in bin " + quoted(l.Bin)
	}
	if l.Donor != "" {
		text += " from " + quoted(l.Donor)
	}
	return text + " holds " + counted(l.Count, l.Unit())
}

// undo takes back the last lines about parts by contrary movements, the last one first. The ledger keeps both.
func (b *benchSession) undo(steps int) (string, error) {
	if steps > len(b.stored) {
		return "", wrongCall("undo", "", fmt.Sprintf("%d asked, %d stored in this session are left to take back; "+
			"use take LOT COUNT for older ones", steps, len(b.stored)))
	}
	if err := b.canUndo(b.stored[len(b.stored)-steps:]); err != nil {
		return "", err
	}
	var said []string
	for range steps {
		m := b.stored[len(b.stored)-1]
		after, err := b.store.Take(b.env.ctx, m.lot, m.count, fmt.Sprintf("undo bench line %d", m.line), b.env.now())
		if err != nil {
			return strings.Join(said, "; "), err
		}
		b.stored = b.stored[:len(b.stored)-1]
		said = append(said, fmt.Sprintf("took back line %d: %s of lot %d, %s now", m.line, counted(m.count, after.Unit()), m.lot,
			counted(after.Count, after.Unit())))
	}
	return strings.Join(said, "; "), nil
}

// canUndo checks before anything is moved that every lot still holds what came in, so that undo happens whole or not at all.
func (b *benchSession) canUndo(moves []benchMove) error {
	wanted := map[int64]float64{}
	for _, m := range moves {
		wanted[m.lot] += m.count
		l, err := b.store.Lot(b.env.ctx, m.lot)
		if err != nil {
			return err
		}
		if asked := inventory.RoundCount(wanted[m.lot]); asked > inventory.RoundCount(l.Available()) {
			return inventory.Overdraw{Lot: l.ID, Asked: asked, Available: l.Available(), SetAside: l.SetAside, Unit: l.Unit()}
		}
	}
	return nil
}

// say answers one line at once: what was understood on standard output, what was wrong on standard error.
func (b *benchSession) say(text string, a benchAnswer, err error) {
	a.OK = err == nil
	if err != nil {
		b.faulty++
		a.Answer = strings.Join(faultsOf(err), "; ")
		for _, fault := range faultsOf(err) {
			fmt.Fprintf(b.env.stderr, "sparewright: line %d: %s\n", b.line, ui.Safe(fault))
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
	for i, line := range strings.Split(a.Answer, "\n") {
		if i == 0 {
			fmt.Fprintf(b.env.stdout, "%d: %s\n", b.line, ui.Safe(line))
			continue
		}
		fmt.Fprintf(b.env.stdout, "   %s\n", ui.Safe(line))
	}
	for _, r := range a.Remarks {
		fmt.Fprintf(b.env.stdout, "   note: %s\n", ui.Safe(r))
	}
}

// benchHelp lists the forms of a line, one example each.
func benchHelp() string {
	lines := []string{"one line a lot; words in any order after the first:"}
	for _, f := range benchOrder {
		lines = append(lines, "  "+f.form.sample)
	}
	return strings.Join(append(lines,
		"  count: x20, 20x, some, plenty, 10+; wire and tape in metres: 40m",
		"  also: bin B4, donor \"router brick\", tested, note \"short legs\", measured 4.68k+-0.5%, figure=value",
		"  alone: bin B4; donor \"router brick\" plate \"12 V 1 A\" dead; condition tested; undo; undo 3"), "\n")
}
