package regulation

import (
	"testing"

	"sparewright/catalog/si"
)

// seriesStock is seven decades of E24 values, 168 of them, all of one tolerance.
func seriesStock(tol si.Ratio, count int) []Piece {
	var pieces []Piece
	for i, r := range preferred(false, 1, 9.2e6) {
		pieces = append(pieces, Piece{Lot: int64(i + 1), Ohm: r, Tolerance: tol, Count: count, Power: 0.25})
	}
	return pieces
}

func trimmerSet() []TrimmerPiece {
	var out []TrimmerPiece
	for i, r := range []si.Resistance{100, 220, 470, 1e3, 2.2e3, 4.7e3, 10e3} {
		out = append(out, TrimmerPiece{Lot: int64(900 + i), Ohm: r, Tolerance: 0.2, End: 0.01 * r, Count: 2})
	}
	return out
}

func BenchmarkNewStock(b *testing.B) {
	pieces := seriesStock(0.01, 5)
	for b.Loop() {
		NewStock(pieces)
	}
}

func BenchmarkDesignVoltage(b *testing.B) {
	for _, c := range []struct {
		name     string
		tol, ref si.Ratio
		set, abs si.Voltage
	}{
		{"lithium iron, printed parts", 0.01, 0.01, 14.6, 15.6},
		{"lithium ion, measured parts", 0.001, 0.001, 16.8, 17},
		{"lithium ion, nearly", 0.002, 0.002, 16.8, 17},
		{"lithium ion, untrimmed only", 0.002, 0.004, 16.8, 17},
		{"lithium ion, refused", 0.01, 0.01, 16.8, 17},
	} {
		stock, trims := NewStock(seriesStock(c.tol, 5)), trimmerSet()
		spec := VoltageSpec{Set: c.set, Absolute: c.abs, Vref: si.Around(si.Voltage(2.495), c.ref), BiasCurrent: 250e-9,
			Offset: 1e-3, DividerCurrent: si.Interval[si.Current]{Low: 2e-4, High: 2e-3}}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				DesignVoltage(spec, stock, trims)
			}
		})
	}
}

func BenchmarkDesignCurrent(b *testing.B) {
	stock, trims := NewStock(seriesStock(0.01, 5)), trimmerSet()
	spec := CurrentSpec{Set: 1, HighLimit: 1.2, Vref: si.Around(si.Voltage(2.495), 0.01), Offset: 3e-3, SenseMin: 0.05, SenseMax: 0.3}
	for i, r := range []si.Resistance{0.1, 0.15, 0.22, 0.33, 0.47, 0.68, 1} {
		spec.Shunts = append(spec.Shunts, Piece{Lot: int64(800 + i), Ohm: r, Tolerance: 0.05, Count: 4, Power: 1})
	}
	for b.Loop() {
		DesignCurrent(spec, stock, trims)
	}
}
