package magnetics

import (
	"errors"
	"math"

	"sparewright/catalog/si"
)

// ResonanceInductance is L = 1/((2 pi f)^2 (C + Cw)) from the resonance of a winding with a known
// capacitor; stray is the capacitance of winding and leads, Cw. Error: frequency or capacitance not
// above 0.
func ResonanceInductance(f Known[si.Frequency], c,
	stray Known[si.Capacitance]) (Estimate[si.Inductance], error) {
	if !(f.Value > 0 && c.Value > 0) {
		return Estimate[si.Inductance]{},
			errors.New("resonance: frequency and capacitance must be above 0; measure again")
	}
	return propagate[si.Inductance](func(x []float64) float64 {
		w := 2 * math.Pi * x[0]
		return 1 / (w * w * (x[1] + x[2]))
	}, from(f, "frequency", "find the peak more sharply; couple the source more loosely"),
		from(c, "capacitor", "use a film capacitor of 1 %, or measure it; class 2 "+
			"ceramics will not do"),
		from(stray, "winding capacitance", "use a larger capacitor, or a second one")), nil
}

// TwoCapacitors is what two resonances tell: the inductance without, and the capacitance of, the
// winding.
type TwoCapacitors struct {
	Inductance Estimate[si.Inductance]
	Winding    si.Capacitance // negative when the readings contradict each other
}

// ResonanceWithTwo is L = (1/f2^2 - 1/f1^2)/(4 pi^2 (C2 - C1)) from the resonances with two
// capacitors; the capacitance of the winding drops out. Errors: figures not above 0, or the larger
// capacitor does not give the lower frequency.
func ResonanceWithTwo(f1, f2 Known[si.Frequency], c1,
	c2 Known[si.Capacitance]) (TwoCapacitors, error) {
	if c1.Value > c2.Value {
		f1, f2, c1, c2 = f2, f1, c2, c1
	}
	switch {
	case !(f2.Value > 0 && c1.Value > 0):
		return TwoCapacitors{}, errors.New("resonance: frequency and capacitance must be above " +
			"0; measure again")
	case !(f1.Value > f2.Value && c2.Value > c1.Value):
		return TwoCapacitors{}, errors.New("resonance: the larger capacitor must give the lower " +
			"frequency; check the pairs")
	}
	e := propagate[si.Inductance](func(x []float64) float64 {
		return (1/(x[1]*x[1]) - 1/(x[0]*x[0])) / (4 * math.Pi * math.Pi * (x[3] - x[2]))
	}, from(f1, "frequency with the smaller capacitor", "find the peak more sharply"),
		from(f2, "frequency with the larger capacitor", "find the peak more sharply"),
		from(c1, "smaller capacitor", "make the two capacitors differ by ten times"),
		from(c2, "larger capacitor", "use a film capacitor of 1 %, or measure it"))
	w := 2 * math.Pi * float64(f1.Value)
	return TwoCapacitors{e, si.Capacitance(1/(w*w*float64(e.Value))) - c1.Value}, nil
}
