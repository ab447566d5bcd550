package main

import (
	"bytes"
	"context"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/find"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory/exchange"
	"sparewright/substitute/advise"
)

// trial is how the tests that hold for every command call one so that it works.
type trial struct {
	operands []string
	// each with its value; where the drawer is and --json are added by the tests
	options [][]string
	stdin   string
	status  int
	aside   bool // parts are set aside under the name trial before
	// schemas of other documents of the command, with the words that ask for them
	also map[string][]string
	back bool // the last change was taken back before
	few  bool // try it on a drawer of few lots, because it searches long
	// try it on a drawer of the lots that make the usual charger, for the same reason
	enough bool
	keeps  bool   // it changes nothing, so one drawer serves many calls
	schema string // the schema of its document, a file of testdata/schema
	noJSON string // why it has no document, where it has none
}

// opts takes options apart, each at its first blank.
func opts(list ...string) [][]string {
	var out [][]string
	for _, o := range list {
		out = append(out, strings.SplitN(o, " ", 2))
	}
	return out
}

// wantedAnd are the options of the usual charger and others.
func wantedAnd(list ...string) [][]string { return slices.Concat(wanted, opts(list...)) }

var (
	wanted    = opts("--chemistry li-ion", "--cells 4", "--current 1A")
	bookOnly  = "prints a text of the program about itself"
	forShells = "prints what shells read"
)

// trials has every command of the program. TestEveryCommandHasATrial says what is missing: whoever
// adds a command adds a line here and gets the tests of order, help, hostile text, width, files and
// documents for it.
var trials = map[string]trial{
	"put": {operands: []string{"resistor", "10k odd", "resistance=10k"},
		options: opts("--count 3", "--bin Z9"),
		schema:  "put"},
	"take":   {operands: []string{"1", "1"}, options: opts("--reason trial"), schema: "take"},
	"change": {operands: []string{"9"}, options: opts("--condition tested", "--note trial"), schema: "change"},
	"bench":  {options: opts("--bin Z9", "--donor brick"), stdin: "r 10k x3\nfuse T1A\n", schema: "bench"},
	"undo":   {operands: []string{"1"}, schema: "undo"},
	"redo":   {operands: []string{"1"}, back: true, schema: "redo"},
	"donor": {operands: []string{"laptop brick 19 V 3.4 A, no. 5"},
		options: opts("--color never", "--header"), keeps: true,
		schema: "donor"},
	"list":    {operands: []string{"resistor"}, options: opts("--between 1k-10k", "--header"), keeps: true, schema: "list"},
	"show":    {operands: []string{"9"}, options: opts("--header", "--color never"), keeps: true, schema: "show"},
	"history": {options: opts("--last 3", "--header"), keeps: true, schema: "history"},
	"labels": {operands: []string{"1", "2", "100"},
		options: opts("--paper Letter", "-o out"), keeps: true,
		schema: "labels"},
	"import": {operands: []string{"more.csv"}, options: opts("--dry-run"), schema: "import"},
	"export": {options: opts("--raw", "-o out"), keeps: true, noJSON: "is itself a form for machines"},
	"advise": {options: wantedAnd("--builds 3"), enough: true, keeps: true, schema: "advise"},
	"survey": {options: opts("--ambient 30", "--case vented"), few: true,
		status: frame.StatusNothing, keeps: true,
		schema: "survey"},
	"shop":    {options: wantedAnd("-o out"), enough: true, keeps: true, schema: "shop"},
	"sheet":   {options: wantedAnd("--reserved trial", "-o out"), aside: true, keeps: true, schema: "sheet"},
	"netlist": {options: wantedAnd("--reserved trial", "-o out"), aside: true, keeps: true, schema: "netlist"},
	"tune":    {options: wantedAnd("--reserved trial", "--reading sheet=333uH"), aside: true, keeps: true, schema: "tune"},
	"decode": {operands: []string{"brown-black-orange-gold"},
		options: opts("--header", "--color never"), keeps: true,
		schema: "decode"},
	"identify": {operands: []string{"wire"},
		options: opts("--ohms 2.44ohm", "--length 10m"), keeps: true,
		schema: "identify"},
	"check":   {keeps: true, schema: "check"},
	"backup":  {operands: []string{"copy.db"}, options: opts("--force"), schema: "backup"},
	"restore": {operands: []string{"saved.db"}, options: opts("--color never"), schema: "restore"},
	"network": {operands: []string{"12.1k"}, options: opts("--tolerance 2%", "--parts 2"), keeps: true, schema: "network"},
	"bend":    {operands: []string{"281"}, options: opts("--volts 13", "--current 1A"), keeps: true, schema: "bend"},
	"plan":    {options: opts("--want li-ion 2 500mA", "--limit 9s"), few: true, status: frame.StatusNothing, schema: "plan"},
	"swap": {options: wantedAnd("--role output rectifier"), enough: true, keeps: true,
		schema: "swap",
		also: map[string][]string{"swapoutside": {"--kind", "rectifier", "--need",
			"reverse>=60V average>=3A"}}},
	"reserve": {options: wantedAnd("--as trial"), enough: true, schema: "reserved"},
	"reserved": {operands: []string{"trial"}, options: opts("--header", "--color never"),
		aside: true, keeps: true,
		schema: "reserved"},
	"release":    {operands: []string{"trial"}, options: opts("--dry-run", "--header"), aside: true, schema: "reserved"},
	"consume":    {operands: []string{"trial"}, options: opts("--color never", "--header"), aside: true, schema: "reserved"},
	"help":       {operands: []string{"list"}, keeps: true, noJSON: bookOnly},
	"completion": {operands: []string{"bash"}, keeps: true, noJSON: forShells},
	"complete":   {operands: []string{"zsh", "adv"}, keeps: true, noJSON: forShells},
}

