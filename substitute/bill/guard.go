package bill

import (
	"fmt"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/loops"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Practice of the overvoltage protection. Common practice, no source.
const (
	gateBears   si.Voltage = 16   // above it the gate gets half of OUT
	gateWhole   si.Voltage = 10   // at which makers state the on-resistance
	switchWatts si.Power   = 0.5  // in the closed switch, which stands without a heat sink
	guardNeed   si.Current = 3e-3 // most that the LED may ask for
	ledMostDrop si.Voltage = 1.4  // across an LED of which only that is known (PC817 data sheet)
)

// guard is what the overvoltage protection is reckoned from.
type guard struct {
	*Writer
	b *stock.Basket
	c seats.Circuit
	r regulation.GuardLEDSpec

	nets []substitute.NetworkUse // legs from the drawer
}

// takeGuard chooses the overvoltage protection from what a finished design leaves in the drawer,
// and enters what to buy for the rest. Its limits refuse the design where none works.
func (j *Writer) takeGuard(m *stage.Measured, l substitute.LoopChoice,
	b *stock.Basket) (substitute.Protection, []substitute.NetworkUse, []substitute.Gauge) {
	k := guard{Writer: j, b: b, c: j.Circuit()}
	t := j.Target
	k.c.Ceiling = m.Ceiling(t)
	k.c.SwitchSurge = loops.Surge(j.Looper, j.ControlFor(m.V.Feedback.Stop))
	out := substitute.Protection{Ceiling: k.c.Ceiling}
	ref := k.reference()
	k.divider(ref, &out)
	k.gate(l.UnloadPeak, &out)
	k.led(&out)
	rating := k.packSwitch(&out)
	return out, k.nets, []substitute.Gauge{
		substitute.Most(substitute.ChkTripHigh, out.TripHigh, t.Absolute).From(float64(t.Set)),
		substitute.Least(substitute.ChkTripLow, out.TripLow, t.Set).From(float64(t.Absolute)),
		substitute.Least(substitute.ChkGuardLED, out.LEDHave, out.LEDNeed),
		substitute.Most(substitute.ChkSwitchOpen, out.SwitchOpen, rating*seats.ReverseSpare),
	}
}

// reference takes the tightest shunt reference left, or one to buy.
func (k *guard) reference() catalog.Reference {
	suits := stock.Suits[catalog.Reference](seats.GuardReference, &k.c)
	best, spread := -1, math.Inf(1)
	for i := range k.Drawer.References {
		s := &k.Drawer.References[i]
		if s.Buy || stock.Left(k.b, *s) < 1 || !suits(s) {
			continue
		}
		p := s.Part
		if w := float64(p.VrefMax.Value-p.VrefMin.Value)/float64(p.Vref.Value) +
			float64(p.Drift.Value)*(substitute.InsideLimit-control.BenchWarm); w < spread {
			best, spread = i, w
		}
	}
	if best >= 0 {
		stock.Take(k.b, seats.GuardReference, k.Drawer.References[best], 1)
		return k.Drawer.References[best].Part
	}
	k.b.BuyFor(seats.GuardReference, &k.c)
	return soldFor[catalog.Reference](seats.GuardReference, &k.c)
}

// soldFor is the part that is bought for a seat, from the tables.
func soldFor[P catalog.Part](id seats.ID, c *seats.Circuit) P {
	p, _, _ := catalog.Lookup(id.Kind(), id.In(c).Bought())
	return complete.Part(p).(P)
}

// divider takes the two legs.
func (k *guard) divider(ref catalog.Reference, out *substitute.Protection) {
	spec := regulation.GuardSpec{Set: k.Target.Set, Absolute: k.Target.Absolute,
		Nominal: ref.Vref.Value,
		Vref:    si.Interval[si.Voltage]{Low: ref.VrefMin.Value, High: ref.VrefMax.Value},
		Drift:   si.Ratio(float64(ref.Drift.Value) * (substitute.InsideLimit - control.BenchWarm)),
		Input:   ref.InputCurrent.Value,
		Forward: control.LEDLeastDrop}
	g := regulation.DesignGuard(spec, k.left(), k.trimmers())
	if g.Bought() {
		for _, leg := range []struct {
			id  seats.ID
			ohm si.Resistance
		}{{seats.GuardTop, g.TopToBuy}, {seats.GuardBottom, g.BottomToBuy}} {
			k.c.Ohm = leg.ohm
			k.b.BuyFor(leg.id, &k.c)
		}
	} else {
		k.nets = []substitute.NetworkUse{k.TakeNetwork(k.b, seats.GuardTop, g.Top),
			k.TakeNetwork(k.b, seats.GuardBottom, g.Bottom)}
	}
	if g.HasTrimmer {
		stock.Take(k.b, seats.GuardTrimmer, k.Drawer.Trimmers[g.Trimmer.Lot-1], 1)
		out.Trimmer, out.Position = g.Trimmer.Ohm, g.Position
	}
	out.Reference, out.Top, out.Bottom = spec.Nominal, g.Top.Ohm, g.Bottom.Ohm
	out.TripLow, out.Trip, out.TripHigh = g.Low, g.Trip, g.High
	// none on hand, and what shops sell does not bear the pack
	if ref.CathodeVolts.Value < k.Target.Absolute {
		out.TripHigh = k.c.Ceiling
	}
	k.r = regulation.GuardLEDSpec{Trip: si.Interval[si.Voltage]{Low: g.Low, High: g.High},
		Ceiling: k.c.Ceiling, Vref: spec.Nominal,
		Most: control.LEDMost}
}

// left is the stock of the dividers without what the build has taken.
func (k *guard) left() resistors.Stock {
	var uses []resistors.Use
	for i, s := range k.Drawer.Resistors {
		n := s.Count - stock.Left(k.b, s)
		if s.Buy { // bought for the regulation, not for this
			n = s.Count
		}
		if n > 0 {
			uses = append(uses, resistors.Use{Lot: int64(i + 1), Ohm: s.Part.Resistance.Value,
				Count: int(math.Ceil(n))})
		}
	}
	return k.Legs.WithoutLots(uses)
}

// trimmers are those that the build has not taken.
func (k *guard) trimmers() []resistors.TrimmerPiece {
	var out []resistors.TrimmerPiece
	for _, t := range k.Trims {
		if s := k.Drawer.Trimmers[t.Lot-1]; !s.Buy && stock.Left(k.b, s) >= 1 {
			t.Count = int(stock.Left(k.b, s))
			out = append(out, t)
		}
	}
	return out
}

// own are the parts of the drawer itself, without those of a shelf that the search laid beside
// them.
func own[P catalog.Part](all []stock.Stock[P]) []stock.Stock[P] {
	if !slices.ContainsFunc(all, func(s stock.Stock[P]) bool { return s.Buy }) {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(s stock.Stock[P]) bool { return s.Buy })
}

// resistor fills a seat and gives its value, or that of the one to buy.
func (k *guard) resistor(id seats.ID, sold si.Resistance) si.Resistance {
	if p, ok := stock.Fill(k.b, id, own(k.Drawer.Resistors), &k.c); ok {
		return p.Resistance.Value
	}
	return sold
}

// gate takes what charges the gate from OUT.
func (k *guard) gate(peak si.Voltage, out *substitute.Protection) {
	out.Gate = k.resistor(seats.GateResistor, 100e3)
	k.c.GateOhm = out.Gate
	if max(peak, k.Target.Absolute) > gateBears {
		out.Divider = k.resistor(seats.GateDivider, out.Gate)
	}
	askGate(&k.c, k.Target, *out, peak)
}

// askGate says what the gate gets from an empty pack, and at the peak of OUT.
func askGate(c *seats.Circuit, t substitute.Target, p substitute.Protection, peak si.Voltage) {
	share := si.Voltage(1)
	if p.Divider > 0 {
		share = si.Voltage(p.Divider / (p.Gate + p.Divider))
	}
	c.GateOn, c.GatePeak = t.Empty*share, max(peak, t.Absolute)*share
}

// ratioFor is the transfer ratio that holds the gate down with as much current as the LED may ask
// for.
func ratioFor(high si.Voltage, gate si.Resistance) si.Ratio {
	return si.Ratio(float64(high) / float64(gate) / float64(guardNeed) / control.RatioAged)
}

// led takes the optocoupler and what is around its LED.
func (k *guard) led(out *substitute.Protection) {
	k.c.GuardRatio = ratioFor(k.r.Trip.High, out.Gate)
	opto, ok := stock.Fill(k.b, seats.GuardOptocoupler, own(k.Drawer.Optos), &k.c)
	if !ok {
		opto = soldFor[catalog.Optocoupler](seats.GuardOptocoupler, &k.c)
	}
	out.Ratio = opto.RatioMin.Value * control.RatioAged
	out.Bypass = k.resistor(seats.GuardBypass, seats.BypassHigh)
	k.r.Forward = si.Interval[si.Voltage]{Low: control.LEDLeastDrop, High: opto.Forward.Value}
	k.r.Bypass, k.r.Gate, k.r.Ratio = out.Bypass, out.Gate, out.Ratio
	d := regulation.DriveGuard(k.r)
	k.c.GuardLow, k.c.GuardHigh = d.Low, d.High
	k.c.Ohm = catalog.Nearest(si.Resistance(math.Sqrt(float64(d.Low)*float64(d.High))), "E12")
	out.Series = k.series()
	out.LEDNeed, out.LEDHave = d.Need, regulation.GuardLED(k.r, out.Series)
}

// series takes the resistor in series with the LED, one that stands alone or else a network of
// small ones, and gives its value.
func (k *guard) series() si.Resistance {
	const id = seats.GuardLEDResistor
	resistorsHere := own(k.Drawer.Resistors)
	if i := stock.Preferred(k.b, id, resistorsHere, &k.c); i >= 0 {
		stock.Take(k.b, id, resistorsHere[i], 1)
		return resistorsHere[i].Part.Resistance.Value
	}
	if n, ok := regulation.GuardSeries(k.c.GuardLow, k.c.GuardHigh, k.c.Ceiling, k.left()); ok {
		k.nets = append(k.nets, k.TakeNetwork(k.b, id, n))
		return n.Ohm
	}
	k.b.BuyFor(id, &k.c)
	return k.c.Ohm
}

// packSwitch takes the transistor in the lead to the pack's minus, and gives its rating.
func (k *guard) packSwitch(out *substitute.Protection) si.Voltage {
	t := k.Target
	out.SwitchOpen = max(k.c.Ceiling-t.Empty, 2*t.Absolute)
	weak := askSwitch(&k.c, out.SwitchOpen, t.Current)
	p, ok := stock.Fill(k.b, seats.PackSwitch, k.Drawer.Transistors, &k.c)
	hot, rating := k.c.SwitchOhm, k.c.SwitchVolts
	if ok {
		hot, rating = p.OnHot.Value, p.Drain.Value
	}
	out.SwitchHeat = si.Power(weak * float64(hot) * float64(t.Current*t.Current))
	return rating
}

// NoSwitch reports that no transistor of the drawer would do in the pack's lead however low the
// ceiling of the output: which design is built makes no difference.
func (j *Writer) NoSwitch() bool {
	t, c := j.Target, j.Circuit()
	c.GateOn, c.GatePeak = t.Empty, t.Absolute/2 // the better of no divider and one
	askSwitch(&c, 2*t.Absolute, t.Current)
	suits := stock.Suits[catalog.Transistor](seats.PackSwitch, &c)
	for i := range j.Drawer.Transistors {
		if s := &j.Drawer.Transistors[i]; s.Count >= 1 && suits(s) {
			return false
		}
	}
	return true
}

// askSwitch says what the switch must stand and how little it may resist; weak is by how much it
// resists more than on its sheet, where its gate gets less than makers state: twice (from memory).
func askSwitch(c *seats.Circuit, open si.Voltage, i si.Current) (weak float64) {
	weak = 1
	if c.GateOn < gateWhole {
		weak = 2
	}
	c.SwitchVolts = open / seats.ReverseSpare
	c.SwitchOhm = si.Resistance(float64(switchWatts) / float64(i*i) / weak)
	return weak
}

// AskProtection adds what the protection of a finished build asks of its seats; pieces is how many
// resistors stand in series with its LED.
func AskProtection(c *seats.Circuit, t substitute.Target, b *substitute.Build, pieces int) {
	p := b.Regulation.Protection
	c.Ceiling, c.GuardPieces, c.GateOhm = p.Ceiling, pieces, p.Gate
	askGate(c, t, p, b.Regulation.Loops.UnloadPeak)
	c.GuardRatio = ratioFor(p.TripHigh, p.Gate)
	d := regulation.DriveGuard(regulation.GuardLEDSpec{
		Trip:    si.Interval[si.Voltage]{Low: p.TripLow, High: p.TripHigh},
		Ceiling: p.Ceiling, Vref: p.Reference, Most: control.LEDMost, Bypass: p.Bypass, Gate: p.Gate,
		Ratio:   p.Ratio,
		Forward: si.Interval[si.Voltage]{Low: control.LEDLeastDrop, High: ledMostDrop}})
	c.GuardLow, c.GuardHigh = d.Low, d.High
	askSwitch(c, p.SwitchOpen, t.Current)
	surge := substitute.CheckNames[substitute.ChkConnectSwitch].Name
	for _, k := range b.Checks {
		if k.Name == surge {
			c.SwitchSurge = si.Current(k.Value)
		}
	}
}

// ProtectionWarning says when the protection may open before the pack is full.
func ProtectionWarning(p substitute.Protection, t substitute.Target) []string {
	if p.TripLow >= t.Set {
		return nil
	}
	return []string{fmt.Sprintf("the overvoltage protection may open at %.2f V already, "+
		"before the pack is full: a multi-turn trimmer in its divider, or closer resistors, cure that", float64(p.TripLow))}
}
