package sheet

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/report/netlist"
)

// Charge is the charge of a pack over time, as reckoned with a plain model: the voltage behind the
// pack's resistance rises in proportion to the charge from empty to full, and the charger gives
// constant current, then constant voltage.
type Charge struct {
	Capacity   si.Charge     `json:"capacity_c"`
	CapacityAh float64       `json:"capacity_ah"`
	Inner      si.Resistance `json:"pack_ohm"`
	Points     []ChargePoint `json:"points"`
	// until the current has fallen to a twentieth of the set current
	Full si.Time `json:"full_s"`
	Knee si.Time `json:"knee_s"` // until the current begins to fall
}

// ChargePoint is one moment of the charge.
type ChargePoint struct {
	Time    si.Time    `json:"time_s"`
	Current si.Current `json:"current_a"`
	Pack    si.Voltage `json:"pack_v"`
	Heat    si.Power   `json:"heat_w"` // lost in the charger, in proportion to the power it gives
}

// Figures of the charge model. The resistance of a cell and the end current are common practice, no
// source.
const (
	usualCapacityAh = 2.0
	endShare        = 0.05
	chargeSteps     = 240
	longestCharge   = 48 * 3600.0 // s
)

// charge reckons the curve with the same resistance of a cell as the netlist.
func charge(t substitute.Target, b *substitute.Build) Charge {
	inner := netlist.BatteryOhm * float64(t.Cells)
	c := Charge{Capacity: usualCapacityAh * 3600, CapacityAh: usualCapacityAh,
		Inner: si.Resistance(inner)}
	heat := float64(report.AllLosses(b.Losses)) / (float64(t.Set) * float64(t.Current))
	q, capacity := 0.0, float64(c.Capacity)
	const step = 1.0 // s, a hundredth of what the current takes to die away in a small pack
	every := 1
	for n := capacity / float64(t.Current) * 2 / step; n/float64(every) > chargeSteps; {
		every++
	}
	for n := 0; ; n++ {
		now := float64(n) * step
		behind := float64(t.Empty) + float64(t.Set-t.Empty)*q/capacity
		i := math.Min(float64(t.Current), (float64(t.Set)-behind)/inner)
		pack := behind + i*inner
		if i < float64(t.Current) && c.Knee == 0 && n > 0 {
			c.Knee = si.Time(now)
		}
		done := i <= endShare*float64(t.Current) || now >= longestCharge
		if n%every == 0 || done {
			c.Points = append(c.Points, ChargePoint{si.Time(now), si.Current(i), si.Voltage(pack),
				si.Power(heat * i * pack)})
		}
		if done {
			c.Full = si.Time(now)
			return c
		}
		q += i * step
	}
}

// LimitPoint is what the switcher could deliver at one output voltage with no current loop, at the
// lowest mains: with its lowest and with its highest current limit.
type LimitPoint struct {
	Output si.Voltage `json:"output_v"`
	Least  si.Current `json:"least_a"`
	Most   si.Current `json:"most_a"`
}

// limitCurve follows the same averaged stage as the netlist: half L I^2 f while the core empties,
// else V D (I - ripple/2) (TI SLUS223E eqs 16 and 18), less the share lost on the way.
func limitCurve(t substitute.Target, b *substitute.Build) []LimitPoint {
	var out []LimitPoint
	from, to := float64(b.Regulation.LowestRegulated), float64(t.Set)
	for k := range 25 {
		v := from + (to-from)*float64(k)/24
		out = append(out, LimitPoint{si.Voltage(v),
			si.Current(reach(b, v, float64(b.Switcher.LimitMin),
				float64(b.Transformer.InductanceLow))),
			si.Current(reach(b, v, float64(b.Switcher.LimitMax),
				float64(b.Transformer.InductanceHigh)))})
	}
	return out
}

// reach is the current in A that a peak in A gives into an output of v volts at the lowest mains,
// inductance l in H.
func reach(b *substitute.Build, v, peak, l float64) float64 {
	s := b.Stage
	n := float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	bus, f, wind := float64(s.BusMin), float64(b.Switcher.Frequency), v+float64(s.RectifierDrop)
	duty := n * wind / (n*wind + bus)
	ripple := bus * duty / (l * f)
	power := 0.5 * l * peak * peak * f
	if peak > ripple {
		power = bus * duty * (peak - ripple/2)
	}
	return power * float64(b.Efficiency) / v
}
