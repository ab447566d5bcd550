package main

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
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
	return forms
})

// benchOrder lists the first words as help shows them, the short one first.
var benchOrder = []struct {
	words string
	form  benchForm
}{
	{"r resistor res", benchForm{catalog.KindResistor, false, readResistorLine,
		`r 4k7 1% x20 B4; r brown-black-orange-gold x12; r smd 01C x30`}},
	{"c capacitor cap", benchForm{catalog.KindCapacitor, false, readCapacitorLine,
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
	{"clamp tvs", benchForm{catalog.KindClamp, false, readClampLine, `clamp P6KE200A x2`}},
	{"zener z", benchForm{catalog.KindZener, false, readZenerLine, `zener 5V1 0.5W x4; z 12V 5% 1.3W x2`}},
	{"core", benchForm{catalog.KindCore, false, readCoreLine, `core EF20 N87 gap 0.35mm x2`}},
	{"wire", benchForm{catalog.KindWire, true, readWireLine, `wire 0.28 enamelled 40m; wire 0.4 tiw 12m`}},
	{"film", benchForm{catalog.KindFilm, true, readFilmLine, `film polyester 50um x3`}},
	{"tape", benchForm{catalog.KindFilm, true, readTapeLine, `tape polyester 25um 20m`}},
	{"fuse", benchForm{catalog.KindFuse, false, readFuseLine, `fuse T1A 250V x2`}},
	{"ntc thermistor", benchForm{catalog.KindThermistor, false, readThermistorLine, `ntc 10R 2A x1`}},
	{"led lamp", benchForm{catalog.KindLamp, false, readLampLine, `led red x10`}},
	{"trimmer pot", benchForm{catalog.KindTrimmer, false, readTrimmerLine, `trimmer 5k x2`}},
	{"choke", benchForm{catalog.KindChoke, false, readChokeLine, `choke common-mode 10mH 0.5A x1`}},
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

var (
	percentWord = pattern.OnFirstUse(`^(?:\+-|\+/-|±)?[0-9]*\.?[0-9]+%$`)
	wattWord    = pattern.OnFirstUse(`^([0-9]+)/([0-9]+)[Ww]$`)
	plainWord   = pattern.OnFirstUse(`^[0-9]{3,4}$`)
)

// readListedLine takes a name that is listed, or one with its figures. The catalog fills in the rest.
func readListedLine(p *partLine) error {
	if len(p.rest) == 0 {
		return wrongCall(string(p.kind), "", "needs a name")
	}
	p.designation = strings.Join(p.rest, " ")
	if _, _, ok := catalog.Lookup(p.kind, p.designation); ok || len(p.figures) > 0 || p.fromPlate {
		return nil
	}
	return notListed(p.designation, []catalog.Kind{p.kind})
}

// chipKinds is where a chip is looked for.
var chipKinds = []catalog.Kind{catalog.KindSwitcher, catalog.KindAmplifier, catalog.KindReference, catalog.KindOptocoupler,
	catalog.KindBridge, catalog.KindRectifier, catalog.KindController, catalog.KindTransistor}

// readChipLine finds out what kind of chip a name is.
func readChipLine(p *partLine) error {
	if len(p.rest) == 0 {
		return wrongCall("chip", "", "needs a name")
	}
	p.designation = strings.Join(p.rest, " ")
	for _, k := range chipKinds {
		if _, _, ok := catalog.Lookup(k, p.designation); ok {
			p.kind = k
			return nil
		}
	}
	return notListed(p.designation, chipKinds)
}

// notListed refuses a name with what it may have meant.
func notListed(name string, kinds []catalog.Kind) error {
	var near []string
	for _, k := range kinds {
		for _, n := range catalog.Suggest(k, name) {
			if !slices.Contains(near, n) {
				near = append(near, n)
			}
		}
	}
	why := "not a listed part"
	if len(near) > 0 {
		return wrongCall("part", name, why+"; did you mean "+strings.Join(near[:min(3, len(near))], " or ")+"?")
	}
	return wrongCall("part", name, why+"; name its kind and figures: put KIND NAME figure=value")
}

// readAnyLine reads put KIND DESIGNATION figure=value.
func readAnyLine(p *partLine) error {
	if len(p.rest) != 2 {
		return wrongCall("put", strings.Join(p.rest, " "), "needs a kind and a designation; put "+
			"quotation marks round a name of several words")
	}
	k, err := parseKind(p.rest[0])
	if err != nil {
		return err
	}
	p.kind, p.designation = k, p.rest[1]
	return nil
}

// readClampLine takes the voltage, its tolerance and the pulse power from the type name. The number in the name is the
// breakdown voltage in some series and the stand-off voltage in others; then the breakdown that follows is an estimate.
func readClampLine(p *partLine) error {
	p.designation = strings.Join(p.rest, " ")
	all, err := codes.ReadMark(catalog.KindClamp, p.designation)
	if err != nil {
		return nil // no known series: the figures have to be typed
	}
	r := all[0]
	if typed := p.typed("breakdown"); typed != "" && contradicts(typed, r) {
		return wrongCall("clamp", p.designation, "breakdown="+typed+" contradicts the name ("+r.How+"); leave one out")
	}
	breakdown := si.FormatExact(r.Volts)
	if r.Derived {
		breakdown = "~" + si.FormatASCII(r.Volts, 4)
		p.figure("standoff", si.FormatExact(r.Standoff))
		p.remark("%s", r.How)
	}
	p.figure("breakdown", strings.ReplaceAll(breakdown, " ", ""))
	p.figure("tolerance", strings.ReplaceAll(si.Percent(r.Tolerance.Above, 3), " ", ""))
	if r.Both && !r.Derived {
		p.remark("for both directions")
	}
	return nil
}

// contradicts reports whether a breakdown voltage that was typed lies outside the tolerance of the name.
func contradicts(typed string, r codes.Reading) bool {
	v, err := si.Parse[si.Voltage](strings.TrimLeft(typed, "~?"))
	off := float64(v/r.Volts) - 1
	return err == nil && (off > float64(r.Tolerance.Above)+0.01 || off < -float64(r.Tolerance.Below)-0.01)
}

// zenerName ends in the voltage with V for the point, the tolerance letter before it: A 1 %, B 2 %, C 5 %, D 10 % (the
// European type key for zener diodes, from memory).
var zenerName = pattern.OnFirstUse(`^(?i)[A-Z0-9-]*?([ABCD]?)([0-9]{1,3}V[0-9]?)$`)

// readZenerLine reads voltage, tolerance and power, or a name that ends in the voltage.
func readZenerLine(p *partLine) error {
	const use = "the voltage, such as 5V1 or 12V, 5% and 0.5W"
	for _, w := range p.rest {
		watts, isPower := wattsOf(w)
		m := zenerName().FindStringSubmatch(w)
		switch {
		case percentWord().MatchString(w):
			p.figure("tolerance", strings.TrimLeft(w, "+-/±"))
		case isPower:
			p.figure("power", watts)
		case p.designation != "":
			return p.unknown(w, use)
		case m != nil:
			p.figure("voltage", m[2])
			if letter := strings.ToUpper(m[1]); letter != "" {
				p.figure("tolerance", map[string]string{"A": "~1%", "B": "~2%", "C": "~5%", "D": "~10%"}[letter])
			}
			p.designation = w
		default:
			if _, err := si.Parse[si.Voltage](w); err != nil && len(p.figures) == 0 {
				return p.unknown(w, use)
			} else if err == nil {
				p.figure("voltage", w)
			}
			p.designation = w
		}
	}
	if p.designation == "" {
		return wrongCall("zener", "", "needs "+use)
	}
	return nil
}

// coreFigures are the words on a line about a core that take a value behind them.
var coreFigures = map[string]string{"gap": "gap", "al": "al", "former": "former", "bobbin": "former"}

// readCoreLine reads shape, ferrite, gap, AL and former.
func readCoreLine(p *partLine) error {
	if len(p.rest) == 0 {
		return wrongCall("core", "", "needs a shape, such as EF20")
	}
	shape := p.rest[0]
	if _, _, ok := catalog.Lookup(catalog.KindCore, shape); !ok && len(p.figures) == 0 {
		return notListed(shape, []catalog.Kind{catalog.KindCore})
	}
	p.designation = shape
	p.figure("shape", shape)
	for i := 1; i < len(p.rest); i++ {
		word := strings.ToLower(p.rest[i])
		switch {
		case coreFigures[word] != "" && i+1 < len(p.rest):
			i++
			p.figure(coreFigures[word], p.rest[i])
		default:
			f, ok := catalog.FerriteNamed(p.rest[i])
			if !ok && word != "unknown" {
				return p.unknown(p.rest[i], "a ferrite grade such as N87, gap 0.35mm, al 250nH, former plain")
			}
			if ok {
				p.figure("ferrite", f.Name)
				p.designation += " " + f.Name
			}
		}
	}
	return nil
}

// insulations are the words for the insulation of a wire.
var insulations = map[string]string{"enamelled": "enamelled", "enameled": "enamelled", "enamel": "enamelled",
	"magnet": "enamelled", "tiw": "triple-insulated", "triple": "triple-insulated", "triple-insulated": "triple-insulated"}

// readWireLine reads diameter and insulation.
func readWireLine(p *partLine) error {
	for _, w := range p.rest {
		if insulation, ok := insulations[strings.ToLower(w)]; ok {
			p.figure("insulation", insulation)
			continue
		}
		d, err := millimetres(w)
		if err != nil || p.designation != "" {
			return p.unknown(w, "the copper diameter in mm and enamelled or tiw")
		}
		p.figure("diameter", si.FormatExact(d))
		p.designation = strconv.FormatFloat(float64(d)*1e3, 'g', 6, 64) + " mm"
	}
	if p.designation == "" {
		return wrongCall("wire", "", "needs the copper diameter in mm")
	}
	return nil
}

func readFilmLine(p *partLine) error { return readSheet(p, "sheet") }
func readTapeLine(p *partLine) error { return readSheet(p, "tape") }

// readSheet finds a film of the table by its words and its thickness, or makes one of what is typed.
func readSheet(p *partLine, form string) error {
	var words []string
	var thick si.Length
	for _, w := range p.rest {
		if v, err := si.Parse[si.Length](w); err == nil && strings.HasSuffix(w, "m") && v < 2e-3 {
			thick = v
			continue
		}
		words = append(words, w)
	}
	if len(words) == 0 {
		return wrongCall(form, "", "needs a material, such as polyester 50um")
	}
	if f, ok := filmLike(words, thick, form); ok {
		p.designation = f.Name
		return nil
	}
	if thick == 0 && len(p.figures) == 0 {
		return notListed(strings.Join(words, " "), []catalog.Kind{catalog.KindFilm})
	}
	p.designation = strings.Join(words, " ")
	p.figure("form", form)
	if thick > 0 {
		p.figure("thickness", si.FormatExact(thick))
		p.designation += " " + strconv.FormatFloat(float64(thick)*1e6, 'g', 4, 64) + " um"
	}
	p.remark("not in the table of films: say shim=yes if it may lie in a gap, insulates=yes if it may stand between windings")
	return nil
}

// filmLike is the film of the table that has every word in its name and is nearest in thickness; the film inside a tape counts
// with its printed thickness in the name.
func filmLike(words []string, thick si.Length, form string) (catalog.Film, bool) {
	var fits []catalog.Film
	for _, f := range catalog.Films() {
		name := strings.ToLower(f.Name)
		has := !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(name, strings.ToLower(w)) })
		printed := thick == 0 || strings.Contains(name, " "+strconv.FormatFloat(float64(thick)*1e6, 'g', 6, 64)+" um")
		near := thick > 0 && f.Thickness.Value > thick*0.97 && f.Thickness.Value < thick*1.03
		if f.Form == form && has && (printed || near) {
			fits = append(fits, f)
		}
	}
	if len(fits) != 1 {
		return catalog.Film{}, false
	}
	return fits[0], true
}

var fuseWord = pattern.OnFirstUse(`^([TtFf]?)([0-9]*\.?[0-9]+m?[Aa])([LlHhEe]?)$`)

// readFuseLine reads T1A 250V: speed letter of IEC 60127, current, voltage.
func readFuseLine(p *partLine) error {
	for _, w := range p.rest {
		if m := fuseWord().FindStringSubmatch(w); m != nil {
			p.designation = w
			p.figure("current", m[2])
			if m[1] != "" {
				p.figure("speed", map[string]string{"T": "time-lag", "F": "fast"}[strings.ToUpper(m[1])])
			}
			continue
		}
		if _, err := si.Parse[si.Voltage](w); err != nil {
			return p.unknown(w, "the current, such as T1A, and the voltage")
		}
		p.figure("volts", w)
	}
	return nil
}

func readThermistorLine(p *partLine) error {
	return p.figuresByUnit(map[string]string{"Ω": "cold", "A": "current"}, "10R 2A")
}

func readLampLine(p *partLine) error {
	if len(p.rest) != 1 {
		return wrongCall("led", strings.Join(p.rest, " "), "needs its colour")
	}
	p.designation = "LED " + p.rest[0]
	p.figure("colour", p.rest[0])
	return nil
}

func readTrimmerLine(p *partLine) error {
	return p.figuresByUnit(map[string]string{"Ω": "resistance", "W": "power"}, "5k")
}

func readChokeLine(p *partLine) error {
	for i, w := range p.rest {
		use, ok := map[string]string{"common-mode": "common-mode", "cm": "common-mode", "output": "output"}[strings.ToLower(w)]
		if ok {
			p.figure("use", use)
			p.rest = slices.Delete(slices.Clone(p.rest), i, i+1)
			break
		}
	}
	return p.figuresByUnit(map[string]string{"H": "inductance", "A": "current", "Ω": "resistance"}, "common-mode 10mH 0.5A")
}

// figuresByUnit sorts words by the unit they carry; the first one names the part.
func (p *partLine) figuresByUnit(fields map[string]string, use string) error {
	for _, w := range p.rest {
		field := ""
		for _, u := range []string{"A", "H", "W", "Ω"} { // ohm last: a bare 5k is a resistance
			name, wanted := fields[u]
			if wanted && field == "" && hasUnit(w, u) {
				field = name
			}
		}
		if field == "" {
			return p.unknown(w, use)
		}
		p.figure(field, w)
		p.designation = strings.TrimSpace(p.designation + " " + w)
	}
	if p.designation == "" {
		return wrongCall(string(p.kind), "", "needs its figures, such as "+use)
	}
	return nil
}

// hasUnit reports whether a word is a quantity of the unit.
func hasUnit(word, unit string) bool {
	var err error
	switch unit {
	case "A":
		_, err = si.Parse[si.Current](word)
		return err == nil && strings.ContainsAny(word, "Aa")
	case "H":
		_, err = si.Parse[si.Inductance](word)
		return err == nil && strings.ContainsAny(word, "Hh")
	case "W":
		_, err = si.Parse[si.Power](word)
		return err == nil && strings.ContainsAny(word, "Ww")
	}
	_, err = si.Parse[si.Resistance](word)
	return err == nil
}

// measuredOhms is what a meter showed, 0 when nothing was read.
func (p *partLine) measuredOhms() si.Resistance {
	text, _, _ := strings.Cut(p.measured, "+-")
	v, err := si.Parse[si.Resistance](text)
	if p.measured == "" || err != nil {
		return 0
	}
	return v
}

// choose picks a reading: the one the meter agrees with, else the likeliest, with a remark on the others.
func (p *partLine) choose(all []codes.Resistor) codes.Resistor {
	if ohm := p.measuredOhms(); ohm > 0 {
		for _, r := range all {
			if slack := float64(r.Tolerance) + 0.05; float64(ohm) > float64(r.Resistance)*(1-slack) &&
				float64(ohm) < float64(r.Resistance)*(1+slack) {
				return r
			}
		}
		p.remark("the meter agrees with no reading of the code: burnt, or read wrongly")
	}
	for _, r := range all[1:] {
		p.remark("may also be %s (%s, %s): measure, or undo", resistorText(r), r.Standard, r.How)
	}
	return all[0]
}
