package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// Steinmetz is a core loss fit Pv = K f^Alpha B^Beta with Pv in W/m3, f in Hz and B, half of the
// peak-to-peak excursion, in T, for sinusoidal flux at temperature Temp. When C0 is not 0 the loss
// at temperature T (degC) is multiplied by C0 - C1 T + C2 T^2. Below LowBelow (when set) it is
// multiplied by LowFactor. Flux of another shape: see LossCurve.Triangle.
type Steinmetz struct {
	K, Alpha, Beta float64
	Temp           si.Celsius
	C0, C1, C2     float64
	LowBelow       si.Frequency
	LowFactor      float64
}

// UnknownPower is a cautious envelope for a salvaged power ferrite of unknown grade: the published
// fit of 3C90 (Ferroxcube, "Design of Planar Power Transformers", table 1), at or above PC40, PC44,
// N87, 78 and 77 from 50 to 200 kHz, 50 to 200 mT, up to 100 degC, and twice that below 50 kHz,
// where makers' limits (N41 148, N27 194 kW/m3 at 25 kHz, 200 mT, 100 degC) lie above the fit
// (101). It does not cover grades made for 1 MHz.
var UnknownPower = Steinmetz{
	K: 3.2, Alpha: 1.46, Beta: 2.75, Temp: 100, C0: 2.45, C1: 0.031, C2: 1.65e-4,
	LowBelow: 50e3, LowFactor: 2,
}

// Density is the loss per volume at frequency f, peak flux density bPeak (half of the swing) and
// core temperature t. Without temperature coefficients t does not matter. It is 0 when f or bPeak
// is not positive.
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

// LossCurve is the loss per volume of a ferrite at one frequency against the flux alone: Factor
// B^Beta, in W/m3 with B in T, for a sine; Alpha and Wave turn it into that of straight flanks (see
// Triangle).
type LossCurve struct {
	Factor, Beta, Alpha, Wave float64
	even                      float64 // Wave times both flanks when each is half of the period long
}

// At is the fit at frequency f, at whichever of the temperatures in degC it loses most. A search
// that stays at one frequency raises few powers instead of many.
func (s Steinmetz) At(f si.Frequency, temperatures ...si.Celsius) LossCurve {
	out := LossCurve{Beta: s.Beta, Alpha: s.Alpha, Wave: flankFactor(s.Alpha)}
	out.even = out.Wave * 2 * raised(0.5, 1-s.Alpha)
	for _, t := range temperatures {
		out.Factor = max(out.Factor, float64(s.Density(f, 1, t)))
	}
	return out
}

// flankFactor is 2^a/((2 pi)^(a-1) I), where I is the integral of |cos x|^a over a full turn.
func flankFactor(alpha float64) float64 {
	turn := 2 * math.Sqrt(math.Pi) * math.Gamma((alpha+1)/2) / math.Gamma(alpha/2+1)
	return math.Pow(2, alpha) / (math.Pow(2*math.Pi, alpha-1) * turn)
}

// Triangle is the loss per volume when the flux goes up by swing in the part rise of the period and
// down again in the part fall, both straight, and rests in between: a flyback transformer. It is
// the improved generalized Steinmetz equation,
//
//	Pv = (1/T) integral of ki |dB/dt|^a swing^(b-a) dt, ki = K/((2 pi)^(a-1) 2^(b-a) I)
//
// with a = Alpha, b = Beta. Source: K. Venkatachalam, C. R. Sullivan, T. Abdallah, H. Tacca,
// "Accurate prediction of ferrite core loss with nonsinusoidal waveforms using only Steinmetz
// parameters", COMPEL 2002 (from memory). A triangle of two equal flanks loses 0.92 of a sine with
// Alpha 1.46, one with a short flank more. What the ferrite relaxes while the flux rests is not in
// it. 0 when swing, rise or fall is not positive.
func (c LossCurve) Triangle(swing si.FluxDensity, rise, fall si.Ratio) si.LossDensity {
	if !(swing > 0 && rise > 0 && fall > 0) {
		return 0
	}
	flanks := raised(float64(rise), 1-c.Alpha) + raised(float64(fall), 1-c.Alpha)
	return si.LossDensity(float64(c.Density(swing/2)) * c.Wave * flanks)
}

// LeastTriangle is the least that Triangle can be with this swing: both flanks half of the period
// long. It takes Alpha to be 1 or more, as that of every ferrite is.
func (c LossCurve) LeastTriangle(swing si.FluxDensity) si.LossDensity {
	return si.LossDensity(float64(c.Density(swing/2)) * c.even)
}

// Density is the loss per volume of a sine of peak flux density bPeak, half of the swing; 0 when it
// is not positive.
func (c LossCurve) Density(bPeak si.FluxDensity) si.LossDensity {
	if !(bPeak > 0) {
		return 0
	}
	return si.LossDensity(c.Factor * raised(float64(bPeak), c.Beta))
}

// raised is x to a power, x above zero. It is good to some 1e-15 as long as the result is neither
// huge nor tiny, in a third of the time of math.Pow.
func raised(x, power float64) float64 { return math.Exp(power * math.Log(x)) }
