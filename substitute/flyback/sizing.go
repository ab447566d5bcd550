package flyback

import "sparewright/catalog/si"

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

// ContinuousDuty is the duty of continuous mode, VR/(V + VR), which is also the largest of
// discontinuous mode. Source: SLUP127 p. 5-13, SLUS223E eq. 16.
func ContinuousDuty(bus, reflected si.Voltage) si.Ratio {
	return si.Ratio(reflected / (bus + reflected))
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
