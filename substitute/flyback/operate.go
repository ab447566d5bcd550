package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// Mode tells whether the core is empty of energy before each pulse.
type Mode uint8

// Modes of conduction.
const (
	Discontinuous Mode = iota // the current starts from zero in every pulse
	Continuous                // it starts from a valley above zero
)

// String is "discontinuous" or "continuous".
func (m Mode) String() string {
	if m == Continuous {
		return "continuous"
	}
	return "discontinuous"
}

// Point is a corner in which a fixed-frequency stage is looked at.
type Point struct {
	// V, rectified mains and secondary voltage seen from the primary, both above zero
	Bus, Reflected si.Voltage
	Power          si.Power      // W, all that crosses the gap per second, zero or more
	Inductance     si.Inductance // H, primary, above zero
	Frequency      si.Frequency  // Hz, of the clock, above zero
}

// Operating is the steady state of the stage in a Point.
type Operating struct {
	Mode Mode
	// share of all time in which the primary, and then the secondary, conducts
	Duty, Demag  si.Ratio
	Peak, Valley si.Current // A, primary current at the end and at the begin of the pulse
	PrimaryMean  si.Current // A, mean drawn from the bus
	PrimaryRMS   si.Current // A
}

// Secondary is the current of the secondary winding and its rectifier, over all time.
type Secondary struct {
	Peak, Valley si.Current // A
	Mean, RMS    si.Current // A
	Share        si.Ratio   // share of all time in which it flows
}

// Operate finds the steady state in p and decides the mode itself: discontinuous while on-time and
// demagnetising time fit in one period, Ipk = sqrt(2 P/(L f)); else continuous, with D = VR/(VR +
// V), mid-pulse current P/(V D) and ripple V D/(L f) (SLUS223E eqs 16 and 18). Power zero is a
// stage at rest. Any other figure at or below zero, or NaN, makes every figure of the result +Inf.
func Operate(p Point) Operating {
	v, vr := float64(p.Bus), float64(p.Reflected) // V
	l, f := float64(p.Inductance), float64(p.Frequency)
	w := float64(p.Power)
	if !(v > 0 && vr > 0 && l > 0 && f > 0 && w >= 0) {
		return impossible()
	}
	if w == 0 {
		return Operating{}
	}
	d := vr / (v + vr)
	ripple := v * d / (l * f) // A
	if w <= 0.5*l*ripple*ripple*f {
		return triangle(v, vr, l, f, math.Sqrt(2*w/(l*f)))
	}
	mid := w / (v * d) // A
	return finish(Operating{
		Mode: Continuous, Duty: si.Ratio(d), Demag: si.Ratio(vrShare(v, vr)),
		Peak: si.Current(mid + ripple/2), Valley: si.Current(mid - ripple/2),
	})
}

// vrShare is 1 - D of continuous mode, written so that no digits are lost.
func vrShare(v, vr float64) float64 { return v / (v + vr) }

// triangle is the discontinuous steady state with the given peak.
func triangle(v, vr, l, f, peak float64) Operating {
	return finish(Operating{
		Mode: Discontinuous, Duty: si.Ratio(l * peak * f / v), Demag: si.Ratio(l * peak * f / vr),
		Peak: si.Current(peak),
	})
}

// finish fills in mean and rms from the pulse.
func finish(o Operating) Operating {
	t := Trapezoid{Peak: o.Peak, Valley: o.Valley, Share: o.Duty}
	o.PrimaryMean, o.PrimaryRMS = t.Mean(), t.RMS()
	return o
}

func impossible() Operating {
	i := si.Current(inf)
	return Operating{Duty: si.Ratio(inf), Demag: si.Ratio(inf), Peak: i, Valley: i,
		PrimaryMean: i, PrimaryRMS: i}
}

// Secondary gives the secondary currents for turnsRatio = Np/Ns: the primary's peak and valley
// times the ratio during the demagnetising time. It takes the whole power as leaving through one
// winding; what a bias winding takes makes the true figures smaller.
func (o Operating) Secondary(turnsRatio si.Ratio) Secondary {
	n := si.Current(turnsRatio)
	t := Trapezoid{Peak: o.Peak * n, Valley: o.Valley * n, Share: o.Demag}
	return Secondary{Peak: t.Peak, Valley: t.Valley, Mean: t.Mean(), RMS: t.RMS(), Share: t.Share}
}

// SwitchingRipple is the high-frequency rms current in A that the bulk capacitor supplies to the
// stage, when the mains side carries only the mean.
func (o Operating) SwitchingRipple() si.Current { return alternating(o.PrimaryRMS, o.PrimaryMean) }

// CapacitorRipple is the rms ripple current in A of the output capacitor that gets s and gives the
// steady current out. An output current above the rms of s cannot occur and gives zero.
func CapacitorRipple(s Secondary, out si.Current) si.Current { return alternating(s.RMS, out) }
