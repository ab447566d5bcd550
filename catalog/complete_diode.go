package catalog

import "sparewright/catalog/si"

// completeRectifier assumes what a sheet left out. The forward voltages are the largest of the
// listed parts of each class, the thermal resistances those of an axial part on a small board
// (1N5817: 100 K/W, HER303: 40 K/W printed) and of a free-standing TO-220 (60 K/W, common practice,
// no source).
func completeRectifier(p Rectifier) Rectifier {
	assume(&p.Legs, 1)
	// a junction loses 1 to 2 mV/K
	derive(&p.Forward, p.ForwardHot.Value+0.15, p.ForwardHot.Basis, p.ForwardAt.Basis)
	assume(&p.ForwardAt, p.Average.Value)
	assume(&p.Forward, forwardOf(p))
	assume(&p.Surge, 10*p.Average.Value)
	assume(&p.Recovery, recoveryOf(p))
	if p.Technology == "schottky" {
		// 50 mA for 5 A: Pan Jit SB520 to SB5100, at 100 C
		assume(&p.Leakage, 10e-3*p.Average.Value)
	} else {
		assume(&p.Leakage, 0.2e-3*max(1, p.Average.Value)) // TSC HER303: 0.2 mA at 100 C
	}
	assume(&p.JunctionAir, junctionAirOf(p.Average.Value))
	return p
}

func forwardOf(p Rectifier) si.Voltage {
	switch v := p.Reverse.Value; {
	case p.Technology == "schottky" && v <= 45:
		return 0.6
	case p.Technology == "schottky" && v <= 60:
		return 0.75
	case p.Technology == "schottky":
		return 0.9
	case p.Technology == "ultrafast" && v > 400:
		return 1.7
	case p.Technology == "standard":
		return 1.1
	}
	return 1.3
}

func recoveryOf(p Rectifier) si.Time {
	switch p.Technology {
	case "schottky":
		return 20e-9 // charge of the junction capacitance only
	case "ultrafast":
		return 100e-9
	case "fast":
		return 500e-9 // Formosa DFR1M
	}
	return 5e-6
}

func junctionAirOf(average si.Current) si.ThermalResistance {
	switch {
	case average <= 1:
		return 100
	case average <= 5:
		return 50
	}
	return 60
}

// completeBridge assumes 1.1 V a diode and a surge of ten times the rating (common practice, no
// source).
func completeBridge(p Bridge) Bridge {
	assume(&p.Forward, 1.1)
	assume(&p.Surge, 10*p.Average.Value)
	return p
}

// standoffShare is the stand-off voltage over the lowest breakdown voltage: 171 V for 190 V
// (Littelfuse P6KE200A), 162 V for 180 V (P6KE200).
const standoffShare = 0.9

// completeClamp assumes the wide grade of suppressors, +-10 %, stand-off below the lowest breakdown
// voltage of the grade (0.81 of the nominal one for 10 %, 0.855 for 5 %; a closer reading raises no
// grade), the small 600 W case, and 1 W steady on a small board or less where the junction would
// pass its limit in air of 75 C (common practice, no source). An unlisted one has the highest
// clamping ratio (1.5KE6.8A: 10.5 V over 7.14 V) and the highest drift of those listed (SMBJ300A:
// 0.112 %/K), and the junction figures of a P6KE (Good-Ark: 75 K/W, 150 C).
func completeClamp(p Clamp) Clamp {
	assume(&p.Tolerance, 0.10)
	assume(&p.Standoff, si.Voltage(standoffShare*(1-
		max(p.Tolerance.Value, 0.05)))*p.Breakdown.Value)
	assume(&p.Pulse, 600)
	assume(&p.Clamping, 1.48*highest(p))
	assume(&p.ClampingAt, si.Current(float64(p.Pulse.Value)/float64(p.Clamping.Value)))
	assume(&p.Resistance, dynamicOf(p))
	assume(&p.Drift, 1120e-6)
	assume(&p.JunctionAir, 75)
	assume(&p.JunctionMax, 150)
	assume(&p.Steady, min(1, si.Power(float64(p.JunctionMax.Value-75)/
		float64(p.JunctionAir.Value))))
	return p
}

// DrainSuppressor is a suppressor at a drain of which no more is known than its breakdown voltage
// and perhaps its pulse power: one read in an adapter, or one to be bought. It is reckoned as the 5
// % grade that stands there (P6KE200A, 1.5KE180A; common practice, no source), of the smallest
// usual pulse power, 400 W (the same), that clamps at 1.32 times its highest breakdown voltage:
// 1.29 to 1.32 in the sheets of P6KE and SMBJ types, 1.42 for one of 103, and drifts by 0.108 %/K:
// 0.107 to 0.112 from 100 to 300 V in the same sheets.
func DrainSuppressor(breakdown Datum[si.Voltage], pulse Datum[si.Power]) Clamp {
	p := Clamp{Breakdown: breakdown, Pulse: pulse}
	assume(&p.Tolerance, 0.05)
	assume(&p.Pulse, 400)
	p.Clamping = Datum[si.Voltage]{1.32 * highest(p), Assumed}
	p.ClampingAt = Datum[si.Current]{si.Current(float64(p.Pulse.Value) / float64(p.Clamping.Value)),
		Assumed}
	p.Resistance = Datum[si.Resistance]{dynamicOf(p), Assumed}
	assume(&p.Drift, 1080e-6)
	return completeClamp(p)
}

// completeZener assumes 10 %, and 0.25 W: half of what the small glass case is rated for, since a
// salvaged one is soldered on short legs of unknown copper (common practice, no source). The test
// current is that of a fifth of the power, at most 5 mA (from memory of series of 0.5 W).
func completeZener(p Zener) Zener {
	assume(&p.Tolerance, 0.10)
	assume(&p.Rating, 0.25)
	assume(&p.At, min(5e-3, si.Current(0.2*float64(p.Rating.Value)/float64(p.Voltage.Value))))
	return p
}

// completeLED assumes the usual forward voltage of the colour and 20 mA (common practice, no
// source).
func completeLED(p LED) LED {
	switch p.Colour {
	case "blue", "white":
		assume(&p.Forward, 3.2)
	case "red", "orange":
		assume(&p.Forward, 2.0)
	default:
		assume(&p.Forward, 2.2)
	}
	assume(&p.Current, 20e-3)
	return p
}
