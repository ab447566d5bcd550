package codes

import (
	"cmp"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Reading is one meaning of a mark as a part of one kind. Of the figures those are set that the
// mark tells; the others are 0.
type Reading struct {
	Kind        catalog.Kind
	Resistance  si.Resistance  // of a resistor or trimmer; 0 with Link
	Link        bool           // a resistor of 0 ohm
	Capacitance si.Capacitance // of a capacitor
	Volts       si.Voltage     // of a capacitor its rating, of a suppressor the nominal breakdown
	Standoff    si.Voltage     // of a suppressor
	Derived     bool           // Volts is not what is printed but follows from Standoff
	Power       si.Power       // rating of a zener diode, 10/1000 us pulse power of a suppressor
	Both        bool           // a suppressor for both directions
	Tolerance   Tolerance
	Customary   bool // the tolerance is not printed but that of the trade
	Drift       si.TempCo
	Series      string // preferred-number series of IEC 60063, of a resistance
	Dielectric  string // as catalog.Capacitor has it, when a mark tells it
	Says        string // meaning in words of a mark without a value, such as X7R
	Standard    string
	How         string // in words, how the reading came about
	rank        int
	micro       bool // a number of uF
}

// doubtful is the rank from which a reading is only told when there is no better one: a value that
// is not made as a part of that kind, or none of any series.
const doubtful = 40

// markReaders read a mark as a part of one kind.
var markReaders = map[catalog.Kind]func(string) []Reading{
	catalog.KindResistor:  resistorReadings,
	catalog.KindTrimmer:   trimmerReadings,
	catalog.KindCapacitor: capacitorReadings,
	catalog.KindClamp:     suppressorReadings,
	catalog.KindZener:     zenerReadings,
}

// markSamples show how a mark of each kind is typed.
var markSamples = map[catalog.Kind]string{
	catalog.KindResistor:  "103, 4k7, 0R22, 01C or brown-black-red-gold",
	catalog.KindTrimmer:   "103, 5k or 500R",
	catalog.KindCapacitor: "104K, 4n7, 100n or 1H104K",
	catalog.KindClamp:     "P6KE200A or SMBJ170A",
	catalog.KindZener:     "5V1, 12V or BZX55C5V1",
}

// ReadMark reads what is printed on a part of a known kind: resistor, trimmer, capacitor, clamp or
// zener. All plausible readings are returned, the likeliest first; where two have different values,
// the mark alone does not settle it. Errors: a kind that has no codes, or no reading.
func ReadMark(kind catalog.Kind, mark string) ([]Reading, error) {
	read, ok := markReaders[kind]
	if !ok {
		return nil, fault("kind", string(kind), "its parts carry no value codes",
			"give its figures")
	}
	if kind == catalog.KindResistor && LooksLikeBands(mark) {
		all, err := ReadBands(mark)
		return resistorsAs(catalog.KindResistor, all), err
	}
	if found := settled(read(strings.TrimSpace(mark))); len(found) > 0 {
		return found, nil
	}
	return nil, fault(
		string(kind)+" mark",
		mark,
		"not understood",
		"type it as printed: "+markSamples[kind],
	)
}

// smallestElectrolytic is below all that is made (common practice, no source).
const smallestElectrolytic = 0.04 * si.Micro

// ReadAny reads a mark that may stand on a part of any kind, the likeliest reading first. Besides
// what ReadMark reads it knows voltage codes, temperature characteristics and safety classes that
// stand alone; these carry no capacitance.
func ReadAny(mark string) []Reading {
	mark = strings.TrimSpace(mark)
	if LooksLikeBands(mark) {
		all, _ := ReadBands(mark)
		return resistorsAs(catalog.KindResistor, all)
	}
	var found []Reading
	for _, kind := range []catalog.Kind{catalog.KindClamp, catalog.KindZener,
		catalog.KindResistor, catalog.KindTrimmer, catalog.KindCapacitor} {
		for _, r := range markReaders[kind](mark) {
			if kind != catalog.KindTrimmer || r.rank == rankTrimmer || r.rank == rankTrimmer+4 {
				found = append(found, r)
			}
		}
	}
	return settled(append(found, wordReadings(mark)...))
}

// settled sorts readings by rank, drops doubtful ones behind better ones, and doubles.
func settled(found []Reading) []Reading {
	slices.SortStableFunc(found, func(a, b Reading) int { return cmp.Compare(a.rank, b.rank) })
	var out []Reading
	for _, r := range found {
		if r.rank >= doubtful && len(out) > 0 && out[0].rank < doubtful {
			break
		}
		if !slices.ContainsFunc(out, func(o Reading) bool { return sameFigures(o, r) }) {
			out = append(out, r)
		}
	}
	return out
}

// sameFigures reports whether two readings say the same of a part; how they came about does not
// count.
func sameFigures(a, b Reading) bool {
	return a.Kind == b.Kind && a.Resistance == b.Resistance && a.Capacitance == b.Capacitance &&
		a.Volts == b.Volts &&
		a.Tolerance == b.Tolerance &&
		a.Says == b.Says
}

func resistorReadings(mark string) []Reading {
	return resistorsAs(catalog.KindResistor, allResistors(mark))
}

// trimmerReadings takes the figure code before all else: 103 on a trimmer is 10 kohm. Trimmers
// carry no EIA-96 code and no tolerance. Their usual values are 1, 2, 2.5 and 5 in every decade
// (makers' lists; common practice, no source).
func trimmerReadings(mark string) []Reading {
	var out []Reading
	for _, r := range allResistors(mark) {
		if r.form == eia96 || r.form == ohmE || r.Resistance <= 0 {
			continue
		}
		switch coded := r.form == point || r.form == figures && len(mark) == 3; {
		case r.Resistance < 5 || r.Resistance > 10e6:
			r.rank += doubtful
		case coded && usualTrimmer(r.Resistance) && catalog.InSeries(r.Resistance, "E24"):
			r.rank = rankTrimmer + 4
		case coded && usualTrimmer(r.Resistance):
			r.rank = rankTrimmer
		case r.form == figures && len(mark) == 4:
			r.rank += 20 // a number of ohms rather than a code of four figures
		}
		r.Tolerance, r.Customary = 0, false
		out = append(out, resistorsAs(catalog.KindTrimmer, []Resistor{r})...)
	}
	return out
}

// rankTrimmer is the rank of a code of a usual trimmer, behind resistors of a preferred value and
// before those of none.
const rankTrimmer = 13

// usualTrimmer reports whether trimmers are made with the value.
func usualTrimmer(r si.Resistance) bool {
	if r < 9.9 || r > 5.1e6 {
		return false
	}
	for _, v := range []float64{1, 2, 2.5, 5} {
		if oneFigure(float64(r), v) {
			return true
		}
	}
	return false
}

func resistorsAs(kind catalog.Kind, all []Resistor) []Reading {
	var out []Reading
	for _, r := range all {
		out = append(
			out,
			Reading{Kind: kind, Resistance: r.Resistance, Link: r.Resistance == 0,
				Customary: r.Customary,
				Tolerance: Tolerance{Below: r.Tolerance,
					Above: r.Tolerance}, Drift: r.Drift, Series: r.Series,
				Standard: r.Standard, How: r.How, rank: r.rank},
		)
	}
	return out
}

func capacitorReadings(mark string) []Reading {
	var out []Reading
	for _, c := range allCapacitors(mark) {
		out = append(
			out,
			Reading{Kind: catalog.KindCapacitor, Capacitance: c.Capacitance, Tolerance: c.Tolerance,
				Volts: c.Volts, Standard: c.Standard, How: c.How, rank: c.rank, micro: c.plain},
		)
	}
	return out
}
