package control

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// Practice of the control network. Sources beside the figures.
const (
	// V across the shunt, so that the offset stays a small part; shunt pages give 50 to 200 mV
	SenseLeast = 80e-3
	SenseMost  = 300e-3 // V
	// x wanted current, never exceeded: a pack charged at half its 1C limit keeps well below it
	CurrentCeiling = 1.25
	RatioAged      = 0.5  // of the stated transfer ratio: smaller current and age; from memory
	diodeDrop      = 0.75 // V, small silicon diode
	// A, through the LED of an optocoupler for good; rated 50 to 60 (from memory)
	LEDMost      = 20e-3
	LEDLeastDrop = 1.0    // V, lowest forward voltage of an optocoupler LED
	driftGuess   = 100e-6 // 1/K, a reference that does not say (TL431 family 92 ppm/K)
	BenchWarm    = 25     // C, at which makers state the reference and a bench sets it
)

// Control is a regulation network designed for one target and one feedback demand.
type Control struct {
	Amp       *stock.Stock[catalog.Amplifier]
	Ref       *stock.Stock[catalog.Reference] // nil when the amplifier chip holds it
	Opto      *stock.Stock[catalog.Optocoupler]
	Voltage   regulation.VoltageNetwork
	Current   regulation.CurrentNetwork
	Bias      regulation.BiasNetwork
	LED       regulation.LEDNetwork
	Need      si.Current
	Strength  si.Current // that the amplifier surely drives
	Drive     regulation.Drive
	Indicator bool // the two loops are joined by indicator LEDs, else by diodes
	Lowest    si.Voltage
	Own       si.Current // what the secondary circuit takes from the output
	Vref      si.Voltage
	Gauges    []substitute.Gauge
}

// Steps is how many measurements finish the network.
func (c *Control) Steps() int {
	if c.Voltage.Step != nil {
		return 1
	}
	return 0
}

// Wish is one pair of amplifier and reference.
type Wish struct {
	Amp                *stock.Stock[catalog.Amplifier]
	Ref                *stock.Stock[catalog.Reference]
	Vref               si.Interval[si.Voltage]
	Nominal            si.Voltage
	offset             si.Voltage // with what the input current drops over the loop resistor
	bias               si.Current
	drive              regulation.Drive
	drift              si.Ratio // of the reference, from the bench to the hottest case
	cathodeMin, cathMx si.Current
	looseness          float64
}

// VoltageKey is the voltage divider that the pair needs for a target.
func (w Wish) VoltageKey(t substitute.Target) voltageKey {
	return voltageKey{t.Set, t.Absolute, t.BandLow, t.BandHigh, w.Vref, w.Nominal, w.offset, w.bias,
		w.drift}
}

// Wishes lists the pairs on hand, the tightest first: spread of the reference plus offset against
// it, then fixed order.
func (j *Designer) Wishes(d *stock.Drawer) []Wish {
	var out []Wish
	asked := seats.Circuit{Absolute: j.Target.Absolute}
	suits, holds := stock.Suits[catalog.Amplifier](seats.Amplifier, &asked),
		stock.Suits[catalog.Reference](seats.Reference, &asked)
	for i := range d.Amplifiers {
		a := &d.Amplifiers[i]
		p := a.Part
		if !suits(a) {
			continue
		}
		base := Wish{Amp: a, bias: p.BiasCurrent.Value, drive: regulation.DriveUp}
		base.offset = p.Offset.Value + si.Voltage(float64(base.bias)*float64(j.InputOhm()))
		if p.Function == "combined" && p.Vref.Known() {
			w := base
			// one plus input is tied to the reference inside: its output falls as the voltage rises
			w.drive = regulation.PullDown
			w.setReference(p.VrefMin, p.Vref, p.VrefMax, driftGuess, p.CathodeMin.Value,
				p.CathodeMax.Value)
			out = append(out, w)
			continue
		}
		for k := range d.References {
			r := &d.References[k]
			if !holds(r) {
				continue
			}
			w := base
			w.Ref = r
			w.setReference(r.Part.VrefMin, r.Part.Vref, r.Part.VrefMax, r.Part.Drift.Value,
				r.Part.CathodeMin.Value, r.Part.CathodeMax.Value)
			out = append(out, w)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].looseness < out[j].looseness })
	return out
}

