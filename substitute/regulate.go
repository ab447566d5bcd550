package substitute

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// Practice of the control network. Sources beside the figures.
const (
	senseLeast     = 80e-3  // V across the shunt, so that the offset stays a small part; shunt pages give 50 to 200 mV
	senseMost      = 300e-3 // V
	currentCeiling = 1.25   // x wanted current, never exceeded: a pack charged at half its 1C limit keeps well below it
	ratioAged      = 0.5    // of the stated transfer ratio: smaller current and age; from memory
	isolationLeast = 3750   // V rms, reinforced; 5000 V preferred
	diodeDrop      = 0.75   // V, small silicon diode
	indicatorDrop  = 2.1    // V, highest of an indicator lamp that says nothing
	ledLeast       = 1.0    // V, lowest forward voltage of an optocoupler lamp
	headroomGuess  = 2.0    // V, an op-amp that does not state it
	driftGuess     = 100e-6 // 1/K, a reference that does not say (TL431 family 92 ppm/K)
	roomWarm       = 25     // C, at which makers state the reference and a bench sets it
	outputSource   = 10e-3  // A, the least an LM358 delivers (SLOS068P)
	outputSink     = 5e-3   // A, the least one of its class takes; from memory
)

// control is a regulation network designed for one target and one feedback demand.
type control struct {
	amp       *stock[catalog.Amplifier]
	ref       *stock[catalog.Reference] // nil when the amplifier chip holds it
	opto      *stock[catalog.Optocoupler]
	voltage   regulation.VoltageNetwork
	current   regulation.CurrentNetwork
	bias      regulation.BiasNetwork
	lamp      regulation.LampNetwork
	need      si.Current
	drive     regulation.Drive
	indicator bool // the two loops are joined by indicator lamps, else by diodes
	lowest    si.Voltage
	own       si.Current // what the secondary circuit takes from the output
	vref      si.Voltage
	gauges    []gauge
}

// wish is one pair of amplifier and reference.
type wish struct {
	amp                *stock[catalog.Amplifier]
	ref                *stock[catalog.Reference]
	vref               si.Interval[si.Voltage]
	nominal            si.Voltage
	offset             si.Voltage // with what the input current drops over the loop resistor
	bias               si.Current
	drive              regulation.Drive
	drift              si.Ratio // of the reference, from the bench to the hottest case
	cathodeMin, cathMx si.Current
	looseness          float64
}

// wishes lists the pairs on hand, the tightest first: spread of the reference plus offset against it, then fixed order.
func (j *job) wishes(d *drawer) []wish {
	var out []wish
	for i := range d.amplifiers {
		a := &d.amplifiers[i]
		p := a.part
		if p.Function != "dual" && p.Function != "combined" || p.SupplyMax.Value < j.target.Absolute {
			continue
		}
		if p.InputLow.Or(0) > 0 { // the shunt sits at ground
			continue
		}
		base := wish{amp: a, bias: p.BiasCurrent.Or(500e-9), drive: regulation.DriveUp}
		base.offset = p.Offset.Or(7e-3) + si.Voltage(float64(base.bias)*float64(j.inputOhm()))
		if p.Function == "combined" && p.Vref.Known() {
			w := base
			w.drive = regulation.PullDown // one plus input is tied to the reference inside: its output falls as the voltage rises
			w.setReference(p.VrefMin, p.Vref, p.VrefMax, driftGuess, p.CathodeMin.Or(1e-3), p.CathodeMax.Or(50e-3))
			out = append(out, w)
			continue
		}
		for k := range d.references {
			r := &d.references[k]
			if r.part.CathodeVolts.Or(36) < r.part.Vref.Value || r.part.Vref.Value > 3 {
				continue
			}
			w := base
			w.ref = r
			w.setReference(r.part.VrefMin, r.part.Vref, r.part.VrefMax, r.part.Drift.Or(driftGuess), r.part.CathodeMin.Or(1e-3), r.part.CathodeMax.Or(50e-3))
			out = append(out, w)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].looseness < out[j].looseness })
	return out
}

