package catalog

import (
	"sync"

	"sparewright/catalog/si"
)

// Tables of what is usual, for parts that state nothing themselves.

// RiseOf is the maker's thermal resistance of a wound pair of the shape in K/W; false for a shape
// without one.
func RiseOf(shape string) (Datum[si.ThermalResistance], bool) {
	r, ok := riseTable()[shapeAlone(shape)]
	return r, ok
}

var riseTable = sync.OnceValue(func() map[string]Datum[si.ThermalResistance] {
	m := map[string]Datum[si.ThermalResistance]{}
	for _, c := range readTable("rise.tsv") {
		m[c.text("designation")] = datum[si.ThermalResistance](c, "rise")
	}
	return m
})

// LossFactor is the largest loss factor of electrolytics up to a rated voltage.
type LossFactor struct {
	Volts  si.Voltage
	Factor si.Ratio
}

// LossFactors are those printed for general-purpose electrolytics, by rising voltage.
func LossFactors() []LossFactor { return lossFactors() }

var lossFactors = sync.OnceValue(func() []LossFactor {
	var out []LossFactor
	for _, c := range readTable("lossfactors.tsv") {
		out = append(out, LossFactor{datum[si.Voltage](c, "volts").Value,
			datum[si.Ratio](c, "loss_factor").Value})
	}
	return out
})

// Can is the size of an electrolytic capacitor with the ripple current and impedance its series is
// remembered to have; a screening figure for salvaged parts whose series is known and whose sheet
// is not.
type Can struct {
	Name, Class      string
	Diameter, Height Datum[si.Length]
	Volts            Datum[si.Voltage] // highest rated voltage the figures hold for
	Ripple           Datum[si.Current] // 100 kHz, 105 C
	ESR              Datum[si.Resistance]
	Source           Source
}
