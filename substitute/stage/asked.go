package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
)

// Asked is what a target asks of the seats of its charger whatever is chosen, with the highest
// voltage of the bus.
func Asked(t substitute.Target, busMax si.Voltage) seats.Circuit {
	c := seats.Circuit{Current: t.Current, Absolute: t.Absolute, Empty: t.Empty,
		MainsMax: t.MainsMax}
	c.OutputLeast, c.RectifierLeast = t.Absolute*OutputFault, t.Current/RectifierUse
	touch := flyback.TouchCurrent(1, t.MainsMax, max(t.Line, highestLine)) // A for 1 F
	c.TouchMost = si.Capacitance(TouchLimit / touch)
	c.BusMax, c.BridgeReverse = busMax, busMax/BridgeUse
	watts := float64(t.Set) * float64(t.Current)
	c.BridgeAverage = si.Current(3 * watts / 0.7 / float64(t.MainsMin))
	return c
}

// Circuit is what the frame asks of the seats.
func (j *Frame) Circuit() seats.Circuit {
	c := Asked(j.Target, j.BusMax)
	c.BleedMost = MostBleed(j.Bulk.Most(), j.BusMax) / 2
	return c
}

// MainsCurrent is the rms current in A that a power into the bridge takes from the lowest mains;
// power factor 0.55 of a capacitor-input rectifier, from memory.
func MainsCurrent(p si.Power, t substitute.Target) si.Current {
	return si.Current(float64(p) / float64(t.MainsMin) / 0.55)
}
