package catalog

import (
	"math"
	"slices"
	"sync"

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
	return WireLike(Wire{Insulation: insulation, Diameter: Of(d)})
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

// SpeedPoint is one point of the curve of an optocoupler's frequency against its load.
type SpeedPoint struct {
	Load      si.Resistance
	Frequency si.Frequency
}

var optoSpeeds = sync.OnceValue(func() []SpeedPoint {
	var out []SpeedPoint
	for _, c := range readTable("optospeeds.tsv") {
		out = append(out, SpeedPoint{datum[si.Resistance](c, "load").Value,
			datum[si.Frequency](c, "frequency").Value})
	}
	return out
})

// Pole is the frequency in hertz at which the signal of a completed optocoupler has fallen by 3 dB
// with the given resistance in ohms at its collector and 2 mA through it: the curve printed for the
// PC817 (Sharp, Fig. 11), straight between its points on logarithmic scales, moved by the cut-off
// frequency of this part. Above the last point it falls with the resistance, as a capacitance at
// the collector makes it; below the first it stays. It is estimated for a part with a published
// cut-off frequency, else assumed; unknown for a load that is not positive. Smaller currents make
// it slower: no curve of that was read.
func (p Optocoupler) Pole(load si.Resistance) Datum[si.Frequency] {
	if !(load > 0) {
		return Datum[si.Frequency]{}
	}
	curve := optoSpeeds()
	own := p.CutOff
	scale := float64(own.Value) / float64(curve[0].Frequency)
	basis := Estimated
	if !own.Firm() {
		basis = Assumed
	}
	return Datum[si.Frequency]{
		Value: si.Frequency(scale * onCurve(curve, float64(load))), Basis: basis}
}

// onCurve reads the frequency in hertz off the curve at a load in ohms.
func onCurve(curve []SpeedPoint, load float64) float64 {
	last := curve[len(curve)-1]
	if load >= float64(last.Load) {
		return float64(last.Frequency) * float64(last.Load) / load
	}
	if load <= float64(curve[0].Load) {
		return float64(curve[0].Frequency)
	}
	i := 1
	for load > float64(curve[i].Load) {
		i++
	}
	a, b := curve[i-1], curve[i]
	part := math.Log(load/float64(a.Load)) / math.Log(float64(b.Load/a.Load))
	return float64(a.Frequency) * math.Pow(float64(b.Frequency/a.Frequency), part)
}

// OutputHeadroom is how far below the positive rail the output of a completed amplifier may stay at
// a supply in volts: the figure at 5 V, that at 30 V, and a straight line between them; never less
// than at 5 V.
func (p Amplifier) OutputHeadroom(supply si.Voltage) si.Voltage {
	const low, high = 5, 30
	part := min(max(float64(supply-low)/(high-low), 0), 1)
	return p.Headroom.Value + si.Voltage(part)*max(0, p.HeadroomHigh.Value-p.Headroom.Value)
}
