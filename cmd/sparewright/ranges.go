package main

import (
	"fmt"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// rangeReaders reads a range of each dimension a figure can have.
var rangeReaders = sync.OnceValue(func() map[*si.Dimension]rangeReader {
	return map[*si.Dimension]rangeReader{
		si.DimensionOf[si.Voltage]():           readRange[si.Voltage],
		si.DimensionOf[si.Current]():           readRange[si.Current],
		si.DimensionOf[si.Power]():             readRange[si.Power],
		si.DimensionOf[si.Resistance]():        readRange[si.Resistance],
		si.DimensionOf[si.Capacitance]():       readRange[si.Capacitance],
		si.DimensionOf[si.Inductance]():        readRange[si.Inductance],
		si.DimensionOf[si.InductanceFactor]():  readRange[si.InductanceFactor],
		si.DimensionOf[si.Frequency]():         readRange[si.Frequency],
		si.DimensionOf[si.Time]():              readRange[si.Time],
		si.DimensionOf[si.Length]():            readRange[si.Length],
		si.DimensionOf[si.Area]():              readRange[si.Area],
		si.DimensionOf[si.Volume]():            readRange[si.Volume],
		si.DimensionOf[si.FluxDensity]():       readRange[si.FluxDensity],
		si.DimensionOf[si.Celsius]():           readRange[si.Celsius],
		si.DimensionOf[si.ThermalResistance](): readRange[si.ThermalResistance],
		si.DimensionOf[si.LineResistance]():    readRange[si.LineResistance],
		si.DimensionOf[si.TempCo]():            readRange[si.TempCo],
		si.DimensionOf[si.Ratio]():             readRange[si.Ratio],
	}
})

type rangeReader func(text string) (low, high float64, err error)

func readRange[Q si.Quantity](text string) (low, high float64, err error) {
	r, err := si.ParseRange[Q](text)
	return float64(r.Low), float64(r.High), err
}

// figureRange reads a range such as 1k-10k in the dimension of a figure.
func figureRange(f catalog.Field, text string) (low, high float64, err error) {
	if !f.Numeric {
		return 0, 0, fmt.Errorf("%s is a word, not a number", f.Name)
	}
	return rangeReaders()[f.Dimension()](text)
}
