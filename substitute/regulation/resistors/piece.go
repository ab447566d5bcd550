package resistors

import (
	"cmp"
	"math"

	"sparewright/catalog/si"
)

// Piece is the stock of one resistor value in one lot, already resolved: the measured value with
// the error of the meter where it was measured, otherwise the printed value with the printed
// tolerance.
type Piece struct {
	Lot       int64
	Ohm       si.Resistance
	Tolerance si.Ratio   // either way: 0.01 is +/-1 %
	Count     int        // pieces free to use
	Power     si.Power   // rating; 0 = unknown, counts as UnknownRating
	Volts     si.Voltage // rating across one piece; 0 = unknown, not judged
	Drift     si.TempCo  // either way, per kelvin
}

// UnknownRating is what a resistor of unknown size is trusted with: the 1/16 W of the smallest chip
// a hand can solder (0402). Common practice, no source.
const UnknownRating si.Power = 0.0625

// Derating is the share of its rating a resistor may dissipate where a spec does not say otherwise.
// Common practice, no source.
const Derating si.Ratio = 0.5

// Over returns p with its tolerance widened by the drift over a temperature swing either way, in
// kelvin. Use it before NewStock where the worst case is to cover temperature as well.
func (p Piece) Over(swing si.Kelvin) Piece {
	drift := math.Abs(float64(p.Drift) * float64(swing))
	p.Tolerance = si.Ratio((1+float64(p.Tolerance))*(1+drift) - 1)
	return p
}

// Within returns p as it would be known after measuring it to the given relative meter error, if
// that is better than now.
func (p Piece) Within(meter si.Ratio) Piece {
	p.Tolerance = min(p.Tolerance, meter)
	return p
}

func (p Piece) usable() bool {
	return p.Ohm > 0 && !math.IsInf(float64(p.Ohm), 0) && p.Tolerance >= 0 &&
		p.Tolerance < 1 && p.Count > 0
}

// rating is the power p is trusted with before derating.
func (p Piece) rating() si.Power {
	if p.Power > 0 {
		return p.Power
	}
	return UnknownRating
}

// ComparePieces is the canonical order of a stock: value, tolerance, lot, then what is left.
func ComparePieces(a, b Piece) int {
	return cmp.Or(cmp.Compare(a.Ohm, b.Ohm), cmp.Compare(a.Tolerance, b.Tolerance),
		cmp.Compare(a.Lot, b.Lot),
		cmp.Compare(a.Power, b.Power), cmp.Compare(a.Volts, b.Volts), cmp.Compare(a.Drift,
			b.Drift), cmp.Compare(a.Count, b.Count))
}

// TrimmerPiece is the stock of one trimmer value in one lot.
type TrimmerPiece struct {
	Lot       int64
	Ohm       si.Resistance // whole track
	Tolerance si.Ratio      // of the track, either way
	End       si.Resistance // most that remains between wiper and end at the stop
	Count     int
}

func (t TrimmerPiece) Usable() bool {
	return t.Ohm > 0 && !math.IsInf(float64(t.Ohm), 0) && t.Tolerance >= 0 &&
		t.Tolerance < 1 && t.Count > 0 &&
		t.End >= 0 && float64(t.End) < float64(t.Ohm)*(1-float64(t.Tolerance))
}

func CompareTrimmers(a, b TrimmerPiece) int {
	return cmp.Or(cmp.Compare(a.Ohm, b.Ohm), cmp.Compare(a.Tolerance, b.Tolerance),
		cmp.Compare(a.End, b.End),
		cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Count, b.Count))
}

// Use is a number of equal pieces taken from one lot.
type Use struct {
	Lot   int64
	Ohm   si.Resistance
	Count int
}
