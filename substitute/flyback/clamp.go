package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// InductorEnergy is L I^2/2 in J.
func InductorEnergy(l si.Inductance, i si.Current) si.Energy {
	return si.Energy(0.5 * float64(l) * float64(i) * float64(i))
}

// ClampLoss is the power in W of a clamp that holds the primary at clamp volts above the bus: L
// I^2/2 f Vc/(Vc - VR) with the leakage inductance. The last factor is what the magnetising
// inductance and the reflected voltage feed into the clamp while the leakage current dies. It is
// from memory, and follows from the triangle of the falling current. A clamp at or below the
// reflected voltage conducts all the time: +Inf.
func ClampLoss(leakage si.Inductance, peak si.Current, f si.Frequency, clamp,
	reflected si.Voltage) si.Power {
	if !(clamp > reflected) {
		return si.Power(inf)
	}
	return LeakagePower(leakage, peak, f) * si.Power(clamp/(clamp-reflected))
}

// LeakagePower is the energy of the leakage inductance times the frequency in W: L I^2 f/2. Source:
// Cirrus Logic AN375 rev. 4, p. 19.
func LeakagePower(leakage si.Inductance, peak si.Current, f si.Frequency) si.Power {
	return si.Power(float64(InductorEnergy(leakage, peak)) * float64(f))
}

// ClampVoltage is the voltage in V above the bus on which an R-C-diode clamp with resistor r
// settles: the solution of Vc^2/R = ClampLoss, VR/2 + sqrt(VR^2/4 + R P) with P the LeakagePower.
func ClampVoltage(leakage si.Inductance, peak si.Current, f si.Frequency, r si.Resistance,
	reflected si.Voltage) si.Voltage {
	half := float64(reflected) / 2
	return si.Voltage(half + math.Sqrt(half*half+
		float64(r)*float64(LeakagePower(leakage, peak, f))))
}

// SuppressorVoltage is the voltage in V of a suppressor at a current: its breakdown at 25 degC,
// which drifts by drift a kelvin, and what its dynamic resistance adds. Source of the form: any
// suppressor sheet that prints a temperature coefficient of breakdown and a clamping voltage at a
// rated pulse current.
func SuppressorVoltage(breakdown si.Voltage, drift float64, hot si.Celsius, dynamic si.Resistance,
	i si.Current) si.Voltage {
	return si.Voltage(float64(breakdown)*(1+drift*(float64(hot)-25)) + float64(dynamic)*float64(i))
}
