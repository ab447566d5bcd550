package control

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// NetworkWish asks for resistor networks: near one value, or, where Ratio is set, a divider.
type NetworkWish struct {
	Ohm    si.Resistance // wanted value
	Parts  int           // greatest number of parts of a network or leg, 1 to 3
	Keep   int           // networks shown for each number of parts
	Within si.Ratio      // when above 0, the whole tolerance band must lie so near the value

	Ratio     si.Ratio                   // wanted output over reference, above 1; 0: no divider
	Reference si.Voltage                 // 0 when only the ratio was given
	Total     si.Interval[si.Resistance] // both legs in series
}

// NetworkAnswer is what the drawer's resistors can make of a wish.
type NetworkAnswer struct {
	Wanted si.Resistance `json:"wanted_ohm,omitempty" figures:"entered"`
	// output over reference
	Ratio  si.Ratio `json:"wanted_ratio,omitempty" figures:"entered"`
	Within si.Ratio `json:"within,omitempty" figures:"entered"`
	Most   int      `json:"most_parts"`
	Values int      `json:"resistors"` // different ones on hand
	// different ones beyond what the search holds
	LeftOut  int            `json:"left_out,omitempty"`
	Networks []NetworkFound `json:"networks"`
	Dividers []DividerFound `json:"dividers"`
	// Enough is the index of the simplest answer whose error is smaller than what its own tolerance
	// may do; -1 for none.
	Enough int `json:"enough"`
}

// NetworkFound is one network from the drawer.
type NetworkFound struct {
	Ohm    si.Resistance   `json:"ohm"`
	Error  si.Ratio        `json:"error"` // of the nominal value against the wanted one
	Low    si.Resistance   `json:"low_ohm"`
	High   si.Resistance   `json:"high_ohm"`
	Wiring string          `json:"wiring"`
	Count  int             `json:"count"` // parts
	Parts  []ResistorTaken `json:"parts"`
}

// ResistorTaken is what a network takes from one lot.
type ResistorTaken struct {
	substitute.ResistorUse
	Bin string `json:"bin,omitempty"`
}

// DividerFound is one divider from the drawer. Voltages are there when a reference voltage was
// given, and leave its own spread out.
type DividerFound struct {
	Ratio     si.Ratio     `json:"ratio"` // output over reference
	Error     si.Ratio     `json:"error"` // of the ratio
	RatioLow  si.Ratio     `json:"ratio_low"`
	RatioHigh si.Ratio     `json:"ratio_high"`
	Output    si.Voltage   `json:"output_v,omitempty"`
	Low       si.Voltage   `json:"output_low_v,omitempty"`
	High      si.Voltage   `json:"output_high_v,omitempty"`
	Count     int          `json:"count"` // parts of both legs
	Top       NetworkFound `json:"top"`
	Bottom    NetworkFound `json:"bottom"`
}

// Networks answers a wish from the real counts of the snapshot: for each number of parts the
// nearest networks, or for each number of parts that gains something the nearest divider. Fusible
// resistors stay out: their value is not kept.
func Networks(w NetworkWish, s inventory.Snapshot) NetworkAnswer {
	d := stock.OpenDrawer(s)
	var pieces []resistors.Piece
	for i := range d.Resistors {
		if d.Resistors[i].Part.Type != "fusible" {
			pieces = append(pieces, d.Piece(i))
		}
	}
	a := resistors.NewAssortment(pieces)
	out := NetworkAnswer{Wanted: w.Ohm, Ratio: w.Ratio, Within: w.Within, Most: w.Parts,
		Values:   len(a.Pieces),
		LeftOut:  a.LeftOut,
		Networks: []NetworkFound{}, Dividers: []DividerFound{}, Enough: -1}
	if w.Ratio > 0 {
		out.dividers(w, a, d)
		return out
	}
	for parts := 1; parts <= w.Parts; parts++ {
		near := a.Nearest(resistors.NearestSpec{Ohm: w.Ohm, Parts: parts, Keep: 8 * w.Keep,
			Within: w.Within})
		for _, n := range distinctWirings(near, w.Keep) {
			f := found(d, n, stock.NewBasket())
			f.Error = off(n.Ohm, w.Ohm)
			if out.Enough < 0 && math.Abs(float64(f.Error)) <= float64(n.Tolerance) {
				out.Enough = len(out.Networks)
			}
			out.Networks = append(out.Networks, f)
		}
	}
	return out
}

// distinctWirings keeps the first few of different values; the same values from other lots, which
// are looser, say nothing new.
func distinctWirings(all []resistors.Network, most int) []resistors.Network {
	seen := map[string]bool{}
	var out []resistors.Network
	for _, n := range all {
		if text := n.String(); !seen[text] && len(out) < most {
			seen[text] = true
			out = append(out, n)
		}
	}
	return out
}

// off is how far a value lies from the wanted one; less than the resolution of the search is
// nothing.
func off[Q si.Quantity](v, wanted Q) si.Ratio {
	e := si.Ratio(float64(v)/float64(wanted) - 1)
	if math.Abs(float64(e)) < float64(resistors.Resolution) {
		return 0
	}
	return e
}

func (out *NetworkAnswer) dividers(w NetworkWish, a *resistors.Assortment, d *stock.Drawer) {
	for _, p := range a.Dividers(resistors.RatioSpec{Ratio: w.Ratio - 1, Parts: w.Parts,
		Total: w.Total}) {
		b := stock.NewBasket()
		f := DividerFound{Ratio: 1 + p.Ratio, RatioLow: 1 + si.Ratio(p.Top.Low/p.Bottom.High),
			RatioHigh: 1 + si.Ratio(p.Top.High/p.Bottom.Low), Count: p.Top.N +
				p.Bottom.N, Top: found(d, p.Top, b),
			Bottom: found(d, p.Bottom, b)}
		f.Error = off(f.Ratio, w.Ratio)
		f.Output = w.Reference * si.Voltage(f.Ratio)
		f.Low, f.High = w.Reference*si.Voltage(f.RatioLow), w.Reference*si.Voltage(f.RatioHigh)
		if own := max(f.RatioHigh/f.Ratio-1, 1-f.RatioLow/f.Ratio); out.Enough < 0 &&
			math.Abs(float64(f.Error)) <= float64(own) {
			out.Enough = len(out.Dividers)
		}
		out.Dividers = append(out.Dividers, f)
	}
}

// found writes a network out with the lots it takes from; what the basket has taken already is
// gone.
func found(d *stock.Drawer, n resistors.Network, b *stock.Basket) NetworkFound {
	f := NetworkFound{Ohm: n.Ohm, Low: n.Low, High: n.High, Wiring: n.String(), Count: n.N,
		Parts: []ResistorTaken{}}
	for _, u := range n.Uses() {
		from := len(b.Uses)
		stock.Take(b, seats.None, d.Resistors[u.Lot-1], float64(u.Count))
		for _, p := range b.Uses[from:] {
			f.Parts = append(f.Parts, ResistorTaken{
				substitute.ResistorUse{Lot: p.Lot, Ohm: u.Ohm, Count: int(p.Quantity)}, p.Bin})
		}
	}
	return f
}
