package si

import (
	"reflect"
	"sync"
)

// Dimension is what a quantity type is in text: its name, its unit, the unit words that are read
// and the prefixes that are written. There is one for every quantity type of this package and one
// for plain numbers. Dimensions never change.
type Dimension struct {
	Name   string // as in an error message, such as "resistance"
	Symbol string // base unit as printed, such as "Ω"; empty for plain numbers
	ASCII  string // the same in ASCII, such as "ohm"
	sample string // a text of this dimension, for error messages

	units []unitWord // unit words that are read, unprefixed
	bare  prefixes   // prefixes that may stand without a unit, as in 4.7k
	// letters besides the bare prefixes that may stand for the decimal point, as the R in 4R7
	points string
	scales []scale // what is written, smallest first
	// whether the scales are units of their own, as the g of kg, not prefixes of the unit
	named bool

	spelling sync.Once
	spelled  map[string]reading // by words, which fills it
}

// unitWord is a unit as typed, the power of ten and the factor that bring it to the base unit, and
// the prefixes it takes. Power is 2 for areas and 3 for volumes, where the prefix is squared or
// cubed.
type unitWord struct {
	word   string
	exp    int
	factor float64 // 1 unless the unit is no power of ten of the base unit, as the inch
	takes  prefixes
	power  int
}

// reading is what a suffix such as "kohm" means.
type reading struct {
	exp      int
	factor   float64
	prefixed bool
}

// scale is one way to write a quantity: value times ten to -exp, followed by the prefix and the
// unit, or by a unit of its own.
type scale struct {
	exp         int
	text, ascii string
}

// prefix is an SI prefix as typed.
type prefix struct {
	letter string
	exp    int
}

type prefixes []prefix

var (
	noPrefix   = prefixes{}
	upPrefixes = prefixes{{"k", 3}, {"K", 3}, {"M", 6}} // for plain numbers
	// engineering holds the prefixes of SI in steps of a thousand. K is the kilo of IEC 60062;
	// micro is read as u, as the micro sign U+00B5 and as the Greek letter U+03BC.
	engineering = prefixes{
		{"p", -12}, {"n", -9}, {"u", -6}, {"\u00b5", -6}, {"\u03bc", -6}, {"m", -3},
		{"k", 3}, {"K", 3}, {"M", 6}, {"G", 9}, {"T", 12},
	}
	lengthPrefixes = append(prefixes{{"c", -2}}, engineering...)
	massPrefixes   = prefixes{{"u", -6}, {"\u00b5", -6}, {"\u03bc", -6}, {"m", -3}, {"k", 3}}
)

// engineeringScales are the prefixes that are written, from pico to tera.
var engineeringScales = [...]scale{
	{-12, "p", "p"}, {-9, "n", "n"}, {-6, "µ", "u"}, {-3, "m", "m"}, {0, "", ""},
	{3, "k", "k"}, {6, "M", "M"}, {9, "G", "G"}, {12, "T", "T"},
}

// prefixed returns the prefixes between two powers of ten, both from -12 to 12 and divisible by
// three.
func prefixed(from, to int) []scale { return engineeringScales[(from+12)/3 : (to+12)/3+1] }

func one(word string, takes prefixes) unitWord { return unitWord{word, 0, 1, takes, 1} }

func fixed(word string, exp int) unitWord { return unitWord{word, exp, 1, noPrefix, 1} }

func other(word string, factor float64) unitWord { return unitWord{word, 0, factor, noPrefix, 1} }

// electrical is the common shape of volt, ampere, watt and their kin.
func electrical(name, symbol, sample string, words ...string) *Dimension {
	d := &Dimension{Name: name, Symbol: symbol, ASCII: symbol, sample: sample, bare: engineering,
		points: symbol,
		scales: prefixed(-12, 12)}
	for _, w := range append([]string{symbol}, words...) {
		d.units = append(d.units, one(w, engineering))
	}
	return d
}

