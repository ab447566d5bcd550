package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// Plant describes a continuous stage with peak current control for its small-signal figures. Source
// of all: SLUS223E (Texas Instruments, rev. January 2017), section 9.2.2.10.1.
type Plant struct {
	Load       si.Resistance  // ohm, output voltage over output current
	Output     si.Capacitance // F
	Series     si.Resistance  // ohm, of the output capacitor
	Inductance si.Inductance  // H, primary
	Frequency  si.Frequency   // Hz, switching
	TurnsRatio si.Ratio       // Np/Ns
	Duty       si.Ratio       // 0..1
}

// RightHalfPlaneZero is the frequency in Hz above which more duty first lowers the output:
// R (1 - D)^2 n^2/(2 pi L D). The loop has to cross over well below it.
func (p Plant) RightHalfPlaneZero() si.Frequency {
	n, d := float64(p.TurnsRatio), float64(p.Duty)
	return si.Frequency(float64(p.Load) * (1 - d) * (1 - d) * n * n /
		(2 * math.Pi * float64(p.Inductance) * d))
}
