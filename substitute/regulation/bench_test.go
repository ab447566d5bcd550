package regulation_test

import (
	"testing"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// seriesStock is seven decades of E24 values, 168 of them, all of one tolerance.
func seriesStock(tol si.Ratio, count int) []resistors.Piece {
	var pieces []resistors.Piece
	for i, r := range resistors.Preferred(false, 1, 9.2e6) {
		pieces = append(pieces, resistors.Piece{Lot: int64(i + 1), Ohm: r, Tolerance: tol,
			Count: count, Power: 0.25})
	}
	return pieces
}

func trimmerSet() []resistors.TrimmerPiece {
	var out []resistors.TrimmerPiece
	for i, r := range []si.Resistance{100, 220, 470, 1e3, 2.2e3, 4.7e3, 10e3} {
		out = append(out, resistors.TrimmerPiece{Lot: int64(900 + i), Ohm: r, Tolerance: 0.2,
			End: 0.01 * r, Count: 2})
	}
	return out
}

func BenchmarkNewStock(b *testing.B) {
	pieces := seriesStock(0.01, 5)
	for b.Loop() {
		resistors.NewStock(pieces)
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
		stock, trims := resistors.NewStock(seriesStock(c.tol, 5)), trimmerSet()
		spec := regulation.VoltageSpec{Set: c.set, Absolute: c.abs,
			Vref: si.Around(si.Voltage(2.495), c.ref), BiasCurrent: 250e-9,
			Offset: 1e-3, DividerCurrent: si.Interval[si.Current]{Low: 2e-4, High: 2e-3}}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				regulation.DesignVoltage(spec, stock, trims)
			}
		})
	}
}

func BenchmarkDesignCurrent(b *testing.B) {
	stock, trims := resistors.NewStock(seriesStock(0.01, 5)), trimmerSet()
	spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.2, Vref: si.Around(si.Voltage(2.495), 0.01),
		Offset: 3e-3, SenseMin: 0.05, SenseMax: 0.3}
	for i, r := range []si.Resistance{0.1, 0.15, 0.22, 0.33, 0.47, 0.68, 1} {
		spec.Shunts = append(spec.Shunts,
			resistors.Piece{Lot: int64(800 + i), Ohm: r, Tolerance: 0.05, Count: 4, Power: 1})
	}
	for b.Loop() {
		regulation.DesignCurrent(spec, stock, trims)
	}
}
