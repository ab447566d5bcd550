package main

import (
	"fmt"
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
var constructions = map[string]string{"film": "film", "metal": "film", "carbon": "carbon", "wirewound": "wirewound",
	"shunt": "shunt", "fusible": "fusible"}

// readResistorLine reads value, bands or chip code, tolerance, power, drift and construction.
func readResistorLine(p *partLine) error {
	var found codes.Resistor
	var tolerance, power string
	known := false
	for i := 0; i < len(p.rest); i++ {
		w := p.rest[i]
		watts, isPower := wattsOf(w)
		make, isMake := constructions[strings.ToLower(w)]
		switch {
		case isMake:
			p.figure("type", make)
		case percentWord().MatchString(w):
			tolerance = strings.TrimLeft(w, "+-/±")
		case strings.HasSuffix(w, "ppm") || strings.HasSuffix(w, "ppm/K"):
			p.figure("drift", w)
		case isPower:
			power = watts
		default:
			used, r, err := p.resistorValue(p.rest[i:])
			if err != nil {
				return err
			}
			if known {
				return p.unknown(w, resistorUse)
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
	return word, hasUnit(word, "W")
}

// resistorValue reads the value at the front of words and tells how many it took.
func (p *partLine) resistorValue(words []string) (used int, r codes.Resistor, err error) {
	word := words[0]
	if strings.EqualFold(word, "smd") {
		if len(words) < 2 {
			return 1, r, wrongCall("smd", "", "needs the code behind it")
		}
		all, err := codes.ReadSMD(words[1])
		if err != nil {
			return 2, r, err
		}
		return 2, p.choose(all), nil
	}
	for n := min(6, len(words)); n >= 1; n-- { // colours as separate words, the longest run that is all colours
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

// typedValue reads a value in figures. Three or four bare figures are taken as ohms when that is a value of E24; otherwise
// they are more likely the code of a chip resistor, and the reader has to say which.
func (p *partLine) typedValue(word string) (codes.Resistor, error) {
	if r, err := codes.ReadValueCode(word); err == nil {
		return p.preferred(r), nil
	}
	v, err := si.Parse[si.Resistance](word)
	if err != nil {
		return codes.Resistor{}, p.unknown(word, resistorUse)
	}
	r := codes.Resistor{Resistance: v, Series: codes.SeriesOf(v)}
	if plainWord().MatchString(word) && r.Series != "E3" && r.Series != "E6" && r.Series != "E12" && r.Series != "E24" {
		if all, err := codes.ReadSMD(word); err == nil {
			return r, wrongCall("resistor", word, fmt.Sprintf("may be %s or the chip code for %s; write %sR or smd %s", si.ASCII(v),
				si.ASCII(all[0].Resistance), word, word))
		}
	}
	return p.preferred(r), nil
}

// preferred remarks on a value that is in no series.
func (p *partLine) preferred(r codes.Resistor) codes.Resistor {
	if r.Series == "" && r.Resistance > 0 {
		p.remark("%s is no preferred value of IEC 60063", si.RKM(r.Resistance))
	}
	return r
}

// unmarkedResistor takes the reading of the meter for a part without marks; its value then counts as estimated until the
// reading stands in.
func (p *partLine) unmarkedResistor(tolerance, power string) error {
	ohm := p.measuredOhms()
	if ohm == 0 {
		return wrongCall("resistor", strings.Join(p.rest, " "), "has no value; write "+resistorUse)
	}
	p.figure("resistance", "~"+si.FormatExact(ohm))
	p.designation = "unmarked " + si.RKM(ohm)
	p.addRatings(tolerance, power)
	return nil
}

func (p *partLine) resistorFigures(r codes.Resistor, tolerance, power string) error {
	if r.Resistance == 0 {
		return wrongCall("resistor", strings.Join(p.rest, " "), "a link of 0 ohm is not kept as a resistor")
	}
	p.figure("resistance", si.FormatExact(r.Resistance))
	p.designation = si.RKM(r.Resistance)
	switch {
	case tolerance != "" || r.Tolerance == 0:
	case r.Customary:
		p.figure("tolerance", "~"+si.FormatExact(r.Tolerance)) // a custom of the trade, not printed
		p.designation += " " + strings.ReplaceAll(si.Percent(r.Tolerance, 3), " ", "")
	default:
		tolerance = strings.ReplaceAll(si.Percent(r.Tolerance, 3), " ", "")
	}
	if r.Drift > 0 {
		p.figure("drift", si.FormatExact(r.Drift))
	}
	p.addRatings(tolerance, power)
	return nil
}

func (p *partLine) addRatings(tolerance, power string) {
	if tolerance != "" {
		p.figure("tolerance", tolerance)
		p.designation += " " + tolerance
	}
	if power != "" {
		p.figure("power", power)
		p.designation += " " + power
	}
}

// dielectrics are the words for the dielectric of a capacitor.
var dielectrics = map[string]string{"electrolytic": "electrolytic", "elko": "electrolytic", "polymer": "polymer",
	"film": "film", "mkt": "film", "mkp": "film", "polyester": "film", "polypropylene": "film", "ceramic": "ceramic",
	"disc": "ceramic", "mlcc": "ceramic", "np0": "ceramic-class1", "c0g": "ceramic-class1"}

var heatWord = pattern.OnFirstUse(`^(85|105|125|130|135)[Cc]$`)

const capacitorUse = "a code (104K, 470u), the voltage (50V), and film, ceramic or electrolytic"

// readCapacitorLine reads code, voltage, dielectric, safety class, tolerance and temperature.
func readCapacitorLine(p *partLine) error {
	var found codes.Capacitor
	var value, dielectric, safety, volts string
	for _, w := range p.rest {
		word := strings.ToLower(w)
		_, isCeramic := codes.ReadCeramic(w)
		switch {
		case dielectrics[word] != "":
			dielectric = dielectrics[word]
		case isCeramic:
			dielectric = "ceramic"
		case word == "x1" || word == "x2" || word == "y1" || word == "y2":
			safety = strings.ToUpper(w)
			p.figure("safety", safety)
		case percentWord().MatchString(w):
			p.figure("tolerance", strings.TrimLeft(w, "+-/±"))
		case heatWord().MatchString(w):
			p.figure("heat", w)
		case isVolts(w):
			volts = w
		case value != "":
			return p.unknown(w, capacitorUse)
		default:
			c, err := p.capacitorValue(w)
			if err != nil {
				return err
			}
			found, value = c, w
		}
	}
	if value == "" {
		return wrongCall("capacitor", strings.Join(p.rest, " "), "has no value; write "+capacitorUse)
	}
	if volts == "" && found.Volts > 0 {
		volts = si.FormatExact(found.Volts)
	}
	if volts == "" {
		volts = p.typed("volts")
	}
	if volts == "" {
		var err error
		if volts, err = p.unprintedVolts(value); err != nil {
			return err
		}
	}
	if dielectric == "" {
		dielectric = p.likelyDielectric(found.Capacitance, safety)
	}
	p.capacitorFigures(found, volts, dielectric)
	if safety != "" {
		p.designation += " " + safety
	}
	return nil
}

// unprintedVolts is the voltage by the plate of the donor, on the word plate; without it the plate is only offered.
func (p *partLine) unprintedVolts(value string) (string, error) {
	b, text, known := p.fromThePlate("volts")
	switch {
	case known && p.fromPlate:
		return text, nil
	case known:
		return "", wrongCall("capacitor", value, "the voltage is missing; write it behind, such as 50V, or plate for at least "+
			b.Text()+" by the plate of the donor")
	}
	return "", wrongCall("capacitor", value, "the voltage is missing; write it behind, such as 50V")
}

func isVolts(word string) bool {
	_, err := si.Parse[si.Voltage](word)
	return err == nil && strings.HasSuffix(strings.TrimRight(strings.ToUpper(word), "ACD"), "V")
}

// capacitorValue reads a code, or a value with its unit such as 0.1uF.
func (p *partLine) capacitorValue(word string) (codes.Capacitor, error) {
	all, err := codes.ReadCapacitor(word)
	if err != nil {
		v, parseErr := si.Parse[si.Capacitance](word)
		if parseErr != nil || v < 1e-13 {
			return codes.Capacitor{}, p.unknown(word, capacitorUse)
		}
		return codes.Capacitor{Capacitance: v}, nil
	}
	for _, c := range all[1:] {
		p.remark("may also be %s (%s): measure, or undo", si.Text(c.Capacitance), c.How)
	}
	return all[0], nil
}

// likelyDielectric guesses what was not said: 1 uF and more are electrolytic, X capacitors film, the rest ceramic (common
// practice, no source). The answer says so.
func (p *partLine) likelyDielectric(c si.Capacitance, safety string) string {
	kind := "ceramic"
	switch {
	case strings.HasPrefix(safety, "X"):
		kind = "film"
	case c >= 1e-6 && safety == "":
		kind = "electrolytic"
	}
	p.remark("taken as %s; write film, ceramic, np0, electrolytic or polymer otherwise", kind)
	return kind
}

func (p *partLine) capacitorFigures(c codes.Capacitor, volts, dielectric string) {
	p.figure("dielectric", dielectric)
	p.figure("capacitance", si.FormatExact(c.Capacitance))
	p.figure("volts", volts)
	if c.Tolerance.Known() {
		p.figure("tolerance", si.FormatExact(c.Tolerance.Of(c.Capacitance)))
	}
	v, err := si.Parse[si.Voltage](volts)
	if err != nil { // an estimate is not printed on the part
		p.designation = capacitanceName(c.Capacitance) + " unmarked"
		return
	}
	p.designation = strings.ReplaceAll(capacitanceName(c.Capacitance)+" "+si.ASCII(v), " V", "V")
}

// capacitanceName writes a capacitance as the trade does: from 1 uF up in uF, below in nF and pF.
func capacitanceName(c si.Capacitance) string {
	if c >= 1e-6 {
		return strconv.FormatFloat(math.Round(float64(c)*1e9)/1e3, 'f', -1, 64) + "uF"
	}
	return strings.ReplaceAll(si.ASCII(c), " ", "")
}
