package ui

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func sample() Table {
	return Table{
		Columns: []Column{{Title: "LOT", Number: true}, {Title: "DESIGNATION", Shrink: 1},
			{Title: "COUNT", Number: true},
			{Title: "BIN"}},
		Rows: [][]string{
			{"7", "10k 1%", "1234567", "B4"},
			{"12", "电阻 with a long name that will not fit on the line", "3", "\x1b[2J"},
		},
	}
}

func TestTableOnTerminal(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, sample().Write(&out, Screen{Terminal: true, Width: 40}, false))
	require.Equal(t, ""+
		"LOT  DESIGNATION          COUNT  BIN\n"+ // 3+2+17+2+7+2+7 = 40 cells
		"  7  10k 1%             1234567  B4\n"+
		" 12  电阻 wit..he line        3  \\x1b[2J\n", out.String())
}

// The column with Shrink 2 gives way to 14 cells before the other loses any; then the widest does.
func TestColumnsGiveWayInOrder(t *testing.T) {
	table := Table{Columns: []Column{{Title: "NAME", Shrink: 1}, {Title: "DONOR", Shrink: 2}},
		Rows: [][]string{{"abcdefghijklmnop", "ABCDEFGHIJKLMNOP"}}}
	var out bytes.Buffer
	require.NoError(t, table.Write(&out, Screen{Terminal: true, Width: 32}, false))
	require.Equal(t, "NAME              DONOR\nabcdefghijklmnop  ABCDEF..KLMNOP\n", out.String())
	out.Reset()
	require.NoError(t, table.Write(&out, Screen{Terminal: true, Width: 30}, false))
	require.Equal(t, "NAME            DONOR\nabcdef..klmnop  ABCDEF..KLMNOP\n", out.String())
}

func TestTableInPipe(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, sample().Write(&out, Screen{Width: 40, Colour: true}, true))
	require.Equal(t, ""+
		"LOT\tDESIGNATION\tCOUNT\tBIN\n"+
		"7\t10k 1%\t1234567\tB4\n"+
		"12\t电阻 with a long name that will not fit on the line\t3\t\\x1b[2J\n", out.String())
	out.Reset()
	require.NoError(t, sample().Write(&out, Screen{}, false))
	require.False(t, strings.HasPrefix(out.String(), "LOT"))
}

// Colour must not shift a column: the same table with colour, its codes taken out, is the same
// table.
func TestColourDoesNotShiftColumns(t *testing.T) {
	var plain, coloured bytes.Buffer
	require.NoError(t, sample().Write(&plain, Screen{Terminal: true, Width: 60}, false))
	require.NoError(t, sample().Write(&coloured,
		Screen{Terminal: true, Width: 60, Colour: true}, false))
	require.Contains(t, coloured.String(), "\x1b[1m")
	bare := strings.NewReplacer("\x1b[1m", "", "\x1b[0m", "").Replace(coloured.String())
	require.Equal(t, plain.String(), bare)
}

func TestTableFitsAndNeverCutsNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table{Columns: sample().Columns}
		for range rapid.IntRange(0, 6).Draw(t, "rows") {
			table.Rows = append(table.Rows, []string{
				rapid.StringMatching(`[0-9]{1,6}`).Draw(t, "lot"), rapid.String().Draw(t, "name"),
				rapid.StringMatching(`[0-9]{1,9}`).Draw(t,
					"count"), rapid.StringMatching(`[A-Z][0-9]{1,2}`).Draw(t, "bin"),
			})
		}
		var out bytes.Buffer
		require.NoError(t, table.Write(&out, Screen{Terminal: true, Width: 50}, false))
		lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
		require.Len(t, lines, len(table.Rows)+1)
		for i, line := range lines {
			require.LessOrEqual(t, Cells(line), 50)
			if i > 0 {
				require.Contains(t, line, table.Rows[i-1][0])
				require.Contains(t, line, table.Rows[i-1][2])
			}
		}
	})
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("gone") }

func TestTableReportsTheWriter(t *testing.T) {
	require.EqualError(t, sample().Write(brokenWriter{}, Screen{}, false), "gone")
}
