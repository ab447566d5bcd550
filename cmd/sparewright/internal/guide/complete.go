package guide

import (
	"flag"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
)

// Suggestion is a word that may stand at the cursor, and what it means.
type Suggestion struct{ Word, About string } // About may be empty

// Suggestions is what may stand at the cursor: words, or a file.
type Suggestions struct {
	files bool
	Words []Suggestion // in the order they are shown
}

// typing is a line on its way: the command and what stands before the cursor.
type typing struct {
	env      *frame.Environment
	command  *cli.Command
	operands []string
	options  map[string]string // long name to value
	open     cli.Flag          // the option whose value is being typed
	literal  bool              // -- stood in the line
}

// Suggest says how the last of the words can go on. Whatever is wrong with the line means that
// nothing is suggested.
func Suggest(env *frame.Environment, words []string) Suggestions {
	current, before := words[len(words)-1], words[:len(words)-1]
	if len(before) == 0 {
		return going("", current, commandSuggestions(env))
	}
	entry, ok := env.EntryOf(before[0])
	if !ok || entry.Group == "" {
		return Suggestions{}
	}
	t := &typing{env: env, command: entry.Command(env), options: map[string]string{}}
	for _, w := range before[1:] {
		t.pass(w)
	}
	return t.at(current)
}

// pass takes a finished word.
func (t *typing) pass(word string) {
	switch {
	case t.open != nil:
		t.options[t.open.Names()[0]], t.open = word, nil
	case t.literal || !frame.LooksLikeOption(word):
		t.operands = append(t.operands, word)
	case word == "--":
		t.literal = true
	default:
		name, value, attached := strings.Cut(word, "=")
		f := frame.FindFlag(t.command, name)
		if f == nil {
			return
		}
		if frame.TakesValue(f) && !attached {
			t.open = f
			return
		}
		t.options[f.Names()[0]] = value
	}
}

// at suggests for the word at the cursor.
func (t *typing) at(current string) Suggestions {
	if t.open != nil {
		return t.value("", current, t.open)
	}
	if t.literal || !strings.HasPrefix(current, "-") {
		return t.operand(current)
	}
	if name, value, attached := strings.Cut(current, "="); attached {
		if f := frame.FindFlag(t.command, name); f != nil && frame.TakesValue(f) {
			return t.value(name+"=", value, f)
		}
		return Suggestions{}
	}
	var list []Suggestion
	for _, f := range t.command.Flags {
		visible, ok := f.(cli.VisibleFlag)
		_, given := t.options[f.Names()[0]]
		if ok && visible.IsVisible() && (!given || frame.Repeatable(f)) {
			_, usage := frame.ValueName(f.(cli.DocGenerationFlag).GetUsage())
			list = append(list, Suggestion{optionWord(f), usage})
		}
	}
	return going("", current, append(list,
		Suggestion{"--help", "show the help of " + t.command.Name}))
}

// optionWord is the longest form of an option.
func optionWord(f cli.Flag) string { return frame.Dashed(f.Names()[0]) }

// going leaves the suggestions that continue what was typed and are harmless as they are.
func going(prefix, current string, list []Suggestion) Suggestions {
	var out Suggestions
	for _, s := range list {
		if s.Word != "" && strings.HasPrefix(s.Word, current) && ui.Safe(s.Word) == s.Word {
			out.Words = append(out.Words, Suggestion{prefix + s.Word, ui.Safe(s.About)})
		}
	}
	return out
}

// value suggests values of an option: its closed list, or what its name or the word for its value
// stands for.
func (t *typing) value(prefix, current string, f cli.Flag) Suggestions {
	if g, ok := f.(*cli.GenericFlag); ok {
		if c, ok := g.Value.(*frame.Choice); ok {
			return going(prefix, current, plain(c.Words))
		}
	}
	stands, _ := frame.ValueName(f.(cli.DocGenerationFlag).GetUsage())
	for _, key := range []string{t.command.Name + " --" + f.Names()[0],
		"--" + f.Names()[0], stands} {
		if source, ok := wordSources()[key]; ok {
			return going(prefix, current, source(t))
		}
	}
	return Suggestions{files: stands == "FILE" && prefix == ""}
}

// operand suggests what the synopsis of the command has at this place.
func (t *typing) operand(current string) Suggestions {
	synopsis := t.command.ArgsUsage
	if synopsis == "PART" {
		synopsis = partByName
	}
	place := operandAt(synopsis, len(t.operands))
	var list []Suggestion
	files := false
	for _, word := range strings.Split(place, "|") {
		source, ok := wordSources()[t.command.Name+" "+word]
		if !ok {
			source, ok = wordSources()[word]
		}
		switch {
		case ok:
			list = append(list, source(t)...)
		case word == "FILE":
			files = true
		case word != "" && word == strings.ToLower(word) && word != "-":
			list = append(list, Suggestion{word, ""}) // a word to be typed as it stands
		}
	}
	if files {
		return Suggestions{files: true}
	}
	return going("", current, list)
}

// partByName is the form of a PART that can be completed: what is printed on a part cannot.
const partByName = "KIND DESIGNATION [figure=value ...]"

// operandAt returns the word of a synopsis such as "KIND DESIGNATION [figure=value ...]" for the
// operand with number n, "" when there is none. Three dots repeat the word before them.
func operandAt(synopsis string, n int) string {
	last := ""
	for _, word := range strings.Fields(strings.NewReplacer("[", "", "]", "").Replace(synopsis)) {
		switch {
		case word == "...":
			return last
		case word == "|" || strings.HasPrefix(word, "-"):
			return ""
		}
		if last = word; n == 0 {
			return word
		}
		n--
	}
	return ""
}

