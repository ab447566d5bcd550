package adapter

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// swap is a part of the drawer in place of one of the adapter. The transformer is never exchanged.
type swap struct {
	role  seats.ID
	count int
	from  substitute.CheckID // the limit it moves
	name  string
	place stock.Place
	take  func(b *stock.Basket)
}

// exchanging puts parts of the drawer in the place of an adapter's own.
type exchanging struct{ *adapterUnit }

// with returns the adapter with one more part exchanged.
func (u exchanging) with(s swap, change func(p *catalog.Adapter)) *adapterUnit {
	v := *u.adapterUnit
	v.swaps = append(u.swaps[:len(u.swaps):len(u.swaps)], s)
	change(&v.part)
	return &v
}

// exchanged reports whether a role was exchanged already.
func (u *adapterUnit) exchanged(role seats.ID) bool {
	for _, s := range u.swaps {
		if s.role == role {
			return true
		}
	}
	return false
}

// cures lists the adapter with every part of the drawer that may move a limit.
func (u exchanging) cures(id substitute.CheckID, d *stock.Drawer) []*adapterUnit {
	switch id {
	case substitute.ChkOutputVoltage:
		return u.capacitors(d)
	case substitute.ChkReverse:
		return u.rectifiers(d)
	case substitute.ChkZener:
		return u.zeners(d)
	case substitute.ChkClampAbove, substitute.ChkDrain:
		return u.suppressors(d)
	}
	return nil
}

// swapOf makes the swap of n pieces of a stock. It is false when no lot, or too little, is left.
func swapOf[P catalog.Part](s *stock.Stock[P], role seats.ID, n int,
	from substitute.CheckID) (swap, bool) {
	if s.Count < float64(n) || len(s.Lots) == 0 {
		return swap{}, false
	}
	return swap{role: role, count: n, from: from, name: s.Name(), place: s.Lots[0],
		take: func(b *stock.Basket) { stock.Take(b, role, *s, float64(n)) }}, true
}

// capacitors are one to three equal electrolytics that together have four fifths of what was there,
// at least 80 uF when that was not read.
func (u exchanging) capacitors(d *stock.Drawer) (out []*adapterUnit) {
	need := 0.8 * float64(u.capacitance())
	for i := range d.Capacitors {
		c := &d.Capacitors[i]
		p := c.Part
		if p.Dielectric != "electrolytic" && p.Dielectric != "polymer" ||
			p.Volts.Value <= u.part.CapacitorVolts.Value || p.Volts.Value >= 200 {
			continue
		}
		n := int(math.Ceil(need/float64(p.Capacitance.Value) - 1e-9))
		if n < 1 || n > stock.MaxParallel ||
			float64(stock.RippleOf(p))*float64(n) < float64(u.part.Amps.Value) {
			continue
		}
		if s, ok := swapOf(c, seats.OutputCapacitor, n, substitute.ChkOutputVoltage); ok {
			out = append(out, u.with(s, func(a *catalog.Adapter) {
				a.CapacitorVolts, a.Capacitance = p.Volts,
					catalog.Guess(si.Capacitance(n)*p.Capacitance.Value)
			}))
		}
	}
	return out
}

// rectifiers are the fast ones that carry the amperes of the plate after derating and stand more.
func (u exchanging) rectifiers(d *stock.Drawer) (out []*adapterUnit) {
	suits := stock.Suits[catalog.Rectifier](seats.OutputRectifier,
		&seats.Circuit{RectifierLeast: u.part.Amps.Value / stage.RectifierUse})
	for i := range d.Rectifiers {
		r := &d.Rectifiers[i]
		p := r.Part
		legs := p.Legs.Value
		average := p.Average.Value * si.Current(legs)
		if !suits(r) || p.Reverse.Value <= u.part.RectifierReverse.Value {
			continue
		}
		if s, ok := swapOf(r, seats.OutputRectifier, 1, substitute.ChkReverse); ok {
			out = append(out, u.with(s, func(a *catalog.Adapter) {
				a.Rectifier, a.RectifierReverse = r.Name(), p.Reverse
				a.RectifierAverage = catalog.Datum[si.Current]{Value: average,
					Basis: p.Average.Basis}
				a.RectifierDrop = catalog.Guess(stage.ForwardAt(p, a.Amps.Value/si.Current(legs)))
			}))
		}
	}
	return out
}