var (
	dimVoltage = electrical("voltage", "V", "16.8 V", "v", "volt", "volts", "Vac", "Vdc",
		"VAC", "VDC", "Vrms")
	dimCurrent = electrical("current", "A", "400 mA", "a", "amp", "amps",
		"ampere", "Aac", "Adc")
	dimPower       = electrical("power", "W", "0.25 W", "w", "watt", "watts")
	dimCapacitance = electrical("capacitance", "F", "4n7", "f", "farad")
	dimInductance  = electrical("inductance", "H", "2.2 mH", "h", "henry")
	dimResistance  = &Dimension{
		Name: "resistance", Symbol: "Ω", ASCII: "ohm", sample: "4k7",
		bare: engineering, points: "R",
		units: []unitWord{
			one("\u03a9", engineering), one("\u2126", engineering), one("ohm",
				engineering), one("Ohm", engineering),
			one("OHM", engineering), one("ohms", engineering), one("R",
				noPrefix), one("r", noPrefix),
		},
		scales: prefixed(-6, 12),
	}
	dimFrequency = &Dimension{
		Name: "frequency", Symbol: "Hz", ASCII: "Hz", sample: "132 kHz", bare: engineering,
		units:  []unitWord{one("Hz", engineering), one("hz", engineering), one("HZ", engineering)},
		scales: prefixed(-3, 12),
	}
	dimEnergy = &Dimension{
		Name: "energy", Symbol: "J", ASCII: "J", sample: "1.2 mJ", bare: engineering,
		units:  []unitWord{one("J", engineering), {"Wh", 0, 3600, noPrefix, 1}},
		scales: prefixed(-12, 12),
	}
	dimCharge = &Dimension{
		Name: "charge", Symbol: "C", ASCII: "C", sample: "20 nC", bare: engineering,
		units: []unitWord{one("C", engineering), one("As", engineering), other("Ah", 3600),
			other("mAh", 3.6)},
		scales: prefixed(-12, 6),
	}
	dimInductanceFactor = &Dimension{
		Name: "inductance factor", Symbol: "H", ASCII: "H", sample: "2000 nH", bare: engineering,
		units: []unitWord{
			one("H", engineering), one("h", engineering), one("H/N2",
				engineering), one("H/N\u00b2", engineering),
			one("H/N^2", engineering), one("H/turn2", engineering),
		},
		scales: prefixed(-12, 0),
	}
	dimReluctance = &Dimension{
		Name: "reluctance", Symbol: "1/H", ASCII: "1/H", sample: "3.2e6 1/H", bare: upPrefixes,
		units:  []unitWord{fixed("1/H", 0), fixed("/H", 0), fixed("k/H", 3), fixed("M/H", 6)},
		scales: []scale{{0, "1/H", "1/H"}}, named: true,
	}
	dimTime = &Dimension{
		Name: "time", Symbol: "s", ASCII: "s", sample: "75 ns", bare: engineering,
		units: []unitWord{one("s", engineering), one("sec", engineering), other("min", 60),
			other("h", 3600)},
		scales: prefixed(-12, 0),
	}
	dimLength = &Dimension{
		Name: "length", Symbol: "m", ASCII: "m", sample: "0.3 mm", bare: prefixes{{"u", -6},
			{"\u00b5", -6}, {"\u03bc", -6}},
		units: []unitWord{one("m", lengthPrefixes), one("metre", noPrefix), one("metres", noPrefix),
			one("meter", noPrefix),
			other("in", 25.4e-3), other("inch", 25.4e-3), other("mil", 25.4e-6)},
		scales: prefixed(-12, 3),
	}
	dimArea = &Dimension{
		Name: "area", Symbol: "m²", ASCII: "m2", sample: "52 mm2",
		units: []unitWord{{"m2", 0, 1, lengthPrefixes, 2}, {"m\u00b2", 0, 1, lengthPrefixes, 2},
			{"m^2", 0, 1, lengthPrefixes, 2}},
		scales: []scale{{-12, "µm²", "um2"}, {-6, "mm²", "mm2"}, {0, "m²", "m2"}}, named: true,
	}
	dimVolume = &Dimension{
		Name: "volume", Symbol: "m³", ASCII: "m3", sample: "2990 mm3",
		units: []unitWord{{"m3", 0, 1, lengthPrefixes, 3}, {"m\u00b3", 0, 1, lengthPrefixes, 3},
			{"m^3", 0, 1, lengthPrefixes, 3}},
		scales: []scale{{-18, "µm³", "um3"}, {-9, "mm³", "mm3"}, {0, "m³", "m3"}}, named: true,
	}
	dimMass = &Dimension{
		Name: "mass", Symbol: "kg", ASCII: "kg", sample: "16 g",
		units: []unitWord{fixed("kg", 0), {"g", -3, 1, massPrefixes, 1},
			{"gram", -3, 1, noPrefix, 1},
			{"grams", -3, 1, noPrefix, 1}},
		scales: []scale{{-9, "µg", "ug"}, {-6, "mg", "mg"}, {-3, "g", "g"},
			{0, "kg", "kg"}}, named: true,
	}
	dimFluxDensity = &Dimension{
		Name: "flux density", Symbol: "T", ASCII: "T", sample: "320 mT", bare: prefixes{{"m", -3}},
		units:  []unitWord{one("T", engineering), one("tesla", noPrefix)},
		scales: prefixed(-9, 0),
	}
	dimLossDensity = &Dimension{
		Name: "loss density", Symbol: "W/m³", ASCII: "W/m3", sample: "300 kW/m3", bare: upPrefixes,
		units: []unitWord{one("W/m3", engineering), one("W/m\u00b3", engineering),
			one("W/m^3", engineering),
			fixed("mW/cm3", 3), fixed("mW/cm\u00b3", 3), fixed("mW/cm^3", 3)},
		scales: prefixed(-3, 9),
	}
	dimCelsius = &Dimension{
		Name: "temperature", Symbol: "°C", ASCII: "degC", sample: "35 C",
		units: []unitWord{fixed("C", 0), fixed("c", 0), fixed("degC", 0), fixed("\u00b0C", 0),
			fixed("\u2103", 0),
			fixed("deg C", 0)},
		scales: []scale{{0, "°C", "degC"}}, named: true,
	}
	dimKelvin = &Dimension{
		Name: "temperature difference", Symbol: "K", ASCII: "K", sample: "40 K",
		units:  []unitWord{one("K", prefixes{{"m", -3}})},
		scales: []scale{{0, "K", "K"}}, named: true,
	}
	dimThermalResistance = &Dimension{
		Name: "thermal resistance", Symbol: "K/W", ASCII: "K/W", sample: "40 K/W",
		units: []unitWord{fixed("K/W", 0), fixed("C/W", 0), fixed("degC/W", 0),
			fixed("\u00b0C/W", 0), fixed("k/W", 0),
			fixed("mK/W", -3)},
		scales: []scale{{0, "K/W", "K/W"}}, named: true,
	}
	dimLineResistance = &Dimension{
		Name: "resistance per length", Symbol: "Ω/m", ASCII: "ohm/m", sample: "0.24 ohm/m",
		units: []unitWord{one("ohm/m", engineering), one("\u03a9/m", engineering),
			one("\u2126/m", engineering),
			fixed("ohm/km", -3), fixed("\u03a9/km", -3), fixed("\u2126/km", -3)},
		scales: prefixed(-6, 3),
	}
	dimLineMass = &Dimension{
		Name: "mass per length", Symbol: "kg/m", ASCII: "kg/m", sample: "0.62 g/m",
		units: []unitWord{fixed("kg/m", 0), {"g/m", -3, 1, massPrefixes, 1}, fixed("kg/km", -3),
			fixed("g/km", -6)},
		scales: []scale{{-9, "µg/m", "ug/m"}, {-6, "mg/m", "mg/m"}, {-3, "g/m", "g/m"},
			{0, "kg/m", "kg/m"}}, named: true,
	}
	dimTempCo = &Dimension{
		Name: "temperature coefficient", Symbol: "1/K", ASCII: "1/K", sample: "100 ppm/K",
		units: []unitWord{fixed("1/K", 0), fixed("/K", 0), fixed("ppm/K", -6), fixed("ppm", -6),
			fixed("ppm/C", -6),
			fixed("ppm/\u00b0C", -6), fixed("ppm/degC", -6), fixed("%/K", -2), fixed("%/C", -2)},
		scales: []scale{{-6, "ppm/K", "ppm/K"}}, named: true,
	}
	dimRatio = &Dimension{
		Name: "number", sample: "0.05 or 5%", bare: upPrefixes,
		units:  []unitWord{fixed("%", -2), fixed("ppm", -6)},
		scales: []scale{{0, "", ""}},
	}
)