// wordSources lists what the words in capitals of synopses and option values stand for. The key is
// the word alone, or with the command or the option in front where the same word means something
// else elsewhere.
func wordSources() map[string]func(*typing) []Suggestion {
	return map[string]func(*typing) []Suggestion{
		"COMMAND":      func(t *typing) []Suggestion { return commandSuggestions(t.env) },
		"TOPIC":        func(*typing) []Suggestion { return plain(TopicNames()) },
		"KIND":         func(*typing) []Suggestion { return kindSuggestions() },
		"METHOD":       func(*typing) []Suggestion { return methodSuggestions() },
		"LOT":          (*typing).lots,
		"DESIGNATION":  (*typing).designations,
		"figure=value": (*typing).figures,
		"BIN":          (*typing).bins,
		"--bin":        (*typing).bins,
		"--donor":      (*typing).donors,
		"donor NAME":   (*typing).donors,
		"--reserved":   (*typing).purposes,
		"release NAME": (*typing).purposes,
		"consume NAME": (*typing).purposes, "reserved NAME": (*typing).purposes,
		"--figure": func(t *typing) []Suggestion { return plain(figureNames(t.kind())) },
		"--shape": func(*typing) []Suggestion {
			return plain(catalog.Designations(catalog.KindCore))
		},
		"--grade": func(*typing) []Suggestion { return gradeSuggestions() },
	}
}

func plain(words []string) []Suggestion {
	list := make([]Suggestion, len(words))
	for i, w := range words {
		list[i].Word = w
	}
	return list
}

func commandSuggestions(env *frame.Environment) []Suggestion {
	var list []Suggestion
	for _, e := range env.Book.Commands {
		if e.Group != "" {
			list = append(list, Suggestion{e.Name, e.About})
		}
	}
	return list
}

func kindSuggestions() []Suggestion {
	var list []Suggestion
	for _, k := range catalog.Kinds() {
		list = append(list, Suggestion{string(k), ""})
	}
	return list
}

func methodSuggestions() []Suggestion {
	var list []Suggestion
	for _, m := range identify.Methods {
		list = append(list, Suggestion{m.Name, m.What})
	}
	return list
}

func gradeSuggestions() []Suggestion {
	var list []Suggestion
	for _, f := range catalog.Ferrites() {
		list = append(list, Suggestion{f.Name, ""})
	}
	return list
}

// kind is the kind of part the line speaks of, "" for none.
func (t *typing) kind() catalog.Kind {
	word := t.options["kind"]
	if len(t.operands) > 0 {
		word = t.operands[0]
	}
	k, err := catalog.ParseKind(word)
	if err != nil {
		return ""
	}
	return k
}

// designations are the names in the table of the kind and those of its lots in the drawer.
func (t *typing) designations() []Suggestion {
	names := catalog.Designations(t.kind())
	for _, l := range t.drawer().Lots {
		if l.Part.Kind() == t.kind() {
			names = append(names, l.Part.Designation())
		}
	}
	slices.Sort(names)
	return plain(slices.Compact(names))
}

// figureNames are the figures of a kind, or of all.
func figureNames(k catalog.Kind) []string {
	kinds := []catalog.Kind{k}
	if k == "" {
		kinds = catalog.Kinds()
	}
	var names []string
	for _, k := range kinds {
		for _, f := range catalog.Schema(k) {
			names = append(names, f.Name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// figures are name=value pairs of a kind: the names, and for a figure that is one of a few words
// those too.
func (t *typing) figures() []Suggestion {
	if t.kind() == "" {
		return nil
	}
	var list []Suggestion
	for _, f := range catalog.Schema(t.kind()) {
		list = append(list, Suggestion{f.Name + "=", f.Doc})
		for _, w := range f.Words {
			list = append(list, Suggestion{f.Name + "=" + w, f.Doc})
		}
	}
	return list
}

// context is a call with the options typed so far that say which drawer the line is about.
func (t *typing) context() *cli.Context {
	set := flag.NewFlagSet("", flag.ContinueOnError)
	set.String("drawers", "", "")
	set.Bool("demo", false, "")
	if path := t.options["drawers"]; path != "" {
		_ = set.Set("drawers", path) // a text takes every value
	}
	if _, given := t.options["demo"]; given {
		_ = set.Set("demo", "true")
	}
	return cli.NewContext(nil, set, nil)
}

// drawer reads that drawer; none when it cannot be read. Completion changes and makes nothing.
func (t *typing) drawer() inventory.Snapshot {
	s, err := drawer.Snapshot(t.env, t.context())
	if err != nil {
		return inventory.Snapshot{}
	}
	return s
}

func (t *typing) lots() []Suggestion {
	var list []Suggestion
	for _, l := range t.drawer().Lots {
		about := fmt.Sprintf("%s %s", l.Part.Kind(), l.Part.Designation())
		list = append(list, Suggestion{strconv.FormatInt(l.ID, 10), about})
	}
	return list
}

func (t *typing) bins() []Suggestion {
	return plain(t.texts(func(l inventory.Lot) string { return l.Bin }))
}

func (t *typing) donors() []Suggestion {
	return plain(t.texts(func(l inventory.Lot) string { return l.Donor }))
}

// texts are the different texts of the lots, in order.
func (t *typing) texts(of func(inventory.Lot) string) []string {
	var out []string
	for _, l := range t.drawer().Lots {
		out = append(out, of(l))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// purposes are the names parts are set aside under.
func (t *typing) purposes() []Suggestion {
	var list []Suggestion
	held, err := keep.Held(t.env, t.context(), "")
	if err != nil {
		return nil
	}
	for _, p := range held {
		list = append(list, Suggestion{p.Purpose, "parts of " + keep.LotsInWords(len(p.Parts))})
	}
	return list
}
