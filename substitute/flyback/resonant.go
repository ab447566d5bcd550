package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// ValleyDelay is the time in s from the end of demagnetising to the first valley of the drain voltage: half a period of
// primary inductance and drain capacitance, pi sqrt(L C).
func ValleyDelay(l si.Inductance, drainC si.Capacitance) si.Time {
	return si.Time(math.Pi * math.Sqrt(float64(l)*max(0, float64(drainC))))
}

// QuasiResonant gives the peak current in A and the frequency in Hz of a stage that turns on again in the first valley.
// The period is L Ipk (1/V + 1/VR) + pi sqrt(L C) and the power half L Ipk^2 per period; together they are a quadratic
// equation for Ipk. Without drain capacitance this is the border between the modes. Figures at or below zero (capacitance:
// below zero) give +Inf and a frequency of zero.
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

// OperateResonant is the steady state of a quasi-resonant stage in p, whose Frequency is not used, and the frequency at
// which it runs.
func OperateResonant(p Point, drainC si.Capacitance) (Operating, si.Frequency) {
	peak, f := QuasiResonant(p.Bus, p.Reflected, p.Power, p.Inductance, drainC)
	if f == 0 {
		return impossible(), 0
	}
	return triangle(float64(p.Bus), float64(p.Reflected), float64(p.Inductance), float64(f), float64(peak)), f
}