// dimensions pairs every quantity type with its dimension.
var dimensions = sync.OnceValue(func() map[reflect.Type]*Dimension {
	return map[reflect.Type]*Dimension{
		reflect.TypeFor[Voltage](): dimVoltage, reflect.TypeFor[Current](): dimCurrent,
		reflect.TypeFor[Power]():  dimPower,
		reflect.TypeFor[Energy](): dimEnergy, reflect.TypeFor[Charge](): dimCharge,
		reflect.TypeFor[Resistance]():       dimResistance,
		reflect.TypeFor[Capacitance]():      dimCapacitance,
		reflect.TypeFor[Inductance]():       dimInductance,
		reflect.TypeFor[InductanceFactor](): dimInductanceFactor,
		reflect.TypeFor[Reluctance]():       dimReluctance,
		reflect.TypeFor[Frequency]():        dimFrequency,
		reflect.TypeFor[Time]():             dimTime, reflect.TypeFor[Length](): dimLength,
		reflect.TypeFor[Area]():   dimArea,
		reflect.TypeFor[Volume](): dimVolume, reflect.TypeFor[Mass](): dimMass,
		reflect.TypeFor[FluxDensity](): dimFluxDensity,
		reflect.TypeFor[LossDensity](): dimLossDensity,
		reflect.TypeFor[Celsius]():     dimCelsius, reflect.TypeFor[Kelvin](): dimKelvin,
		reflect.TypeFor[ThermalResistance](): dimThermalResistance,
		reflect.TypeFor[LineResistance]():    dimLineResistance,
		reflect.TypeFor[LineMass]():          dimLineMass,
		reflect.TypeFor[TempCo]():            dimTempCo, reflect.TypeFor[Ratio](): dimRatio,
		reflect.TypeFor[float64](): dimRatio,
	}
})

