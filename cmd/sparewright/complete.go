package main

import (
	"flag"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
)

// suggestion is a word that may stand at the cursor, and what it means.
type suggestion struct{ word, about string }

// suggestions is what may stand at the cursor: words, or a file.
type suggestions struct {
	files bool
	words []suggestion
}

// typing is a line on its way: the command and what stands before the cursor.
type typing struct {
	env      *environment
	command  *cli.Command
	operands []string
	options  map[string]string // long name to value
	open     cli.Flag          // the option whose value is being typed
	literal  bool              // -- stood in the line
}

// suggest says how the last of the words can go on. Whatever is wrong with the line means that
// nothing is suggested.
func (env *environment) suggest(words []string) suggestions {
	current, before := words[len(words)-1], words[:len(words)-1]
	if len(before) == 0 {
		return keep("", current, commandSuggestions())
	}
	entry, ok := entryOf(before[0])
	if !ok || entry.group == "" {
		return suggestions{}
	}
	t := &typing{env: env, command: entry.command(env), options: map[string]string{}}
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
	case t.literal || !looksLikeOption(word):
		t.operands = append(t.operands, word)
	case word == "--":
		t.literal = true
	default:
		name, value, attached := strings.Cut(word, "=")
		f := findFlag(t.command, name)
		if f == nil {
			return
		}
		if takesValue(f) && !attached {
			t.open = f
			return
		}
		t.options[f.Names()[0]] = value
	}
}

// at suggests for the word at the cursor.
func (t *typing) at(current string) suggestions {
	if t.open != nil {
		return t.value("", current, t.open)
	}
	if t.literal || !strings.HasPrefix(current, "-") {
		return t.operand(current)
	}
	if name, value, attached := strings.Cut(current, "="); attached {
		if f := findFlag(t.command, name); f != nil && takesValue(f) {
			return t.value(name+"=", value, f)
		}
		return suggestions{}
	}
	var list []suggestion
	for _, f := range t.command.Flags {
		visible, ok := f.(cli.VisibleFlag)
		_, given := t.options[f.Names()[0]]
		if ok && visible.IsVisible() && (!given || repeatable(f)) {
			_, usage := valueName(f.(cli.DocGenerationFlag).GetUsage())
			list = append(list, suggestion{optionWord(f), usage})
		}
	}
	return keep("", current, append(list,
		suggestion{"--help", "show the help of " + t.command.Name}))
}

// optionWord is the longest form of an option.
func optionWord(f cli.Flag) string { return dashed(f.Names()[0]) }

// keep leaves the suggestions that continue what was typed and are harmless as they are.
func keep(prefix, current string, list []suggestion) suggestions {
	var out suggestions
	for _, s := range list {
		if s.word != "" && strings.HasPrefix(s.word, current) && ui.Safe(s.word) == s.word {
			out.words = append(out.words, suggestion{prefix + s.word, ui.Safe(s.about)})
		}
	}
	return out
}

// value suggests values of an option: its closed list, or what its name or the word for its value
// stands for.
func (t *typing) value(prefix, current string, f cli.Flag) suggestions {
	if g, ok := f.(*cli.GenericFlag); ok {
		if c, ok := g.Value.(*choice); ok {
			return keep(prefix, current, plain(c.words))
		}
	}
	stands, _ := valueName(f.(cli.DocGenerationFlag).GetUsage())
	for _, key := range []string{t.command.Name + " --" + f.Names()[0],
		"--" + f.Names()[0], stands} {
		if source, ok := wordSources()[key]; ok {
			return keep(prefix, current, source(t))
		}
	}
	return suggestions{files: stands == "FILE" && prefix == ""}
}

// operand suggests what the synopsis of the command has at this place.
func (t *typing) operand(current string) suggestions {
	place := operandAt(t.command.ArgsUsage, len(t.operands))
	var list []suggestion
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
			list = append(list, suggestion{word, ""}) // a word to be typed as it stands
		}
	}
	if files {
		return suggestions{files: true}
	}
	return keep("", current, list)
}

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
func wordSources() map[string]func(*typing) []suggestion {
	return map[string]func(*typing) []suggestion{
		"COMMAND":      func(*typing) []suggestion { return commandSuggestions() },
		"TOPIC":        func(*typing) []suggestion { return plain(topicNames()) },
		"KIND":         func(*typing) []suggestion { return kindSuggestions() },
		"METHOD":       func(*typing) []suggestion { return methodSuggestions() },
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
		"--figure": func(t *typing) []suggestion { return plain(figureNames(t.kind())) },
		"--shape": func(*typing) []suggestion {
			return plain(catalog.Designations(catalog.KindCore))
		},
		"--grade": func(*typing) []suggestion { return gradeSuggestions() },
	}
}

func plain(words []string) []suggestion {
	list := make([]suggestion, len(words))
	for i, w := range words {
		list[i].word = w
	}
	return list
}

func commandSuggestions() []suggestion {
	var list []suggestion
	for _, e := range book() {
		if e.group != "" {
			list = append(list, suggestion{e.name, e.about})
		}
	}
	return list
}

func kindSuggestions() []suggestion {
	var list []suggestion
	for _, k := range catalog.Kinds() {
		list = append(list, suggestion{string(k), ""})
	}
	return list
}

func methodSuggestions() []suggestion {
	var list []suggestion
	for _, m := range methods {
		list = append(list, suggestion{m.name, m.what})
	}
	return list
}

func gradeSuggestions() []suggestion {
	var list []suggestion
	for _, f := range catalog.Ferrites() {
		list = append(list, suggestion{f.Name, ""})
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
func (t *typing) designations() []suggestion {
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
func (t *typing) figures() []suggestion {
	if t.kind() == "" {
		return nil
	}
	var list []suggestion
	for _, f := range catalog.Schema(t.kind()) {
		list = append(list, suggestion{f.Name + "=", f.Doc})
		for _, w := range f.Words {
			list = append(list, suggestion{f.Name + "=" + w, f.Doc})
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
	s, err := t.env.snapshot(t.context())
	if err != nil {
		return inventory.Snapshot{}
	}
	return s
}

func (t *typing) lots() []suggestion {
	var list []suggestion
	for _, l := range t.drawer().Lots {
		about := fmt.Sprintf("%s %s", l.Part.Kind(), l.Part.Designation())
		list = append(list, suggestion{strconv.FormatInt(l.ID, 10), about})
	}
	return list
}

func (t *typing) bins() []suggestion {
	return plain(t.texts(func(l inventory.Lot) string { return l.Bin }))
}

func (t *typing) donors() []suggestion {
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
func (t *typing) purposes() []suggestion {
	var list []suggestion
	held, err := t.env.held(t.context(), "")
	if err != nil {
		return nil
	}
	for _, p := range held {
		list = append(list, suggestion{p.Purpose, "parts of " + lotsInWords(len(p.Parts))})
	}
	return list
}
