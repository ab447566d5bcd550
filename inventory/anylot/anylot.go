// Package anylot draws random valid lots for property tests: any kind, figures that fill their
// ranges, and texts that trip up spreadsheets, terminals and file formats. Only tests use it.
package anylot

import (
	"strings"
	"unicode"

	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// text draws what a person may type and a spreadsheet may trip over.
func text(most int, lines bool) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		starts := []string{"", "", "", "=", "+", "-", "@", "'", "''", "'=", "''@", "\"", ",", ";",
			"\\", "#", " "}
		runes := []rune(rapid.SampledFrom(starts).Draw(t, "start"))
		char := rapid.OneOf(rapid.RuneFrom([]rune("ab 1\"',;=\\~?!\u00b5\u03a9\u4e2d\U0001f50b")),
			rapid.Rune())
		for range rapid.IntRange(0, most-3).Draw(t, "length") {
			runes = append(runes, char.Draw(t, "rune"))
		}
		out := strings.Map(func(r rune) rune {
			if lines && (r == '\n' || r == '\t') {
				return r
			}
			if unicode.IsControl(r) || inventory.TurnsWriting(r) || r == 0xfffd {
				return 'x'
			}
			return r
		}, string(runes))
		if lines && rapid.Bool().Draw(t, "newline") {
			out = "\t" + out + "\n\"x\"\n"
		}
		return out
	})
}

// Draw draws a valid lot of any kind whose figures fill their ranges.
func Draw(t *rapid.T) inventory.Lot {
	valid := func(l inventory.Lot) bool {
		return l.Validate() == nil && len(typed.Contradictions(l.Part)) == 0
	}
	return rapid.Custom(roughLot).Filter(valid).Draw(t, "lot")
}

// roughLot may fail to be valid: figures drawn one by one can contradict each other.
func roughLot(t *rapid.T) inventory.Lot {
	kind := rapid.SampledFrom(catalog.Kinds()).Draw(t, "kind")
	r := catalog.Record{Kind: kind}
	var readings []inventory.Measurement
	for _, f := range catalog.Schema(kind) {
		if !f.Required && rapid.IntRange(0, 2).Draw(t, "left out") > 0 {
			continue
		}
		v := catalog.Value{Field: f.Name, Numeric: f.Numeric, Basis: catalog.Published}
		switch {
		case f.Numeric:
			v.Number = rapid.Float64Range(f.Low, f.High).Draw(t, f.Name)
			known := []catalog.Basis{catalog.Assumed, catalog.Estimated, catalog.Published,
				catalog.Measured}
			v.Basis = rapid.SampledFrom(known).Draw(t, "basis")
			if rapid.IntRange(0, 4).Draw(t, "read") == 0 {
				readings = append(readings, inventory.Measurement{Field: f.Name, Value: v.Number,
					Error: rapid.Float64Range(inventory.MinMeterError,
						inventory.MaxMeterError).Draw(t, "error")})
			}
		case len(f.Words) > 0:
			v.Text = rapid.SampledFrom(f.Words).Draw(t, f.Name)
		default:
			v.Text = strings.TrimSpace(text(20, false).Draw(t, f.Name))
		}
		r.Values = append(r.Values, v)
	}
	r.Designation = "n" + strings.TrimSpace(text(20, false).Draw(t, "designation"))
	r.Designation = rapid.SampledFrom([]string{"", "=", "'=", "-"}).Draw(t, "guarded") +
		r.Designation
	p, err := catalog.Build(r)
	if err != nil {
		return inventory.Lot{}
	}
	l := inventory.Lot{Part: p, Count: float64(rapid.IntRange(1, 99).Draw(t, "count")),
		Bin:   text(20, false).Draw(t, "bin"),
		Donor: text(20, false).Draw(t, "donor"), Note: text(60, true).Draw(t,
			"note"), Measured: readings,
		Condition: rapid.SampledFrom(inventory.Conditions()).Draw(t, "condition")}
	if l.Unit() == inventory.Metres {
		l.Count += float64(rapid.IntRange(0, 999).Draw(t, "millimetres")) / 1000
		l.Count = inventory.RoundCount(l.Count)
	}
	return l
}
