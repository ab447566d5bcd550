// Package handbook holds formulas of published examples that the program itself has no use for. The
// tests of flyback and magnetics and the ledger of worked examples hold them, together with those
// of the program, against what the publications print.
package handbook

import (
	"math"

	"sparewright/catalog/si"
)

// ThermalBudget is the largest total thermal resistance in K/W that keeps p watts at or below
// limit.
func ThermalBudget(limit, ambient si.Celsius, p si.Power) si.ThermalResistance {
	return si.ThermalResistance(float64(limit-ambient) / float64(p))
}

// AmbientAllowed is the highest ambient temperature in degC at which p watts through r stay at or
// below limit.
func AmbientAllowed(limit si.Celsius, p si.Power, r si.ThermalResistance) si.Celsius {
	return limit - si.Celsius(float64(p)*float64(r))
}

// LimitResistor is the sense resistor in ohm at which the threshold voltage is reached at the
// wanted peak current. Source: M. Brown, Power Supply Cookbook, 2nd ed. (Newnes 2001), section
// 3.15.3.
func LimitResistor(threshold si.Voltage, peak si.Current) si.Resistance {
	return si.Resistance(float64(threshold) / float64(peak))
}

// BulkCapacitance is the capacitance in F that keeps the bus at valley or above, from the same
// balance as flyback.BusValley: C = 2 P (0.25 + asin(V/Vcrest)/(2 pi))/(f (Vpk^2 - V^2)). SLUSD12A
// (Texas Instruments) eq. 18 prints this form; SLUS223E eq. 9 has asin/pi in place of asin/(2 pi)
// and asks for about 30 % more. A valley at or above the crest gives +Inf.
func BulkCapacitance(vac si.Voltage, line si.Frequency, valley si.Voltage, p si.Power,
	diodeDrop si.Voltage) si.Capacitance {
	crest, drops := math.Sqrt2*float64(vac), 2*float64(diodeDrop)
	peak, v := crest-drops, float64(valley)
	if !(line > 0 && v >= 0 && v < peak) {
		return si.Capacitance(math.Inf(1))
	}
	t := (0.25 + math.Asin((v+drops)/crest)/(2*math.Pi)) / float64(line) // s
	return si.Capacitance(2 * float64(p) * t / (peak*peak - v*v))
}

// OutputCapacitance is the least capacitance in F that feeds out for the time alone with a sag of
// ripple volts, series resistance left out: I t/dV. Source: SLUS223E eq. 21 (with t the on-time);
// M. Brown, Power Supply Cookbook, 2nd ed. (Newnes 2001), section 3.15.3.
func OutputCapacitance(out si.Current, alone si.Time, ripple si.Voltage) si.Capacitance {
	return si.Capacitance(float64(out) * float64(alone) / float64(ripple))
}

// SeriesResistanceForRipple is the largest series resistance in ohm of a capacitor in which a
// current step (A) makes no more than ripple volts. Source: Magnetics, ferrite catalogue section 4
// 'Power Design' (2006), p. 4.14.
func SeriesResistanceForRipple(ripple si.Voltage, step si.Current) si.Resistance {
	return si.Resistance(float64(ripple) / float64(step))
}

// ChokeCapacitance is the least capacitance in F behind a choke whose triangular ripple current is
// swing (A peak to peak): dI/(8 f dV). Source: Magnetics, ferrite catalogue section 4 'Power
// Design' (2006), p. 4.13.
func ChokeCapacitance(swing si.Current, f si.Frequency, ripple si.Voltage) si.Capacitance {
	return si.Capacitance(float64(swing) / (8 * float64(f) * float64(ripple)))
}

// Period is 1/f in s.
func Period(f si.Frequency) si.Time { return si.Time(1 / float64(f)) }

// OffTime is (1 - duty)/f in s.
func OffTime(duty si.Ratio, f si.Frequency) si.Time {
	return si.Time((1 - float64(duty)) / float64(f))
}

// FrequencyFromOffTime is the frequency in Hz at which a stage of constant off-time runs: (1 -
// duty)/off. Source: Magnetics, ferrite catalogue section 4 'Power Design' (2006), p. 4.13.
func FrequencyFromOffTime(duty si.Ratio, off si.Time) si.Frequency {
	return si.Frequency((1 - float64(duty)) / float64(off))
}

