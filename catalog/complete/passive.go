package complete

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// resistor assumes a small carbon film part: 5 %, 0.25 W, 200 V (0204 axial size, from
// memory of maker series), and a temperature coefficient by construction: metal film of 1 % and
// better 100 ppm/K, shunts 100 ppm/K (metal strip), wirewound and fusible 400 ppm/K, all else 500
// ppm/K (from memory).
func resistor(p catalog.Resistor) catalog.Resistor {
	stated := p.Tolerance.Known()
	p.Tolerance.Assume(0.05)
	p.Rating.Assume(0.25)
	p.Volts.Assume(200)
	switch {
	case p.Type == "shunt":
		p.Drift.Assume(100e-6)
	case p.Type == "wirewound" || p.Type == "fusible":
		p.Drift.Assume(400e-6)
	case p.Type != "carbon" && stated && p.Tolerance.Value <= 0.02:
		p.Drift.Assume(100e-6)
	default:
		p.Drift.Assume(500e-6)
	}
	return p
}

// trimmer assumes a small carbon part: 20 %, 0.1 W, one turn, 2 % of the value left at the
// end stop, 1000 ppm/K (from memory); cermet has 10 %, 0.5 W and 100 ppm/K (Bourns 3386 data
// sheet), taken as 20 % and 0.25 W here.
func trimmer(p catalog.Trimmer) catalog.Trimmer {
	p.Tolerance.Assume(0.20)
	p.End.Assume(0.02 * p.Resistance.Value)
	p.Turns.Assume(1)
	if p.Track == "cermet" {
		p.Rating.Assume(0.25)
		p.Drift.Assume(100e-6)
	} else {
		p.Rating.Assume(0.1)
		p.Drift.Assume(1000e-6)
	}
	return p
}

// capacitor assumes tolerances by dielectric: electrolytic 20 % (Lelon RGA data sheet),
// polymer 20 %, film 10 %, ceramic 20 %, class 1 ceramic 5 % (common practice, no source); a
// temperature rating of 85 C; and for electrolytics the series resistance from the largest loss
// factor of a general-purpose part, and a ripple current from it.
func capacitor(p catalog.Capacitor) catalog.Capacitor {
	switch p.Dielectric {
	case "film":
		p.Tolerance.Assume(0.10)
	case "ceramic-class1":
		p.Tolerance.Assume(0.05)
	default:
		p.Tolerance.Assume(0.20)
	}
	p.Heat.Assume(85)
	switch p.Dielectric {
	case "electrolytic":
		p.ESR.Assume(seriesResistance(p.Capacitance.Value, p.Volts.Value))
		p.Ripple.Assume(rippleOf(p))
	case "polymer":
		p.ESR.Assume(0.05) // common practice, no source
		p.Ripple.Assume(1)
	}
	return p
}

// seriesResistance is tan delta / (2 pi f C) at 120 Hz with the largest loss factor printed for
// general-purpose electrolytics of the voltage (Lelon RGA data sheet; 0.02 more for each 1000 uF
// above 1000 uF). It is an upper limit: a good part has far less at 100 kHz.
func seriesResistance(c si.Capacitance, volts si.Voltage) si.Resistance {
	table := catalog.LossFactors()
	factor := table[len(table)-1].Factor
	for _, row := range table {
		if volts <= row.Volts {
			factor = row.Factor
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
func rippleOf(p catalog.Capacitor) si.Current {
	charge := float64(p.Capacitance.Value) * float64(p.Volts.Value) // C
	loss := 0.05 * math.Pow(charge/25e-3, 2.0/3)                    // W
	return si.Current(min(max(math.Sqrt(loss/float64(p.ESR.Value)), 1e-3), 50))
}

// choke assumes a resistance that drops 0.2 V at the rated current of an output choke and 1
// V at that of a mains choke (common practice, no source).
func choke(p catalog.Choke) catalog.Choke {
	drop := 0.2
	if p.Use == "common-mode" {
		drop = 1
	}
	p.Resistance.Assume(si.Resistance(drop / float64(p.Current.Value)))
	return p
}

// fuse assumes the low breaking capacity of a glass fuse-link, 35 A or ten times the rating
// (IEC 60127-2 sheets 2 and 3, from memory), and 250 V.
func fuse(p catalog.Fuse) catalog.Fuse {
	p.Volts.Assume(250)
	p.Breaking.Assume(max(35, 10*p.Current.Value))
	return p
}

// thermistor assumes a disc of 1 A (common practice, no source).
func thermistor(p catalog.Thermistor) catalog.Thermistor {
	p.Current.Assume(1)
	return p
}
