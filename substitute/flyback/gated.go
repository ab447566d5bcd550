package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// PulseShare is the share of clock cycles in which an on/off controlled stage must switch to move
// the power when every pulse ends at the full limit. Above 1 the stage cannot deliver. It is exact
// in discontinuous mode. Where consecutive pulses are continuous it is an estimate, good near 1:
// each pulse counts as one of an unbroken train, while a pulse after a gap starts lower and carries
// more if it still reaches the limit within its longest on-time, and less if not. The duty limit of
// the chip is not looked at: hold the power against PowerAtLimit too. A stage that cannot move any
// power gives +Inf.
func PulseShare(power si.Power, l si.Inductance, f si.Frequency, limit si.Current, bus,
	reflected si.Voltage) si.Ratio {
	full := PowerAtLimit(bus, reflected, l, f, limit, 1)
	if !(full > 0) || math.IsNaN(float64(power)) {
		return si.Ratio(inf)
	}
	return si.Ratio(max(0, float64(power)) / float64(full))
}

// OperateGated is the steady state of an on/off controlled stage in p with every pulse at the full
// limit, and the share of clock cycles used (see PulseShare). Duty and Demag are shares of all
// time, skipped cycles included, so that the mean and rms values of both windings hold as they
// stand; one pulse alone lasts Duty/share of a period. The result means nothing when share is above
// 1.
func OperateGated(p Point, limit si.Current) (o Operating, share si.Ratio) {
	share = PulseShare(p.Power, p.Inductance, p.Frequency, limit, p.Bus, p.Reflected)
	if math.IsInf(float64(share), 1) {
		return impossible(), share
	}
	v, vr := float64(p.Bus), float64(p.Reflected)
	l, f, i := float64(p.Inductance), float64(p.Frequency), float64(limit)
	d := vr / (v + vr)
	ripple := v * d / (l * f) // A
	if i <= ripple {
		return triangle(v, vr, l, f*float64(share), i), share
	}
	return finish(Operating{
		Mode: Continuous, Duty: si.Ratio(d) * share, Demag: si.Ratio(vrShare(v, vr)) * share,
		Peak: limit, Valley: si.Current(i - ripple),
	}), share
}
