package regulation

import (
	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// Shortfall says why nothing was found, as a value: the nearest miss with its number and limit, and
// what would cure it. The zero value means that nothing is missing.
type Shortfall struct {
	// what could not be built: "voltage divider", "current divider", "shunt", "reference bias",
	// "LED resistor"
	Role         string
	Missing      bool
	Check        string  // the check the nearest miss fails
	Value, Limit float64 // of that check, in Unit
	Unit         string  // SI unit of Value and Limit, without prefix
	// the first cure: "1 x 4k7 1 %", or a measurement; empty when none is known
	Need    string
	NeedOhm si.Resistance // value to buy, 0 when measuring or nothing known cures it
	// every single cure found, cheapest first: measuring, then a trimmer, then resistors, then
	// tighter parts
	Cures []Cure
}

// Divider reports whether a divider could not be built, in which the spread of the reference
// counts.
func (f Shortfall) Divider() bool { return f.Role == RoleVoltage || f.Role == roleCurrent }

// Cure is one way out of a Shortfall. Each was tried on the same stock and gave a design.
type Cure struct {
	Text    string
	Measure bool // true: measure what is there; false: get the part
	// meter error the resistors have to be known to, 0 when not asked for
	Resistors si.Ratio
	Reference si.Ratio      // error the reference has to be known to, 0 when not asked for
	Shunt     si.Ratio      // error the shunt has to be known to, 0 when not asked for
	Ohm       si.Resistance // value to get, the first of them
	Tolerance si.Ratio      // of that value
	Trimmer   bool          // the value to get is a trimmer
	// what has to be got, with nothing measured: resistors, or one trimmer; empty else
	Buy []resistors.Piece
}

// with adds cures and fills Need from the first.
func (f Shortfall) with(cures ...Cure) Shortfall {
	f.Cures = append(f.Cures, cures...)
	if len(f.Cures) > 0 {
		f.Need, f.NeedOhm = f.Cures[0].Text, f.Cures[0].Ohm
	}
	return f
}
