package regulation

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

const NoParts = "resistors on hand for the divider current"

func voltageShortfall(spec VoltageSpec, d voltageDivider, stock resistors.Stock,
	trimmers []resistors.TrimmerPiece) Shortfall {
	trims := sortedTrims(trimmers)
	now := trial{d: d, stock: stock, trims: trims}
	f := Shortfall{Role: RoleVoltage, Missing: true, Check: NoParts, Limit: 2, Unit: "1"}
	if v, ok := now.nearest(d.verdicts); ok {
		f.Check, f.Value, f.Limit, f.Unit = v.check, v.value, v.limit, "V"
	}
	after := func(m Meter) trial {
		return trial{d: newVoltageDivider(spec.Measured(m)), stock: stock, trims: trims,
			meter: m.Resistors}
	}
	kinds := []Meter{{Resistors: 1}, {Reference: 1}, {Resistors: 1, Reference: 1}}
	f = f.with(now.cures(measuring(kinds, func(m Meter) bool { return after(m).solved() }))...)
	if len(f.Cures) == 0 {
		f = f.with(lastResort(after)...)
	}
	return f
}

// verdicts are the checks of a voltage design.
func (d voltageDivider) verdicts(g, o *resistors.Leg, t *trim) []verdict {
	above := func(check string, v, limit float64) verdict {
		return verdict{check, v, limit, (limit - v) / d.set}
	}
	below := func(check string, v, limit float64) verdict {
		return verdict{check, v, limit, (v - limit) / d.set}
	}
	if t.fixed {
		return []verdict{
			above("highest voltage of an untrimmed divider", d.most(g.Hi, o.Lo),
				min(d.abs, d.bandHi)),
			below("lowest voltage of an untrimmed divider", d.least(g.Lo, o.Hi), d.bandLo),
		}
	}
	return []verdict{
		above("highest voltage over all corners at the upper stop", d.most(g.Hi, o.Lo), d.abs),
		below("voltage every corner reaches at the upper stop", d.least(g.Lo, o.Hi+t.end), d.set),
		above("voltage every corner comes down to at the lower stop",
			d.most(g.Hi, o.Lo+t.lo), d.set),
	}
}

// shuntsCured is how many shunts are looked at for a cure.
const shuntsCured = 3

func currentShortfall(spec CurrentSpec, shunts []resistors.Network, stock resistors.Stock,
	trimmers []resistors.TrimmerPiece) Shortfall {
	trims := sortedTrims(trimmers)
	d := newCurrentDivider(spec, shunts[0])
	now := trial{d: d, stock: stock, trims: trims}
	f := Shortfall{Role: roleCurrent, Missing: true, Check: NoParts, Limit: 2, Unit: "1"}
	if v, ok := now.nearest(d.verdicts); ok {
		f.Check, f.Value, f.Limit, f.Unit = v.check, v.value, v.limit, "A"
	}
	after := func(m Meter, shunt int) trial {
		measured := spec.Measured(m)
		if nets := measured.shuntNetworks(); shunt < len(nets) {
			return trial{d: newCurrentDivider(measured, nets[shunt]), stock: stock, trims: trims,
				meter: m.Resistors}
		}
		return trial{d: d}
	}
	kinds := []Meter{{Resistors: 1}, {Reference: 1}, {Shunt: 1},
		{Resistors: 1, Reference: 1, Shunt: 1}}
	f = f.with(now.cures(measuring(kinds, func(m Meter) bool {
		for i := range min(shuntsCured, len(shunts)) {
			if after(m, i).solved() {
				return true
			}
		}
		return false
	}))...)
	if len(f.Cures) == 0 {
		f = f.with(lastResort(func(m Meter) trial { return after(m, 0) })...)
	}
	return f
}

// verdicts are the checks of a current design.
func (d currentDivider) verdicts(g, o *resistors.Leg, t *trim) []verdict {
	above := func(check string, v, limit float64) verdict {
		return verdict{check, v, limit, (limit - v) / d.set}
	}
	below := func(check string, v, limit float64) verdict {
		return verdict{check, v, limit, (v - limit) / d.set}
	}
	if t.fixed {
		return []verdict{
			above("highest current of an untrimmed divider", d.most(o.Lo, g.Hi), d.high),
			below("lowest current of an untrimmed divider", d.least(o.Hi, g.Lo), d.low),
		}
	}
	return []verdict{
		above("highest current over all corners at the upper stop", d.most(o.Lo, g.Hi), d.high),
		below("current every corner reaches at the upper stop", d.least(o.Hi+t.end, g.Lo), d.set),
		above("current every corner comes down to at the lower stop",
			d.most(o.Lo+t.lo, g.Hi), d.set),
	}
}

