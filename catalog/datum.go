package catalog

import "sparewright/catalog/si"

// Basis says how a figure is known. Estimated and assumed figures widen the limits that are
// computed from them.
type Basis uint8

// The ways a figure can be known, from not at all to best.
const (
	Unknown   Basis = iota // absent
	Assumed                // nobody stated it; a cautious stand-in chosen by the program
	Estimated              // from memory, scaled from a sister part, or read off by eye
	Published              // printed in the named source
	Measured               // measured on this very part by the builder
)

var basisWords = [...]string{"unknown", "assumed", "estimated", "published", "measured"}

func (b Basis) String() string { return basisWords[b] }

// Datum is one figure of a part together with how it is known. The zero Datum is unknown.
type Datum[Q si.Quantity] struct {
	Value Q
	Basis Basis
}

// Known reports whether there is any figure at all.
func (d Datum[Q]) Known() bool { return d.Basis != Unknown }

// Or returns the figure, or the stand-in when unknown.
func (d Datum[Q]) Or(standIn Q) Q {
	if d.Known() {
		return d.Value
	}
	return standIn
}

// Firm reports whether the figure is published or measured, so that no widening is due.
func (d Datum[Q]) Firm() bool { return d.Basis >= Published }

// Of makes a published figure; tests and the built-in tables use it.
func Of[Q si.Quantity](q Q) Datum[Q] { return Datum[Q]{q, Published} }

// Guess makes an estimated figure.
func Guess[Q si.Quantity](q Q) Datum[Q] { return Datum[Q]{q, Estimated} }

// Source names the publication a table row comes from and the place in it.
type Source struct {
	Document string
	Where    string
}
