package flyback

import "sparewright/catalog/si"

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

// InputPower is the power in W drawn for the output power at the given efficiency (0..1].
func InputPower(out si.Power, efficiency si.Ratio) si.Power { return out / si.Power(efficiency) }

// MeanCurrent is P/V in A.
func MeanCurrent(p si.Power, v si.Voltage) si.Current { return si.Current(float64(p) / float64(v)) }

// Reflected is the secondary voltage (output, rectifier and shunt drop together) seen from the
// primary, in V.
func Reflected(turnsRatio si.Ratio, secondary si.Voltage) si.Voltage {
	return si.Voltage(turnsRatio) * secondary
}

// TurnsRatio is Np/Ns at which the secondary voltage appears as the reflected voltage (SLUS223E eq.
// 12, which leaves out the rectifier drop).
func TurnsRatio(reflected, secondary si.Voltage) si.Ratio { return si.Ratio(reflected / secondary) }

// TurnsRatioForDuty is Np/Ns at which a continuous stage runs with the wanted duty (0..1): V/Vs
// D/(1 - D). Source: L. Dixon, SLUP127 (2001), p. 5-13.
func TurnsRatioForDuty(bus, secondary si.Voltage, duty si.Ratio) si.Ratio {
	return si.Ratio(bus/secondary) * duty / (1 - duty)
}

// ContinuousDuty is the duty of continuous mode, VR/(V + VR), which is also the largest of
// discontinuous mode. Source: SLUP127 p. 5-13, SLUS223E eq. 16.
func ContinuousDuty(bus, reflected si.Voltage) si.Ratio {
	return si.Ratio(reflected / (bus + reflected))
}

// ReferToPrimary is a secondary inductance in H seen from the primary: n^2 L.
func ReferToPrimary(l si.Inductance, turnsRatio si.Ratio) si.Inductance {
	return l * si.Inductance(turnsRatio*turnsRatio)
}

// WindingVoltage is the rectified voltage in V of a further winding of the same core: the volts
// across the regulated winding (output and its rectifier drop) times the ratio of turns, less the
// drop of its own rectifier. Source: M. Brown, Power Supply Cookbook, 2nd ed. (Newnes 2001),
// section 3.15.3. Leakage makes lightly loaded windings read higher.
func WindingVoltage(regulated si.Voltage, turnsRatio si.Ratio, drop si.Voltage) si.Voltage {
	return regulated*si.Voltage(turnsRatio) - drop
}

// PeakForDuty is the peak current in A of a discontinuous stage that moves p with the given duty: 2
// P/(V D).
func PeakForDuty(bus si.Voltage, p si.Power, duty si.Ratio) si.Current {
	return si.Current(2 * float64(p) / (float64(bus) * float64(duty)))
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
	return InductanceForRipple(bus, ContinuousDuty(bus, reflected), p, f, 2)
}