func (w *wish) setReference(low, mid, high catalog.Datum[si.Voltage], drift si.TempCo, cathodeMin, cathodeMax si.Current) {
	w.nominal = mid.Value
	w.vref = si.Interval[si.Voltage]{Low: low.Or(mid.Value * 0.978), High: high.Or(mid.Value * 1.022)}
	if low.Known() && high.Known() && low.Basis == catalog.Measured {
		w.nominal = w.vref.Mid()
	}
	w.cathodeMin, w.cathMx = cathodeMin, cathodeMax
	w.drift = si.Ratio(float64(drift) * float64(insideLimit-roomWarm))
	w.looseness = float64(w.vref.Width()/2+w.offset) / float64(w.nominal)
}

// regulate designs the network for a switcher that stops at the given optocoupler current. The first pair of amplifier and
// reference, tightest first, for which everything passes is taken; otherwise the refusal of the most promising one.
func (j *job) regulate(d *drawer, stop si.Current) (control, Refusal, bool) {
	pairs := j.wishes(d)
	if len(pairs) == 0 {
		return control{}, j.noAmplifier(d), false
	}
	optos := usableOptos(d)
	if len(optos) == 0 {
		return control{}, Refusal{Check: checkNames[chkIsolation].name, Limit: isolationLeast, Unit: "V", miss: 1,
			Why: "no optocoupler on hand bridges the mains barrier", Cure: "buy an optocoupler of 5000 V isolation, transfer ratio 80 % or more"}, false
	}
	var first Refusal
	for i, w := range pairs {
		if g := j.floor(w, optos); !g.passed() {
			if first.Check == "" {
				first = refusalFrom(g, "the amplifier cannot drive the optocoupler from an empty pack")
				first.Cure = "feed the control circuit from a winding of its own; this program does not work that out"
			}
			continue
		}
		half, why := j.loopsOf(i, w)
		c := half.control
		if why.Check == "" {
			why = j.lampFor(&c, w, optos, stop, half.legs, half.bias)
			if why.Check != "" && j.lampFor(&c, w, optos, stop, half.heavy, half.bias).Check == "" {
				why = Refusal{}
			}
		}
		if why.Check == "" {
			why = c.finish(j, w)
		}
		if why.Check == "" {
			return c, Refusal{}, true
		}
		if first.Check == "" {
			first = why
		} else {
			first.lack = joinLacks(first.lack, why.lack)
		}
	}
	return control{}, first, false
}

// floor is the output below which this amplifier cannot work at all, whatever the resistors: its own supply, and its headroom
// with one diode and the lamp of the optocoupler.
func (j *job) floor(w wish, optos []*stock[catalog.Optocoupler]) gauge {
	lamp := math.Inf(1)
	for _, o := range optos {
		lamp = min(lamp, float64(o.part.Forward.Or(1.4)))
	}
	end := w.amp.part.Headroom.Or(headroomGuess)
	if w.drive == regulation.PullDown {
		end = sinkLow
	}
	drive := end + diodeDrop + si.Voltage(lamp)
	return most(chkLowestRegulated, max(w.amp.part.SupplyMin.Value, drive), j.target.Empty)
}

// loops are the two dividers and the reference bias, which do not depend on the switcher, with the resistors they leave.
type loops struct {
	control control
	legs    regulation.Stock
	heavy   regulation.Stock
	bias    regulation.BiasSpec
}

// loopsOf designs the loops of the i-th pair of amplifier and reference once.
func (j *job) loopsOf(i int, w wish) (loops, Refusal) {
	if l, seen := j.loops[i]; seen {
		return l.loops, l.refusal
	}
	l, why := j.design(w)
	j.loops[i] = loopsAnswer{l, why}
	return l, why
}

type loopsAnswer struct {
	loops   loops
	refusal Refusal
}

func (j *job) noAmplifier(d *drawer) Refusal {
	r := Refusal{Check: checkNames[chkSupplyHigh].name, Value: float64(j.target.Absolute), Unit: "V", miss: 1,
		Cure: fmt.Sprintf("buy a dual op-amp with inputs to ground that bears %.0f V", math.Ceil(float64(j.target.Absolute)))}
	for i := range d.amplifiers {
		if p := d.amplifiers[i].part; (p.Function == "dual" || p.Function == "combined") && float64(p.SupplyMax.Value) > r.Limit {
			r.Limit = float64(p.SupplyMax.Value)
		}
	}
	if r.Limit > 0 {
		r.miss = r.Value/r.Limit - 1
		r.Why = "the amplifier lives on the output"
	} else {
		r.Why, r.Cure = "no dual op-amp on hand", "buy a dual op-amp with inputs to ground, such as LM358"
	}
	return r
}

