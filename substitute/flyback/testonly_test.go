package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// What only tests ask for.

// ClampResistor is the resistor in ohm of an R-C-diode clamp that burns loss at the clamp voltage:
// Vc^2/P.
func ClampResistor(clamp si.Voltage, loss si.Power) si.Resistance {
	return si.Resistance(float64(clamp) * float64(clamp) / float64(loss))
}

// ClampCapacitor is the least capacitance in F with which the clamp voltage sags by no more than
// share (0..1) of itself over a period: 1/(share R f).
func ClampCapacitor(r si.Resistance, f si.Frequency, share si.Ratio) si.Capacitance {
	return si.Capacitance(1 / (float64(share) * float64(r) * float64(f)))
}

// Inrush is the highest current in A when the mains is switched on at its crest into an empty
// capacitor: sqrt(2) vac over all the series resistance (cold inrush resistor, capacitor, mains).
func Inrush(vac si.Voltage, series si.Resistance) si.Current {
	return si.Current(math.Sqrt2 * float64(vac) / float64(series))
}

// OutputRippleVoltage is the peak-to-peak ripple in V at the switching frequency: the secondary
// peak current jumps into the series resistance, and the capacitor alone feeds the load for the
// time alone (s) in which the secondary does not conduct. The sum of both is slightly cautious.
func OutputRippleVoltage(peak si.Current, esr si.Resistance, out si.Current, alone si.Time,
	c si.Capacitance) si.Voltage {
	return si.Voltage(float64(peak)*float64(esr) + float64(out)*float64(alone)/float64(c))
}

// ValleyDelay is the time in s from the end of demagnetising to the first valley of the drain
// voltage: half a period of primary inductance and drain capacitance, pi sqrt(L C).
func ValleyDelay(l si.Inductance, drainC si.Capacitance) si.Time {
	return si.Time(math.Pi * math.Sqrt(float64(l)*max(0, float64(drainC))))
}

// QuasiResonant gives the peak current in A and the frequency in Hz of a stage that turns on again
// in the first valley. The period is L Ipk (1/V + 1/VR) + pi sqrt(L C) and the power half L Ipk^2
// per period; together they are a quadratic equation for Ipk. Without drain capacitance this is the
// border between the modes. Figures at or below zero (capacitance: below zero) give +Inf and a
// frequency of zero.
func QuasiResonant(bus, reflected si.Voltage, p si.Power, l si.Inductance, drainC si.Capacitance) (
	peak si.Current, f si.Frequency) {
	v, vr, w, h := float64(bus), float64(reflected), float64(p), float64(l)
	if !(v > 0 && vr > 0 && w > 0 && h > 0 && drainC >= 0) {
		return si.Current(inf), 0
	}
	delay := float64(ValleyDelay(l, drainC))
	slope := 1/v + 1/vr // 1/V
	i := w*slope + math.Sqrt(w*w*slope*slope+2*w*delay/h)
	return si.Current(i), si.Frequency(1 / (h*i*slope + delay))
}

// OperateResonant is the steady state of a quasi-resonant stage in p, whose Frequency is not used,
// and the frequency at which it runs.
func OperateResonant(p Point, drainC si.Capacitance) (Operating, si.Frequency) {
	peak, f := QuasiResonant(p.Bus, p.Reflected, p.Power, p.Inductance, drainC)
	if f == 0 {
		return impossible(), 0
	}
	return triangle(float64(p.Bus), float64(p.Reflected), float64(p.Inductance), float64(f),
		float64(peak)), f
}

// RippleCurrent is the rise in A of the primary current in one pulse: V D/(L f).
func RippleCurrent(bus si.Voltage, duty si.Ratio, l si.Inductance, f si.Frequency) si.Current {
	return si.Current(float64(bus) * float64(duty) / (float64(l) * float64(f)))
}

// BoundaryPower is the power in W at which a stage runs on the border of the modes. More is
// continuous.
func BoundaryPower(bus, reflected si.Voltage, l si.Inductance, f si.Frequency) si.Power {
	vd := float64(bus) * float64(ContinuousDuty(bus, reflected))
	return si.Power(vd * vd / (2 * float64(l) * float64(f)))
}
