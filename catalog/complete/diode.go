package complete

import "sparewright/catalog"

import "sparewright/catalog/si"

// rectifier assumes what a sheet left out. The forward voltages are the largest of the
// listed parts of each class, the thermal resistances those of an axial part on a small board
// (1N5817: 100 K/W, HER303: 40 K/W printed) and of a free-standing TO-220 (60 K/W, common practice,
// no source).
func rectifier(p catalog.Rectifier) catalog.Rectifier {
	p.Legs.Assume(1)
	// a junction loses 1 to 2 mV/K
	p.Forward.Derive(p.ForwardHot.Value+0.15, p.ForwardHot.Basis, p.ForwardAt.Basis)
	p.ForwardAt.Assume(p.Average.Value)
	p.Forward.Assume(forwardOf(p))
	p.Surge.Assume(10 * p.Average.Value)
	p.Recovery.Assume(recoveryOf(p))
	if p.Technology == "schottky" {
		// 50 mA for 5 A: Pan Jit SB520 to SB5100, at 100 C
		p.Leakage.Assume(10e-3 * p.Average.Value)
	} else {
		p.Leakage.Assume(0.2e-3 * max(1, p.Average.Value)) // TSC HER303: 0.2 mA at 100 C
	}
	p.JunctionAir.Assume(junctionAirOf(p.Average.Value))
	return p
}

func forwardOf(p catalog.Rectifier) si.Voltage {
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

func recoveryOf(p catalog.Rectifier) si.Time {
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

// bridge assumes 1.1 V a diode and a surge of ten times the rating (common practice, no
// source).
func bridge(p catalog.Bridge) catalog.Bridge {
	p.Forward.Assume(1.1)
	p.Surge.Assume(10 * p.Average.Value)
	return p
}

// standoffShare is the stand-off voltage over the lowest breakdown voltage: 171 V for 190 V
// (Littelfuse P6KE200A), 162 V for 180 V (P6KE200).
const standoffShare = 0.9

// clamp assumes the wide grade of suppressors, +-10 %, stand-off below the lowest breakdown
// voltage of the grade (0.81 of the nominal one for 10 %, 0.855 for 5 %; a closer reading raises no
// grade), the small 600 W case, and 1 W steady on a small board or less where the junction would
// pass its limit in air of 75 C (common practice, no source). An unlisted one has the highest
// clamping ratio (1.5KE6.8A: 10.5 V over 7.14 V) and the highest drift of those listed (SMBJ300A:
// 0.112 %/K), and the junction figures of a P6KE (Good-Ark: 75 K/W, 150 C).
func clamp(p catalog.Clamp) catalog.Clamp {
	p.Tolerance.Assume(0.10)
	p.Standoff.Assume(si.Voltage(standoffShare*(1-
		max(p.Tolerance.Value, 0.05))) * p.Breakdown.Value)
	p.Pulse.Assume(600)
	p.Clamping.Assume(1.48 * p.Highest())
	p.ClampingAt.Assume(si.Current(float64(p.Pulse.Value) / float64(p.Clamping.Value)))
	p.Resistance.Assume(p.Dynamic())
	p.Drift.Assume(1120e-6)
	p.JunctionAir.Assume(75)
	p.JunctionMax.Assume(150)
	p.Steady.Assume(min(1, si.Power(float64(p.JunctionMax.Value-75)/
		float64(p.JunctionAir.Value))))
	return p
}

// DrainSuppressor is a suppressor at a drain of which no more is known than its breakdown voltage
// and perhaps its pulse power: one read in an adapter, or one to be bought. It is reckoned as the 5
// % grade that stands there (P6KE200A, 1.5KE180A; common practice, no source), of the smallest
// usual pulse power, 400 W (the same), that clamps at 1.32 times its highest breakdown voltage:
// 1.29 to 1.32 in the sheets of P6KE and SMBJ types, 1.42 for one of 103, and drifts by 0.108 %/K:
// 0.107 to 0.112 from 100 to 300 V in the same sheets.
func DrainSuppressor(breakdown catalog.Datum[si.Voltage],
	pulse catalog.Datum[si.Power]) catalog.Clamp {
	p := catalog.Clamp{Breakdown: breakdown, Pulse: pulse}
	p.Tolerance.Assume(0.05)
	p.Pulse.Assume(400)
	p.Clamping = catalog.Datum[si.Voltage]{Value: 1.32 * p.Highest(), Basis: catalog.Assumed}
	p.ClampingAt = catalog.Datum[si.Current]{Value: si.Current(float64(p.Pulse.Value) /
		float64(p.Clamping.Value)),
		Basis: catalog.Assumed}
	p.Resistance = catalog.Datum[si.Resistance]{Value: p.Dynamic(), Basis: catalog.Assumed}
	p.Drift.Assume(1080e-6)
	return clamp(p)
}

// zener assumes 10 %, and 0.25 W: half of what the small glass case is rated for, since a
// salvaged one is soldered on short legs of unknown copper (common practice, no source). The test
// current is that of a fifth of the power, at most 5 mA (from memory of series of 0.5 W).
func zener(p catalog.Zener) catalog.Zener {
	p.Tolerance.Assume(0.10)
	p.Rating.Assume(0.25)
	p.At.Assume(min(5e-3, si.Current(0.2*float64(p.Rating.Value)/float64(p.Voltage.Value))))
	return p
}

// led assumes the usual forward voltage of the colour and 20 mA (common practice, no
// source).
func led(p catalog.LED) catalog.LED {
	switch p.Colour {
	case "blue", "white":
		p.Forward.Assume(3.2)
	case "red", "orange":
		p.Forward.Assume(2.0)
	default:
		p.Forward.Assume(2.2)
	}
	p.Current.Assume(20e-3)
	return p
}
