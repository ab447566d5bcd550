package exchange

import (
	"encoding/csv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sparewright/inventory/anylot"
)

// Any lot as older versions wrote it is read back as the very same part.
func TestEarlierFiguresReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anylot.Draw(t)
		fields := row(l, neutralised)
		fields[8] = neutralised(earlierFigures(l.Part))
		var text strings.Builder
		out := csv.NewWriter(&text)
		if out.Write(columns) != nil || out.Write(fields) != nil {
			t.Fatal("not written")
		}
		out.Flush()
		lots, faults := ReadCSV(strings.NewReader(text.String()), "old.csv")
		if len(faults) > 0 {
			t.Fatal(faults, text.String())
		}
		if lots[0].Part != l.Part {
			t.Fatalf("%+v became %+v of %s", l.Part, lots[0].Part, text.String())
		}
	})
}

// A reading of any lot is written so that it is read back as the same: numbers that older versions
// took bare as well.
func TestReadingWordsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anylot.Draw(t)
		for _, m := range l.Measured {
			if rapid.Bool().Draw(t, "bare") {
				m.Text = exactNumber(m.Value) + "+-" + exactPercent(m.Error)
			}
			back, err := ParseReading(l.Part.Kind(), ReadingWords(l.Part.Kind(), m))
			if err != nil || back.Value != m.Value || back.Error != m.Error {
				t.Fatalf("%+v became %q: %+v, %v", m, ReadingWords(l.Part.Kind(), m), back, err)
			}
		}
	})
}
