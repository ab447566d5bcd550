package typed

import (
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

var (
	percentWord = pattern.OnFirstUse(`^(?:\+-|\+/-|±)?[0-9]*\.?[0-9]+%$`)
	wattWord    = pattern.OnFirstUse(`^([0-9]+)/([0-9]+)[Ww]$`)
)

// NotListed refuses a name with what it may have meant, or with why such a part is of no use.
func NotListed(name string, kinds []catalog.Kind) error {
	if s, ok := catalog.OutOfScope(name); ok {
		return lineFault("part", name, "is "+s.What+", of no use here: "+s.Why)
	}
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
		return lineFault("part", name, why+"; did you mean "+
			strings.Join(near[:min(3, len(near))], " or ")+"?")
	}
	return lineFault("part", name, why+"; name its kind and figures: put KIND NAME figure=value")
}

// readClampLine takes the voltage, its tolerance and the pulse power from the type name. The number
// in the name is the breakdown voltage in some series and the stand-off voltage in others; then the
// breakdown that follows is an estimate.
func readClampLine(p *Line) error {
	p.Designation = strings.Join(p.Words, " ")
	all, err := codes.ReadMark(catalog.KindClamp, p.Designation)
	if err != nil {
		return nil // no known series: the figures have to be typed
	}
	r := all[0]
	if typed := p.Typed("breakdown"); typed != "" && contradicts(typed, r) {
		return lineFault("clamp", p.Designation,
			"breakdown="+typed+" contradicts the name ("+r.How+"); leave one out")
	}
	breakdown := si.FormatExact(r.Volts)
	if r.Derived {
		breakdown = "~" + si.FormatASCII(r.Volts, 4)
		p.preset("standoff", si.FormatExact(r.Standoff))
		p.Remark("%s", r.How)
	}
	p.preset("breakdown", strings.ReplaceAll(breakdown, " ", ""))
	p.preset("tolerance", percent(float64(r.Tolerance.Above)))
	if r.Both && !r.Derived {
		p.Remark("for both directions")
	}
	return nil
}

// contradicts reports whether a breakdown voltage that was typed lies outside the tolerance of the
// name.
func contradicts(typed string, r codes.Reading) bool {
	v, err := si.Parse[si.Voltage](unmarked(typed))
	off := float64(v/r.Volts) - 1
	return err == nil && (off > float64(r.Tolerance.Above)+0.01 ||
		off < -float64(r.Tolerance.Below)-0.01)
}

// zenerUse is how a line about zener diodes is written.
const zenerUse = "the voltage, such as 5V1 or 12V, or a type name, 5% and 0.5W"

// readZenerLine reads voltage, tolerance and power, or a type name that tells the voltage.
func readZenerLine(p *Line) error {
	for _, w := range p.Words {
		watts, isPower := wattsOf(w)
		switch {
		case percentWord().MatchString(w):
			p.Add("tolerance", strings.TrimLeft(w, "+-/±"))
		case isPower:
			p.Add("power", watts)
		case p.Designation != "":
			return p.Unknown(w, zenerUse)
		default:
			if err := p.zenerVolts(w); err != nil {
				return err
			}
			p.Designation = w
		}
	}
	if p.Designation == "" {
		return lineFault("zener", "", "needs "+zenerUse)
	}
	return nil
}

// zenerName ends in the voltage with V for the point, the tolerance letter before it, as in the
// European type key (from memory); codes knows the usual letters before it, others are read here.
var zenerName = pattern.OnFirstUse(`^(?i)[A-Z0-9-]*?([ABCD]?)([0-9]{1,3}V[0-9]?)$`)

// zenerVolts reads a voltage, or what a type name tells: what does not stand in the name itself is
// an estimate.
func (p *Line) zenerVolts(word string) error {
	if _, err := si.Parse[si.Voltage](word); err == nil {
		p.Add("voltage", word)
		return nil
	}
	all, err := codes.ReadMark(catalog.KindZener, word)
	if m := zenerName().FindStringSubmatch(word); err != nil && m != nil {
		p.Add("voltage", m[2])
		if letter := strings.ToUpper(m[1]); letter != "" {
			p.Add("tolerance", map[string]string{"A": "~1%", "B": "~2%", "C": "~5%",
				"D": "~10%"}[letter])
		}
		return nil
	}
	if err != nil {
		if len(p.Figures) == 0 {
			return p.Unknown(word, zenerUse)
		}
		return nil // a name that tells nothing; its figures are typed
	}
	r := all[0]
	volts := strings.ReplaceAll(si.FormatExact(r.Volts), " ", "")
	if r.Power > 0 {
		volts = "~" + volts // by the number of the registration
		p.Add("power", "~"+strings.ReplaceAll(si.FormatExact(r.Power), " ", ""))
	}
	p.Add("voltage", volts)
	if r.Tolerance.Known() {
		p.Add("tolerance", "~"+percent(float64(r.Tolerance.Above)))
	}
	return nil
}