// shuntShortfall names the shunt to get: the preferred value nearest to the geometric middle of the
// sense range. The nearest miss is the shunt that fits but is too weak, else the one whose sense
// voltage comes nearest.
func shuntShortfall(spec CurrentSpec) Shortfall {
	lo, hi := spec.shuntRange()
	derate := orDefault(spec.PowerDerate, resistors.Derating)
	f := Shortfall{Role: RoleShunt, Missing: true, Check: "sense voltage",
		Limit: float64(spec.SenseMin), Unit: "V"}
	stock := spec.shuntStock()
	off, share := math.Inf(1), si.Ratio(math.Inf(1))
	for parts := 1; parts <= 2; parts++ {
		for _, l := range stock.List(parts, lo, hi) {
			sense := float64(spec.Set) * l.Nom
			away := math.Abs(math.Log(sense /
				math.Sqrt(float64(spec.SenseMin)*float64(spec.SenseMax))))
			if l.Nom >= lo && l.Nom <= hi {
				n := l.Network(stock.Pieces)
				if load := n.Load(stock.Pieces, si.Voltage(sense)).Share; load < share {
					share, off = load, 0
					f.Check, f.Value, f.Limit, f.Unit = "share of the shunt's power rating",
						float64(load), float64(derate), "1"
				}
			} else if away < off {
				off, f.Value, f.Limit = away, sense, float64(spec.SenseMin)
				if sense > float64(spec.SenseMax) {
					f.Limit = float64(spec.SenseMax)
				}
			}
		}
	}
	aim := math.Sqrt(lo * hi)
	return f.with(resistorCure(resistors.Preferred(false, lo*1.01, hi/1.01), aim, 0.01, derate,
		func(r float64) si.Power {
			return si.Power(square(float64(spec.Set)) * r)
		})...)
}

// resistorCure is the value nearest to aim in ohm, with the tolerance and the power rating it
// needs.
func resistorCure(values []si.Resistance, aim float64, tol, derate si.Ratio,
	power func(ohm float64) si.Power) []Cure {
	best := si.Resistance(0)
	away := func(r si.Resistance) float64 { return math.Abs(math.Log(float64(r) / aim)) }
	for _, r := range values {
		if resistors.RatingFor(power(float64(r)), derate) > 0 &&
			(best == 0 || away(r) < away(best)) {
			best = r
		}
	}
	if best == 0 {
		return nil
	}
	rating := resistors.RatingFor(power(float64(best)), derate)
	text := "1 x " + resistors.ValueText(best) + " " + resistors.PercentText(tol) + ", " +
		resistors.WattText(rating)
	return []Cure{{Text: text, Ohm: best, Tolerance: tol,
		Buy: []resistors.Piece{{Ohm: best, Tolerance: tol, Power: rating, Count: 1}}}}
}

// legShortfall fills in the nearest miss of a single resistor that had to lie in lo..hi ohm.
func legShortfall(role, check string, stock resistors.Stock, lo, hi float64) Shortfall {
	f := Shortfall{Role: role, Missing: true, Check: check, Unit: "ohm", Limit: hi}
	off := math.Inf(1)
	for parts := 1; parts <= 2; parts++ {
		for _, l := range stock.List(parts, lo, hi) {
			// fits but for its rating
			if l.Lo >= lo && l.Hi <= hi && resistors.Covered(stock.Pieces, &l, nil) {
				f.Check, f.Value, f.Limit = check+
					" of sufficient power and voltage rating", l.Nom, hi
				return f
			}
			if over := max(lo/l.Lo, l.Hi/hi); over < off &&
				resistors.Covered(stock.Pieces, &l, nil) {
				off, f.Value, f.Limit = over, l.Hi, hi
				if lo/l.Lo > l.Hi/hi {
					f.Value, f.Limit = l.Lo, lo
				}
			}
		}
	}
	return f
}

func biasShortfall(spec BiasSpec, stock resistors.Stock, lo, hi float64) Shortfall {
	if !(lo > 0) || !(hi >= lo) {
		return Shortfall{Role: roleBias, Missing: true,
			Check: "bias resistor that keeps the cathode current over the whole supply range",
			Value: lo, Limit: hi, Unit: "ohm"}
	}
	const tol = 0.05
	over := float64(spec.Supply.Mid() - spec.Vref)
	aim := min(max(over/float64(spec.aim().High+spec.Draw), lo), hi)
	power := func(r float64) si.Power {
		return si.Power(square(float64(spec.Supply.High-spec.Vref)) / (r * (1 - tol)))
	}
	return legShortfall(roleBias, "bias resistor", stock, lo, hi).with(
		resistorCure(resistors.Preferred(false, lo/(1-tol), hi/(1+tol)), aim, tol,
			orDefault(spec.Derate, resistors.Derating), power)...)
}

// NoLEDResistor is the check of an LED that no value of its resistor serves: what lights it enough
// at the lowest supply lets through more than the amplifier delivers at the highest. Another chip
// that asks for less, another optocoupler or amplifier cures it.
const NoLEDResistor = "LED resistor that serves the whole supply range"

func ledShortfall(spec LEDSpec, stock resistors.Stock, r si.Interval[si.Resistance]) Shortfall {
	lo, hi := float64(r.Low), float64(r.High)
	if !(hi > 0) || lo > hi {
		return Shortfall{Role: roleLED, Missing: true, Check: NoLEDResistor,
			Value: lo, Limit: hi, Unit: "ohm"}
	}
	const tol = 0.05
	top := spec.across(spec.Supply.High, spec.ForwardLeast, true)
	power := func(r float64) si.Power { return si.Power(square(top) / (r * (1 - tol))) }
	return legShortfall(roleLED, "LED resistor", stock, lo, hi).with(
		resistorCure(resistors.Preferred(false, max(lo/(1-tol), 1), hi/(1+tol)), hi, tol,
			orDefault(spec.Derate, resistors.Derating), power)...)
}
