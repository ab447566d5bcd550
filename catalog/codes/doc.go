// Package codes reads what is printed on parts, and writes it: colour bands, three- and four-figure
// codes and EIA-96 codes of chip resistors, value codes with a letter for the point, the codes of
// capacitors with tolerance and voltage letters and temperature characteristics, and the type names
// of suppressors and zener diodes that carry their voltage.
//
// A code may mean several things. Every reader returns all plausible readings, the likeliest first,
// each with the standard it was read by; an error means that there is none. ReadMark reads a mark
// as a part of one kind, ReadAny as a part of any kind. A letter means what it is printed as: m is
// milli and M is mega or a tolerance of 20 %. Only where the letter as printed has no meaning is
// the other case tried. The readers know no drawer and no part list.
package codes

import (
	"fmt"

	"sparewright/catalog/si"
)

// The standards by which a code is read.
const (
	IEC60062  = "IEC 60062" // colour bands, value codes with a letter, tolerance letters
	EIA96     = "EIA-96"    // two figures and a letter on chip resistors of 1 %
	Figures   = "figure code of IEC 60062"
	EIA198    = "EIA-198"                  // temperature characteristics of ceramic capacitors
	JISC5101  = "JIS C 5101"               // two letters for class 1 ceramics; voltage codes
	IEC60384  = "IEC 60384-14"             // safety classes of capacitors
	Custom    = "custom"                   // of the trade, in no standard
	Plain     = "value as written"         // a number with its unit
	TypeKey   = "makers' type key"         // type names with the voltage in them
	JEDECList = "JEDEC registered numbers" // 1N numbers of zener diodes
)

// Resistor is one reading of a resistor code. Drift is 0 when the code does not tell it. Series
// names the preferred-number series of IEC 60063 the value belongs to, empty when it is in none.
// Customary says that the tolerance is not printed but is that of the trade for such a code;
// Tolerance is then a custom, not a figure.
type Resistor struct {
	Resistance si.Resistance
	Tolerance  si.Ratio // 0 when nothing is known
	Customary  bool
	Drift      si.TempCo
	Series     string
	Standard   string
	How        string // in words, how the reading came about
	rank       int
	form       form
}

// Capacitor is one reading of a capacitor code. Volts is 0 when no voltage code is printed.
type Capacitor struct {
	Capacitance si.Capacitance
	Tolerance   Tolerance
	Volts       si.Voltage
	Standard    string
	How         string
	rank        int
	plain       bool // a number of uF as electrolytics print it
}

// form is how a resistance is written.
type form int

const (
	bands form = iota
	point
	ohmE
	figures
	toleranced // figures with a tolerance letter behind
	eia96
	written // a number, with or without a unit
)

func fault(what, text, why, cure string) error {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:40]) + "..."
	}
	return fmt.Errorf("%s %q: %s; %s", what, text, why, cure)
}
