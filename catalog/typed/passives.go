package typed

import (
	"math"
	"strconv"
	"strings"

	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// resistorUse is how a line about resistors is written.
const resistorUse = "a value (4k7), bands (brown-black-red-gold) or smd 01C, and 1% or 0.5W"

// constructions are the words for the make of a resistor.
var constructions = map[string]string{"film": "film", "metal": "film", "carbon": "carbon",
	"wirewound": "wirewound",
	"shunt":     "shunt", "fusible": "fusible"}

// readResistorLine reads value, bands or chip code, tolerance, power, drift and construction.
func readResistorLine(p *Line) error {
	var found codes.Resistor
	var tolerance, power string
	once := func(into *string, word, value string) error {
		if *into != "" && *into != value {
			return lineFault("resistor", word, "contradicts "+*into+"; keep one of the two")
		}
		*into = value
		return nil
	}
	known := false
	for i := 0; i < len(p.Words); i++ {
		w := p.Words[i]
		watts, isPower := wattsOf(w)
		make, isMake := constructions[strings.ToLower(w)]
		switch {
		case isMake:
			p.Add("type", make)
		case percentWord().MatchString(w):
			if err := once(&tolerance, w, strings.TrimLeft(w, "+-/±")); err != nil {
				return err
			}
		case strings.HasSuffix(w, "ppm") || strings.HasSuffix(w, "ppm/K"):
			p.Add("drift", w)
		case isPower:
			if err := once(&power, w, watts); err != nil {
				return err
			}
		default:
			used, r, err := p.resistorValue(p.Words[i:])
			if err != nil {
				return err
			}
			if known {
				return p.Unknown(w, resistorUse)
			}
			found, known = r, true
			i += used - 1
		}
	}
	if !known {
		return p.unmarkedResistor(tolerance, power)
	}
	return p.resistorFigures(found, tolerance, power)
}

// wattsOf reads a power, 0.5W or 1/2W.
func wattsOf(word string) (string, bool) {
	if m := wattWord().FindStringSubmatch(word); m != nil {
		over, _ := strconv.ParseFloat(m[1], 64)
		under, _ := strconv.ParseFloat(m[2], 64)
		return strconv.FormatFloat(over/max(under, 1), 'g', 6, 64) + "W", true
	}
	return word, HasUnit(word, "W")
}

// resistorValue reads the value at the front of words and tells how many it took.
func (p *Line) resistorValue(words []string) (used int, r codes.Resistor, err error) {
	word := words[0]
	if strings.EqualFold(word, "smd") {
		if len(words) < 2 {
			return 1, r, lineFault("smd", "", "needs the code behind it")
		}
		all, err := codes.ReadSMD(words[1])
		if err != nil {
			return 2, r, err
		}
		return 2, p.choose(all), nil
	}
	// colours as separate words, the longest run that is all colours
	for n := min(6, len(words)); n >= 1; n-- {
		text := strings.Join(words[:n], "-")
		if !codes.LooksLikeBands(text) || n > 1 && !allColours(words[:n]) {
			continue
		}
		all, err := codes.ReadBands(text)
		if err != nil {
			return n, r, err
		}
		return n, p.choose(all), nil
	}
	r, err = p.typedValue(word)
	return 1, r, err
}

// allColours reports whether each word alone is a colour.
func allColours(words []string) bool {
	for _, w := range words {
		if !codes.LooksLikeBands(w + "-" + w) {
			return false
		}
	}
	return true
}

// typedValue reads a value in figures.
func (p *Line) typedValue(word string) (codes.Resistor, error) {
	v, err := Resistance(word)
	if err != nil {
		return codes.Resistor{}, err
	}
	p.say(v.Said)
	r := codes.Resistor{Resistance: si.Resistance(v.Number), Tolerance: v.Within}
	r.Series = codes.SeriesOf(r.Resistance)
	return p.preferred(r), nil
}

// preferred remarks on a value that is in no series.
func (p *Line) preferred(r codes.Resistor) codes.Resistor {
	if r.Series == "" && r.Resistance > 0 {
		p.Remark("%s is no preferred value of IEC 60063", si.RKM(r.Resistance))
	}
	return r
}

// unmarkedResistor takes the reading of the meter for a part without marks; its value then counts
// as estimated until the reading stands in.
func (p *Line) unmarkedResistor(tolerance, power string) error {
	ohm := p.measuredOhms()
	if ohm == 0 {
		return lineFault("resistor", strings.Join(p.Words, " "), "has no value; write "+resistorUse)
	}
	p.Add("resistance", "~"+si.FormatExact(ohm))
	p.Designation = "unmarked " + si.RKM(ohm)
	p.addRatings(tolerance, power)
	return nil
}

func (p *Line) resistorFigures(r codes.Resistor, tolerance, power string) error {
	if r.Resistance == 0 {
		return lineFault("resistor", strings.Join(p.Words, " "),
			"a link of 0 ohm is not kept as a resistor")
	}
	p.Add("resistance", si.FormatExact(r.Resistance))
	p.Designation = si.RKM(r.Resistance)
	switch {
	case tolerance != "" || r.Tolerance == 0:
	case r.Customary:
		p.Add("tolerance", "~"+percent(float64(r.Tolerance))) // a custom of the trade, not printed
		p.Designation += " " + strings.ReplaceAll(si.Percent(r.Tolerance, 3), " ", "")
	default:
		tolerance = strings.ReplaceAll(si.Percent(r.Tolerance, 3), " ", "")
	}
	if r.Drift > 0 {
		p.Add("drift", si.FormatExact(r.Drift))
	}
	p.addRatings(tolerance, power)
	return nil
}

func (p *Line) addRatings(tolerance, power string) {
	if tolerance != "" {
		p.Add("tolerance", tolerance)
		p.Designation += " " + tolerance
	}
	if power != "" {
		p.Add("power", power)
		p.Designation += " " + power
	}
}

// dielectrics are the words for the dielectric of a capacitor.
var dielectrics = map[string]string{"electrolytic": "electrolytic", "elko": "electrolytic",
	"polymer": "polymer",
	"film":    "film", "mkt": "film", "mkp": "film", "polyester": "film", "polypropylene": "film",
	"ceramic": "ceramic",
	"disc":    "ceramic", "mlcc": "ceramic", "np0": "ceramic-class1", "npo": "ceramic-class1",
	"c0g": "ceramic-class1", "cog": "ceramic-class1"}

// dielectricOf is the dielectric that a word tells, "" for none. The characteristics of class 1 are
// written in capitals: n220 and u2J are values.
func dielectricOf(word string) string {
	lower := strings.ToLower(word)
	if kind := dielectrics[lower]; kind != "" {
		return kind
	}
	c, ok := codes.ReadCharacteristic(word)
	if !ok || c.Class == 1 && word != strings.ToUpper(word) {
		return ""
	}
	return c.Dielectric()
}

var heatWord = pattern.OnFirstUse(`^(85|105|125|130|135)[Cc]$`)

const capacitorUse = "a code (104K, 470u), the voltage (50V), and film, ceramic or electrolytic"

// readCapacitorLine reads code, voltage, dielectric, safety class, tolerance and temperature.
func readCapacitorLine(p *Line) error {
	var value, safety, volts string
	dielectric := strings.ToLower(p.Typed("dielectric"))
	for _, w := range p.Words {
		word := strings.ToLower(w)
		kind := dielectricOf(w)
		switch {
		case kind != "":
			p.Add("dielectric", kind)
			dielectric = or(dielectric, kind)
		case word == "x1" || word == "x2" || word == "y1" || word == "y2":
			safety = strings.ToUpper(w)
			p.Add("safety", safety)
		case percentWord().MatchString(w):
			p.Add("tolerance", strings.TrimLeft(w, "+-/±"))
		case heatWord().MatchString(w):
			p.Add("heat", w)
		case isVolts(w):
			volts = w
			p.Add("volts", w)
		case value != "":
			return p.Unknown(w, capacitorUse)
		default:
			value = w
		}
	}
	if value == "" {
		return lineFault("capacitor", strings.Join(p.Words, " "),
			"has no value; write "+capacitorUse)
	}
	found, err := Capacitance(value, likelyClass(dielectric, safety))
	if err != nil {
		return err
	}
	p.say(found.Said)
	if volts == "" && found.Volts > 0 {
		volts = si.FormatExact(found.Volts)
	}
	if volts == "" {
		volts = p.Typed("volts")
	}
	if volts == "" {
		if volts, err = p.unprintedVolts(value, safety); err != nil {
			return err
		}
	}
	if dielectric == "" {
		dielectric = p.likelyDielectric(si.Capacitance(found.Number), safety)
	}
	p.capacitorFigures(found, volts, dielectric)
	if safety != "" {
		p.Designation += " " + safety
	}
	return nil
}

// unprintedVolts is the voltage of a capacitor that carries none.
func (p *Line) unprintedVolts(value, safety string) (string, error) {
	if p.Volts != nil {
		return p.Volts(value, safety)
	}
	return "", lineFault("capacitor", value, "the voltage is missing; write it behind, such as 50V")
}

// likelyClass is the dielectric by which a bare number is read where none is written: safety
// capacitors are film or ceramic.
func likelyClass(dielectric, safety string) string {
	if dielectric == "" && strings.HasPrefix(safety, "Y") {
		return "ceramic"
	}
	return dielectric
}

func isVolts(word string) bool {
	_, err := si.Parse[si.Voltage](word)
	return err == nil && strings.HasSuffix(strings.TrimRight(strings.ToUpper(word), "ACD"), "V")
}

// likelyDielectric guesses what was not said: 1 uF and more are electrolytic, X capacitors film,
// the rest ceramic (common practice, no source). The answer says so.
func (p *Line) likelyDielectric(c si.Capacitance, safety string) string {
	kind := "ceramic"
	switch {
	case strings.HasPrefix(safety, "X"):
		kind = "film"
	case c >= 1e-6 && safety == "":
		kind = "electrolytic"
	}
	p.Remark("taken as %s; write film, ceramic, np0, electrolytic or polymer otherwise", kind)
	return kind
}

func (p *Line) capacitorFigures(c Value, volts, dielectric string) {
	farad := si.Capacitance(c.Number)
	p.Add("dielectric", dielectric)
	p.Add("capacitance", si.FormatExact(farad))
	p.Add("volts", volts)
	if c.Tolerance.Known() {
		p.Add("tolerance", percent(float64(c.Tolerance.Of(farad))))
	}
	v, err := si.Parse[si.Voltage](volts)
	if err != nil { // an estimate is not printed on the part
		p.Designation = capacitanceName(farad) + " unmarked"
		return
	}
	p.Designation = strings.ReplaceAll(capacitanceName(farad)+" "+si.ASCII(v), " V", "V")
}

// capacitanceName writes a capacitance as the trade does: from 1 uF up in uF, below in nF and pF.
func capacitanceName(c si.Capacitance) string {
	if c >= 1e-6 {
		return strconv.FormatFloat(math.Round(float64(c)*1e9)/1e3, 'f', -1, 64) + "uF"
	}
	return strings.ReplaceAll(si.ASCII(c), " ", "")
}
