package exchange

import (
	"encoding/json"
	"io"
	"sparewright/inventory"
)

// What only tests ask for.

// EncodeLots writes the document of several lots, indented by two blanks and with a line feed at the end.
func EncodeLots(w io.Writer, lots []inventory.Lot) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(LotsDocument(lots))
}