func (w *Wish) setReference(low, mid, high catalog.Datum[si.Voltage], drift si.TempCo, cathodeMin,
	cathodeMax si.Current) {
	w.Nominal = mid.Value
	w.Vref = si.Interval[si.Voltage]{Low: low.Value, High: high.Value}
	if low.Known() && high.Known() && low.Basis == catalog.Measured {
		w.Nominal = w.Vref.Mid()
	}
	w.cathodeMin, w.cathMx = cathodeMin, cathodeMax
	w.drift = si.Ratio(float64(drift) * float64(substitute.InsideLimit-BenchWarm))
	w.looseness = float64(w.Vref.Width()/2+w.offset) / float64(w.Nominal)
}

// regulate designs the network for a switcher that stops at the given optocoupler current. The
// first pair of amplifier and reference, tightest first, for which everything passes is taken;
// otherwise the refusal of the most promising one. Those that need no measurement come first.
func (j *Designer) regulate(d *stock.Drawer, stop si.Current) (Control, substitute.Refusal, bool) {
	pairs := j.Wishes(d)
	if len(pairs) == 0 {
		return Control{}, j.noAmplifier(d), false
	}
	optos := usableOptos(d)
	if len(optos) == 0 {
		return Control{}, substitute.Refusal{
			Check: substitute.CheckNames[substitute.ChkIsolation].Name,
			Limit: float64(seats.IsolationLeast), Unit: "V", Miss: 1,
			Why:  "no optocoupler on hand bridges the mains barrier",
			Cure: "buy an optocoupler of 5000 V isolation, transfer ratio 80 % or more"}, false
	}
	c, first, ok := j.firstOf(pairs, optos, stop, false)
	if !ok {
		// what ordinary resistors do not hold by themselves, a measurement on the bench may finish
		if c, _, ok = j.firstOf(pairs, optos, stop, true); ok {
			first = substitute.Refusal{}
		}
	}
	return c, first, ok
}

// firstOf designs the network around the first pair of amplifier and reference for which everything
// passes, with a voltage divider that a measurement finishes or with one that needs none.
func (j *Designer) firstOf(pairs []Wish, optos []*stock.Stock[catalog.Optocoupler], stop si.Current,
	measured bool) (Control, substitute.Refusal, bool) {
	var first substitute.Refusal
	for i, w := range pairs {
		led := ledPath{j}
		if g := led.floor(w, optos); !g.Passed() {
			if first.Check == "" {
				first = refusalFrom(g, "the amplifier cannot drive the optocoupler from "+
					"an empty pack")
				first.Cure = "feed the control circuit from a winding of its own; this program " +
					"does not work that out"
			}
			continue
		}
		half, why := j.loopsOf(loopsKey{i, measured}, w)
		c := half.control
		if why.Check == "" {
			why = led.ledFor(&c, w, optos, stop, half.legs, half.bias)
			if why.Check != "" && led.ledFor(&c, w, optos, stop, half.heavy,
				half.bias).Check == "" {
				why = substitute.Refusal{}
			}
		}
		if why.Check == "" {
			why = c.finish(j, w)
		}
		if why.Check == "" {
			return c, substitute.Refusal{}, true
		}
		if first.Check == "" {
			first = why
		} else {
			first.Lack = joinLacks(first.Lack, why.Lack)
		}
	}
	return Control{}, first, false
}

// ledPath finds an optocoupler and the way of its LED's current.
type ledPath struct{ *Designer }

// floor is the output below which this amplifier cannot work at all, whatever the resistors: its
// own supply, and its headroom with one diode and the LED of the optocoupler.
func (j ledPath) floor(w Wish, optos []*stock.Stock[catalog.Optocoupler]) substitute.Gauge {
	led := math.Inf(1)
	for _, o := range optos {
		led = min(led, float64(o.Part.Forward.Value))
	}
	end := w.Amp.Part.Headroom.Value
	if w.drive == regulation.PullDown {
		end = sinkLow
	}
	drive := end + diodeDrop + si.Voltage(led)
	return substitute.Most(substitute.ChkLowestRegulated, max(w.Amp.Part.SupplyMin.Value, drive),
		j.Target.Empty)
}

