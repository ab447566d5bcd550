package exchange

import (
	"encoding/json"
	"io"

	"sparewright/inventory"
)

// What only tests ask for.

// EncodeLots writes the document of several lots, indented by two blanks and with a line feed at
// the end.
func EncodeLots(w io.Writer, lots []inventory.Lot) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(LotsDocument(lots))
}

// ReadCSV is Read for those who want the lots alone.
func ReadCSV(r io.Reader, name string) ([]inventory.Lot, []Fault) {
	d, faults := Read(r, name)
	return d.Lots, faults
}

// WriteCSV is Write for lots alone.
func WriteCSV(w io.Writer, lots []inventory.Lot, raw bool) error {
	return Write(w, Drawer{Lots: lots}, raw)
}