// coreFigures are the words on a line about a core that take a value behind them.
var coreFigures = map[string]string{"gap": "gap", "al": "al", "former": "former",
	"bobbin": "former"}

// readCoreLine reads shape, ferrite, gap, AL and former.
func readCoreLine(p *Line) error {
	if len(p.Words) == 0 {
		return lineFault("core", "", "needs a shape, such as EF20")
	}
	shape := p.Words[0]
	if _, _, ok := catalog.Lookup(catalog.KindCore, shape); !ok && len(p.Figures) == 0 {
		return NotListed(shape, []catalog.Kind{catalog.KindCore})
	}
	p.Designation = shape
	p.Add("shape", shape)
	for i := 1; i < len(p.Words); i++ {
		word := strings.ToLower(p.Words[i])
		switch {
		case coreFigures[word] != "" && i+1 < len(p.Words):
			i++
			p.Add(coreFigures[word], p.Words[i])
		default:
			f, ok := catalog.FerriteNamed(p.Words[i])
			if !ok && word != "unknown" {
				return p.Unknown(p.Words[i],
					"a ferrite grade such as N87, gap 0.35mm, al 250nH, former plain")
			}
			if ok {
				p.Add("ferrite", f.Name)
				p.Designation += " " + f.Name
			}
		}
	}
	return nil
}

// insulations are the words for the insulation of a wire.
var insulations = map[string]string{"enamelled": "enamelled", "enameled": "enamelled",
	"enamel": "enamelled",
	"magnet": "enamelled", "tiw": "triple-insulated", "triple": "triple-insulated",
	"triple-insulated": "triple-insulated"}

// readWireLine reads diameter and insulation.
func readWireLine(p *Line) error {
	for _, w := range p.Words {
		if insulation, ok := insulations[strings.ToLower(w)]; ok {
			p.Add("insulation", insulation)
			continue
		}
		d, err := millimetres(w)
		if err != nil || p.Designation != "" {
			return p.Unknown(w, "the copper diameter in mm and enamelled or tiw")
		}
		p.Add("diameter", si.FormatExact(d))
		p.Designation = strconv.FormatFloat(float64(d)*1e3, 'g', 6, 64) + " mm"
	}
	if p.Designation == "" {
		return lineFault("wire", "", "needs the copper diameter in mm")
	}
	return nil
}

func readFilmLine(p *Line) error { return readSheet(p, "sheet") }
func readTapeLine(p *Line) error { return readSheet(p, "tape") }

// readSheet finds a film of the table by its words and its thickness, or makes one of what is
// typed.
func readSheet(p *Line, form string) error {
	var words []string
	var thick si.Length
	for _, w := range p.Words {
		v, remark, err := Option[si.Length]("thickness", w, Thickness)
		if err == nil && v < 2e-3 && (strings.HasSuffix(w, "m") || remark != "") {
			if thick != 0 && thick != v {
				return lineFault(form, w, "a second thickness; keep one of the two")
			}
			thick = v
			p.say(remark)
			continue
		}
		words = append(words, w)
	}
	if len(words) == 0 {
		return lineFault(form, "", "needs a material, such as polyester 50um")
	}
	if f, ok := filmLike(words, thick, form); ok {
		p.Designation = f.Name
		return nil
	}
	if thick == 0 && len(p.Figures) == 0 {
		return NotListed(strings.Join(words, " "), []catalog.Kind{catalog.KindFilm})
	}
	p.Designation = strings.Join(words, " ")
	p.Add("form", form)
	if thick > 0 {
		p.Add("thickness", si.FormatExact(thick))
		p.Designation += " " + strconv.FormatFloat(float64(thick)*1e6, 'g', 4, 64) + " um"
	}
	p.Remark("not in the table of films: say shim=yes if it may lie in a gap, insulates=yes if " +
		"it may stand between windings")
	return nil
}

