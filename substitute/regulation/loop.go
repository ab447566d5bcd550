package regulation

import (
	"math"

	"sparewright/catalog/si"
)

// Unload is what the voltage loop has to catch when the pack is taken off while the current loop
// holds.
type Unload struct {
	Current     si.Current     // most that the converter delivers meanwhile
	Capacitance si.Capacitance // least of the output
	Watched     si.Ratio
	Middle      si.Ratio
	Tau         si.Time
	// of the amplifier's output from its rest to where it stops the converter
	Swing si.Voltage
	// from there until the feedback pin, with a capacitor at it, has followed
	Delay si.Time
}

// Rise is by how much the output rises until the amplifier stops the converter. The output climbs
// at I/C; the amplifier answers a ramp of slope a at its input by a (Middle t + t^2/(2 Tau)), which
// has to reach Swing. The delay of the optocoupler, a tenth of a millisecond, is left out.
func (u Unload) Rise() si.Voltage {
	slope := float64(u.Current) / float64(u.Capacitance)
	tau, mid := float64(u.Tau), float64(u.Middle)
	t := tau * (math.Sqrt(mid*mid+2*float64(u.Swing)/(float64(u.Watched)*slope*tau)) - mid)
	return si.Voltage(slope * (t + float64(u.Delay)))
}
