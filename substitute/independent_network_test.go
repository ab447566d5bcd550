package substitute_test

import (
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute/seats"
)

// piece is one resistor of a network: value and tolerance of its lot.
type piece struct{ ohm, tol float64 }

// network is a leg read back from the wiring text, its parts in the order of the text.
type network struct {
	wiring string
	pieces []piece
}

// network reads a leg: the text gives the wiring, its values find their lots in the list of the
// leg.
func (a audit) network(role string) network {
	for _, n := range a.build.Regulation.Networks {
		if n.Role.String() != role {
			continue
		}
		out := network{wiring: n.Wiring}
		left := make([]int, len(n.Parts))
		for i, p := range n.Parts {
			left[i] = p.Count
		}
		for _, word := range values(n.Wiring) {
			stated, err := si.Parse[si.Resistance](word)
			a.isTrue(err == nil, "%s: %q is no resistance", role, word)
			found := false
			for i, p := range n.Parts {
				// the text has four figures, half a unit of the last of them at most away
				if found = left[i] > 0 && math.Abs(float64(p.Ohm/stated)-1) <= 5e-4; found {
					left[i]--
					out.pieces = append(out.pieces, a.piece(p.Lot, float64(p.Ohm), role))
					break
				}
			}
			a.isTrue(found, "%s: %q of %q is not in the list of its parts", role, word, n.Wiring)
		}
		for i, p := range n.Parts {
			a.isTrue(left[i] == 0, "%s: %d of lot %d are listed but not wired", role,
				left[i], p.Lot)
		}
		agrees(a, n.Ohm, out.nominal(), exact, role)
		agrees(a, n.Network.Ohm, out.nominal(), exact, "the leg of "+role)
		a.isTrue(n.Network.N == len(out.pieces), "%s: %d parts wired of %d", role,
			len(out.pieces), n.Network.N)
		ends := newSpan()
		out.corners(ends.see)
		agrees(a, n.Network.Low, ends.low, exact, "low end of "+role)
		agrees(a, n.Network.High, ends.high, exact, "high end of "+role)
		agrees(a, n.Network.Tolerance, max(ends.high/out.nominal()-1, 1-ends.low/out.nominal()),
			exact, "tolerance of "+role)
		return out
	}
	a.fail("no network %q", role)
	return network{wiring: "1R", pieces: []piece{{1, 0}}}
}

// values are the resistances of a wiring text.
func values(wiring string) []string {
	return strings.FieldsFunc(wiring, func(r rune) bool { return strings.ContainsRune(" +|()", r) })
}

// piece reads a resistor's lot.
func (a audit) piece(lot int64, ohm float64, role string) piece {
	p, is := complete.Part(effective(a, lot)).(catalog.Resistor)
	a.isTrue(is, "%s: lot %d is no resistor", role, lot)
	agrees(a, ohm, p.Resistance.Value, exact, "resistance of a part of "+role)
	return piece{ohm: float64(p.Resistance.Value), tol: float64(p.Tolerance.Value)}
}

// reader works a wiring text out from left to right: a sum of terms, a term of values or brackets
// in parallel.
type reader struct {
	text string
	ohms []float64
}

func (n network) ohm(ohms []float64) float64 {
	r := reader{text: strings.ReplaceAll(n.wiring, " ", ""), ohms: ohms}
	return r.sum()
}

func (r *reader) sum() float64 {
	v := r.term()
	for strings.HasPrefix(r.text, "+") {
		r.text = r.text[1:]
		v += r.term()
	}
	return v
}

func (r *reader) term() float64 {
	v := r.value()
	for strings.HasPrefix(r.text, "||") {
		r.text = r.text[2:]
		o := r.value()
		v = 1 / (1/v + 1/o)
	}
	return v
}

func (r *reader) value() float64 {
	if strings.HasPrefix(r.text, "(") {
		r.text = r.text[1:]
		v := r.sum()
		r.text = strings.TrimPrefix(r.text, ")")
		return v
	}
	end := strings.IndexAny(r.text, "+|()")
	if end < 0 {
		end = len(r.text)
	}
	r.text = r.text[end:]
	if len(r.ohms) == 0 {
		return math.NaN()
	}
	v := r.ohms[0]
	r.ohms = r.ohms[1:]
	return v
}

func (n network) nominal() float64 { return n.corner(0) }

