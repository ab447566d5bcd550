package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// Trapezoid is a current that flows during Share of the time, running in a straight line between Valley and Peak, and is
// zero for the rest. Valley zero is a triangle, Valley equal to Peak a flat-topped pulse.
type Trapezoid struct {
	Peak, Valley si.Current // A
	Share        si.Ratio   // 0..1 of the period
}

// Mean is the average over the whole period in A: Share (Peak + Valley)/2.
func (t Trapezoid) Mean() si.Current {
	return si.Current(float64(t.Share)) * (t.Peak + t.Valley) / 2
}

// RMS is the root mean square over the whole period in A: sqrt(Share (Peak^2 + Peak Valley + Valley^2)/3). The same value
// in other letters: SLUS223E (Texas Instruments, 2017) eq. 19 and ON Semiconductor NCP1028 data sheet p. 25.
func (t Trapezoid) RMS() si.Current {
	p, v := float64(t.Peak), float64(t.Valley)
	return si.Current(math.Sqrt(float64(t.Share) * (p*p + p*v + v*v) / 3))
}

// AC is the root mean square of what remains after taking the mean away, in A.
func (t Trapezoid) AC() si.Current { return alternating(t.RMS(), t.Mean()) }

// alternating is sqrt(rms^2 - mean^2), never below zero when rounding makes the difference negative.
func alternating(rms, mean si.Current) si.Current {
	r, m := float64(rms), float64(mean)
	if math.IsInf(r, 1) {
		return si.Current(inf)
	}
	return si.Current(math.Sqrt(max(0, r*r-m*m)))
}