// theCommands makes the commands as a call gets them.
func theCommands() []*cli.Command {
	env := newEnvironment(context.Background(), strings.NewReader(""), &bytes.Buffer{},
		&bytes.Buffer{})
	var made []*cli.Command
	for _, e := range book() {
		made = append(made, e.Command(env))
	}
	return made
}

func TestEveryCommandHasATrial(t *testing.T) {
	names := map[string]bool{}
	for _, c := range theCommands() {
		names[c.Name] = true
		tr, ok := trials[c.Name]
		require.True(t, ok, "%s: add a line to trials (trials_test.go) that says how the common "+
			"tests call it", c.Name)
		require.Equal(t, hasFlag(c, "json"), tr.schema != "",
			"%s: a command with --json names its schema in trials, and only such a command", c.Name)
		if tr.schema == "" {
			require.NotEmpty(t, tr.noJSON,
				"%s prints and has no --json: add it, or say in trials why not", c.Name)
		}
	}
	for name := range trials {
		require.True(t, names[name], "trials speaks of %s, which is no command", name)
	}
}

func hasFlag(c *cli.Command, name string) bool {
	return slices.ContainsFunc(c.Flags, func(f cli.Flag) bool {
		return slices.Contains(f.Names(), name)
	})
}

// trialFolder is a folder with a drawer, drawers.db, and a file to import; the calls of a trial run
// in it.
func trialFolder(t *testing.T, tr trial) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "drawers.db"), tr.drawer(), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "saved.db"), allLots(), 0o644))
	const list = "kind,designation,count,figures\nresistor,1k odd,3,resistance=1k\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "more.csv"), []byte(list), 0o644))
	t.Chdir(dir)
	t.Setenv("SPAREWRIGHT_DRAWERS", "drawers.db")
	t.Setenv("COLUMNS", "")
	return dir
}

// drawer is the content of the drawer file of a trial: the built-in drawer, its first lots, those
// that make the usual charger, or these with parts set aside.
func (tr trial) drawer() []byte {
	switch {
	case tr.few:
		return fewLots()
	case tr.enough:
		return enoughLots()
	case tr.aside:
		return lotsAside()
	case tr.back:
		return lotsBack()
	}
	return allLots()
}

