// Package browse writes the drawer as one page to look through on any screen: one file that needs
// no network, a plain table where scripts are off, filtered and sorted where they are on. It
// returns the page; it writes no file.
package browse

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the page and its script are files of their own
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"
	"sync"

	"sparewright/inventory"
)

var (
	//go:embed templates/page.html
	pageText string
	//go:embed templates/page.js
	pageScript string
)

// pageTemplate is parsed once; it escapes whatever a person typed. The page lets no script run but
// its own, which it names by its hash (Content Security Policy Level 3, W3C).
var pageTemplate = sync.OnceValue(func() *template.Template {
	sum := sha256.Sum256([]byte(pageScript))
	text := strings.Replace(pageText, "SCRIPT-HASH", base64.StdEncoding.EncodeToString(sum[:]), 1)
	return template.Must(template.New("drawer").Parse(text))
})

// column is one column of the table.
type column struct{ Title, Word, Class string }

// columns are in the order of the cells of a row.
var columns = []column{{"LOT", "lot", "lot n"}, {"KIND", "kind", "kind"}, {"PART", "part", "part"},
	{"VALUE", "value", "value"}, {"FREE", "free", "free n"}, {"BIN", "bin", "bin"},
	{"CONDITION", "condition", "state"}, {"DONOR", "donor", "from"}}

// Page writes lots, in the order of their numbers, and the donors they came from. What runs low
// (inventory.RunningLow) is told by the caller, who knows the whole drawer.
func Page(lots []inventory.Lot, low map[int64]inventory.Scarcity,
	donors []inventory.Donor) ([]byte, error) {
	sorted := inventory.Snapshot{Lots: lots}.Sorted().Lots
	rows, from := rowsOf(sorted, low), donorsOf(sorted, donors)
	var out bytes.Buffer
	err := pageTemplate().Execute(&out, struct {
		Count   string
		Short   float64
		Kinds   []string
		Columns []column
		Rows    []row
		Donors  []donor
		Script  template.JS
	}{counted(len(rows)), inventory.ShortLength, kindsOf(sorted), columns, rows, from,
		template.JS(pageScript)})
	if err != nil {
		return nil, fmt.Errorf("drawer page: %w", err)
	}
	return out.Bytes(), nil
}

func counted(n int) string {
	switch n {
	case 0:
		return "No lot"
	case 1:
		return "1 lot"
	}
	return fmt.Sprintf("%d lots", n)
}
