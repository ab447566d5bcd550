package regulation

import (
	"cmp"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// BiasSpec is what the resistor that feeds the reference from the output has to do.
type BiasSpec struct {
	// lowest regulated or empty, to the highest the output can stand at
	Supply                 si.Interval[si.Voltage]
	Vref                   si.Voltage
	CathodeMin, CathodeMax si.Current
	// what the current divider and other loads take from the reference
	Draw si.Current
	// share of its power rating a resistor may take; zero: Derating
	Derate si.Ratio
	// Aim is the cathode current wanted at the middle of the supply range. Zero: 5 to 10 mA (common
	// practice, no source), inside the cathode limits.
	Aim si.Interval[si.Current]
}

// BiasNetwork is one way to feed the reference.
type BiasNetwork struct {
	Resistor resistors.Network
	// worst corners: lowest supply and highest resistance; highest supply and lowest resistance
	MinCathode, MaxCathode si.Current
	Power                  si.Power // in the resistor at the highest supply, worst corner
	PowerShare             si.Ratio // of the hardest worked part against its rating
}

const roleBias = "reference bias"

// DesignBias finds the resistor, of one part, else of two or three, whose worst corners keep the
// cathode current inside its limits, also with the divider cut off, and which stands its power. Of
// those with the fewest parts it takes the one whose cathode current at the middle of the supply
// range lies inside or nearest to Aim, in steps of a tenth of an octave.
func DesignBias(spec BiasSpec, stock resistors.Stock) (BiasNetwork, Shortfall) {
	aim := spec.aim()
	lo := float64(spec.Supply.High-spec.Vref) / float64(spec.CathodeMax)
	hi := float64(spec.Supply.Low-spec.Vref) / float64(spec.CathodeMin+spec.Draw)
	miss := func(l resistors.Leg) float64 {
		i := (float64(spec.Supply.Mid()-spec.Vref)/l.Nom - float64(spec.Draw))
		return math.Round(10 * outside(math.Log2(i), math.Log2(float64(aim.Low)),
			math.Log2(float64(aim.High))))
	}
	if lo > 0 && hi >= lo {
		order := func(a, b resistors.Leg) int {
			return cmp.Or(cmp.Compare(miss(a), miss(b)), cmp.Compare(b.Nom, a.Nom))
		}
		stands := func(s resistors.Stock, n resistors.Network) bool {
			return n.Stands(s.Pieces, spec.Supply.High-spec.Vref,
				orDefault(spec.Derate, resistors.Derating))
		}
		if n, ok := stock.First(lo, hi, 3, order, []resistors.Filter{stands}); ok {
			return CheckBias(spec, stock, n), Shortfall{}
		}
	}
	return BiasNetwork{}, biasShortfall(spec, stock, lo, hi)
}

// aim is the wanted cathode current; never outside the cathode limits.
func (s BiasSpec) aim() si.Interval[si.Current] {
	a := s.Aim
	if a == (si.Interval[si.Current]{}) {
		a = si.Interval[si.Current]{Low: 5e-3, High: 10e-3}
	}
	return si.Interval[si.Current]{
		Low:  min(max(a.Low, s.CathodeMin), s.CathodeMax),
		High: min(max(a.High, s.CathodeMin), s.CathodeMax),
	}
}

// outside is how far x lies outside lo..hi; a NaN, as from a negative current, is infinitely far.
func outside(x, lo, hi float64) float64 {
	if math.IsNaN(x) {
		return math.Inf(1)
	}
	return max(0, lo-x, x-hi)
}

// CheckBias computes every figure of a given bias resistor taken from stock. Nothing is judged.
func CheckBias(spec BiasSpec, stock resistors.Stock, n resistors.Network) BiasNetwork {
	top := float64(spec.Supply.High - spec.Vref)
	return BiasNetwork{
		Resistor:   n,
		MinCathode: si.Current(float64(spec.Supply.Low-spec.Vref)/float64(n.High)) - spec.Draw,
		MaxCathode: si.Current(top/float64(n.Low)) - spec.Draw,
		Power:      si.Power(top * top / float64(n.Low)),
		PowerShare: n.Load(stock.Pieces, si.Voltage(top)).Share,
	}
}