// usableOptos keeps those that may bridge the mains, best transfer ratio first.
func usableOptos(d *drawer) []*stock[catalog.Optocoupler] {
	var out []*stock[catalog.Optocoupler]
	for i := range d.optos {
		p := d.optos[i].part
		if p.Isolation.Value >= isolationLeast && (p.Output == "" || p.Output == "phototransistor") {
			out = append(out, &d.optos[i])
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].part.RatioMin.Value > out[b].part.RatioMin.Value })
	return out
}

// piece is the i-th resistor of the drawer as the network design sees it; its lot is its place in the drawer, from 1.
func (d *drawer) piece(i int) regulation.Piece {
	p := d.resistors[i].part
	return regulation.Piece{Lot: int64(i + 1), Ohm: p.Resistance.Value, Tolerance: p.Tolerance.Or(0.05),
		Count: int(d.resistors[i].count + 1e-9), Power: p.Rating.Or(0.25), Volts: p.Volts.Or(200), Drift: p.Drift.Or(0)}
}

// Power resistors between these values are no use for clamp, bleed or the sensing of a switcher.
const (
	heavyLow  = 50
	heavyHigh = 5e3
)

// resistorStock turns the drawer's resistors into the stock of the network design. Power resistors are kept for clamp and bleed, but
// for those of few ohms.
func resistorStock(d *drawer) (legs, heavy regulation.Stock, shunts []regulation.Piece) {
	var pieces, power []regulation.Piece
	for i := range d.resistors {
		p, piece := d.resistors[i].part, d.piece(i)
		switch {
		case p.Type == "fusible":
		case p.Resistance.Value <= 2:
			shunts = append(shunts, piece)
		case p.Rating.Or(0.25) < 1:
			pieces = append(pieces, piece)
		case p.Resistance.Value >= heavyLow && p.Resistance.Value < heavyHigh:
			power = append(power, piece)
		}
	}
	return regulation.NewStock(pieces), regulation.NewStock(power), shunts
}

func trimmerStock(d *drawer) []regulation.TrimmerPiece {
	var out []regulation.TrimmerPiece
	for i := range d.trimmers {
		p := d.trimmers[i].part
		if p.Track == "carbon" {
			continue // drifts too much for a lithium set point (common practice)
		}
		out = append(out, regulation.TrimmerPiece{Lot: int64(i + 1), Ohm: p.Resistance.Value, Tolerance: p.Tolerance.Or(0.2),
			End: p.End.Or(p.Resistance.Value * 0.02), Count: int(d.trimmers[i].count + 1e-9)})
	}
	return out
}

// deepShares are the outputs, as shares of the empty pack's voltage, down to which the loops are made to live, the lowest that
// can be had being taken: a deeply discharged pack pulls the output below the voltage of an empty one, and where the current
// loop is dead only the converter's own limit holds the current.
var deepShares = []float64{0.5, 0.65, 0.8, 0.9, 1}

// design works out the dividers and the reference bias around one amplifier and reference, in the order in which they bind. What
// one part takes is gone for the next.
func (j *job) design(w wish) (loops, Refusal) {
	t := j.target
	l := loops{control: control{amp: w.amp, ref: w.ref, vref: w.nominal, drive: w.drive}, legs: j.legs, heavy: j.heavy}
	trimmers := j.trims
	vs, short := j.voltages(voltageKey{t.Set, t.Absolute, w.vref, w.nominal, w.offset, w.bias, w.drift})
	if len(vs) == 0 {
		return l, refusalOf(short, chkOvercharge)
	}
	l.control.voltage = vs[0]
	l.legs = l.legs.Without(vs[0].Top).Without(vs[0].Bottom)
	if vs[0].HasTrimmer {
		trimmers = withoutTrimmer(trimmers, vs[0].Trimmer)
	}
	cs, short := j.currents(w, l.legs, trimmers)
	if len(cs) == 0 {
		return l, refusalOf(short, chkCurrentHigh)
	}
	l.control.current = cs[0]
	l.legs = l.legs.Without(cs[0].Top).Without(cs[0].Bottom)
	var missing regulation.Shortfall
	for _, share := range deepShares {
		l.bias = regulation.BiasSpec{Supply: si.Interval[si.Voltage]{Low: t.Empty * si.Voltage(share), High: vs[0].WorstHigh}, Vref: w.nominal,
			CathodeMin: w.cathodeMin, CathodeMax: w.cathMx, Draw: cs[0].Draw}
		if l.control.bias, missing = regulation.DesignBias(l.bias, l.legs); missing.Role == "" {
			l.legs = l.legs.Without(l.control.bias.Resistor)
			return l, Refusal{}
		}
	}
	var none regulation.Shortfall
	if l.control.bias, none = regulation.DesignBias(l.bias, l.heavy); none.Role == "" {
		l.heavy = l.heavy.Without(l.control.bias.Resistor)
		return l, Refusal{}
	}
	return l, refusalOf(missing, chkBiasMinimum)
}

