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
			Name: c.text("designation"), Class: c.text("class"), Diameter: datum[si.Length](c,
				"diameter"),
			Height: datum[si.Length](c, "height"), Volts: datum[si.Voltage](c, "volts"),
			Ripple: datum[si.Current](c, "ripple"), ESR: datum[si.Resistance](c,
				"esr"), Source: c.source(),
		})
	}
	return out
}

// WireNear returns the table row of the given insulation whose copper diameter is nearest to d,
// within 2 %.
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

// Switchers returns the switchers of the table.
func Switchers() []Switcher { return partsOf[Switcher](KindSwitcher) }

// Rectifiers returns the rectifiers of the table.
func Rectifiers() []Rectifier { return partsOf[Rectifier](KindRectifier) }

// Bridges returns the bridge rectifiers of the table.
func Bridges() []Bridge { return partsOf[Bridge](KindBridge) }

// ListedCapacitors returns the electrolytic capacitors of the table, by type number.
func ListedCapacitors() []Capacitor { return partsOf[Capacitor](KindCapacitor) }

// Controllers returns the pulse-width control chips of the table.
func Controllers() []Controller { return partsOf[Controller](KindController) }

// Transistors returns the power MOSFETs of the table.
func Transistors() []Transistor { return partsOf[Transistor](KindTransistor) }

// Suppressors returns the transient suppressors of the table: those read type by type first, then
// what follows from them.
func Suppressors() []Clamp { return partsOf[Clamp](KindClamp) }

// Optocouplers returns the optocouplers of the table.
func Optocouplers() []Optocoupler { return partsOf[Optocoupler](KindOptocoupler) }

// Amplifiers returns the op-amps and combined chips of the table.
func Amplifiers() []Amplifier { return partsOf[Amplifier](KindAmplifier) }

// References returns the shunt references of the table.
func References() []Reference { return partsOf[Reference](KindReference) }

// FilmNamed finds a film of the table.
func FilmNamed(name string) (Film, bool) { return named[Film](KindFilm, name) }
