package substitute_test

import (
	"flag"
	"os"
	"testing"
)

// TestMain fixes the draws of the property tests in continuous integration, so that a submission is
// judged by what it changed. Everywhere else they are drawn anew; hunt with -rapid.checks=1000.
func TestMain(m *testing.M) {
	flag.Parse()
	if os.Getenv("CI") != "" {
		if err := flag.Set("rapid.seed", "20261125"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// long reports whether the long forms of the slow tests are asked for: DEVELOPERS.md says when.
func long() bool { return os.Getenv("SPAREWRIGHT_LONG") == "1" }

// few is how many rounds a slow test makes: a third of those of its long form, fewer with -short.
func few(rounds int) int {
	switch {
	case long():
		return rounds
	case testing.Short():
		return (rounds + 9) / 10
	}
	return (rounds + 2) / 3
}