// ordered lists the dimensions from the most to the least common, for the search for what a
// misfitting unit means.
var ordered = []*Dimension{
	dimVoltage, dimCurrent, dimResistance, dimCapacitance, dimInductance, dimPower, dimFrequency,
	dimTime, dimLength,
	dimArea, dimVolume, dimMass, dimFluxDensity, dimCelsius, dimKelvin, dimThermalResistance,
	dimLineResistance,
	dimLineMass, dimTempCo, dimLossDensity, dimEnergy, dimCharge, dimReluctance,
	dimInductanceFactor, dimRatio,
}

// words returns every suffix that is read; they are worked out when the first one is asked for.
func (d *Dimension) words() map[string]reading {
	d.spelling.Do(func() { d.spelled = d.spellOut() })
	return d.spelled
}

// spellOut lists every suffix that is read, units before bare prefixes so that 5m is five metres
// for a length.
func (d *Dimension) spellOut() map[string]reading {
	m := make(map[string]reading, 16*len(d.units)+16)
	add := func(word string, r reading) {
		if _, taken := m[word]; !taken {
			m[word] = r
		}
	}
	for _, u := range d.units {
		add(u.word, reading{u.exp, u.factor, false})
	}
	for _, u := range d.units {
		for _, p := range u.takes {
			add(p.letter+u.word, reading{u.exp + p.exp*u.power, u.factor, true})
		}
	}
	for _, p := range d.bare {
		add(p.letter, reading{p.exp, 1, true})
	}
	return m
}

// DimensionOf returns the dimension of the quantity type Q. Types defined outside this package are
// plain numbers.
func DimensionOf[Q Quantity]() *Dimension {
	if d, ok := dimensions()[reflect.TypeFor[Q]()]; ok {
		return d
	}
	return dimRatio
}

// DimensionFor returns the dimension of a quantity type met through reflection; false when t is no
// type of this package.
func DimensionFor(t reflect.Type) (*Dimension, bool) {
	d, ok := dimensions()[t]
	return d, ok
}
