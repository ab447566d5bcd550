package catalog

import (
	"math"
	"strings"
	"sync"
	"unicode"

	"sparewright/catalog/si"
)

// completeResistor assumes a small carbon film part: 5 %, 0.25 W, 200 V (0204 axial size, from
// memory of maker series), and a temperature coefficient by construction: metal film of 1 % and
// better 100 ppm/K, shunts 100 ppm/K (metal strip), wirewound and fusible 400 ppm/K, all else 500
// ppm/K (from memory).
func completeResistor(p Resistor) Resistor {
	stated := p.Tolerance.Known()
	assume(&p.Tolerance, 0.05)
	assume(&p.Rating, 0.25)
	assume(&p.Volts, 200)
	switch {
	case p.Type == "shunt":
		assume(&p.Drift, 100e-6)
	case p.Type == "wirewound" || p.Type == "fusible":
		assume(&p.Drift, 400e-6)
	case p.Type != "carbon" && stated && p.Tolerance.Value <= 0.02:
		assume(&p.Drift, 100e-6)
	default:
		assume(&p.Drift, 500e-6)
	}
	return p
}

// completeTrimmer assumes a small carbon part: 20 %, 0.1 W, one turn, 2 % of the value left at the
// end stop, 1000 ppm/K (from memory); cermet has 10 %, 0.5 W and 100 ppm/K (Bourns 3386 data
// sheet), taken as 20 % and 0.25 W here.
func completeTrimmer(p Trimmer) Trimmer {
	assume(&p.Tolerance, 0.20)
	assume(&p.End, 0.02*p.Resistance.Value)
	assume(&p.Turns, 1)
	if p.Track == "cermet" {
		assume(&p.Rating, 0.25)
		assume(&p.Drift, 100e-6)
	} else {
		assume(&p.Rating, 0.1)
		assume(&p.Drift, 1000e-6)
	}
	return p
}

// completeCapacitor assumes tolerances by dielectric: electrolytic 20 % (Lelon RGA data sheet),
// polymer 20 %, film 10 %, ceramic 20 %, class 1 ceramic 5 % (common practice, no source); a
// temperature rating of 85 C; and for electrolytics the series resistance from the largest loss
// factor of a general-purpose part, and a ripple current from it.
func completeCapacitor(p Capacitor) Capacitor {
	switch p.Dielectric {
	case "film":
		assume(&p.Tolerance, 0.10)
	case "ceramic-class1":
		assume(&p.Tolerance, 0.05)
	default:
		assume(&p.Tolerance, 0.20)
	}
	assume(&p.Heat, 85)
	switch p.Dielectric {
	case "electrolytic":
		assume(&p.ESR, seriesResistance(p.Capacitance.Value, p.Volts.Value))
		assume(&p.Ripple, rippleOf(p))
	case "polymer":
		assume(&p.ESR, 0.05) // common practice, no source
		assume(&p.Ripple, 1)
	}
	return p
}

// listedCapacitor fills an electrolytic capacitor from the table, unless its values are not those
// of the type number. Names that hold no letters of a series, such as 470u 25V, are not looked up:
// most capacitors of a drawer are named so.
func listedCapacitor(p Capacitor) Capacitor {
	if p.Dielectric != "electrolytic" || !strings.ContainsFunc(p.Name, unicode.IsUpper) {
		return p
	}
	row, ok := named[Capacitor](KindCapacitor, p.Name)
	if !ok || p.Capacitance.Known() && offBy(p.Capacitance.Value, row.Capacitance.Value) > 0.25 ||
		p.Volts.Known() && offBy(p.Volts.Value, row.Volts.Value) > 0.01 {
		return p
	}
	return fill(p, row)
}

// offBy is how far a figure lies from another, as a part of it.
func offBy[Q si.Quantity](q, from Q) float64 { return math.Abs(float64(q)/float64(from) - 1) }

// lossFactor is the largest loss factor of electrolytics up to a rated voltage.
type lossFactor struct {
	volts  si.Voltage
	factor si.Ratio
}

var lossFactors = sync.OnceValue(func() []lossFactor {
	var out []lossFactor
	for _, c := range readTable("lossfactors.tsv") {
		out = append(out, lossFactor{datum[si.Voltage](c, "volts").Value,
			datum[si.Ratio](c, "loss_factor").Value})
	}
	return out
})

// seriesResistance is tan delta / (2 pi f C) at 120 Hz with the largest loss factor printed for
// general-purpose electrolytics of the voltage (Lelon RGA data sheet; 0.02 more for each 1000 uF
// above 1000 uF). It is an upper limit: a good part has far less at 100 kHz.
func seriesResistance(c si.Capacitance, volts si.Voltage) si.Resistance {
	table := lossFactors()
	factor := table[len(table)-1].factor
	for _, row := range table {
		if volts <= row.volts {
			factor = row.factor
			break
		}
	}
	if c > 1000e-6 {
		factor += si.Ratio(0.02 * (float64(c)/1000e-6 - 1))
	}
	return si.Resistance(float64(factor) / (2 * math.Pi * 120 * float64(c)))
}

// rippleOf is a cautious ripple current: the one that heats a can of usual size by some 5 K. The
// can's loss is taken as 50 mW for a charge of 25 mC (1000 uF, 25 V, a can of 10 x 20 mm) and grows
// with its surface, that is with the charge to the power of two thirds. Common practice, no source;
// listed low-impedance cans of that size bear twice to three times as much.
func rippleOf(p Capacitor) si.Current {
	charge := float64(p.Capacitance.Value) * float64(p.Volts.Value) // C
	loss := 0.05 * math.Pow(charge/25e-3, 2.0/3)                    // W
	return si.Current(min(max(math.Sqrt(loss/float64(p.ESR.Value)), 1e-3), 50))
}

// completeChoke assumes a resistance that drops 0.2 V at the rated current of an output choke and 1
// V at that of a mains choke (common practice, no source).
func completeChoke(p Choke) Choke {
	drop := 0.2
	if p.Use == "common-mode" {
		drop = 1
	}
	assume(&p.Resistance, si.Resistance(drop/float64(p.Current.Value)))
	return p
}

// completeFuse assumes the low breaking capacity of a glass fuse-link, 35 A or ten times the rating
// (IEC 60127-2 sheets 2 and 3, from memory), and 250 V.
func completeFuse(p Fuse) Fuse {
	assume(&p.Volts, 250)
	assume(&p.Breaking, max(35, 10*p.Current.Value))
	return p
}

// completeThermistor assumes a disc of 1 A (common practice, no source).
func completeThermistor(p Thermistor) Thermistor {
	assume(&p.Current, 1)
	return p
}

// Can is the size of an electrolytic capacitor with the ripple current and impedance its series is
// remembered to have; a screening figure for salvaged parts whose series is known and whose sheet
// is not.
type Can struct {
	Name, Class      string
	Diameter, Height Datum[si.Length]
	Volts            Datum[si.Voltage] // highest rated voltage the figures hold for
	Ripple           Datum[si.Current] // 100 kHz, 105 C
	ESR              Datum[si.Resistance]
	Source           Source
}