// TurnsRatioForDuty is Np/Ns at which a continuous stage runs with the wanted duty (0..1): V/Vs
// D/(1 - D). Source: L. Dixon, SLUP127 (2001), p. 5-13.
func TurnsRatioForDuty(bus, secondary si.Voltage, duty si.Ratio) si.Ratio {
	return si.Ratio(bus/secondary) * duty / (1 - duty)
}

// ReferToPrimary is a secondary inductance in H seen from the primary: n^2 L.
func ReferToPrimary(l si.Inductance, turnsRatio si.Ratio) si.Inductance {
	return l * si.Inductance(turnsRatio*turnsRatio)
}

// InductanceForRise is the inductance in H in which the voltage v makes the current rise by rise in
// the time t.
func InductanceForRise(v si.Voltage, t si.Time, rise si.Current) si.Inductance {
	return si.Inductance(float64(v) * float64(t) / float64(rise))
}

// InductanceForRipple is the primary inductance in H of a continuous stage whose rise in one pulse
// is ripple times the mid-pulse current: (V D)^2/(K P f). K = 2 is the border of the modes. Source:
// ON Semiconductor NCP1028 data sheet, p. 25.
func InductanceForRipple(bus si.Voltage, duty si.Ratio, p si.Power, f si.Frequency,
	ripple si.Ratio) si.Inductance {
	vd := float64(bus) * float64(duty)
	return si.Inductance(vd * vd / (float64(ripple) * float64(p) * float64(f)))
}

// BoundaryInductance is the primary inductance in H at which a stage moving p runs on the border of
// the modes: (V D)^2/(2 P f) with D = VR/(V + VR). Less is discontinuous. Source: SLUS223E eq. 17;
// Ferroxcube, 'Design of Planar Power Transformers' (2001), appendix 1.
func BoundaryInductance(bus, reflected si.Voltage, p si.Power, f si.Frequency) si.Inductance {
	return InductanceForRipple(bus, si.Ratio(reflected/(bus+reflected)), p, f, 2)
}

// ReflectedAllowed is the highest reflected voltage in V for a switch of the given breakdown:
// derating (breakdown - spike busMax), where spike above 1 allows for the leakage spike. Source:
// SLUS223E eq. 11, which takes 0.8 and 1.3.
func ReflectedAllowed(breakdown, busMax si.Voltage, derating, spike si.Ratio) si.Voltage {
	return si.Voltage(derating) * (breakdown - si.Voltage(spike)*busMax)
}

// Plant has the small-signal figures of a continuous stage with peak current control that need
// nothing but its parts. Source of all: SLUS223E (Texas Instruments, rev. January 2017), section
// 9.2.2.10.1.
type Plant struct {
	Load       si.Resistance  // ohm, output voltage over output current
	Output     si.Capacitance // F
	Series     si.Resistance  // ohm, of the output capacitor
	Inductance si.Inductance  // H, primary
	Frequency  si.Frequency   // Hz, switching
	TurnsRatio si.Ratio       // Np/Ns
	Duty       si.Ratio       // 0..1
}

// SeriesZero is the frequency in Hz of the zero of capacitor and series resistance: 1/(2 pi R C).
func (p Plant) SeriesZero() si.Frequency {
	return si.Frequency(1 / (2 * math.Pi * float64(p.Series) * float64(p.Output)))
}

// DominantPole is the frequency in Hz of the output pole: ((1 - D)^3/tau + 1 + D)/(2 pi R C).
func (p Plant) DominantPole() si.Frequency {
	d := float64(p.Duty)
	return si.Frequency((math.Pow(1-d, 3)/p.tau() + 1 + d) /
		(2 * math.Pi * float64(p.Load) * float64(p.Output)))
}

// Gain is the dc gain from control voltage to output: R n/(Rcs A)/((1 - D)^2/tau + 2 M + 1), with
// the sense resistor Rcs, the divider A between control voltage and current comparator, and M =
// reflected/bus.
func (p Plant) Gain(sense si.Resistance, divider si.Ratio, bus, reflected si.Voltage) si.Ratio {
	d, m := float64(p.Duty), float64(reflected/bus)
	scale := float64(p.Load) * float64(p.TurnsRatio) / (float64(sense) * float64(divider))
	return si.Ratio(scale / ((1-d)*(1-d)/p.tau() + 2*m + 1))
}

// tau is 2 L f/(R n^2), the normalised time constant.
func (p Plant) tau() float64 {
	n := float64(p.TurnsRatio)
	return 2 * float64(p.Inductance) * float64(p.Frequency) / (float64(p.Load) * n * n)
}