// loops are the two dividers and the reference bias, which do not depend on the switcher, with the
// resistors they leave.
type loops struct {
	control Control
	legs    resistors.Stock
	heavy   resistors.Stock
	bias    regulation.BiasSpec
}

// loopsKey is a pair of amplifier and reference by its place, and whether a measurement finishes
// the voltage divider.
type loopsKey struct {
	pair     int
	measured bool
}

// loopsOf designs the loops of a pair of amplifier and reference once.
func (j *Designer) loopsOf(k loopsKey, w Wish) (loops, substitute.Refusal) {
	if l, seen := j.loops[k]; seen {
		return l.loops, l.refusal
	}
	l, why := j.design(w, k.measured)
	j.loops[k] = loopsAnswer{l, why}
	return l, why
}

type loopsAnswer struct {
	loops   loops
	refusal substitute.Refusal
}

func (j *Designer) noAmplifier(d *stock.Drawer) substitute.Refusal {
	r := substitute.Refusal{Check: substitute.CheckNames[substitute.ChkSupplyHigh].Name,
		Value: float64(j.Target.Absolute), Unit: "V", Miss: 1,
		Cure: fmt.Sprintf("buy a dual op-amp with inputs to ground that bears %.0f V",
			math.Ceil(float64(j.Target.Absolute)))}
	for i := range d.Amplifiers {
		if p := d.Amplifiers[i].Part; (p.Function == "dual" || p.Function == "combined") &&
			float64(p.SupplyMax.Value) > r.Limit {
			r.Limit = float64(p.SupplyMax.Value)
		}
	}
	if r.Limit > 0 {
		r.Miss = r.Value/r.Limit - 1
		r.Why = "the amplifier lives on the output"
	} else {
		r.Why, r.Cure = "no dual op-amp on hand",
			"buy a dual op-amp with inputs to ground, such as LM358"
	}
	return r
}

// usableOptos keeps those that may bridge the mains, best transfer ratio first.
func usableOptos(d *stock.Drawer) []*stock.Stock[catalog.Optocoupler] {
	var out []*stock.Stock[catalog.Optocoupler]
	asked := seats.Circuit{}
	suits := stock.Suits[catalog.Optocoupler](seats.Optocoupler, &asked)
	for i := range d.Optos {
		if suits(&d.Optos[i]) {
			out = append(out, &d.Optos[i])
		}
	}
	sort.SliceStable(out, func(a, b int) bool {
		return seats.Optocoupler.In(&asked).Prefers(out[a].Figures) <
			seats.Optocoupler.In(&asked).Prefers(out[b].Figures)
	})
	return out
}

// Power resistors between these values are no use for clamp, bleed or the sensing of a switcher.
const (
	heavyLow  = 50
	heavyHigh = 5e3
)

// resistorStock turns the drawer's resistors into the stock of the network design. Power resistors
// are kept for clamp and bleed, but for those of few ohms.
func resistorStock(d *stock.Drawer) (legs, heavy resistors.Stock, shunts []resistors.Piece) {
	var pieces, power []resistors.Piece
	for i := range d.Resistors {
		p, piece := d.Resistors[i].Part, d.Piece(i)
		switch {
		case p.Type == "fusible":
		case p.Resistance.Value <= 2:
			shunts = append(shunts, piece)
		case p.Rating.Value < 1:
			pieces = append(pieces, piece)
		case p.Resistance.Value >= heavyLow && p.Resistance.Value < heavyHigh:
			power = append(power, piece)
		}
	}
	return resistors.NewStock(pieces), resistors.NewStock(power), shunts
}

