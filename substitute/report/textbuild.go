package report

import (
	"fmt"

	"sparewright/substitute"
)

// VerdictWords say what a verdict means for the builder.
func VerdictWords(b *substitute.Build) string {
	if b.Verdict == substitute.Feasible {
		if n := b.Score.Steps; n > 0 {
			return "buildable from the drawer, with " + Plural(n, "measured step", "measured steps")
		}
		return "buildable from the drawer"
	}
	return "needs " + Plural(b.Score.Missing, "part", "parts") + " bought"
}

// LotOf writes the number of a lot; parts to buy have none.
func LotOf(lot int64) string {
	if lot == 0 {
		return "buy"
	}
	return fmt.Sprint(lot)
}

// GapMethods explains the words of the JSON contract.
var GapMethods = map[string]string{
	"shim-all-legs":      "film under all legs",
	"ground":             "centre leg ground down",
	"as-found":           "as found, nothing added",
	"as-found-plus-shim": "as found, with film under all legs",
}

// Acceptance is what the primary may measure: where every limit holds, else between the walls.
func Acceptance(x *substitute.Transformer) substitute.Window {
	if x.Holds != nil {
		return *x.Holds
	}
	return substitute.Window{Low: x.WallPower, High: x.WallSaturation}
}

// Beyond says which limit goes first.
func Beyond(check string) string { return Middling(check) + " over its limit" }
