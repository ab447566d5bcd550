package flyback

import "sparewright/catalog/si"

// RectifierReverse is the reverse voltage in V across the secondary rectifier while the switch is
// on: out + busMax Ns/Np, without ringing. turnsRatio is Np/Ns. Source: SLUS223E eq. 15.
func RectifierReverse(out, busMax si.Voltage, turnsRatio si.Ratio) si.Voltage {
	return out + busMax/si.Voltage(turnsRatio)
}

// DrainPeak is the voltage in V across the open switch: the bus plus what stands across the
// primary, which is the clamp voltage at turn-off and the reflected voltage afterwards.
func DrainPeak(busMax, primary si.Voltage) si.Voltage { return busMax + primary }