func trimmerStock(d *stock.Drawer) []resistors.TrimmerPiece {
	var out []resistors.TrimmerPiece
	suits := stock.Suits[catalog.Trimmer](seats.VoltageTrimmer, &seats.Circuit{})
	for i := range d.Trimmers {
		p := d.Trimmers[i].Part
		if !suits(&d.Trimmers[i]) {
			continue // drifts too much for a lithium set point (common practice)
		}
		out = append(out, resistors.TrimmerPiece{Lot: int64(i + 1), Ohm: p.Resistance.Value,
			Tolerance: p.Tolerance.Value,
			End:       p.End.Value, Count: int(d.Trimmers[i].Count + 1e-9)})
	}
	return out
}

// deepShares are the outputs, as shares of the empty pack's voltage, down to which the loops are
// made to live, the lowest that can be had being taken: a deeply discharged pack pulls the output
// below the voltage of an empty one, and where the current loop is dead only the converter's own
// limit holds the current.
var deepShares = []float64{0.5, 0.65, 0.8, 0.9, 1}

// design works out the dividers and the reference bias around one amplifier and reference, in the
// order in which they bind. What one part takes is gone for the next.
func (j *Designer) design(w Wish, measured bool) (loops, substitute.Refusal) {
	t := j.Target
	l := loops{control: Control{Amp: w.Amp, Ref: w.Ref, Vref: w.Nominal, Drive: w.drive},
		legs: j.Legs, heavy: j.heavy}
	trimmers := j.Trims
	vs, short := j.voltages(w.VoltageKey(t))
	if measured && len(vs) == 0 {
		vs = j.measured(w.VoltageKey(t))
	}
	if len(vs) == 0 {
		return l, refusalOf(short, substitute.ChkOvercharge)
	}
	l.control.Voltage = vs[0]
	l.legs = l.legs.Without(vs[0].Top).Without(vs[0].Bottom).WithoutLots(vs[0].Step.Uses())
	if vs[0].HasTrimmer {
		trimmers = withoutTrimmer(trimmers, vs[0].Trimmer)
	}
	cs, short := j.currents(w, measured, l.legs, trimmers)
	if len(cs) == 0 {
		return l, refusalOf(short, substitute.ChkCurrentHigh)
	}
	l.control.Current = cs[0]
	l.legs = l.legs.Without(cs[0].Top).Without(cs[0].Bottom)
	var missing regulation.Shortfall
	for _, share := range deepShares {
		l.bias = regulation.BiasSpec{Supply: si.Interval[si.Voltage]{Low: t.Empty *
			si.Voltage(share), High: vs[0].WorstHigh}, Vref: w.Nominal,
			CathodeMin: w.cathodeMin, CathodeMax: w.cathMx, Draw: cs[0].Draw}
		if l.control.Bias, missing = regulation.DesignBias(l.bias, l.legs); missing.Role == "" {
			l.legs = l.legs.Without(l.control.Bias.Resistor)
			return l, substitute.Refusal{}
		}
	}
	var none regulation.Shortfall
	if l.control.Bias, none = regulation.DesignBias(l.bias, l.heavy); none.Role == "" {
		l.heavy = l.heavy.Without(l.control.Bias.Resistor)
		return l, substitute.Refusal{}
	}
	return l, refusalOf(missing, substitute.ChkBiasMinimum)
}

// finish reckons what the circuit takes for itself and holds it against its limits.
func (c *Control) finish(j *Designer, w Wish) substitute.Refusal {
	c.Own = c.Bias.MaxCathode + c.Current.Draw + c.Voltage.Current +
		w.Amp.Part.SupplyCurrent.Value + c.LED.Least
	c.gaugeUp(j, w)
	for _, g := range c.Gauges {
		if !substitute.CheckNames[g.Id].Soft && !g.Passed() {
			r := refusalFrom(g, "")
			if g.Id == substitute.ChkConnectInput {
				r.Cure = "buy three equal resistors of 2.2 to 4.7 kohm for the inputs of " +
					"the amplifier"
			}
			return r
		}
	}
	return substitute.Refusal{}
}

