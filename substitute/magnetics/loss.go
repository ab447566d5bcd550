package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// Steinmetz is a core loss fit Pv = K f^Alpha B^Beta with Pv in W/m3, f in Hz and B, half of the peak-to-peak
// excursion, in T, for sinusoidal flux at temperature Temp. When C0 is not 0 the loss at temperature T (degC) is
// multiplied by C0 - C1 T + C2 T^2. Below LowBelow (when set) it is multiplied by LowFactor.
type Steinmetz struct {
	K, Alpha, Beta float64
	Temp           si.Celsius
	C0, C1, C2     float64
	LowBelow       si.Frequency
	LowFactor      float64
}

// UnknownPower is a cautious envelope for a salvaged power ferrite of unknown grade: the published fit of 3C90
// (Ferroxcube, "Design of Planar Power Transformers", table 1), at or above PC40, PC44, N87, 78 and 77 from 50 to 200
// kHz, 50 to 200 mT, up to 100 degC, and twice that below 50 kHz, where makers' limits (N41 148, N27 194 kW/m3 at 25
// kHz, 200 mT, 100 degC) lie above the fit (101). It does not cover grades made for 1 MHz.
var UnknownPower = Steinmetz{
	K: 3.2, Alpha: 1.46, Beta: 2.75, Temp: 100, C0: 2.45, C1: 0.031, C2: 1.65e-4, LowBelow: 50e3, LowFactor: 2,
}

// Density is the loss per volume at frequency f, peak flux density bPeak (half of the swing) and core temperature t.
// Without temperature coefficients t does not matter. It is 0 when f or bPeak is not positive.
func (s Steinmetz) Density(f si.Frequency, bPeak si.FluxDensity, t si.Celsius) si.LossDensity {
	if !(f > 0 && bPeak > 0) {
		return 0
	}
	p := s.K * math.Pow(float64(f), s.Alpha) * math.Pow(float64(bPeak), s.Beta)
	if s.C0 != 0 {
		p *= s.C0 - s.C1*float64(t) + s.C2*float64(t)*float64(t)
	}
	if f < s.LowBelow {
		p *= s.LowFactor
	}
	return si.LossDensity(p)
}

// LossCurve is the loss per volume of a ferrite at one frequency against the flux alone: Factor B^Beta, in W/m3 with B in T.
type LossCurve struct{ Factor, Beta float64 }

// At is the fit at frequency f, at whichever of the temperatures in degC it loses most. A search that stays at one frequency
// raises one power instead of four.
func (s Steinmetz) At(f si.Frequency, temperatures ...si.Celsius) LossCurve {
	out := LossCurve{Beta: s.Beta}
	for _, t := range temperatures {
		out.Factor = max(out.Factor, float64(s.Density(f, 1, t)))
	}
	return out
}

// Density is the loss per volume at peak flux density bPeak, half of the swing; 0 when it is not positive.
func (c LossCurve) Density(bPeak si.FluxDensity) si.LossDensity {
	if !(bPeak > 0) {
		return 0
	}
	return si.LossDensity(c.Factor * math.Pow(float64(bPeak), c.Beta))
}

// Loss is Density times the effective volume.
func (s Steinmetz) Loss(v si.Volume, f si.Frequency, bPeak si.FluxDensity, t si.Celsius) si.Power {
	return si.Power(float64(s.Density(f, bPeak, t)) * float64(v))
}