// corner is the resistance with every part nominal (sign 0) or at one end (-1, 1).
func (n network) corner(signs ...int) float64 {
	ohms := make([]float64, len(n.pieces))
	for i, p := range n.pieces {
		ohms[i] = p.ohm * (1 + p.tol*float64(signs[i%len(signs)]))
	}
	return n.ohm(ohms)
}

// corners calls see with the resistance of the leg in every combination of ends of its parts.
func (n network) corners(see func(float64)) {
	for bits := range 1 << len(n.pieces) {
		signs := make([]int, len(n.pieces))
		for i := range signs {
			signs[i] = 1 - 2*(bits>>i&1)
		}
		see(n.corner(signs...))
	}
}

// span is the lowest and highest of what is shown to it.
type span struct{ low, high float64 }

func newSpan() span { return span{math.Inf(1), math.Inf(-1)} }

func (s *span) see(v float64) { s.low, s.high = min(s.low, v), max(s.high, v) }

// trimmer is a track with its tolerance and what stays at the stop.
type trimmer struct{ ohm, tol, end float64 }

// trimmer reads the trimmer of a role; false when the build has none.
func (a audit) trimmer(role string) (trimmer, bool) {
	if len(a.uses(role)) == 0 {
		return trimmer{}, false
	}
	p := partOf[catalog.Trimmer](a, role)
	return trimmer{float64(p.Resistance.Value), float64(p.Tolerance.Value), float64(p.End.Value)},
		true
}

// sources are the reference with its ends, the amplifier's offset and bias current.
type sources struct{ low, nominal, high, warm, offset, own, bias, cathodeMin, cathodeMax float64 }

func (a audit) sources() sources {
	amp := partOf[catalog.Amplifier](a, "amplifier")
	s := sources{bias: float64(amp.BiasCurrent.Value)}
	s.own = float64(amp.Offset.Value)
	// the loop resistor carries the input current
	s.offset = s.own + s.bias*float64(a.build.Regulation.Loops.Input)
	low, mid, high := amp.VrefMin, amp.Vref, amp.VrefMax
	s.cathodeMin, s.cathodeMax = float64(amp.CathodeMin.Value), float64(amp.CathodeMax.Value)
	if amp.Function != "combined" {
		r := partOf[catalog.Reference](a, "reference")
		low, mid, high = r.VrefMin, r.Vref, r.VrefMax
		s.cathodeMin, s.cathodeMax = float64(r.CathodeMin.Value), float64(r.CathodeMax.Value)
	}
	s.low, s.nominal, s.high = float64(low.Value), float64(mid.Value), float64(high.Value)
	if low.Basis == catalog.Measured {
		s.nominal = (s.low + s.high) / 2
	}
	// set at 25 degC, it works in a case that may reach 75; a chip that does not say counts with
	// 100 ppm/K
	s.warm = 1 + 50*100e-6
	if amp.Function != "combined" {
		s.warm = 1 + 50*float64(partOf[catalog.Reference](a, "reference").Drift.Value)
	}
	return s
}

// errors calls see with every combination of the ends of reference, offset and bias current.
func (s sources) errors(see func(reference, offset, bias float64)) {
	for _, v := range []float64{s.low, s.high} {
		for _, o := range []float64{-s.offset, s.offset} {
			for _, i := range []float64{-s.bias, s.bias} {
				see(v, o, i)
			}
		}
	}
}

// output is the voltage at which the divider's tap stands at the reference: what flows through the
// top is what flows through the bottom and into the amplifier.
func output(tap, top, bottom, bias float64) float64 { return tap + top*(tap/bottom+bias) }

