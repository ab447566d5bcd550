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

// SeriesZero is the frequency in Hz of the zero of capacitor and series resistance: 1/(2 pi R C).
func (p Plant) SeriesZero() si.Frequency {
	return si.Frequency(1 / (2 * math.Pi * float64(p.Series) * float64(p.Output)))
}

// RightHalfPlaneZero is the frequency in Hz above which more duty first lowers the output:
// R (1 - D)^2 n^2/(2 pi L D). The loop has to cross over well below it.
func (p Plant) RightHalfPlaneZero() si.Frequency {
	n, d := float64(p.TurnsRatio), float64(p.Duty)
	return si.Frequency(float64(p.Load) * (1 - d) * (1 - d) * n * n /
		(2 * math.Pi * float64(p.Inductance) * d))
}

// DominantPole is the frequency in Hz of the output pole: ((1 - D)^3/tau + 1 + D)/(2 pi R C).
func (p Plant) DominantPole() si.Frequency {
	d := float64(p.Duty)
	return si.Frequency((math.Pow(1-d, 3)/p.tau() + 1 + d) /
		(2 * math.Pi * float64(p.Load) * float64(p.Output)))
}

// Gain is the dc gain from control voltage to output: R n/(Rcs A)/((1 - D)^2/tau + 2 M + 1), with
// the sense resistor Rcs, the divider A between control voltage and current comparator, and M =
// reflected/bus.
func (p Plant) Gain(sense si.Resistance, divider si.Ratio, bus, reflected si.Voltage) si.Ratio {
	d, m := float64(p.Duty), float64(reflected/bus)
	scale := float64(p.Load) * float64(p.TurnsRatio) / (float64(sense) * float64(divider))
	return si.Ratio(scale / ((1-d)*(1-d)/p.tau() + 2*m + 1))
}

// tau is 2 L f/(R n^2), the normalised time constant.
func (p Plant) tau() float64 {
	n := float64(p.TurnsRatio)
	return 2 * float64(p.Inductance) * float64(p.Frequency) / (float64(p.Load) * n * n)
}
