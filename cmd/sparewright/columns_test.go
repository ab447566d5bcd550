package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// mostColumns is how wide a line of code, test or comment may be, a tab being four.
const mostColumns = 100

// wideTables are the files that hold tables, whose rows stay on one line.
var wideTables = map[string]bool{
	"catalog/documented_test.go":                     true,
	"catalog/kinds.go":                               true,
	"catalog/substitution_test.go":                   true,
	"catalog/validate_test.go":                       true,
	"cmd/sparewright/internal/bench/bench_test.go":   true,
	"cmd/sparewright/internal/bench/forms.go":        true,
	"cmd/sparewright/internal/find/target_test.go":   true,
	"cmd/sparewright/internal/find/wants_test.go":    true,
	"cmd/sparewright/internal/frame/exitcodes.go":    true,
	"cmd/sparewright/internal/frame/permute_test.go": true,
	"cmd/sparewright/internal/ui/fold_test.go":       true,
	"cmd/sparewright/trials_test.go":                 true,
	"inventory/exchange/read_test.go":                true,
	"inventory/plate_test.go":                        true,
	"inventory/sqlite/check_test.go":                 true,
	"inventory/sqlite/store_test.go":                 true,
	"substitute/check.go":                            true,
	"substitute/donortransformer_test.go":            true,
	"substitute/report/names.go":                     true,
	"substitute/seats/table.go":                      true,
	"substitute/stock/shelf.go":                      true,
	"testdata/mutation/main.go":                      true,

	// not wrapped yet, no tables: take them off
	"cmd/sparewright/corpus_test.go":         true,
	"substitute/advise/shelf.go":             true,
	"substitute/bill/assemble.go":            true,
	"substitute/bill/guard.go":               true,
	"substitute/bill/warnings.go":            true,
	"substitute/independent_test.go":         true,
	"substitute/loops.go":                    true,
	"substitute/report/scenario_test.go":     true,
	"substitute/report/screen/textadvice.go": true,
	"substitute/report/screen/textbuild.go":  true,
	"substitute/result.go":                   true,
	"substitute/stage/stage.go":              true,
	"substitute/swap_test.go":                true,
	"substitute/tune_session_test.go":        true,
}

// longQuote is how long a text in back quotes on one line is that is left whole: an expression, a
// line of a page.
const longQuote = 50

// TestColumns keeps lines readable side by side. Texts in back quotes (SQL, scripts, expressions,
// what a command prints) are left whole.
func TestColumns(t *testing.T) {
	root := filepath.Join("..", "..")
	for _, path := range goFiles(t) {
		inside, err := filepath.Rel(root, path)
		require.NoError(t, err)
		wide := wideLines(t, path)
		if name := filepath.ToSlash(inside); wideTables[name] {
			require.NotEmpty(t, wide, "%s is narrow now: take it off the list", name)
			continue
		}
		require.Empty(t, wide, "%s: lines wider than %d columns", inside, mostColumns)
	}
}

// wideLines are the numbers of the lines of a file that are too wide.
func wideLines(t *testing.T, path string) (out []int) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	quoted := quotedLines(t, path, text)
	for i, line := range strings.Split(string(text), "\n") {
		wide := utf8.RuneCountInString(strings.ReplaceAll(line, "\t", "    ")) > mostColumns
		if wide && !quoted[i+1] {
			out = append(out, i+1)
		}
	}
	return out
}

// quotedLines are the lines that texts in back quotes take.
func quotedLines(t *testing.T, path string, text []byte) map[int]bool {
	t.Helper()
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, text, 0)
	require.NoError(t, err)
	lines := map[int]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if f, is := n.(*ast.Field); is && f.Tag != nil {
			return false // a tag can be shorter
		}
		if s, is := n.(*ast.BasicLit); is && s.Kind == token.STRING && s.Value[0] == '`' {
			from, to := files.Position(s.Pos()).Line, files.Position(s.End()).Line
			for at := from; at <= to && (from < to || len(s.Value) > longQuote); at++ {
				lines[at] = true
			}
		}
		return true
	})
	return lines
}
