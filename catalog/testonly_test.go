package catalog

import (
	"slices"
	"sparewright/catalog/si"
)

// What only tests ask for.

// Cans returns the electrolytic can table.
func Cans() []Can {
	var out []Can
	for _, c := range readTable("cans.tsv") {
		out = append(out, Can{
			Name: c.text("designation"), Class: c.text("class"), Diameter: datum[si.Length](c, "diameter"),
			Height: datum[si.Length](c, "height"), Volts: datum[si.Voltage](c, "volts"),
			Ripple: datum[si.Current](c, "ripple"), ESR: datum[si.Resistance](c, "esr"), Source: c.source(),
		})
	}
	return out
}

// WireNear returns the table row of the given insulation whose copper diameter is nearest to d, within 2 %.
func WireNear(insulation string, d si.Length) (Wire, bool) {
	return wireLike(Wire{Insulation: insulation, Diameter: Of(d)})
}

// NoteOf returns the remark of the table row of a designation: traps, provenance of single figures.
func NoteOf(k Kind, designation string) string {
	t := rowsOf(k)
	if i, _, ok := t.find(k, designation); ok {
		return t.rows[i].note
	}
	return ""
}

// MakerOf returns the maker of the table row of a designation.
func MakerOf(k Kind, designation string) string {
	t := rowsOf(k)
	if i, _, ok := t.find(k, designation); ok {
		return t.rows[i].maker
	}
	return ""
}

// OptocouplerNamed finds an optocoupler of the table; see Lookup for suffixes.
func OptocouplerNamed(name string) (Optocoupler, bool) {
	return named[Optocoupler](KindOptocoupler, name)
}

// AmplifierNamed finds an amplifier of the table; see Lookup for suffixes.
func AmplifierNamed(name string) (Amplifier, bool) { return named[Amplifier](KindAmplifier, name) }

// ReferenceNamed finds a shunt reference of the table; see Lookup for suffixes.
func ReferenceNamed(name string) (Reference, bool) { return named[Reference](KindReference, name) }

// SuppressorFamilies returns the families of the table, longest prefix first, so that the first
// prefix of a name is its own.
func SuppressorFamilies() []SuppressorFamily { return slices.Clone(suppressorFamilies()) }
