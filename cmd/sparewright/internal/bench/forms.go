package bench

import (
	"strings"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
)

// benchForm is how the words behind a first word are read.
type benchForm struct {
	kind   catalog.Kind
	metres bool // whether a length may be the count
	read   func(*partLine) error
	sample string
}

// benchForms are the first words of lines about parts.
var benchForms = sync.OnceValue(func() map[string]benchForm {
	forms := map[string]benchForm{}
	for _, f := range benchOrder {
		for _, word := range strings.Fields(f.words) {
			forms[word] = f.form
		}
	}
	for word, now := range catalog.EarlierKinds {
		forms[word] = forms[string(now)]
	}
	return forms
})

// benchOrder lists the first words as help shows them, the short one first.
var benchOrder = []struct {
	words string
	form  benchForm
}{
	{"r resistor res", benchForm{catalog.KindResistor, false, readWords,
		`r 4k7 1% x20 B4; r brown-black-orange-gold x12; r smd 01C x30`}},
	{"c capacitor cap", benchForm{catalog.KindCapacitor, false, readWords,
		`c 104K 50V x15; c 470u 25V 105C x4; c 2n2 Y1 400V x2`}},
	{"d diode rectifier", benchForm{catalog.KindRectifier, false, readListedLine, `d UF4007 x4`}},
	{"chip ic", benchForm{"", false, readChipLine, `chip TOP223 x2 bin B2`}},
	{"switcher", benchForm{catalog.KindSwitcher, false, readListedLine, `switcher TOP223 x2`}},
	{"controller", benchForm{catalog.KindController, false, readListedLine, `controller NCP1251 x2`}},
	{"mosfet transistor", benchForm{catalog.KindTransistor, false, readListedLine, `mosfet STP10NK60ZFP x2`}},
	{"opto optocoupler", benchForm{catalog.KindOptocoupler, false, readListedLine, `opto PC817C x3`}},
	{"opamp amplifier", benchForm{catalog.KindAmplifier, false, readListedLine, `opamp LM358 x2`}},
	{"ref reference", benchForm{catalog.KindReference, false, readListedLine, `ref TL431 x5`}},
	{"bridge", benchForm{catalog.KindBridge, false, readListedLine, `bridge DB107 x2`}},
	{"clamp tvs suppressor", benchForm{catalog.KindClamp, false, readWords, `clamp P6KE200A x2`}},
	{"zener z", benchForm{catalog.KindZener, false, readWords, `zener 5V1 0.5W x4; z 12V 5% 1.3W x2`}},
	{"core", benchForm{catalog.KindCore, false, readWords, `core EF20 N87 gap 0.35mm x2`}},
	{"wire", benchForm{catalog.KindWire, true, readWords, `wire 0.28 enamelled 40m; wire 0.4 tiw 12m`}},
	{"film", benchForm{catalog.KindFilm, true, readWords, `film polyester 50um x3`}},
	{"tape", benchForm{catalog.KindFilm, true, readTape, `tape polyester 25um 20m`}},
	{"fuse", benchForm{catalog.KindFuse, false, readWords, `fuse T1A 250V x2`}},
	{"ntc thermistor", benchForm{catalog.KindThermistor, false, readWords, `ntc 10R 2A x1`}},
	{"led", benchForm{catalog.KindLED, false, readWords, `led red x10`}},
	{"trimmer pot", benchForm{catalog.KindTrimmer, false, readWords, `trimmer 5k x2`}},
	{"choke", benchForm{catalog.KindChoke, false, readWords, `choke common-mode 10mH 0.5A x1`}},
	{"transformer trafo", benchForm{catalog.KindTransformer, false, readTransformerLine,
		`transformer EF25 flyback 0.62mH secondary 14.7uH leakage 8uH`}},
	{"adapter brick", benchForm{catalog.KindAdapter, false, readAdapterLine,
		`adapter 100-240V 12V 1A working secondary barrier=yes`}},
	{"put", benchForm{"", true, readAnyLine, `put KIND "designation" figure=value x3`}},
}

// benchFirstWords lists every first word a line may have.
func benchFirstWords() []string {
	words := []string{"bin", "donor", "condition", "undo", "help"}
	for _, f := range benchOrder {
		words = append(words, strings.Fields(f.words)...)
	}
	return words
}

// readWords reads the words of the kinds that are known by value; quotation marks round several of
// them change nothing.
func readWords(p *partLine) error {
	p.Words = strings.Fields(strings.Join(p.Words, " "))
	return p.Read()
}

func readTape(p *partLine) error { return p.ReadTape() }

// readListedLine takes a name that is listed, or one with its figures. The catalog fills in the
// rest.
func readListedLine(p *partLine) error {
	if len(p.Words) == 0 {
		return frame.WrongCall(string(p.Kind), "", "needs a name")
	}
	p.Designation = strings.Join(p.Words, " ")
	if _, _, ok := catalog.Lookup(p.Kind, p.Designation); ok || len(p.Figures) > 0 || p.fromPlate {
		return nil
	}
	return frame.AsCallError(typed.NotListed(p.Designation, []catalog.Kind{p.Kind}))
}

// chipKinds is where a chip is looked for.
var chipKinds = []catalog.Kind{catalog.KindSwitcher, catalog.KindAmplifier, catalog.KindReference,
	catalog.KindOptocoupler,
	catalog.KindBridge, catalog.KindRectifier, catalog.KindController, catalog.KindTransistor}

// readChipLine finds out what kind of chip a name is.
func readChipLine(p *partLine) error {
	if len(p.Words) == 0 {
		return frame.WrongCall("chip", "", "needs a name")
	}
	p.Designation = strings.Join(p.Words, " ")
	for _, k := range chipKinds {
		if _, _, ok := catalog.Lookup(k, p.Designation); ok {
			p.Kind = k
			return nil
		}
	}
	return frame.AsCallError(typed.NotListed(p.Designation, chipKinds))
}

// readAnyLine reads put KIND DESIGNATION figure=value.
func readAnyLine(p *partLine) error {
	if len(p.Words) != 2 {
		return frame.WrongCall("put", strings.Join(p.Words, " "),
			"needs a kind and a designation; put "+
				"quotation marks round a name of several words")
	}
	k, err := drawer.ParseKind(p.Words[0])
	if err != nil {
		return err
	}
	p.Kind, p.Designation = k, p.Words[1]
	return nil
}