// finish reckons what the circuit takes for itself and holds it against its limits.
func (c *control) finish(j *job, w wish) Refusal {
	c.own = c.bias.MaxCathode + c.current.Draw + c.voltage.Current + w.amp.part.SupplyCurrent.Or(2e-3) + c.lamp.Least
	c.gaugeUp(j, w)
	for _, g := range c.gauges {
		if !checkNames[g.id].soft && !g.passed() {
			r := refusalFrom(g, "")
			if g.id == chkConnectInput {
				r.Cure = "buy three equal resistors of 2.2 to 4.7 kohm for the inputs of the amplifier"
			}
			return r
		}
	}
	return Refusal{}
}

// lampFor joins the loops by small-signal diodes where the drawer holds them: they bear the whole output the wrong way round, and live
// on 1.4 V less. Indicator lamps, which tell the builder when to unplug, join them only where there are no such diodes and the
// resting lamp sees no more than it bears. Each way goes down to the lowest output that can be had.
func (j *job) lampFor(c *control, w wish, optos []*stock[catalog.Optocoupler], stop si.Current, legs regulation.Stock, bias regulation.BiasSpec) Refusal {
	var first Refusal
	for _, indicator := range j.joinsFor(c, w) {
		for _, share := range deepShares {
			for _, o := range optos {
				why := j.lampWith(c, w, o, indicator, j.target.Empty*si.Voltage(share), stop, legs, bias)
				if why.Check == "" {
					return why
				}
				if share == 1 && first.Check == "" {
					first = why
				}
			}
		}
	}
	return first
}

// joinsFor says whether indicator lamps may join the loops, in the order to try.
func (j *job) joinsFor(c *control, w wish) []bool {
	for i := range j.drawer.rectifiers {
		if d := &j.drawer.rectifiers[i]; d.count >= 2 && j.joins(d.part) {
			return []bool{false}
		}
	}
	// the other amplifier may pull as far as the output stands when the pack comes off, and that is known only later
	if c.voltage.WorstHigh*unplugRise-w.amp.part.Headroom.Or(headroomGuess)-indicatorDrop > lampReverse {
		return []bool{false}
	}
	return []bool{true, false}
}

// unplugRise is how far the output may run up when a pack comes off, where lamps are thought of; from memory.
const unplugRise = 1.25

// joins reports that a diode may join an amplifier to the optocoupler.
func (j *job) joins(p catalog.Rectifier) bool {
	return smallJunction(p) && p.Reverse.Value >= j.target.Absolute
}

// lampWith designs the lamp resistor for one optocoupler, with indicator lamps or diodes, down to the given output.
func (j *job) lampWith(c *control, w wish, o *stock[catalog.Optocoupler], indicator bool, low si.Voltage, stop si.Current, legs regulation.Stock, bias regulation.BiasSpec) Refusal {
	amp := w.amp.part
	need := regulation.LampNeed(stop, o.part.RatioMin.Value*ratioAged)
	strength := amp.Source.Or(outputSource)
	if w.drive == regulation.PullDown {
		strength = amp.Sink.Or(outputSink)
	}
	spec := regulation.LampSpec{Drive: w.drive, Supply: si.Interval[si.Voltage]{Low: low, High: c.voltage.WorstHigh},
		Forward: o.part.Forward.Or(1.4), ForwardLeast: ledLeast, OutputDrop: amp.Headroom.Or(headroomGuess), OutputLow: sinkLow,
		Diode: diodeDrop, Need: need, SinkMax: min(20e-3, strength)}
	if indicator {
		spec.Forward += indicatorDrop
		spec.Diode = 0
	}
	net, short := regulation.DesignLamp(spec, legs)
	if short.Role != "" {
		return refusalOf(short, chkLamp)
	}
	live := regulation.LiveSpec{AmplifierMin: amp.SupplyMin.Value, HighestInput: c.current.Sense, InputRoom: amp.Headroom.Or(headroomGuess),
		Lamp: spec, LampResistor: net.Resistor, Bias: bias, BiasResistor: c.bias.Resistor}
	lowest := regulation.LowestRegulated(live)
	if lowest > j.target.Empty {
		return refusalFrom(most(chkLowestRegulated, lowest, j.target.Empty), regulation.Floors(live)[0].Name)
	}
	c.opto, c.lamp, c.need, c.indicator, c.lowest = o, net, need, indicator, lowest
	return Refusal{}
}

