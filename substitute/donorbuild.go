package substitute

import (
	"fmt"

	"sparewright/catalog/si"
)

// DonorReading is what is known of a transformer that is used unopened. Only ratios of turns can be read from outside, so
// that several whole turns agree with the readings; the build is reckoned with the first of Turns and checked at all its
// corners.
type DonorReading struct {
	Lot          int64         `json:"lot"`
	Designation  string        `json:"designation"`
	RatioLow     si.Ratio      `json:"ratio_low"` // primary to secondary turns over the errors of the meters
	RatioHigh    si.Ratio      `json:"ratio_high"`
	Candidates   int           `json:"candidates"` // whole turns that agree with the readings
	Turns        []DonorTurns  `json:"turns"`      // the likeliest of them
	SafeCurrent  si.Current    `json:"safe_current_a"`
	SafeBasis    string        `json:"safe_current_basis"`
	Leakage      si.Inductance `json:"leakage_h"`
	PrimaryOhm   si.Resistance `json:"primary_ohm"`
	SecondaryOhm si.Resistance `json:"secondary_ohm"`
	Former       string        `json:"former,omitempty"`
}

// DonorTurns are whole turns that agree with the readings.
type DonorTurns struct {
	Primary   int `json:"primary"`
	Secondary int `json:"secondary"`
	Bias      int `json:"bias"`
}

// Carrier names what carries the power of a build: the core wound, the transformer reused, or the whole adapter.
func (b *Build) Carrier() string {
	if b.Adapter != nil {
		return b.Adapter.Designation
	}
	return b.Core.Designation
}

// ChipName is the switcher of a build, or the chip of the adapter it is made of.
func (b *Build) ChipName() string {
	if b.Adapter != nil {
		return b.Adapter.Chip
	}
	return b.Switcher.Designation
}

// turnsListed is how many of the whole turns that agree with the readings are listed.
const turnsListed = 5

// donorOut writes the transformer out in place of core, gap and windings.
func (j *writer) donorOut(out *Build, m *measured, b *basket) {
	d, p := m.donor, m.donor.stock.part
	out.Kind = DonorTransformer
	take(b, "transformer, unopened", *d.stock, 1)
	c := m.c
	out.Core = CoreChoice{Designation: d.stock.name(), Area: c.geometry.Area, AreaMin: c.geometry.AreaMin, Path: c.geometry.Path,
		Volume: c.geometry.Volume, Permeability: c.mu, FluxLimit: c.fluxLimit, Ferrite: "unknown"}
	out.Gap = GapChoice{Method: "as-found", Layers: []ShimFilm{}, Fringing: 1}
	out.Transformer = m.transformerOut()
	out.Transformer.Order = "as its maker wound it"
	r := &DonorReading{Designation: d.stock.name(), RatioLow: si.Ratio(1e9), Candidates: len(d.turns), SafeCurrent: d.safe,
		SafeBasis: d.safeBasis, Leakage: p.Leakage.Value, PrimaryOhm: p.PrimaryOhm.Value, SecondaryOhm: p.SecondaryOhm.Value,
		Former: p.Former, Turns: []DonorTurns{{Primary: m.np, Secondary: m.ns, Bias: m.nb}}}
	for _, t := range d.turns {
		n := si.Ratio(float64(t.Primary) / float64(t.Secondary))
		r.RatioLow, r.RatioHigh = min(r.RatioLow, n), max(r.RatioHigh, n)
		if u := (DonorTurns{Primary: t.Primary, Secondary: t.Secondary, Bias: t.Bias}); len(r.Turns) < turnsListed && u != r.Turns[0] {
			r.Turns = append(r.Turns, u)
		}
	}
	if d.ownChip(m.v) {
		r.SafeBasis += "; with its own type of switcher that type's highest limit"
	}
	out.Donor = r
}

// donorWarnings says what nobody has seen inside an unopened transformer.
func (m *measured) donorWarnings() []string {
	d := m.donor
	return []string{
		fmt.Sprintf("turns of an unopened transformer are ratios: %d sets of whole turns agree with the readings; checks hold at "+
			"the worst of them", len(d.turns)),
		"its wire is not seen: a.c. resistance reckoned with 3 times the d.c. one; feel it after ten minutes at full load",
		"ferrite grade unknown: cautious loss class used",
		"unsolder it with hot air on the pins only, no heat on the windings: its insulation is taken over, not renewed",
	}
}
