package catalog_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// How much of the tables is from memory (marked ~), a table a line: `go test ./catalog -run Shares
// -v`. What is bounded may only fall. Conditions and words are no figures.
func TestSharesFromMemory(t *testing.T) {
	bounds := map[string]float64{"switchers.tsv": 0.25, "optocouplers.tsv": 0.20,
		"references.tsv": 0.20, "amplifiers.tsv": 0.20,
		"cans.tsv": 0.20}
	for _, file := range dataFiles(t) {
		figures, remembered := 0, 0
		for _, row := range table(t, file) {
			for column, cell := range row {
				if !figureCell(column, cell) {
					continue
				}
				figures++
				if strings.HasPrefix(cell, "~") {
					remembered++
				}
			}
		}
		share := float64(remembered) / float64(max(figures, 1))
		t.Logf("%-24s %5d figures, %4d from memory, %4.1f %%", file, figures, remembered, 100*share)
		if most, ok := bounds[file]; ok {
			require.Less(t, share, most, file)
			require.Greater(t, figures, 50, file)
		}
	}
}

// figureCell reports whether a cell of a table is a figure: a number, after its mark, in a column
// that is not about the row.
func figureCell(column, cell string) bool {
	switch column {
	case "designation", "maker", "also", "source", "where", "note", "package", "pins",
		"shape", "class_name":
		return false
	}
	body := strings.TrimLeft(cell, "~?")
	return body != "" && (body[0] >= '0' && body[0] <= '9' || body[0] == '-')
}
