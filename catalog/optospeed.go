package catalog

import (
	"math"
	"sync"

	"sparewright/catalog/si"
)

// speedPoint is one point of the curve of frequency against load.
type speedPoint struct {
	load      si.Resistance
	frequency si.Frequency
}

var optoSpeeds = sync.OnceValue(func() []speedPoint {
	var out []speedPoint
	for _, c := range readTable("optospeeds.tsv") {
		out = append(out, speedPoint{datum[si.Resistance](c, "load").Value,
			datum[si.Frequency](c, "frequency").Value})
	}
	return out
})

// Pole is the frequency in hertz at which the signal of the optocoupler has fallen by 3 dB with the
// given resistance in ohms at its collector and 2 mA through it: the curve printed for the PC817
// (Sharp, Fig. 11), straight between its points on logarithmic scales, moved by the cut-off
// frequency of this part. Above the last point it falls with the resistance, as a capacitance at
// the collector makes it; below the first it stays. It is estimated for a part with a published
// cut-off frequency, else assumed; unknown for a load that is not positive. Smaller currents make
// it slower: no curve of that was read.
func (p Optocoupler) Pole(load si.Resistance) Datum[si.Frequency] {
	if !(load > 0) {
		return Datum[si.Frequency]{}
	}
	curve := optoSpeeds()
	own := completeOptocoupler(p).CutOff
	scale := float64(own.Value) / float64(curve[0].frequency)
	basis := Estimated
	if !own.Firm() {
		basis = Assumed
	}
	return Datum[si.Frequency]{si.Frequency(scale * onCurve(curve, float64(load))), basis}
}

// onCurve reads the frequency in hertz off the curve at a load in ohms.
func onCurve(curve []speedPoint, load float64) float64 {
	last := curve[len(curve)-1]
	if load >= float64(last.load) {
		return float64(last.frequency) * float64(last.load) / load
	}
	if load <= float64(curve[0].load) {
		return float64(curve[0].frequency)
	}
	i := 1
	for load > float64(curve[i].load) {
		i++
	}
	a, b := curve[i-1], curve[i]
	part := math.Log(load/float64(a.load)) / math.Log(float64(b.load/a.load))
	return float64(a.frequency) * math.Pow(float64(b.frequency/a.frequency), part)
}