func auditVoltage(a audit) {
	r, t := a.build.Regulation, a.target
	top, bottom, s := a.network("divider top"), a.network("divider bottom"), a.sources()
	trim, trimmed := a.trimmer("voltage trimmer")
	agrees(a, r.Reference, s.nominal, exact, "reference")
	agrees(a, r.Top, top.nominal(), exact, "divider top")
	agrees(a, r.Bottom, bottom.nominal(), exact, "divider bottom")
	agrees(a, r.Trimmer, trim.ohm, exact, "voltage trimmer")
	agrees(a, r.SetHigh, output(s.nominal, top.nominal(), bottom.nominal(), 0), exact,
		"upper trimmer end")
	low := output(s.nominal, top.nominal(), bottom.nominal()+trim.ohm, 0)
	agrees(a, r.SetLow, low, exact, "lower trimmer end")
	agrees(a, r.OpenWiper, low, exact, "open wiper: the whole track stays in the lower leg")
	worst, upper, lower := newSpan(), newSpan(), newSpan()
	top.corners(func(tn float64) {
		bottom.corners(func(bn float64) {
			s.errors(func(v, offset, bias float64) {
				tap := v + offset
				for _, track := range []float64{trim.ohm * (1 - trim.tol),
					trim.ohm * (1 + trim.tol)} {
					worst.see(output(tap, tn, bn, bias))
					worst.see(output(tap, tn, bn+track, bias))
					lower.see(output(tap, tn, bn+track, bias))
				}
				upper.see(output(tap, tn, bn, bias))
				upper.see(output(tap, tn, bn+trim.end, bias))
			})
		})
	})
	agrees(a, r.WorstHigh, worst.high, exact, "highest output of all corners")
	agrees(a, r.WorstLow, worst.low, exact, "lowest output of all corners")
	judged(a, "highest pack voltage, any trimmer position and corner", worst.high,
		t.Absolute, exact)
	judged(a, "pack voltage with the trimmer wiper open", low, t.Absolute, exact)
	a.isTrue(worst.high <= float64(t.Absolute), "a corner charges to %g V", worst.high)
	hot := worst.high
	if trimmed {
		hot = float64(t.Set)
	}
	judged(a, "pack voltage with the reference hot, set on the bench", hot*s.warm,
		t.Absolute, exact)
	if trimmed {
		judged(a, "lowest reach of the upper trimmer end", upper.low, t.Set, exact)
		judged(a, "highest reach of the lower trimmer end", lower.high, t.Set, exact)
		return
	}
	inBand := worst.low >= float64(t.BandLow)*(1-exact) &&
		worst.high <= float64(t.BandHigh)*(1+exact)
	a.isTrue(inBand, "%g to %g V leave the band", worst.low, worst.high)
}

// level is the voltage at the current divider's tap: what flows through the top and the bias
// current flow through the bottom.
func level(reference, top, bottom, bias float64) float64 {
	return (reference/top + bias) / (1/top + 1/bottom)
}

func auditCurrent(a audit) {
	r, want := a.build.Regulation, float64(a.target.Current)
	top, bottom, shunt, s := a.network("current divider top"), a.network("current divider bottom"),
		a.network("shunt"),
		a.sources()
	trim, trimmed := a.trimmer("current trimmer")
	agrees(a, r.SenseTop, top.nominal(), exact, "current divider top")
	agrees(a, r.SenseBottom, bottom.nominal(), exact, "current divider bottom")
	agrees(a, r.SenseTrimmer, trim.ohm, exact, "current trimmer")
	ohm := shunt.nominal()
	agrees(a, r.Shunt, ohm, exact, "shunt")
	agrees(a, r.Sense, want*ohm, exact, "sense voltage")
	agrees(a, r.ShuntPower, want*want*ohm, exact, "shunt power")
	agrees(a, r.CurrentHigh, level(s.nominal, top.nominal(), bottom.nominal(), 0)/ohm, exact,
		"upper current end")
	agrees(a, r.CurrentLow, level(s.nominal, top.nominal()+trim.ohm, bottom.nominal(), 0)/ohm,
		exact, "lower current end")
	worst, upper, lower := newSpan(), newSpan(), newSpan()
	top.corners(func(tn float64) {
		bottom.corners(func(bn float64) {
			shunt.corners(func(rn float64) {
				s.errors(func(v, offset, bias float64) {
					at := func(track float64) float64 {
						return (level(v, tn+track, bn, bias) + offset) / rn
					}
					worst.see(at(0))
					upper.see(at(trim.end))
					lower.see(at(trim.ohm * (1 - trim.tol)))
				})
			})
		})
	})
	agrees(a, r.CurrentWorst, worst.high, exact, "highest current of all corners")
	judged(a, "highest charging current, any trimmer position and corner", worst.high,
		1.25*want, exact)
	a.isTrue(worst.high <= 1.25*want, "a corner charges with %g A", worst.high)
	if trimmed {
		reaches := upper.low >= want*(1-exact) && lower.high <= want*(1+exact)
		a.isTrue(reaches, "the trimmer reaches only %g to %g A in every corner",
			lower.high, upper.low)
	}
	agrees(a, r.KneeVoltage, float64(a.target.Set)-want*ohm, exact,
		"voltage at the battery where the current begins to fall")
	power, share := a.shuntLoad(shunt, want*ohm)
	judged(a, "shunt power", power, power/share*0.5, exact)
	judged(a, "amplifier offset against the sense voltage", s.offset, 0.05*want*ohm, exact)
}