// filmLike is the film of the table that has every word in its name and is nearest in thickness;
// the film inside a tape counts with its printed thickness in the name.
func filmLike(words []string, thick si.Length, form string) (catalog.Film, bool) {
	var fits []catalog.Film
	for _, f := range catalog.Films() {
		name := strings.ToLower(f.Name)
		has := !slices.ContainsFunc(words,
			func(w string) bool { return !strings.Contains(name, strings.ToLower(w)) })
		printed := thick == 0 || strings.Contains(name,
			" "+strconv.FormatFloat(float64(thick)*1e6, 'g', 6, 64)+" um")
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
func readFuseLine(p *Line) error {
	for _, w := range p.Words {
		if m := fuseWord().FindStringSubmatch(w); m != nil {
			p.Designation = w
			p.Add("current", m[2])
			if m[1] != "" {
				p.Add("speed", map[string]string{"T": "time-lag",
					"F": "fast"}[strings.ToUpper(m[1])])
			}
			continue
		}
		if _, err := si.Parse[si.Voltage](w); err != nil ||
			!isVolts(w) && !bareText().MatchString(w) {
			return p.Unknown(w, "the current, such as T1A or 500mA, and the voltage")
		}
		p.Add("volts", w)
	}
	return nil
}

func readThermistorLine(p *Line) error {
	return p.figuresByUnit(map[string]string{"Ω": "cold", "A": "current"}, "10R 2A")
}

func readLEDLine(p *Line) error {
	if len(p.Words) != 1 {
		return lineFault("led", strings.Join(p.Words, " "), "needs its colour")
	}
	p.Designation = "LED " + p.Words[0]
	p.Add("colour", p.Words[0])
	return nil
}

func readTrimmerLine(p *Line) error {
	return p.figuresByUnit(map[string]string{"Ω": "resistance", "W": "power"}, "5k")
}

func readChokeLine(p *Line) error {
	for i, w := range p.Words {
		use, ok := map[string]string{"common-mode": "common-mode", "cm": "common-mode",
			"output": "output"}[strings.ToLower(w)]
		if ok {
			p.Add("use", use)
			p.Words = slices.Delete(slices.Clone(p.Words), i, i+1)
			break
		}
	}
	return p.figuresByUnit(map[string]string{"H": "inductance", "A": "current", "Ω": "resistance"},
		"common-mode 10mH 0.5A")
}

// figuresByUnit sorts words by the unit they carry; the first one names the part.
func (p *Line) figuresByUnit(fields map[string]string, use string) error {
	for i, w := range p.Words {
		if slices.Contains(p.Words[:i], w) {
			return lineFault(string(p.Kind), w, "stands there twice; keep one")
		}
		if printed(p.Kind, "resistance") && fields["Ω"] != "" && !HasUnit(w, "W") {
			v, err := Resistance(w)
			if err != nil {
				return err
			}
			w = strings.ReplaceAll(w, " ", "")
			p.say(v.Said)
		}
		field := ""
		for _, u := range []string{"A", "H", "W", "Ω"} { // ohm last: a bare 5k is a resistance
			name, wanted := fields[u]
			if wanted && field == "" && HasUnit(w, u) {
				field = name
			}
		}
		if p.Kind == catalog.KindChoke && field == "resistance" &&
			!strings.ContainsAny(w, "RrOo\u03a9\u2126") {
			return lineFault("choke", w,
				"may be an inductance or a resistance; write it with its unit, such as "+
					"10mH or 0.1ohm")
		}
		if field == "" {
			return p.Unknown(w, use)
		}
		p.Add(field, w)
		p.Designation = strings.TrimSpace(p.Designation + " " + w)
	}
	if p.Designation == "" {
		return lineFault(string(p.Kind), "", "needs its figures, such as "+use)
	}
	return nil
}

// HasUnit reports whether a word is a quantity of the unit.
func HasUnit(word, unit string) bool {
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
func (p *Line) measuredOhms() si.Resistance {
	text, _, _ := strings.Cut(p.Measured, "+-")
	v, err := MeasuredResistance(text)
	if p.Measured == "" || err != nil {
		return 0
	}
	return si.Resistance(v.Number)
}

// choose picks a reading: the one the meter agrees with, else the likeliest, with a remark on the
// others.
func (p *Line) choose(all []codes.Resistor) codes.Resistor {
	if ohm := p.measuredOhms(); ohm > 0 {
		for _, r := range all {
			if slack := float64(r.Tolerance) + 0.05; float64(ohm) > float64(r.Resistance)*
				(1-slack) &&
				float64(ohm) < float64(r.Resistance)*(1+slack) {
				return r
			}
		}
		p.Remark("the meter agrees with no reading of the code: burnt, or read wrongly")
	}
	for _, r := range all[1:] {
		p.Remark("may also be %s (%s, %s): measure, or undo", readingText(r), r.Standard, r.How)
	}
	return all[0]
}

// readingText writes one reading of a resistor in a few words.
func readingText(r codes.Resistor) string {
	text := si.Text(r.Resistance)
	if r.Tolerance > 0 {
		text += " " + si.Percent(r.Tolerance, 3)
	}
	return text + ", " + or(r.Series, "no preferred value")
}
