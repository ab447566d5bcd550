// Package sheet writes a build for the bench: parts, winding card, circuit, set-up, faults; as a
// page and as text.
package sheet

import (
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/report/netlist"
)

// Sheet is everything a build sheet shows: the build with the target it is for, and what is
// reckoned from them for the bench. HTML and text are made from it, and its JSON form holds every
// number they show.
type Sheet struct {
	Target   substitute.Target `json:"target"`
	Build    *substitute.Build `json:"build"`
	Cautions []string          `json:"cautions"`

	Picks []Pick       `json:"picks"`
	Ends  []WindingEnd `json:"winding_card,omitempty"`
	// in place of a winding card where nothing is wound
	Card     []string     `json:"donor_card,omitempty"`
	Former   Former       `json:"former,omitzero"`
	Gap      GapWindow    `json:"inductance_window,omitzero"`
	Readings []Reading    `json:"readings"`
	Trimmers []TrimmerUse `json:"trimmers"`
	Faults   []FaultLine  `json:"faults"`
	Bleed    Bleed        `json:"bleed"`
	Charge   Charge       `json:"charge"`
	Limits   []LimitPoint `json:"switcher_limit"`
}

// Former is the space for the winding; a split former has two chambers of that width.
type Former struct {
	Width  si.Length `json:"width_m"`
	Height si.Length `json:"height_m"`
}

// Bleed is how long the bulk capacitor stays dangerous after unplugging, at the highest mains, with
// the largest capacitance its tolerance allows. Capacitor through resistor: t = R C ln(V0/V). A
// whole adapter has none that is known: then only the capacitor and its voltage are told.
type Bleed struct {
	Resistor si.Resistance  `json:"bleed_ohm,omitzero"`
	Bulk     si.Capacitance `json:"bulk_high_f"`
	From     si.Voltage     `json:"from_v"`
	To       si.Voltage     `json:"to_v"`
	Time     si.Time        `json:"bleed_s,omitzero"`
}

// GapWindow is between which walls the inductance of the wound core must lie, and what the
// neighbouring film stacks give.
type GapWindow struct {
	WallPower      si.Inductance       `json:"wall_power_h"`
	Low            si.Inductance       `json:"low_h"`
	Expected       si.Inductance       `json:"expected_h"`
	High           si.Inductance       `json:"high_h"`
	WallSaturation si.Inductance       `json:"wall_saturation_h"`
	Accept         substitute.Window   `json:"accept"`
	Thinner        *substitute.GapStep `json:"thinner,omitempty"`
	Thicker        *substitute.GapStep `json:"thicker,omitempty"`
}

// NewSheet works out the sheet of a build. The snapshot tells donor, state and note of the lots; it
// may be empty.
func NewSheet(t substitute.Target, b *substitute.Build, cautions []string,
	s inventory.Snapshot) *Sheet {
	x, d, in := b.Transformer, b.Drawing, netlist.Inside(b)
	sheet := &Sheet{Target: t, Build: b, Cautions: cautions, Picks: picks(b, s),
		Ends: windingCard(b), Card: donorCard(b),
		Former: Former{d.Former.Width, d.Former.Height},
		Gap: GapWindow{WallPower: x.WallPower, Low: x.InductanceLow, Expected: x.Inductance,
			High:           x.InductanceHigh,
			WallSaturation: x.WallSaturation, Accept: report.Acceptance(&x), Thinner: d.Thinner,
			Thicker: d.Thicker},
		Readings: Readings(t, in), Trimmers: trimmerUses(t, b, s), Faults: FaultLines(t, in),
		Bleed:  Bleed{d.Bleed, d.BulkHigh, in.Stage.BusMax, d.BleedTo, d.BleedTime},
		Charge: charge(t, in), Limits: limitCurve(t, in)}
	if b.Kind == substitute.DonorTransformer {
		sheet.Former = Former{} // nobody winds on it
	}
	return sheet
}