// ledFor joins the loops by small-signal diodes where the drawer holds them: they bear the whole
// output the wrong way round, and live on 1.4 V less. Indicator LEDs, which tell the builder when
// to unplug, join them only where there are no such diodes and the resting LED sees no more than it
// bears. Each way goes down to the lowest output that can be had.
func (j ledPath) ledFor(c *Control, w Wish, optos []*stock.Stock[catalog.Optocoupler],
	stop si.Current, legs resistors.Stock, bias regulation.BiasSpec) substitute.Refusal {
	var first substitute.Refusal
	for _, indicator := range j.joinsFor(c, w) {
		for _, share := range deepShares {
			for _, o := range optos {
				why := j.ledWith(c, w, o, indicator, j.Target.Empty*si.Voltage(share),
					stop, legs, bias)
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

// joinsFor says whether indicator LEDs may join the loops, in the order to try.
func (j ledPath) joinsFor(c *Control, w Wish) []bool {
	suits := stock.Suits[catalog.Rectifier](seats.JoiningDiode,
		&seats.Circuit{Absolute: j.Target.Absolute})
	for i := range j.Drawer.Rectifiers {
		if d := &j.Drawer.Rectifiers[i]; d.Count >= float64(seats.JoiningDiode.Pieces()) &&
			suits(d) {
			return []bool{false}
		}
	}
	// the other amplifier may pull as far as the output stands when the pack comes off, and that is
	// known only later
	if c.Voltage.WorstHigh*unplugRise-w.Amp.Part.Headroom.Value-seats.IndicatorDrop > LEDReverse {
		return []bool{false}
	}
	return []bool{true, false}
}

// unplugRise is how far the output may run up when a pack comes off, where LEDs are thought of;
// from memory.
const unplugRise = 1.25

// ledWith designs the LED resistor for one optocoupler, with indicator LEDs or diodes, down to the
// given output.
func (j ledPath) ledWith(c *Control, w Wish, o *stock.Stock[catalog.Optocoupler], indicator bool,
	low si.Voltage, stop si.Current, legs resistors.Stock,
	bias regulation.BiasSpec) substitute.Refusal {
	amp := w.Amp.Part
	need := regulation.LEDNeed(stop, o.Part.RatioMin.Value*RatioAged)
	strength := amp.Source.Value
	if w.drive == regulation.PullDown {
		strength = amp.Sink.Value
	}
	if need > strength {
		return refusalFrom(substitute.Most(substitute.ChkDrive, need, strength),
			"another optocoupler with a higher current transfer ratio, or an amplifier "+
				"that drives more")
	}
	spec := regulation.LEDSpec{Drive: w.drive,
		Supply:  si.Interval[si.Voltage]{Low: low, High: c.Voltage.WorstHigh},
		Forward: o.Part.Forward.Value, ForwardLeast: LEDLeastDrop, OutputDrop: amp.Headroom.Value,
		OutputLow: sinkLow,
		Diode:     diodeDrop, Need: need, SinkMax: LEDMost}
	if indicator {
		spec.Forward += seats.IndicatorDrop
		spec.Diode = 0
	}
	net, short := regulation.DesignLED(spec, legs)
	if short.Role != "" {
		return refusalOf(short, substitute.ChkLED)
	}
	live := regulation.LiveSpec{AmplifierMin: amp.SupplyMin.Value, HighestInput: c.Current.Sense,
		InputHeadroom: amp.Headroom.Value,
		LED:           spec, LEDResistor: net.Resistor, Bias: bias, BiasResistor: c.Bias.Resistor}
	lowest := regulation.LowestRegulated(live)
	if lowest > j.Target.Empty {
		return refusalFrom(substitute.Most(substitute.ChkLowestRegulated, lowest, j.Target.Empty),
			regulation.Floors(live)[0].Name)
	}
	c.Strength = strength
	c.Opto, c.LED, c.Need, c.Indicator, c.Lowest = o, net, need, indicator, lowest
	return substitute.Refusal{}
}

// gaugeUp holds the finished network against its limits.
func (c *Control) gaugeUp(j *Designer, w Wish) {
	t, v, i := j.Target, c.Voltage, c.Current
	hold := func(g substitute.Gauge) { c.Gauges = append(c.Gauges, g) }
	if v.HasTrimmer {
		hold(substitute.Least(substitute.ChkSetReach, v.ReachHigh, t.Set).From(float64(t.Absolute)))
		hold(substitute.Most(substitute.ChkSetReachHigh, v.ReachLow,
			t.Set).From(float64(t.BandLow)))
	}
	hold(substitute.Most(substitute.ChkOvercharge, v.WorstHigh, t.Absolute).From(float64(t.Set)))
	hold(substitute.Most(substitute.ChkOpenWiper, v.OpenWiper, t.Absolute).From(float64(t.Set)))
	hold(substitute.Most(substitute.ChkWarm, warmest(t.Set, v, w.drift),
		t.Absolute).From(float64(t.Set)))
	hold(substitute.Most(substitute.ChkCurrentHigh, i.WorstHigh,
		t.Current*CurrentCeiling).From(float64(t.Current)))
	hold(substitute.Most(substitute.ChkShuntPower, i.ShuntPower,
		i.ShuntPower/si.Power(max(1e-9, i.ShuntLoad))*0.5))
	hold(substitute.Least(substitute.ChkBiasMinimum, c.Bias.MinCathode, w.cathodeMin))
	hold(substitute.Most(substitute.ChkBiasMaximum, c.Bias.MaxCathode, w.cathMx))
	hold(substitute.Most(substitute.ChkSupplyHigh, v.WorstHigh, c.Amp.Part.SupplyMax.Value))
	hold(substitute.Least(substitute.ChkLED, c.LED.Least, c.Need))
	hold(substitute.Most(substitute.ChkDrive, c.Need, c.Strength))
	hold(substitute.Most(substitute.ChkLowestRegulated, c.Lowest, t.Empty))
	hold(substitute.Least(substitute.ChkIsolation, c.Opto.Part.Isolation.Value,
		seats.IsolationLeast))
	hold(j.connectGauge(c))
	hold(substitute.Most(substitute.ChkOffset, w.offset, 0.05*i.Sense))
}

// warmest is the output once the case is hot: of the voltage set by the meter on the bench, or of
// the highest corner where there is nothing to set.
func warmest(set si.Voltage, v regulation.VoltageNetwork, drift si.Ratio) si.Voltage {
	switch {
	case v.Step != nil:
		return v.WorstHigh // with drift and heat
	case !v.HasTrimmer:
		set = v.WorstHigh
	}
	return set * si.Voltage(1+drift)
}

// JoinDrop is the highest drop of the LED or diode that joins an amplifier to the optocoupler.
func (c *Control) JoinDrop() si.Voltage {
	if c.Indicator {
		return seats.IndicatorDrop
	}
	return diodeDrop
}

func withoutTrimmer(all []resistors.TrimmerPiece,
	t resistors.TrimmerPiece) []resistors.TrimmerPiece {
	out := append([]resistors.TrimmerPiece(nil), all...)
	for i := range out {
		if out[i].Lot == t.Lot {
			out[i].Count--
		}
	}
	return out
}

// refusalOf turns a shortfall of the network design into a refusal; the check it names stands for
// the nearest of ours.
func refusalOf(s regulation.Shortfall, near substitute.CheckID) substitute.Refusal {
	r := substitute.Refusal{Check: s.Check, Value: s.Value, Limit: s.Limit,
		Unit: s.Unit, Why: s.Role}
	if r.Check == "" {
		r.Check = substitute.CheckNames[near].Name
	}
	if s.Need != "" {
		r.Cure = s.Need
		for _, c := range s.Cures {
			if c.Text == s.Need && !c.Measure {
				r.Cure = "buy " + s.Need
			}
		}
	}
	r.Miss, r.Lack = missOf(r.Value, r.Limit), lackOf(s)
	return r
}

func refusalFrom(g substitute.Gauge, why string) substitute.Refusal {
	d := substitute.CheckNames[g.Id]
	return substitute.Refusal{Check: d.Name, Value: g.Value, Limit: g.Limit, Unit: d.Unit, Why: why,
		Miss: -g.Margin()}
}

func missOf(value, limit float64) float64 {
	if limit == 0 || math.IsNaN(value) || math.IsInf(value, 0) {
		return 1
	}
	return math.Abs(value-limit) / math.Abs(limit)
}
