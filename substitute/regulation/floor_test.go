package regulation_test

import (
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// plain runs testdata/networks.c, the plain enumeration in C on one core. It returns the least
// error it found and reports its time beside ours.
func plain(b *testing.B, words ...string) float64 {
	b.Helper()
	program := filepath.Join(b.TempDir(), "networks")
	compile := exec.Command("gcc", "-O2", "-march=native", "-o", program,
		"testdata/networks.c", "-lm")
	if out, err := compile.CombinedOutput(); err != nil {
		b.Fatalf("gcc: %v\n%s", err, out)
	}
	least, best := math.Inf(1), 0.0
	for range 3 {
		out, err := exec.Command(program, words...).Output()
		if err != nil {
			b.Fatal(err)
		}
		var count int
		var nanoseconds float64
		if _, err := fmt.Fscan(strings.NewReader(string(out)), &count, &best,
			&nanoseconds); err != nil {
			b.Fatal(err)
		}
		least = min(least, nanoseconds)
	}
	b.ReportMetric(least, "C-ns/op")
	return best
}

// agrees fails the benchmark when the plain enumeration found something nearer. Counts of six never
// bind.
func agrees(b *testing.B, ours, plain float64) {
	b.Helper()
	if math.Abs(ours) > plain*1.001+2e-12 {
		b.Fatalf("plain enumeration comes to %g, this search to %g", plain, ours)
	}
}

// oneCore keeps a benchmark to one core, as its floor is.
func oneCore(b *testing.B) {
	before := runtime.GOMAXPROCS(1)
	b.Cleanup(func() { runtime.GOMAXPROCS(before) })
}

// BenchmarkNearest finds the best network of one, two and three parts for one value from nothing:
// the list of pairs is made in every run. C-ns/op is the enumeration of all 6,637,820 networks in
// C.
func BenchmarkNearest(b *testing.B) {
	oneCore(b)
	pieces := e24Decades(6)
	err := 0.0
	for b.Loop() {
		a := resistors.NewAssortment(pieces)
		err = 1
		for parts := 1; parts <= 3; parts++ {
			n := a.Nearest(resistors.NearestSpec{Ohm: 12_345.678, Parts: parts})
			err = min(err, math.Abs(float64(n[0].Ohm)/12_345.678-1))
		}
	}
	agrees(b, err, plain(b, "near", "12345.678"))
}

// BenchmarkNearestAgain asks for another value of the same drawer.
func BenchmarkNearestAgain(b *testing.B) {
	oneCore(b)
	a := resistors.NewAssortment(e24Decades(6))
	for b.Loop() {
		a.Nearest(resistors.NearestSpec{Ohm: 12_345.678, Parts: 3})
	}
	plain(b, "near", "12345.678")
}

// BenchmarkDividers finds the best dividers for a ratio, up to one, two and three parts a leg, from
// nothing. C-ns/op is storing, sorting and walking in C; for two parts a leg also plain division of
// every pair.
func BenchmarkDividers(b *testing.B) {
	oneCore(b)
	pieces := e24Decades(6)
	for _, c := range []struct {
		name  string
		parts int
		floor []string
	}{
		{"two parts a leg, against sorting", 2, []string{"ratio", "4.0501", "2"}},
		{"two parts a leg, against every pair", 2, []string{"pairs", "4.0501"}},
		{"three parts a leg, against sorting", 3, []string{"ratio", "4.0501", "3"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			var got []resistors.RatioPair
			for b.Loop() {
				got = resistors.NewAssortment(pieces).Dividers(
					resistors.RatioSpec{Ratio: 4.0501, Parts: c.parts})
			}
			agrees(b, float64(got[len(got)-1].Error), plain(b, c.floor...))
		})
	}
}

// BenchmarkDividersWhole is three parts a leg where the whole space must be gone through: an
// irrational ratio, and one in a thousand drawers of measured values, in which nothing is exact.
func BenchmarkDividersWhole(b *testing.B) {
	oneCore(b)
	pieces := e24Decades(6)
	for i := range pieces {
		pieces[i].Ohm *= si.Resistance(1 + 0.004*math.Sin(float64(i*i)))
	}
	for b.Loop() {
		resistors.NewAssortment(pieces).Dividers(resistors.RatioSpec{Ratio: math.Pi, Parts: 3})
	}
	plain(b, "ratio", "3.14159265358979", "3")
}