// gaugeUp holds the finished network against its limits.
func (c *control) gaugeUp(j *job, w wish) {
	t, v, i := j.target, c.voltage, c.current
	hold := func(g gauge) { c.gauges = append(c.gauges, g) }
	if v.HasTrimmer {
		hold(least(chkSetReach, v.ReachHigh, t.Set).from(float64(t.Absolute)))
		hold(most(chkSetReachHigh, v.ReachLow, t.Set).from(float64(t.BandLow)))
	}
	hold(most(chkOvercharge, v.WorstHigh, t.Absolute).from(float64(t.Set)))
	hold(most(chkOpenWiper, v.OpenWiper, t.Absolute).from(float64(t.Set)))
	hold(most(chkWarm, warmest(t.Set, v, w.drift), t.Absolute).from(float64(t.Set)))
	hold(most(chkCurrentHigh, i.WorstHigh, t.Current*currentCeiling).from(float64(t.Current)))
	hold(most(chkShuntPower, i.ShuntPower, i.ShuntPower/si.Power(max(1e-9, i.ShuntLoad))*0.5))
	hold(least(chkBiasMinimum, c.bias.MinCathode, w.cathodeMin))
	hold(most(chkBiasMaximum, c.bias.MaxCathode, w.cathMx))
	hold(most(chkSupplyHigh, v.WorstHigh, c.amp.part.SupplyMax.Value))
	hold(least(chkLamp, c.lamp.Least, c.need))
	hold(most(chkLowestRegulated, c.lowest, t.Empty))
	hold(least(chkIsolation, c.opto.part.Isolation.Value, isolationLeast))
	hold(j.connectGauge(c))
	hold(most(chkOffset, w.offset, 0.05*i.Sense))
}

// warmest is the output once the case is hot: of the voltage set by the meter on the bench, or of the highest corner where there is
// nothing to set.
func warmest(set si.Voltage, v regulation.VoltageNetwork, drift si.Ratio) si.Voltage {
	if !v.HasTrimmer {
		set = v.WorstHigh
	}
	return set * si.Voltage(1+drift)
}

// joinDrop is the highest drop of the lamp or diode that joins an amplifier to the optocoupler.
func (c *control) joinDrop() si.Voltage {
	if c.indicator {
		return indicatorDrop
	}
	return diodeDrop
}

func withoutTrimmer(all []regulation.TrimmerPiece, t regulation.TrimmerPiece) []regulation.TrimmerPiece {
	out := append([]regulation.TrimmerPiece(nil), all...)
	for i := range out {
		if out[i].Lot == t.Lot {
			out[i].Count--
		}
	}
	return out
}

// refusalOf turns a shortfall of the network design into a refusal; the check it names stands for the nearest of ours.
func refusalOf(s regulation.Shortfall, near checkID) Refusal {
	r := Refusal{Check: s.Check, Value: s.Value, Limit: s.Limit, Unit: s.Unit, Why: s.Role}
	if r.Check == "" {
		r.Check = checkNames[near].name
	}
	if s.Need != "" {
		r.Cure = s.Need
		for _, c := range s.Cures {
			if c.Text == s.Need && !c.Measure {
				r.Cure = "buy " + s.Need
			}
		}
	}
	r.miss, r.lack = missOf(r.Value, r.Limit), lackOf(s)
	return r
}

func refusalFrom(g gauge, why string) Refusal {
	d := checkNames[g.id]
	return Refusal{Check: d.name, Value: g.value, Limit: g.limit, Unit: d.unit, Why: why, miss: -g.room()}
}

func missOf(value, limit float64) float64 {
	if limit == 0 || math.IsNaN(value) || math.IsInf(value, 0) {
		return 1
	}
	return math.Abs(value-limit) / math.Abs(limit)
}