// shuntLoad is the power of the whole shunt and the largest share of its rating that one of its
// parts takes. The power of a part is what the whole changes by when the part changes, P dlnR: by
// differences of 1e-6.
func (a audit) shuntLoad(n network, volts float64) (power, share float64) {
	whole := n.nominal()
	power = volts * volts / whole
	for i := range n.pieces {
		moved := network{n.wiring, append([]piece(nil), n.pieces...)}
		moved.pieces[i].ohm *= 1 + 1e-6
		part := power * (moved.nominal()/whole - 1) / 1e-6
		share = max(share, part/a.shuntRating(i))
	}
	// a difference of 1e-6 has an error of the same order in a series or parallel pair
	return power, share
}

// shuntRating is the rating of the i-th part of the shunt.
func (a audit) shuntRating(i int) float64 {
	for _, n := range a.build.Regulation.Networks {
		if n.Role != seats.Shunt {
			continue
		}
		for _, p := range n.Parts {
			if i -= p.Count; i < 0 {
				return float64(complete.Part(effective(a, p.Lot)).(catalog.Resistor).Rating.Value)
			}
		}
	}
	return math.NaN()
}

func auditSupply(a audit) {
	r := a.build.Regulation
	bias, s := a.network("reference bias"), a.sources()
	amp, opto := partOf[catalog.Amplifier](a, "amplifier"),
		partOf[catalog.Optocoupler](a, "optocoupler")
	draw := float64(r.Sense / si.Voltage(r.SenseBottom))
	cathode, resistor := newSpan(), newSpan()
	bias.corners(func(ohm float64) {
		cathode.see((float64(r.WorstHigh)-s.nominal)/ohm - draw)
		resistor.see(ohm)
	})
	agrees(a, r.Bias, bias.nominal(), exact, "reference bias resistor")
	agrees(a, r.BiasMax, cathode.high, exact, "highest reference current")
	judged(a, "reference current at the lowest output reckoned with", r.BiasMin,
		s.cathodeMin, exact)
	// mains off: the reference resistor at the highest voltage, both dividers, the amplifier; the
	// LED is dark
	divider := (float64(a.target.Set) - s.nominal) / a.network("divider top").nominal()
	guarded := float64(a.target.Absolute) *
		(1/float64(r.Protection.Top+r.Protection.Bottom) +
			1/float64(r.Protection.Gate+r.Protection.Divider))
	agrees(a, r.IdleDraw, cathode.high+draw+divider+float64(amp.SupplyCurrent.Value)+guarded, 1e-6,
		"what a full pack gives with the mains off")
	biasFrom := s.nominal + (float64(r.BiasMin)+draw)*resistor.high
	judged(a, "reference current, full pack", cathode.high, s.cathodeMax, exact)
	judged(a, "amplifier supply, full pack", r.WorstHigh, amp.SupplyMax.Value, exact)
	judged(a, "optocoupler isolation", opto.Isolation.Value, 3750.0, exact)
	a.ledSupply(biasFrom, max(float64(amp.SupplyMin.Value),
		float64(r.Sense)+float64(amp.Headroom.Value),
		s.nominal+(s.cathodeMin+draw)*resistor.high))
	a.circuit(amp, opto, s)
}