var (
	allLots = sync.OnceValue(func() []byte { return importedDrawer(everyLot) })
	fewLots = sync.OnceValue(func() []byte {
		return importedDrawer(func(lot int64) bool { return lot < 40 })
	})
	enoughLots = sync.OnceValue(func() []byte { return importedDrawer(ofUsualCharger()) })
	lotsBack   = sync.OnceValue(func() []byte { return importedDrawer(everyLot, "undo") })
	lotsAside  = sync.OnceValue(func() []byte {
		return importedDrawer(ofUsualCharger(), trials["reserve"].words("reserve")...)
	})
)

func everyLot(int64) bool { return true }

// ofUsualCharger picks the lots of the built-in drawer that some builds of four cells at 1 A take.
// They are searched in a moment, and the best build is that of the whole drawer.
func ofUsualCharger() func(int64) bool {
	const builds = 5
	wanted := find.NewTargetFlags().Conditions()
	wanted.Chemistry, wanted.Cells, wanted.Current = "li-ion", 4, 1
	usual, err := wanted.Resolve(0)
	if err != nil {
		panic(err)
	}
	taken := map[int64]bool{}
	all := find.Searches(usual, exchange.Demo(),
		advise.Options{Builds: find.MostBuilds, Buy: true}).Builds
	for i := range all[:builds] {
		for _, d := range all[i].Draws(exchange.Demo()) {
			taken[d.Lot] = true
		}
	}
	return func(lot int64) bool { return taken[lot] }
}

// importedDrawer imports the lots of the built-in drawer that are picked, a line of its list each,
// and then runs a command on it.
func importedDrawer(picks func(lot int64) bool, then ...string) []byte {
	dir, err := os.MkdirTemp("", "trial")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	lines := strings.SplitAfter(runWords("export", "--demo").stdout, "\n")
	text := lines[0]
	for i, line := range lines[1:] {
		if lot := int64(i + 1); picks(lot) {
			text += line
		}
	}
	list, drawer := filepath.Join(dir, "list.csv"), filepath.Join(dir, "drawers.db")
	if err := os.WriteFile(list, []byte(text), 0o644); err != nil {
		panic(err)
	}
	if got := runWords("import", list, "--drawers", drawer); got.status != 0 {
		panic(got.stderr)
	}
	if len(then) > 0 {
		if got := runWords(append(then, "--drawers", drawer)...); got.status != 0 {
			panic(got.stderr)
		}
	}
	content, err := os.ReadFile(drawer)
	if err != nil {
		panic(err)
	}
	return content
}

// call runs a command with the words of its trial, or others, and its standard input.
func (tr trial) call(words ...string) outcome {
	var out, errs bytes.Buffer
	status := run(context.Background(), strings.NewReader(tr.stdin), &out, &errs, words)
	return outcome{status, withoutFolder(out.String()), withoutFolder(errs.String())}
}

// withoutFolder leaves the folder of the trial out of what was printed: it is another one at every
// call.
func withoutFolder(text string) string {
	dir, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	return strings.ReplaceAll(text, dir, "FOLDER")
}

// words are the words of a trial with the options behind the operands.
func (tr trial) words(name string) []string {
	return slices.Concat([]string{name}, tr.operands, slices.Concat(tr.options...))
}

// toScreen are the words of a trial without the file it writes to.
func (tr trial) toScreen(name string) []string {
	kept := withoutOutput(tr.options)
	words := slices.Concat([]string{name}, tr.operands, slices.Concat(kept...))
	if len(kept) < len(tr.options) {
		words = append(words, "-o", "-")
	}
	return words
}

// document are the words of a trial for its document, which goes to standard output.
func (tr trial) document(name string) []string {
	return append(trial{operands: tr.operands, options: withoutOutput(tr.options)}.words(name),
		"--json")
}

// withoutOutput leaves the option for the file away.
func withoutOutput(options [][]string) [][]string {
	return slices.DeleteFunc(slices.Clone(options), func(o []string) bool { return o[0] == "-o" })
}

// everyTrial runs a test for every command, in the order of their names.
func everyTrial(t *testing.T, test func(t *testing.T, name string, tr trial)) {
	for _, name := range slices.Sorted(maps.Keys(trials)) {
		t.Run(name, func(t *testing.T) { test(t, name, trials[name]) })
	}
}
