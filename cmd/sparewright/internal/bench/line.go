package bench

import (
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog/pattern"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// One line of the bench session is taken apart here. Nothing is stored; a line that is not
// understood is an error and has no effect.

// Setting is what earlier lines set for the following ones.
type Setting struct {
	bin, donor string
	condition  inventory.Condition
	plates     map[string]inventory.Plate // of the donors that are known, by name
	count      string                     // said beside the words, as by an option
}

// Action is what a line asks for.
type Action struct {
	Verb    string        // put, bin, donor, condition, undo, help, or nothing
	Lot     inventory.Lot // with verb put
	remarks []string      // what the reader should know beside the lot
	setting Setting
	donor   inventory.Donor // with verb donor, when anything beside the name was said
	steps   int             // of undo
}

// benchWord is one word of a line; a quoted one is taken as it is.
type benchWord struct {
	text   string
	quoted bool
}

// longestBenchLine is the longest line read, in bytes.
const longestBenchLine = 1000

// splitBenchLine cuts a line at blanks; "..." keeps blanks together. A word that begins with #
// opens a comment.
func splitBenchLine(line string) ([]benchWord, error) {
	var words []benchWord
	rest := strings.TrimSpace(line)
	for rest != "" && rest[0] != '#' {
		if rest[0] == '"' {
			text, after, closed := strings.Cut(rest[1:], `"`)
			if !closed {
				return nil, frame.WrongCall("line", line, "a quotation mark is not closed")
			}
			words = append(words, benchWord{text, true})
			rest = strings.TrimSpace(after)
			continue
		}
		end := strings.IndexAny(rest, " \t")
		if end < 0 {
			end = len(rest)
		}
		word := rest[:end]
		if at := strings.Index(word, `="`); at > 0 { // note="two words"
			text, after, closed := strings.Cut(rest[at+2:], `"`)
			if !closed {
				return nil, frame.WrongCall("line", line, "a quotation mark is not closed")
			}
			words = append(words, benchWord{rest[:at+1] + text, true})
			rest = strings.TrimSpace(after)
			continue
		}
		words = append(words, benchWord{word, false})
		rest = strings.TrimSpace(rest[end:])
	}
	return words, nil
}

// ParseLine reads one line with what is set.
func ParseLine(line string, set Setting) (Action, error) {
	words, err := splitBenchLine(line)
	if err != nil {
		return Action{Verb: "nothing", setting: set}, err
	}
	return parseWords(words, set)
}

// parseWords reads the words of a line.
func parseWords(words []benchWord, set Setting) (Action, error) {
	if len(words) == 0 {
		return Action{Verb: "nothing", setting: set}, nil
	}
	first, rest := strings.ToLower(words[0].text), words[1:]
	switch first {
	case "bin", "donor", "condition":
		return parseSetting(first, rest, set)
	case "undo":
		return parseUndo(rest, set)
	case "help", "?":
		return Action{Verb: "help", setting: set}, nil
	}
	form, ok := benchForms()[first]
	if !ok {
		var err error
		rest = words
		if form, err = listedLine(words); err != nil {
			return Action{}, err
		}
	}
	return parsePart(form, rest, set)
}

// parseSetting reads bin B4, donor "name" and condition tested. A dash or nothing takes the setting
// back.
func parseSetting(what string, rest []benchWord, set Setting) (Action, error) {
	a := Action{Verb: what, setting: set}
	name := ""
	if len(rest) > 0 && (rest[0].quoted || rest[0].text != "-") {
		name = rest[0].text
	}
	switch what {
	case "bin":
		a.setting.bin = name
	case "condition":
		condition, err := inventory.ParseCondition(name)
		if err != nil {
			return a, err
		}
		a.setting.condition = condition
	case "donor":
		a.setting.donor = name
		return a, describeDonor(&a, rest)
	}
	if len(rest) > 1 {
		return a, frame.WrongCall(what, rest[1].text,
			"stray word; put quotation marks round a name of several words")
	}
	return a, inventory.CheckName(what, name)
}

// describeDonor reads what follows the name: was "wall adapter", plate "12 V 1 A", dead or working,
// note "...".
func describeDonor(a *Action, rest []benchWord) error {
	d := inventory.Donor{Name: a.setting.donor}
	for i := 1; i < len(rest); i++ {
		word := strings.ToLower(rest[i].text)
		switch {
		case word == "dead" || word == "working":
			d.State = word
		case (word == "was" || word == "plate" || word == "state" || word == "note") &&
			i+1 < len(rest):
			i++
			*map[string]*string{"was": &d.Was, "plate": &d.Plate, "state": &d.State,
				"note": &d.Note}[word] = rest[i].text
		default:
			return frame.WrongCall("donor", rest[i].text,
				"stray word; write donor \"name\" plate \"12 V 1 A\" dead note \"...\"")
		}
	}
	if d.Described() {
		a.donor = d
		return d.Validate()
	}
	return inventory.CheckName("donor", d.Name)
}

func parseUndo(rest []benchWord, set Setting) (Action, error) {
	a := Action{Verb: "undo", steps: 1, setting: set}
	if len(rest) > 1 {
		return a, frame.WrongCall("undo", rest[1].text, "stray word")
	}
	if len(rest) == 1 {
		n, err := frame.WholeNumber(rest[0].text, 1, 1000)
		if err != nil {
			return a, frame.WrongCall("undo", rest[0].text, err.Error())
		}
		a.steps = n
	}
	return a, nil
}

// partLine is a line about a part while it is being read: its words, and what only the bench knows.
type partLine struct {
	typed.Line
	readings  []string // name=value of other readings
	plate     inventory.Plate
	fromPlate bool // the word plate stood on the line
}

var (
	// X1 and X2 are safety classes, and 68X is a chip code, so that a count takes a small x there.
	countWord  = pattern.OnFirstUse(`^(x[0-9]+|X[3-9]|X[0-9]{2,}|[0-9]+x|(?i:some|plenty)|>=[0-9]+|[0-9]+\+|[0-9]+(?i:pcs|pc))$`)
	lengthWord = pattern.OnFirstUse(`^(?i)[0-9]*\.?[0-9]+(m|cm|metres?)\+?$`)
	binWord    = pattern.OnFirstUse(`^[A-Z]{1,2}[0-9]{1,3}$`)
)

// common holds the words that mean the same on every line.
type common struct {
	count, measured, note string
	plate                 bool // figures that are not printed come from the plate of the donor
	setting               Setting
	figures, rest         []string
}

// takeCommon sorts the words of a line: count, place, donor, condition, note, reading and
// name=value; the rest is for the form of the kind.
func takeCommon(words []benchWord, set Setting, metres bool) (common, error) {
	c := common{setting: set}
	seen := map[string]string{} // words that may stand once, with what they said
	once := func(what, value string) error {
		if before, twice := seen[what]; twice {
			return frame.WrongCall(what, value,
				"given before as "+frame.Quoted(before)+"; give it once")
		}
		seen[what] = value
		return nil
	}
	for i := 0; i < len(words); i++ {
		w := words[i]
		word := strings.ToLower(w.text)
		switch {
		case strings.Contains(w.text, "=") && strings.Index(w.text, "=") > 0 &&
			!countWord().MatchString(w.text):
			c.figures = append(c.figures, w.text)
		case w.quoted:
			c.rest = append(c.rest, w.text)
		case word == "smd" && i+1 < len(words): // what follows is a code, whatever it looks like
			i++
			c.rest = append(c.rest, w.text, words[i].text)
		case word == "bin" || word == "donor" || word == "note" || word == "measured":
			if i+1 == len(words) {
				return c, frame.WrongCall(word, "", "needs a word behind it")
			}
			i++
			if err := once(word, words[i].text); err != nil {
				return c, err
			}
			*map[string]*string{"bin": &c.setting.bin, "donor": &c.setting.donor, "note": &c.note,
				"measured": &c.measured}[word] = words[i].text
			if word == "measured" && i+1 < len(words) && !words[i+1].quoted &&
				unitApart(words[i].text, words[i+1].text) {
				i++
				c.measured += words[i].text
			}
		case word == "plate":
			if err := once(word, word); err != nil {
				return c, err
			}
			c.plate = true
		case isCondition(word):
			if err := once("condition", word); err != nil {
				return c, err
			}
			c.setting.condition = inventory.Condition(word)
		case metres && i+1 < len(words) && words[i+1].text == "m" &&
			drawer.BareNumber().MatchString(w.text) && c.count == "":
			i++
			c.count = w.text + "m"
		case countWord().MatchString(w.text) || metres && lengthWord().MatchString(w.text):
			if c.count != "" {
				return c, frame.WrongCall("count", w.text,
					"given before as "+frame.Quoted(c.count)+"; give it once")
			}
			c.count = w.text
		case c.count != "" && binWord().MatchString(w.text):
			if err := once("bin", w.text); err != nil {
				return c, err
			}
			c.setting.bin = w.text
		default:
			c.rest = append(c.rest, w.text)
		}
	}
	return c, nil
}

// unitApart tells whether a word is the unit of the number before it.
func unitApart(number, unit string) bool {
	return drawer.BareNumber().MatchString(number) &&
		len(typed.JoinUnits([]string{number, unit})) == 1
}

func isCondition(word string) bool {
	for _, known := range keep.ConditionWords {
		if word == known {
			return true
		}
	}
	return false
}

// parsePart reads a line about a part.
func parsePart(form benchForm, words []benchWord, set Setting) (Action, error) {
	a := Action{Verb: "put", setting: set}
	c, err := takeCommon(words, set, form.metres)
	if err != nil {
		return a, err
	}
	if c.count != "" && set.count != "" {
		return a, frame.WrongCall("count", c.count,
			"given before as "+frame.Quoted(set.count)+"; give it once")
	}
	c.count = frame.Or(c.count, set.count)
	p := &partLine{Line: typed.Line{Kind: form.kind, Words: c.rest, Figures: c.figures,
		Measured: c.measured},
		plate: set.plates[c.setting.donor], fromPlate: c.plate}
	p.Volts = p.unprintedVolts
	if c.plate && c.setting.donor == "" {
		return a, frame.WrongCall("plate", "",
			"no donor is named; write donor \"name\" plate \"12 V 1 A\" before")
	}
	if err := form.read(p); err != nil {
		return a, frame.AsCallError(err)
	}
	if err := p.takeFromPlate(c.setting.donor); err != nil {
		return a, err
	}
	lot, said, faults := exchange.ParseLot(string(p.Kind), p.Designation, p.Figures)
	if len(faults) > 0 {
		return a, keep.CallFaults(faults, "")
	}
	for _, text := range said {
		if !slices.Contains(p.Said, text) {
			p.Said = append(p.Said, text)
		}
	}
	lot.Bin, lot.Donor, lot.Note = c.setting.bin, c.setting.donor, c.note
	lot.Condition = inventory.Condition(frame.Or(string(c.setting.condition),
		string(inventory.Untested)))
	if p.Measured != "" {
		m, err := exchange.ParseReading(p.Kind, inventory.MainFigure(p.Kind)+"="+p.Measured)
		if err != nil {
			return a, err
		}
		lot.Measured = append(lot.Measured, m)
	}
	for _, text := range p.readings {
		m, err := exchange.ParseReading(p.Kind, text)
		if err != nil {
			return a, err
		}
		lot.Measured = append(lot.Measured, m)
	}
	if lot.Count, err = benchCount(c.count, lot.Unit()); err != nil {
		return a, err
	}
	a.Lot, a.remarks = lot, p.Said
	if word := strings.ToLower(c.count); word == "some" || word == "plenty" {
		a.remarks = append(a.remarks, word+" counts as "+
			strconv.FormatFloat(lot.Count, 'f', -1, 64))
	}
	return a, lot.Validate()
}

// benchCount reads the count: one piece when nothing is said, but never a length by itself.
func benchCount(text string, unit inventory.Unit) (float64, error) {
	switch {
	case text != "":
		return inventory.ParseCount(text, unit)
	case unit == inventory.Metres:
		return 0, frame.WrongCall("count", "", "missing; say how many metres, such as 12.5m")
	}
	return 1, nil
}
