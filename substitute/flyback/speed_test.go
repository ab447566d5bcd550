package flyback

import (
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	low  = Point{Bus: 240, Reflected: 110, Power: 18, Inductance: 1.6e-3, Frequency: 66e3}
	high = Point{Bus: 90, Reflected: 110, Power: 40, Inductance: 3e-3, Frequency: 100e3}
)

// The search calls these millions of times.
func TestNoAllocation(t *testing.T) {
	require.Zero(t, testing.AllocsPerRun(100, func() {
		o := Operate(low)
		s := o.Secondary(8)
		CapacitorRipple(s, 1)
		PowerAtLimit(240, 110, 1.6e-3, 66e3, 0.6, 0.6)
		InductanceForPower(240, 110, 18, 66e3, 0.6, 0.6)
		BusValley(195, 50, 22e-6, 18, 0.9)
		BulkRipple(195, 50, 22e-6, 18, 0.9)
		QuasiResonant(240, 110, 18, 1.6e-3, 1e-10)
		OperateGated(low, 0.7)
		SealedAir(35, 5, 0.017)
	}))
}

func BenchmarkOperate(b *testing.B) {
	for b.Loop() {
		Operate(low)
		Operate(high)
	}
}

func BenchmarkPowerAtLimit(b *testing.B) {
	for b.Loop() {
		PowerAtLimit(240, 110, 1.6e-3, 66e3, 0.6, 0.6)
	}
}

func BenchmarkInductanceForPower(b *testing.B) {
	for b.Loop() {
		InductanceForPower(240, 110, 18, 66e3, 0.6, 0.6)
	}
}

func BenchmarkBusValley(b *testing.B) {
	for b.Loop() {
		BusValley(195, 50, 22e-6, 18, 0.9)
	}
}

func BenchmarkBulkRipple(b *testing.B) {
	for b.Loop() {
		BulkRipple(195, 50, 22e-6, 18, 0.9)
	}
}

func BenchmarkSealedAir(b *testing.B) {
	for b.Loop() {
		SealedAir(35, 5, 0.017)
	}
}
