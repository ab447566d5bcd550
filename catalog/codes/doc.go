// Package codes reads what is printed on parts, and writes it: colour bands, three- and four-figure codes and EIA-96 codes of
// chip resistors, value codes with a letter for the point, and the codes of capacitors with tolerance and voltage letters.
//
// A code may mean several things. Every reader returns all readings the standards allow, the likeliest first, each with the
// standard it was read by; an error means that there is none. The readers know no drawer and no part list.
package codes

import (
	"fmt"

	"sparewright/catalog/si"
)

// The standards by which a code is read.
const (
	IEC60062 = "IEC 60062" // colour bands, value codes with a letter, tolerance letters
	EIA96    = "EIA-96"    // two figures and a letter on chip resistors of 1 %
	Figures  = "figure code of IEC 60062"
)

// Resistor is one reading of a resistor code. Drift is 0 when the code does not tell it. Series names the preferred-number
// series of IEC 60063 the value belongs to, empty when it is in none. Customary says that the tolerance is not printed but
// is that of the trade for such a code; Tolerance is then a custom, not a figure.
type Resistor struct {
	Resistance si.Resistance
	Tolerance  si.Ratio // 0 when nothing is known
	Customary  bool
	Drift      si.TempCo
	Series     string
	Standard   string
	How        string // in words, how the reading came about
}

// Capacitor is one reading of a capacitor code. Volts is 0 when no voltage code is printed.
type Capacitor struct {
	Capacitance si.Capacitance
	Tolerance   Tolerance
	Volts       si.Voltage
	Standard    string
	How         string
}

func fault(what, text, why, cure string) error {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:40]) + "..."
	}
	return fmt.Errorf("%s %q: %s; %s", what, text, why, cure)
}