// ledSupply: the LED's resistor, and the lowest output at which LED, amplifier and reference, whose
// floor is given, all live. The reference was reckoned down to biasFrom.
func (a audit) ledSupply(biasFrom, floor float64) {
	r, t, led := a.build.Regulation, a.target, a.network("LED resistor")
	amp, opto := partOf[catalog.Amplifier](a, "amplifier"),
		partOf[catalog.Optocoupler](a, "optocoupler")
	sw := partOf[catalog.Switcher](a, "switcher")
	// half of the stated ratio: age and a smaller current (from memory)
	need := float64(sw.FeedbackStop.Value) / (0.5 * float64(opto.RatioMin.Value))
	end, strength := float64(amp.Headroom.Value), float64(amp.Source.Value)
	if amp.Function == "combined" { // pulls the LED down to 1.2 V (from memory)
		end, strength = 1.2, float64(amp.Sink.Value)
	}
	drop := float64(opto.Forward.Value) + end + a.joining()
	leds := newSpan()
	led.corners(leds.see)
	agrees(a, r.LEDResistor, led.nominal(), exact, "LED resistor")
	agrees(a, r.LEDNeed, need, exact, "LED current needed")
	judged(a, "optocoupler LED current at the lowest output reckoned with", r.LEDHave, need, exact)
	ledFrom := drop + float64(r.LEDHave)*leds.high
	// both currents hold down to an output that the build does not print: it may not lie above the
	// empty pack
	for _, from := range []float64{biasFrom, ledFrom} {
		between(a, from, 0.0, float64(t.Empty)*(1+exact),
			"output down to which the loops were reckoned")
	}
	// nothing but the LED's lowest forward voltage helps
	most := (float64(r.WorstHigh) - 1.0) / leds.low
	a.isTrue(most <= 20e-3, "the LED may have to carry %g A", most)
	judged(a, "amplifier current that stops the switcher", need, strength, exact)
	lowest := max(floor, drop+need*leds.high)
	agrees(a, r.LowestRegulated, lowest, exact, "lowest regulated output")
	judged(a, "lowest output at which the current is still regulated", lowest, t.Empty, exact)
	a.isTrue(lowest <= max(biasFrom, ledFrom, float64(amp.SupplyMin.Value))*(1+exact),
		"regulation is said to live from %g V", lowest)
}

// circuit holds what the build says it reckoned with against the lots.
func (a audit) circuit(amp catalog.Amplifier, opto catalog.Optocoupler, s sources) {
	c := a.build.Regulation.Circuit
	agrees(a, c.AmplifierMin, amp.SupplyMin.Value, exact, "lowest supply of the amplifier")
	agrees(a, c.Headroom, amp.Headroom.Value, exact, "headroom of the amplifier")
	agrees(a, c.Offset, s.own, exact, "offset of the amplifier")
	agrees(a, c.InputBias, s.bias, exact, "bias current of the amplifier")
	agrees(a, c.Supply, amp.SupplyCurrent.Value, exact, "supply current of the amplifier")
	if amp.Function == "combined" { // its divider is at the minus input
		a.isTrue(c.Drive == "down", "drive %q", c.Drive)
		agrees(a, c.Source, amp.Sink.Value, exact, "current that the amplifier takes")
		agrees(a, c.OutputLow, 1.2, exact, "lowest output of the amplifier")
	} else {
		a.isTrue(c.Drive == "up", "drive %q", c.Drive)
		agrees(a, c.Source, amp.Source.Value, exact, "output current of the amplifier")
		agrees(a, c.OutputLow, 0.0, exact, "lowest output of the amplifier")
	}
	agrees(a, c.CathodeMin, s.cathodeMin, exact, "least current of the reference")
	agrees(a, c.CathodeMax, s.cathodeMax, exact, "highest current of the reference")
	agrees(a, c.Ratio, opto.RatioMin.Value/2, exact, "aged transfer ratio")
	agrees(a, c.Forward, opto.Forward.Value, exact, "forward voltage of the optocoupler's LED")
	agrees(a, c.JoinDrop, a.joining(), exact, "voltage lost where the loops join")
	a.isTrue(c.LEDs == (len(a.uses("diode joining the loops")) == 0), "indicator LEDs %t", c.LEDs)
}

// joining is the voltage lost where the two loops join: a silicon diode of 0.75 V, or an indicator
// LED of 2.1 V; the LED taken from the drawer must not need more.
func (a audit) joining() float64 {
	if len(a.uses("diode joining the loops")) > 0 {
		return 0.75
	}
	for _, role := range []string{"LED, charging (current holds)", "LED, full (voltage holds)"} {
		p := partOf[catalog.LED](a, role)
		a.isTrue(p.Forward.Value <= 2.1, "%s takes %g V, reckoned with 2.1 V", role,
			float64(p.Forward.Value))
		a.isTrue(p.Current.Value >= a.build.Regulation.LEDHave, "%s bears %g A", role,
			float64(p.Current.Value))
	}
	return 2.1
}
