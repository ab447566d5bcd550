package control

import (
	"fmt"

	"sparewright/catalog/si"
)

// DrainWarning says what the circuit takes from a pack that stays on it without mains.
func (c *Control) DrainWarning() string {
	idle := c.Idle()
	return fmt.Sprintf("without mains the pack feeds the circuit with %.0f mA, %.0f mAh a day, "+
		"until it is empty: "+
		"take the pack off, not only the mains",
		float64(idle)*1e3, float64(idle)*24e3)
}

// Idle is the most a full pack gives to the circuit without mains: reference with its dividers and
// the amplifier. The LED is dark, for a pack stands no higher than the set point; one that is put
// on above it lights the LED until it has come down.
func (c *Control) Idle() si.Current {
	return c.Own - c.LED.Least
}
