package exchange

import (
	"encoding/csv"
	"io"
	"strings"

	"sparewright/inventory"
)

// Write writes lots with a header line, one row a lot, LF line ends. Equal lots are added together
// and empty ones left out, so that reading the file into an empty drawer and writing it again gives
// the same bytes. Texts that a spreadsheet would take for a formula get a single quote in front,
// which Read takes off; raw leaves them bare, for machines. Donors stand behind the lots, by name:
// each of which more than the name is known, or that no row of a lot names. The error is that of w.
// Characters that no drawer may hold, which another program must have put there, are written as
// U+FFFD: what comes out can be read in again.
func Write(w io.Writer, d Drawer, raw bool) error {
	guard := func(text string) string { return neutralised(inventory.Mended(text)) }
	if raw {
		guard = inventory.Mended
	}
	out := csv.NewWriter(w)
	if err := out.Write(columns); err != nil {
		return err
	}
	named := map[string]bool{}
	for _, l := range inventory.Coalesce(d.Lots) {
		if l.Count == 0 {
			continue
		}
		named[l.Donor] = true
		if err := out.Write(row(l, guard)); err != nil {
			return err
		}
	}
	for _, donor := range d.donorRows(named) {
		if err := out.Write(donorRow(donor, guard)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// row gives the fields of a lot in the order of columns. The count is a number of ours and needs no
// guard.
func row(l inventory.Lot, guard func(string) string) []string {
	kind := l.Part.Kind()
	return []string{
		string(kind), guard(l.Part.Designation()), inventory.FormatCount(l.Count), string(l.Unit()),
		guard(l.Bin), guard(l.Donor), string(l.Condition), guard(l.Note),
		guard(writeFigures(l.Part)), guard(writeReadings(kind, l.Measured)),
	}
}

func quoted(text string) string { return `"` + strings.ReplaceAll(cut(text), `"`, `\"`) + `"` }

// WriteRows writes any table as CSV: a header, then the rows, LF line ends, texts that a
// spreadsheet would take for a formula guarded as Write does. The error is that of w.
func WriteRows(w io.Writer, header []string, rows [][]string) error {
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	for _, r := range rows {
		guarded := make([]string, len(r))
		for i, text := range r {
			guarded[i] = neutralised(inventory.Mended(text))
		}
		if err := out.Write(guarded); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
