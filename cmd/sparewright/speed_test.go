package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkStartup is the whole process, run in turn with two programs that do nothing: one of Go
// alone, the floor, and one that links C as the database makes us do. It reports the median of
// each, and as name-x the median of its ratio to the floor of the same turn, so that other work on
// the machine falls on all alike.
func BenchmarkStartup(b *testing.B) {
	dir := b.TempDir()
	ours := filepath.Join(dir, "sparewright")
	require.NoError(b, exec.Command("go", "build", "-o", ours, ".").Run())
	rows := []struct {
		name  string
		words []string
		took  []time.Duration
	}{
		{name: "empty", words: []string{doNothing(b, dir, "empty", "")}},
		{name: "empty-with-C", words: []string{doNothing(b, dir, "linked", "import \"C\"\n\n")}},
		{name: "version", words: []string{ours, "--version"}},
		{name: "help", words: []string{ours, "--help"}},
		{name: "list", words: []string{ours, "list", "--demo"}},
	}
	for b.Loop() {
		for i := range rows {
			start := time.Now()
			if err := exec.Command(rows[i].words[0], rows[i].words[1:]...).Run(); err != nil {
				b.Fatal(err)
			}
			rows[i].took = append(rows[i].took, time.Since(start))
		}
	}
	b.ReportMetric(0, "ns/op") // the sum of all says nothing
	for _, row := range rows {
		var ratios []float64
		for i, d := range row.took {
			ratios = append(ratios, float64(d)/float64(rows[0].took[i]))
		}
		b.ReportMetric(median(row.took).Seconds()*1e3, row.name+"-ms")
		b.ReportMetric(median(ratios), row.name+"-x")
	}
}

// doNothing builds a program that ends at once.
func doNothing(b *testing.B, dir, name, imports string) string {
	source, program := filepath.Join(dir, name+".go"), filepath.Join(dir, name)
	require.NoError(b, os.WriteFile(source,
		[]byte("package main\n\n"+imports+"func main() {}\n"), 0o644))
	require.NoError(b, exec.Command("go", "build", "-o", program, source).Run())
	return program
}

// median is the middle one, the upper of two.
func median[T float64 | time.Duration](values []T) T {
	return slices.Sorted(slices.Values(values))[len(values)/2]
}
