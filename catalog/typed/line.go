package typed

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// Line is the words about one part while they are read: 4k7 1% 0.5W behind the word for a resistor.
// The reader of its kind takes Words and adds Figures, the Designation and what is to be said.
type Line struct {
	Kind        catalog.Kind
	Designation string
	Words       []string // what stands behind the word for the kind
	Figures     []string // name=value: typed so, then what the words said
	Said        []string // what the reader of the answer should know beside the part
	Measured    string   // what a meter showed of the main figure

	// Volts gives the voltage of a capacitor that carries none, value being its capacitance as
	// typed and safety its class; nil refuses.
	Volts func(value, safety string) (string, error)

	conflict error // two words, or a word and a figure, that contradict each other
}

// lineReaders are the kinds whose words are read.
var lineReaders = map[catalog.Kind]func(*Line) error{
	catalog.KindResistor: readResistorLine, catalog.KindCapacitor: readCapacitorLine,
	catalog.KindClamp: readClampLine,
	catalog.KindZener: readZenerLine, catalog.KindCore: readCoreLine,
	catalog.KindWire: readWireLine,
	catalog.KindFilm: readFilmLine, catalog.KindFuse: readFuseLine,
	catalog.KindThermistor: readThermistorLine,
	catalog.KindLED:        readLEDLine, catalog.KindTrimmer: readTrimmerLine,
	catalog.KindChoke: readChokeLine,
}

// Read reads the words by the kind. An error, a catalog.Fault, names the word that was not
// understood, or the two that contradict each other.
func (p *Line) Read() error {
	read, ok := lineReaders[p.Kind]
	if !ok {
		return lineFault(string(p.Kind), strings.Join(p.Words, " "),
			"is known by name and figures only")
	}
	return p.readBy(read)
}

// ReadTape is Read for a film on a roll.
func (p *Line) ReadTape() error { return p.readBy(readTapeLine) }

func (p *Line) readBy(read func(*Line) error) error {
	p.Words = JoinUnits(p.Words)
	for _, w := range p.Words {
		if commaWord().MatchString(w) {
			return lineFault(string(p.Kind), w,
				"decimal comma; write "+strings.Replace(w, ",", ".", 1))
		}
	}
	if err := read(p); err != nil {
		return err
	}
	return p.conflict
}

// Add adds one figure that a word said. Typed as name=value before it must say the same; an
// estimate gives way to it.
func (p *Line) Add(name, value string) {
	before := p.Typed(name)
	switch {
	case before == "":
		p.Figures = append(p.Figures, name+"="+value)
	case strings.HasPrefix(value, "~") || strings.HasPrefix(before, "!") || p.conflict != nil ||
		sameFigure(p.Kind, name, before, value):
	default:
		p.conflict = lineFault(strings.ReplaceAll(name, "_", " "), value,
			"contradicts "+before+"; keep one of the two")
	}
}

// preset adds one figure where none was typed.
func (p *Line) preset(name, value string) {
	if p.Typed(name) == "" {
		p.Figures = append(p.Figures, name+"="+value)
	}
}

// sameFigure tells whether two texts of a figure say the same.
func sameFigure(k catalog.Kind, name, a, b string) bool {
	if strings.EqualFold(a, b) {
		return true
	}
	v, errA := FigureNamed(k, name, unmarked(a))
	w, errB := FigureNamed(k, name, unmarked(b))
	return errA == nil && errB == nil && near(v.Number, w.Number)
}

// near tells whether two figures are one, to the digits people write: the values of the finest
// series lie 1.2 % apart (IEC 60063, E192).
func near(a, b float64) bool { return math.Abs(a-b) <= 0.005*math.Max(math.Abs(a), math.Abs(b)) }

// Remark adds something to be said.
func (p *Line) Remark(format string, args ...any) {
	p.Said = append(p.Said, fmt.Sprintf(format, args...))
}

// say adds what a reader said of a value, "" for nothing.
func (p *Line) say(text string) {
	if text != "" {
		p.Said = append(p.Said, text)
	}
}

// Unknown refuses a word there is no use for.
func (p *Line) Unknown(word, use string) error {
	return lineFault(string(p.Kind), word, "not understood; write "+use)
}

// Typed is the text of a figure, empty when it has none.
func (p *Line) Typed(name string) string {
	for _, f := range p.Figures {
		field, text, _ := strings.Cut(f, "=")
		if strings.EqualFold(strings.TrimSpace(field), name) {
			return strings.TrimSpace(text)
		}
	}
	return ""
}

func lineFault(what, input, why string) error {
	why, cure, _ := strings.Cut(why, "; ")
	return catalog.Fault{Field: what, Input: input, Why: why, Cure: cure}
}

// unitWord is a unit that may stand apart from its number: 0.1 ohm, 4.7 uF, 0.3 mm.
var (
	unitWord   = pattern.OnFirstUse(`^(?:[kmM]?(?:ohms?|Ohms?|OHM|\x{3a9}|\x{2126})|[pnumkM\x{b5}\x{3bc}]?[FHVAW]|V(?:ac|dc|AC|DC)|[um\x{b5}\x{3bc}c]m|%|[kM])$`)
	commaWord  = pattern.OnFirstUse(`^[0-9]*,[0-9]+[a-zA-Z%\x{b5}\x{3a9}]{0,4}$`)
	numberWord = pattern.OnFirstUse(`^[~?!]?(?:\+-|\+/-|\x{b1})?[0-9]*\.?[0-9]+$`)
)

// JoinUnits puts a number and the unit behind it together.
func JoinUnits(words []string) []string {
	var out []string
	for _, w := range words {
		if n := len(out); n > 0 && unitWord().MatchString(w) && numberWord().MatchString(out[n-1]) {
			out[n-1] += w
			continue
		}
		out = append(out, w)
	}
	return out
}

// millimetres reads a length that is in millimetres unless it carries a unit.
func millimetres(text string) (si.Length, error) {
	if bareText().MatchString(text) {
		text += "mm"
	}
	return si.Parse[si.Length](text)
}

// unmarked is a text without the mark that says how its figure is known.
func unmarked(text string) string {
	return strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(text), "~?!"))
}
