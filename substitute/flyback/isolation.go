package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// TouchCurrent is the current in A through a capacitor across the barrier to somebody who touches
// the output: 2 pi f C V, with the highest mains and line frequency. The body's own impedance is
// left out.
func TouchCurrent(c si.Capacitance, v si.Voltage, f si.Frequency) si.Current {
	return si.Current(2 * math.Pi * float64(f) * float64(c) * float64(v))
}

// StoredEnergy is C V^2/2 in J.
func StoredEnergy(c si.Capacitance, v si.Voltage) si.Energy {
	return si.Energy(0.5 * float64(c) * float64(v) * float64(v))
}

// BleedTime is the time in s in which r discharges c between two voltages: R C ln(from/to). It is
// zero when from is at or below to already, and +Inf for a final voltage at or below zero.
func BleedTime(r si.Resistance, c si.Capacitance, from, to si.Voltage) si.Time {
	switch {
	case !(to > 0):
		return si.Time(inf)
	case from <= to:
		return 0
	}
	return si.Time(float64(r) * float64(c) * math.Log(float64(from/to)))
}

// BleedResistance is the largest resistor in ohm that discharges c between two voltages within the
// time t.
func BleedResistance(c si.Capacitance, from, to si.Voltage, t si.Time) si.Resistance {
	if !(to > 0 && from > to) {
		return si.Resistance(inf)
	}
	return si.Resistance(float64(t) / (float64(c) * math.Log(float64(from/to))))
}