// zeners are suppressors and zeners of the drawer above the one that was there, and below the
// rating of the capacitor they guard.
func (u exchanging) zeners(d *stock.Drawer) (out []*adapterUnit) {
	suits := func(v si.Voltage) bool {
		return u.part.Protection == "zener" && v > u.part.Zener.Value &&
			v <= u.part.CapacitorVolts.Or(v)
	}
	add := func(s swap, ok bool, v catalog.Datum[si.Voltage]) {
		if ok && suits(v.Value) {
			out = append(out, u.with(s, func(a *catalog.Adapter) { a.Zener = v }))
		}
	}
	for i := range d.Zeners {
		s, ok := swapOf(&d.Zeners[i], seats.ProtectionZener, 1, substitute.ChkZener)
		add(s, ok, d.Zeners[i].Part.Voltage)
	}
	for i := range d.Clamps {
		s, ok := swapOf(&d.Clamps[i], seats.ProtectionZener, 1, substitute.ChkZener)
		add(s, ok, d.Clamps[i].Part.Breakdown)
	}
	return out
}

// suppressors are other suppressors for the drain.
func (u exchanging) suppressors(d *stock.Drawer) (out []*adapterUnit) {
	for i := range d.Clamps {
		c := &d.Clamps[i]
		if v := c.Part.Breakdown.Value; u.part.Clamp != "suppressor" || v < 60 ||
			v == u.part.ClampVolts.Value {
			continue
		}
		if s, ok := swapOf(c, seats.DrainClamp, 1, substitute.ChkClampAbove); ok {
			v := u.with(s, func(a *catalog.Adapter) {
				a.ClampVolts, a.ClampPulse = c.Part.Breakdown, c.Part.Pulse
			})
			v.held = c.Part
			out = append(out, v)
		}
	}
	return out
}

// mostSwaps is how many parts are exchanged before the adapter is no longer worth it.
const mostSwaps = 4

// limitNamed is the limit with a name, among those that end the range.
func (u limiting) limitNamed(name string) (bendLimit, bool) {
	for _, l := range u.limits() {
		if substitute.CheckNames[l.id].Name == name {
			return l, true
		}
	}
	return bendLimit{}, false
}

// widen exchanges, step by step, the part whose limit binds at the upper end for the one of the
// drawer that moves that end farthest; of equal ones the first in the fixed order of the drawer.
func (u bending) widen(d *stock.Drawer) (out []BendStep) {
	now, at := u.adapterUnit, u.reach()
	for range mostSwaps {
		l, ok := limiting{now}.limitNamed(at.HighBy)
		if !ok {
			return out
		}
		var best *adapterUnit
		reach := at
		for _, c := range (exchanging{now}).cures(l.id, d) {
			if now.exchanged(c.swaps[len(c.swaps)-1].role) {
				continue
			}
			if r := (bending{c}).reach(); millivolts(r.High) > millivolts(reach.High) {
				best, reach = c, r
			}
		}
		if best == nil {
			return out
		}
		s := best.swaps[len(best.swaps)-1]
		out = append(out, BendStep{Role: s.role, Lot: s.place.Lot, Bin: s.place.Bin,
			Designation: s.name, Quantity: s.count,
			Moves: substitute.CheckNames[s.from].Name, Range: reach})
		now, at = best, reach
	}
	return out
}

func millivolts(v si.Voltage) int64 { return int64(math.Round(float64(v) * 1e3)) }

// dividerReach are the widest bands, against the wanted value, in which resistors for a divider are
// sought; the tightest that holds any wins.
var dividerReach = []float64{0.015, 0.03, 0.06}

// divider is the upper leg of its own divider for an output, with what the drawer has for it: Vref
// (1 + top/bottom). It is false where the divider was not read or does not sit at the output.
func (u bending) divider(legs resistors.Stock, out si.Voltage) (BendDivider, bool) {
	p := u.part
	if p.Regulation != "secondary" || !p.Vref.Known() || !p.Bottom.Known() || out <= p.Vref.Value {
		return BendDivider{}, false
	}
	top := float64(p.Bottom.Value) * (float64(out/p.Vref.Value) - 1)
	d := BendDivider{Output: out, Top: si.Resistance(top)}
	for _, reach := range dividerReach {
		n, ok := legs.Best(si.Interval[si.Resistance]{Low: si.Resistance(top / (1 + reach)),
			High: si.Resistance(top * (1 + reach))}, 3)
		if !ok {
			continue
		}
		gives := func(r si.Resistance) si.Voltage {
			return p.Vref.Value * si.Voltage(1+float64(r/p.Bottom.Value))
		}
		d.Have, d.Wiring, d.Low, d.High = n.Ohm, n.String(), gives(n.Low), gives(n.High)
		for _, use := range n.Uses() {
			d.Lots = append(d.Lots, use.Lot)
		}
		break
	}
	return d, true
}

// namePieces puts lots of the drawer in place of the pieces of the network design.
func namePieces(w *control.NetworkBench, d *BendDivider) {
	for i, piece := range d.Lots {
		d.Lots[i] = w.Drawer.Resistors[piece-1].Lots[0].Lot
	}
}
