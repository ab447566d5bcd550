package flyback

import "sparewright/catalog/si"

// PowerAtLimit is the greatest power in W that crosses the gap at fixed frequency when the switch
// opens at the peak limit and at the latest after dutyMax of the period. It decides the mode
// itself. In continuous mode it is V D (Ipk - ripple/2). Where dutyMax is below the duty that
// volt-second balance asks for, the stage cannot stay continuous and runs discontinuous at dutyMax
// with a lower peak. Figures at or below zero give zero.
func PowerAtLimit(bus, reflected si.Voltage, l si.Inductance, f si.Frequency, limit si.Current,
	dutyMax si.Ratio) si.Power {
	v, vr, h, hz := float64(bus), float64(reflected), float64(l), float64(f)
	i, dMax := float64(limit), float64(dutyMax)
	if !(v > 0 && vr > 0 && h > 0 && hz > 0 && i > 0 && dMax > 0) {
		return 0
	}
	d := vr / (v + vr)
	ripple := v * d / (h * hz) // A, the peak at the border between the modes
	if i > ripple && d <= dMax {
		return si.Power(v * d * (i - ripple/2))
	}
	i = min(i, v*dMax/(h*hz))
	return si.Power(0.5 * h * i * i * hz)
}

// InductanceForPower is the smallest primary inductance in H with which PowerAtLimit reaches p:
// 2P/(f I^2) while that is discontinuous, else (V D)^2/(2 f (V D I - P)). It is false when even an
// infinite inductance cannot, and for figures at or below zero. Power zero needs no inductance: 0,
// true.
func InductanceForPower(bus, reflected si.Voltage, p si.Power, f si.Frequency, limit si.Current,
	dutyMax si.Ratio) (
	si.Inductance, bool) {
	v, vr, w, hz := float64(bus), float64(reflected), float64(p), float64(f)
	i, dMax := float64(limit), float64(dutyMax)
	if !(v > 0 && vr > 0 && w >= 0 && hz > 0 && i > 0 && dMax > 0) {
		return 0, false
	}
	d := vr / (v + vr)
	if w <= 0.5*v*min(d, dMax)*i {
		return si.Inductance(2 * w / (hz * i * i)), true
	}
	if d > dMax || w >= v*d*i {
		return 0, false
	}
	return si.Inductance(v * d * v * d / (2 * hz * (v*d*i - w))), true
}

// Overshoot is the rise in A of the primary current above the limit during the turn-off delay: V
// t/L. Inductance at or below zero gives +Inf.
func Overshoot(bus si.Voltage, l si.Inductance, delay si.Time) si.Current {
	if !(l > 0) {
		return si.Current(inf)
	}
	return si.Current(float64(bus) * float64(delay) / float64(l))
}
