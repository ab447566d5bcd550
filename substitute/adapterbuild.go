package substitute

import (
	"fmt"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// AdapterUse is a whole adapter as a build takes it over: its own regulator taken out, ours put in its place.
type AdapterUse struct {
	Lot         int64         `json:"lot,omitempty"`
	Designation string        `json:"designation"`
	Chip        string        `json:"chip"`
	PlateVolts  si.Voltage    `json:"plate_v"`
	PlateAmps   si.Current    `json:"plate_a"`
	PlateWatts  si.Power      `json:"plate_w"`
	Ratio       si.Ratio      `json:"turns_ratio"`
	Reflected   si.Voltage    `json:"reflected_v"` // at the set point
	BusMax      si.Voltage    `json:"bus_max_v"`
	DrainPeak   si.Voltage    `json:"drain_peak_v"`
	Reverse     si.Voltage    `json:"rectifier_reverse_v"`
	SupplyMin   si.Voltage    `json:"chip_supply_min_v,omitzero"`
	SupplyMax   si.Voltage    `json:"chip_supply_max_v,omitzero"`
	Power       si.Power      `json:"power_w"`   // taken from it at full current into a full pack
	Current     si.Current    `json:"current_a"` // the same, control circuit included
	Swaps       []AdapterSwap `json:"swaps"`
	Steps       []string      `json:"steps"` // what to do to it, in order
}

// AdapterSwap is a part of the drawer that goes into the adapter.
type AdapterSwap struct {
	Role        string `json:"role"`
	Lot         int64  `json:"lot"`
	Designation string `json:"designation"`
	Quantity    int    `json:"quantity"`
	Moves       string `json:"moves"` // the limit it moves
}

// Names of checks of adapters that have no number.
const (
	checkAdapterFigures = "adapter figures"
	checkAdapterState   = "adapter tried with a load"
	checkAdapterLoop    = "regulation of the adapter"
)

// unfit says why an adapter can become no charger at all, whatever the target, and the cure; empty when nothing is.
func (u *adapterUnit) unfit() (check, why, cure string) {
	p := u.part
	measure := func(what string) (string, string, string) {
		return checkAdapterFigures, "cannot be called feasible: " + what + " not known", "read " + what
	}
	switch {
	case p.Barrier != "yes":
		return checkBarrier, "nobody has declared its barrier whole; a meter cannot tell",
			"enter barrier=yes only when its class II mark and approval are seen and its transformer was never opened or reheated"
	case p.State == "dead":
		return checkAdapterState, "it is dead", "mend it first, or strip it for parts"
	case p.State != "working":
		return checkAdapterState, "cannot be called feasible: nobody has tried it", "load it at its own voltage, then enter state=working"
	case p.Regulation == "primary":
		return checkAdapterLoop, "it is regulated on the mains side: our optocoupler has nothing to act on",
			"use one with an optocoupler, or its transformer"
	case p.Regulation != "secondary":
		return measure("where it is regulated (regulation)")
	case !u.listed:
		return measure("type of its chip (chip), in the tables or the drawer,")
	case !u.chip.FeedbackStop.Known():
		return measure("feedback current that stops its chip")
	case !p.MainsMin.Known():
		return measure("lowest mains voltage on its plate (mains_min)")
	}
	return "", "", ""
}

// adapterBuilds tries every adapter of the drawer with our regulation in place of its own.
func (j *job) adapterBuilds() (builds []Build, refused []Refusal) {
	for i := range j.drawer.adapters {
		mains := si.Interval[si.Voltage]{Low: j.target.MainsMin, High: j.target.MainsMax}
		u := openAdapter(&j.drawer.adapters[i], j.drawer, mains, j.target.Line)
		b, why := j.adapterBuild(u)
		if why.Check != "" {
			why.Core, why.Switcher = u.stock.name(), ""
			refused = append(refused, why)
			continue
		}
		builds = append(builds, b)
	}
	return builds, refused
}

func (j *job) adapterBuild(u *adapterUnit) (Build, Refusal) {
	if check, why, cure := u.unfit(); check != "" {
		return Build{}, Refusal{Check: check, Why: why, Cure: cure, miss: 7}
	}
	ctl := j.controlFor(u.chip.FeedbackStop.Value)
	if ctl == nil {
		return Build{}, Refusal{Check: checkAdapterLoop, Why: "no control circuit can be made for its chip from the drawer", miss: 6}
	}
	u, why := j.fitAdapter(u, ctl)
	if why.Check != "" {
		return Build{}, why
	}
	b := j.assembleAdapter(u, ctl)
	if l := b.Regulation.Loops; !l.steady() {
		return Build{}, l.refusal()
	}
	return b, Refusal{}
}

// fitAdapter exchanges parts until every limit is kept, or says which is not. A part exchanged also cures a figure nobody
// read.
func (j *job) fitAdapter(u *adapterUnit, ctl *control) (*adapterUnit, Refusal) {
	for len(u.swaps) <= mostSwaps {
		gs, lacks := j.adapterGauges(u, ctl)
		g, room := worstOf(gs)
		if len(lacks) == 0 && room >= 0 {
			return u, Refusal{}
		}
		id, why := g.id, Refusal{Check: checkNames[g.id].name, Value: g.value, Limit: g.limit, Unit: checkNames[g.id].unit, miss: -room}
		if room >= 0 {
			id = lacks[0].id
			why = Refusal{Check: checkAdapterFigures, Why: "cannot be called feasible: not known: " + lacks[0].lack,
				Cure: "measure " + lacks[0].lack, miss: 7}
		}
		next := j.bestCure(u, ctl, id)
		if next == nil {
			return u, why
		}
		u = next
	}
	return u, Refusal{Check: checkAdapterFigures, Why: "more than four of its parts would have to be exchanged", miss: 5}
}

// bestCure is the exchange that leaves a limit the most room, more than a quarter counting as a quarter, so that the first
// good one of the fixed order is taken; nil when none keeps the limit.
func (j *job) bestCure(u *adapterUnit, ctl *control, id checkID) *adapterUnit {
	var best *adapterUnit
	bestRoom := 0.0
	for _, c := range u.cures(id, j.drawer) {
		if u.exchanged(c.swaps[len(c.swaps)-1].role) {
			continue
		}
		gs, _ := j.adapterGauges(c, ctl)
		for _, g := range gs {
			if r := min(0.25, percent(g.room())); g.id == id && g.passed() && (best == nil || r > bestRoom) {
				best, bestRoom = c, r
			}
		}
	}
	return best
}

// adapterGauges holds an adapter with our regulation against every limit, and lists the limits for which a figure is
// lacking. The rail of the adapter is the pack and the drop of the shunt.
func (j *job) adapterGauges(u *adapterUnit, ctl *control) (gs []gauge, lacks []bendLimit) {
	t, p := j.target, u.part
	sense := ctl.current.Sense
	for _, l := range u.limits() {
		at := t.Set + sense
		switch {
		case l.own:
			continue // its own regulator is taken out
		case l.lack != "":
			lacks = append(lacks, l)
			continue
		case l.id == chkBiasLow:
			at = t.Empty + sense
		case l.id == chkReverse || l.id == chkBiasHigh || l.id == chkReflected:
			at = t.Absolute + sense
		case l.id == chkOutputVoltage || l.id == chkZener:
			at = ctl.voltage.WorstHigh
		}
		gs = append(gs, l.at(at))
	}
	watts, amps := u.load(t, ctl)
	gs = append(gs, most(chkPlatePower, watts, u.watts()), most(chkPlateCurrent, amps, p.Amps.Value),
		least(chkLowMains, t.MainsMin, p.MainsMin.Value*lowMainsUse), most(chkAmbient, t.Ambient, si.Celsius(hottestRoom)),
		least(chkDeclared, si.Ratio(1), 1))
	if u.exchanged(roleRectifier) {
		gs = append(gs, most(chkRectifierCurrent, t.Current, p.RectifierAverage.Value*rectifierUse))
	}
	if p.YCapacitor.Known() {
		gs = append(gs, most(chkTouch, t.touchCurrent(p.YCapacitor.Value, catalog.Datum[si.Ratio]{}), touchLimit))
	}
	return append(gs, ctl.gauges...), lacks
}

// load is what the charger takes from the adapter at full current into a full pack.
func (u *adapterUnit) load(t Target, ctl *control) (si.Power, si.Current) {
	i := t.Current + ctl.own
	return si.Power(float64(t.Set+ctl.current.Sense) * float64(i)), i
}

// adapterStage stands for the stage inside an adapter when the loops are worked out: the inductance that passes the watts
// of its plate at the lowest limit of its chip, 2 P/(f I2), a fifth more at most; a chip whose limit is set outside, and
// was not read, at the peak of a triangle over half the period. The second is the job with the adapter's own output
// capacitor.
func (j *job) adapterStage(u *adapterUnit, ctl *control) (*measured, *job) {
	c, watts := u.chip, float64(u.watts())/ownEfficiency
	v := &variant{stock: &stock[catalog.Switcher]{part: c}, frequency: c.Frequency.Or(67e3), delay: c.Delay.Or(defaultDelay),
		gated: c.Control == "on-off"}
	v.freq = si.Interval[si.Frequency]{Low: c.FrequencyMin.Or(v.frequency * 0.9), High: c.FrequencyMax.Or(v.frequency * 1.1)}
	triangle := si.Current(4 * watts / float64(u.busMin))
	v.limit = si.Interval[si.Current]{Low: c.LimitMin.Or(triangle), High: c.LimitMax.Or(1.5 * triangle)}
	m := &measured{design: design{v: v, np: int(1000*u.ratio + 0.5), ns: 1000, rect: &rectifierChoice{drop: u.drop()}}, state: state{share: 1},
		reflected: u.reflected(j.target.Set + ctl.current.Sense), busMin: u.busMin}
	m.inductance = si.Inductance(2 * watts / (float64(v.frequency) * float64(v.limit.Low) * float64(v.limit.Low)))
	m.band = si.Interval[si.Inductance]{Low: m.inductance, High: 1.2 * m.inductance}
	load, _ := u.load(j.target, ctl)
	p := flyback.Point{Bus: u.busMin, Reflected: m.reflected, Power: load / ownEfficiency, Inductance: m.inductance, Frequency: v.frequency}
	if v.gated {
		m.op, m.share = flyback.OperateGated(p, v.limit.Mid())
	} else {
		m.op = flyback.Operate(p)
	}
	k := *j
	k.output = capacitorSet{n: 1, least: u.part.Capacitance.Or(100e-6) * 0.8, volts: u.part.CapacitorVolts.Value}
	return m, &k
}

// assembleAdapter writes an adapter out as a build.
func (j *job) assembleAdapter(u *adapterUnit, ctl *control) Build {
	b := newBasket()
	out := Build{Kind: DonorAdapter, Verdict: Feasible}
	take(b, "adapter", *u.stock, 1)
	for _, s := range u.swaps {
		s.take(b)
	}
	stage, k := j.adapterStage(u, ctl)
	k.regulationOut(&out, stage, ctl, b)
	j.takeOutputFuse(b)
	out.Parts = sortedUses(b.uses)
	gs, _ := j.adapterGauges(u, ctl)
	gs = append(append(gs, k.loopGauges(ctl, out.Regulation.Loops)...), k.connectGauges(ctl, b)...)
	out.Checks = u.checks(gs)
	out.Adapter = j.adapterUse(u, ctl)
	out.Warnings = append(append(u.warnings(ctl, gs), loopWarnings(out.Regulation.Loops, ctl)...), ctl.drainWarning())
	out.Warnings = append(out.Warnings, reversedWarning(b, j.target)...)
	margin, binding, _ := tightest(gs)
	watts := out.Adapter.Power
	loss := watts*(1/ownEfficiency-1) + watts - si.Power(float64(j.target.Set)*float64(j.target.Current))
	out.Score = scoreOf(b, margin, binding, loss)
	if out.Score.Missing > 0 {
		out.Verdict = NeedsParts
	}
	out.Drawing = Drawing{Voltage: ctl.voltage, Current: ctl.current, Bias: ctl.bias, BulkHigh: u.part.Bulk.Value * 1.2, BleedTo: bleedVolts,
		Feedback: u.chip.Feedback, Unheld: k.unheld(stage, j.target.Empty)}
	out.Drawing.StandIn = k.standIn(out, u, stage, loss)
	return out
}

// standIn is the build with the assumed stage of its adapter in it.
func (j *job) standIn(b Build, u *adapterUnit, m *measured, loss si.Power) *Build {
	j.switcherOut(&b, m)
	rail := j.target.Set + b.Regulation.Sense
	low, high := u.clampAt(rail)
	useful := float64(j.target.Set) * float64(j.target.Current)
	b.Transformer = Transformer{PrimaryTurns: m.np, SecondaryTurns: m.ns, Inductance: m.inductance, InductanceLow: m.band.Low,
		InductanceHigh: m.band.High, Reflected: m.reflected}
	b.Stage = Stage{BusMin: u.busMin, BusMax: u.busMax, Mode: m.op.Mode.String(), Clamp: high, RectifierDrop: u.drop(), PulseShare: m.share,
		Throughput: b.Adapter.Power, PrimaryPeak: m.op.Peak}
	if u.part.ChipSupply.Known() {
		b.Transformer.BiasTurns = 1 // there is one; its turns are not known and not used
		b.Stage.BiasMin, b.Stage.BiasMax = b.Adapter.SupplyMin, b.Adapter.SupplyMax
	}
	b.Losses = Losses{Other: loss}
	b.Efficiency = useful / (useful + float64(loss))
	b.Drawing.ClampLow = low
	return &b
}

// checks writes the gauges out, each with its basis, in the order of their numbers.
func (u *adapterUnit) checks(gs []gauge) []Check {
	basis := map[checkID]string{}
	for _, l := range u.limits() {
		basis[l.id] = l.words()
	}
	gs = append([]gauge(nil), gs...)
	sort.SliceStable(gs, func(a, b int) bool { return gs[a].id < gs[b].id })
	var out []Check
	for _, g := range gs {
		out = append(out, g.check(basis[g.id]))
	}
	return out
}

func (j *job) adapterUse(u *adapterUnit, ctl *control) *AdapterUse {
	t, p := j.target, u.part
	rail := t.Set + ctl.current.Sense
	_, clamp := u.clampAt(rail)
	watts, amps := u.load(t, ctl)
	out := &AdapterUse{Designation: u.stock.name(), Chip: p.Chip, PlateVolts: p.Volts.Value, PlateAmps: p.Amps.Value,
		PlateWatts: u.watts(), Ratio: u.ratio,
		Reflected: u.reflected(rail), BusMax: u.busMax, DrainPeak: flyback.DrainPeak(u.busMax, clamp),
		Reverse: flyback.RectifierReverse(t.Absolute+ctl.current.Sense, u.busMax, u.ratio), Power: watts, Current: amps, Swaps: []AdapterSwap{}}
	if len(u.stock.lots) > 0 {
		out.Lot = u.stock.lots[0].lot
	}
	if p.ChipSupply.Known() {
		out.SupplyMin, out.SupplyMax = u.supplyAt(t.Empty+ctl.current.Sense), u.supplyAt(t.Absolute+ctl.current.Sense)
	}
	for _, s := range u.swaps {
		out.Swaps = append(out.Swaps, AdapterSwap{Role: s.role, Lot: s.place.lot, Designation: s.name, Quantity: s.count,
			Moves: checkNames[s.from].name})
	}
	out.Steps = u.steps(ctl)
	return out
}

// steps says what is done to the adapter, in order.
func (u *adapterUnit) steps(ctl *control) []string {
	p := u.part
	out := []string{
		fmt.Sprintf("Load it as it is: %s at %s. Unplug it, wait, measure its bulk capacitor, discharge it through 1 to 10 kohm, "+
			"measure again.", si.Format(p.Amps.Value, 3), si.Format(p.Volts.Value, 3)),
		"Take out its reference, the divider of that, and the resistor of its optocoupler's lamp. Touch nothing on the mains " +
			"side but the optocoupler.",
		fmt.Sprintf("Put the %s in place of its optocoupler, transistor to the same two pads, the same way round.", ctl.opto.name()),
	}
	for _, s := range u.swaps {
		out = append(out, fmt.Sprintf("Exchange its %s for %d x %s.", s.role, s.count, s.name))
	}
	return append(out,
		"Wire our control circuit: OUT to the plus of its output capacitor, control ground to the minus; the shunt between "+
			"control ground and the battery's minus.",
		"Close it as it was made. Its transformer is never opened or heated.")
}

// warnings says what nobody has computed of an adapter.
func (u *adapterUnit) warnings(ctl *control, gs []gauge) []string {
	var out []string
	for _, g := range gs {
		if d := checkNames[g.id]; d.soft && !g.passed() {
			out = append(out, fmt.Sprintf("%s is %.3g %s, better below %.3g", d.name, g.value, d.unit, g.limit))
		}
	}
	out = append(out, "transformer, chip and heat of the adapter are not computed: its plate stands for them, and it is never asked for more watts "+
		"or amperes than its plate; losses are reckoned with 80 % efficiency (from memory)",
		"its loops are reckoned with the inductance that its plate needs at the lowest limit of its chip: look for ringing with a resistor "+
			"as load before any pack")
	if u.chip.SelfSupply != "yes" && u.part.ChipSupply.Known() {
		if low := u.starvesBelow(ctl.current.Sense); low > 0 {
			out = append(out, fmt.Sprintf("a pack below %.1f V starves the chip: it tries to start again and again until the pack "+
				"has risen", float64(low)))
		}
	}
	return out
}

// starvesBelow is the pack voltage at which the bias winding no longer feeds the chip.
func (u *adapterUnit) starvesBelow(sense si.Voltage) si.Voltage {
	turns := float64(u.part.ChipSupply.Value+biasDiode) / float64(u.part.Volts.Value+u.drop())
	return si.Voltage(float64(u.chip.SupplyMin.Or(10)+biasDiode)/turns) - u.drop() - sense
}
