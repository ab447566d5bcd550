package substitute

import (
	"testing"

	"sparewright/inventory/exchange"
)

// BenchmarkSurvey is all usual targets on the built-in drawer. Floor: go test -bench BenchmarkSnapshot ./inventory/sqlite tells
// what loading alone costs.
func BenchmarkSurvey(b *testing.B) {
	like := Target{MainsMin: 195, MainsMax: 265, Line: 50, Case: Sealed, Ambient: 35}
	for b.Loop() {
		if _, err := SurveyAll(like, exchange.Demo(), nil); err != nil {
			b.Fatal(err)
		}
	}
}
