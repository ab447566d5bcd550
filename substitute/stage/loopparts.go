package stage

import (
	"sparewright/catalog/si"
)

// Exit is what lies between the output capacitor and OUT.
type Exit struct {
	Choke  si.Inductance // 0: none
	Ohm    si.Resistance
	Behind si.Capacitance
}
