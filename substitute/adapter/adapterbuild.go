// Package adapter knows whole adapters: how far each can be bent, and with our regulation in it as
// a build.
package adapter

import (
	"fmt"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/bill"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// unfit says why an adapter can become no charger at all, whatever the target, and the cure; empty
// when nothing is.
func unfit(u *adapterUnit) (check, why, cure string) {
	p := u.part
	measure := func(what string) (string, string, string) {
		return substitute.CheckAdapterFigures,
			"cannot be called feasible: " + what + " not known", "read " + what
	}
	switch {
	case p.Barrier != "yes":
		return substitute.CheckBarrier,
			"nobody has declared its barrier whole; a meter cannot tell",
			"enter barrier=yes only when its class II mark and approval are seen and its " +
				"transformer was never opened or reheated"
	case p.State == "dead":
		return substitute.CheckAdapterState, "it is dead", "mend it first, or strip it for parts"
	case p.State != "working":
		return substitute.CheckAdapterState, "cannot be called feasible: nobody has tried it",
			"load it at its own voltage, then enter state=working"
	case p.Regulation == "primary":
		return substitute.CheckAdapterLoop,
			"it is regulated on the mains side: our optocoupler has nothing to act on",
			"use one with an optocoupler, or its transformer"
	case p.Regulation != "secondary":
		return measure("where it is regulated (regulation)")
	case !u.listed:
		return measure("type of its chip (chip), in the tables or the drawer,")
	case !p.MainsMin.Known():
		return measure("lowest mains voltage on its plate (mains_min)")
	}
	return "", "", ""
}

// fitter puts our regulation into whole adapters.
type fitter struct{ *bill.Writer }

func NewFitter(w *bill.Writer) *fitter { return &fitter{w} }

// AdapterBuilds tries every adapter of the drawer with our regulation in place of its own.
func (j *fitter) AdapterBuilds() (builds []substitute.Build, refused []substitute.Refusal) {
	for i := range j.Drawer.Adapters {
		mains := si.Interval[si.Voltage]{Low: j.Target.MainsMin, High: j.Target.MainsMax}
		u := openAdapter(&j.Drawer.Adapters[i], j.Drawer, mains, j.Target.Line)
		b, why := j.adapterBuild(u)
		if why.Check != "" {
			why.Core, why.Switcher = u.stock.Name(), ""
			refused = append(refused, why)
			continue
		}
		builds = append(builds, b)
	}
	return builds, refused
}

func (j *fitter) adapterBuild(u *adapterUnit) (substitute.Build, substitute.Refusal) {
	if check, why, cure := unfit(u); check != "" {
		return substitute.Build{}, substitute.Refusal{Check: check, Why: why, Cure: cure, Miss: 7}
	}
	ctl := j.ControlFor(u.chip.FeedbackStop.Value)
	if ctl == nil {
		return substitute.Build{}, substitute.Refusal{Check: substitute.CheckAdapterLoop,
			Why: "no control circuit can be made for its chip from the drawer", Miss: 6}
	}
	u, why := j.fitAdapter(u, ctl)
	if why.Check != "" {
		return substitute.Build{}, why
	}
	b := j.assembleAdapter(u, ctl)
	if l := b.Regulation.Loops; !loops.Steady(l) {
		return substitute.Build{}, loops.RefusalOfLoops(l)
	}
	return b, substitute.Refusal{}
}

// fitAdapter exchanges parts until every limit is kept, or says which is not. A part exchanged also
// cures a figure nobody read.
func (j *fitter) fitAdapter(u *adapterUnit, ctl *control.Control) (*adapterUnit,
	substitute.Refusal) {
	for len(u.swaps) <= mostSwaps {
		gs, lacks := j.adapterGauges(u, ctl)
		g, margin := substitute.WorstOf(gs)
		if len(lacks) == 0 && margin >= 0 {
			return u, substitute.Refusal{}
		}
		id, why := g.Id, substitute.Refusal{Check: substitute.CheckNames[g.Id].Name, Value: g.Value,
			Limit: g.Limit, Unit: substitute.CheckNames[g.Id].Unit, Miss: -margin}
		if margin >= 0 {
			id = lacks[0].id
			why = substitute.Refusal{Check: substitute.CheckAdapterFigures,
				Why:  "cannot be called feasible: not known: " + lacks[0].lack,
				Cure: "measure " + lacks[0].lack, Miss: 7}
		}
		next := j.bestCure(u, ctl, id)
		if next == nil {
			return u, why
		}
		u = next
	}
	return u, substitute.Refusal{Check: substitute.CheckAdapterFigures,
		Why: "more than four of its parts would have to be exchanged", Miss: 5}
}

// bestCure is the exchange that leaves a limit the most margin, more than a quarter counting as a
// quarter, so that the first good one of the fixed order is taken; nil when none keeps the limit.
func (j *fitter) bestCure(u *adapterUnit, ctl *control.Control,
	id substitute.CheckID) *adapterUnit {
	var best *adapterUnit
	bestMargin := 0.0
	for _, c := range (exchanging{u}).cures(id, j.Drawer) {
		if u.exchanged(c.swaps[len(c.swaps)-1].role) {
			continue
		}
		gs, _ := j.adapterGauges(c, ctl)
		for _, g := range gs {
			if r := min(0.25, substitute.Percent(g.Margin())); g.Id == id && g.Passed() &&
				(best == nil || r > bestMargin) {
				best, bestMargin = c, r
			}
		}
	}
	return best
}

// adapterGauges holds an adapter with our regulation against every limit, and lists the limits for
// which a figure is lacking. The rail of the adapter is the pack and the drop of the shunt.
func (j *fitter) adapterGauges(u *adapterUnit, ctl *control.Control) (gs []substitute.Gauge,
	lacks []bendLimit) {
	t, p := j.Target, u.part
	sense := ctl.Current.Sense
	for _, l := range u.limits() {
		at := t.Set + sense
		switch {
		case l.own:
			continue // its own regulator is taken out
		case l.lack != "":
			lacks = append(lacks, l)
			continue
		case l.id == substitute.ChkBiasLow:
			at = t.Empty + sense
		case l.id == substitute.ChkReverse || l.id == substitute.ChkBiasHigh ||
			l.id == substitute.ChkReflected:
			at = t.Absolute + sense
		case l.id == substitute.ChkOutputVoltage || l.id == substitute.ChkZener:
			at = ctl.Voltage.WorstHigh
		}
		gs = append(gs, l.at(at))
	}
	watts, amps := u.load(t, ctl)
	gs = append(gs, substitute.Most(substitute.ChkPlatePower, watts, u.watts()),
		substitute.Most(substitute.ChkPlateCurrent, amps, p.Amps.Value),
		substitute.Least(substitute.ChkLowMains, t.MainsMin,
			p.MainsMin.Value*lowMainsUse),
		substitute.Most(substitute.ChkAmbient, t.Ambient, si.Celsius(hottestRoom)),
		substitute.Least(substitute.ChkDeclared, si.Ratio(1), 1))
	if u.exchanged(seats.OutputRectifier) {
		gs = append(gs, substitute.Most(substitute.ChkRectifierCurrent, t.Current,
			p.RectifierAverage.Value*stage.RectifierUse))
	}
	if p.YCapacitor.Known() {
		gs = append(gs, substitute.Most(substitute.ChkTouch,
			stage.TouchCurrent(t, p.YCapacitor.Value, catalog.Datum[si.Ratio]{}), stage.TouchLimit))
	}
	return append(gs, ctl.Gauges...), lacks
}

// load is what the charger takes from the adapter at full current into a full pack.
func (u *adapterUnit) load(t substitute.Target, ctl *control.Control) (si.Power, si.Current) {
	i := t.Current + ctl.Own
	return si.Power(float64(t.Set+ctl.Current.Sense) * float64(i)), i
}

// adapterStage stands for the stage inside an adapter when the loops are worked out: the inductance
// that passes the watts of its plate at the lowest limit of its chip, 2 P/(f I2), a fifth more at
// most; a chip whose limit is set outside, and was not read, at the peak of a triangle over half
// the period. The second is the job with the adapter's own output capacitor.
func (j *fitter) adapterStage(u *adapterUnit, ctl *control.Control) (*stage.Measured, *fitter) {
	c, watts := u.chip, float64(flyback.InputPower(u.watts(), ownEfficiency))
	if !c.Frequency.Known() {
		c.Frequency = catalog.Datum[si.Frequency]{Value: unreadFrequency, Basis: catalog.Assumed}
		c = complete.Part(c).(catalog.Switcher)
	}
	v := &stage.Variant{Drive: stage.DriveOf(c), Switch: stage.SwitchOf(c)}
	triangle := flyback.PeakForDuty(u.busMin, si.Power(watts), 0.5)
	v.Limit = si.Interval[si.Current]{Low: c.LimitMin.Or(triangle),
		High: c.LimitMax.Or(1.5 * triangle)}
	m := &stage.Measured{BusMin: u.busMin, Operation: stage.Operation{
		Design: stage.Design{V: v, Np: int(1000*u.ratio + 0.5), Ns: 1000,
			Rect: &stage.RectifierChoice{Drop: u.drop()}}, State: stage.State{Share: 1},
		Reflected: u.reflected(j.Target.Set + ctl.Current.Sense)}}
	_, m.ClampTop = u.clampAt(j.Target.Set + ctl.Current.Sense)
	m.Inductance = si.Inductance(2 * watts /
		(float64(v.Frequency) * float64(v.Limit.Low) * float64(v.Limit.Low)))
	m.Band = si.Interval[si.Inductance]{Low: m.Inductance, High: 1.2 * m.Inductance}
	load, _ := u.load(j.Target, ctl)
	p := flyback.Point{Bus: u.busMin, Reflected: m.Reflected,
		Power: flyback.InputPower(load, ownEfficiency), Inductance: m.Inductance,
		Frequency: v.Frequency}
	if v.Gated {
		m.Op, m.Share = flyback.OperateGated(p, v.Limit.Mid())
	} else {
		m.Op = flyback.Operate(p)
	}
	m.Duty = m.Op.Duty
	own, around := *j.Measurer, *j.Frame
	around.Output = stock.CapacitorSet{N: 1, Least: u.capacitance() * 0.8,
		Volts: u.part.CapacitorVolts.Value}
	own.Frame = &around
	return m, NewFitter(bill.NewWriter(j.On(&own)))
}

// assembleAdapter writes an adapter out as a build.
func (j *fitter) assembleAdapter(u *adapterUnit, ctl *control.Control) substitute.Build {
	b := stock.NewBasket()
	out := substitute.Build{Kind: substitute.DonorAdapter, Verdict: substitute.Feasible}
	stock.Take(b, seats.Adapter, *u.stock, 1)
	for _, s := range u.swaps {
		s.take(b)
	}
	inside, k := j.adapterStage(u, ctl)
	k.RegulationOut(&out, inside, ctl, b)
	j.TakeOutputFuse(b)
	guarded := k.ProtectionOut(&out, inside, b)
	out.Parts = stage.SortedUses(b.Uses)
	gs, _ := j.adapterGauges(u, ctl)
	gs = append(append(append(gs, k.LoopGauges(ctl, out.Regulation.Loops)...),
		k.ConnectGauges(ctl, b)...), guarded...)
	gs = append(gs, loops.EventGauges(k.Looper, inside, ctl, out.Regulation.Loops, b)...)
	out.Checks = limiting{u}.checks(gs)
	out.Adapter = j.adapterUse(u, ctl)
	out.Warnings = append(append(warnings(u, ctl, gs),
		loops.LoopWarnings(out.Regulation.Loops, ctl)...), ctl.DrainWarning())
	out.Warnings = append(out.Warnings, loops.ReversedWarning(b, j.Target)...)
	out.Warnings = append(out.Warnings,
		bill.ProtectionWarning(out.Regulation.Protection, j.Target)...)
	watts := out.Adapter.Power
	loss := watts*(1/ownEfficiency-1) + watts -
		si.Power(float64(j.Target.Set)*float64(j.Target.Current))
	out.Score = bill.ScoreOf(j.Drawer, b, gs, loss, out.Regulation.Loops)
	out.Score.Steps = ctl.Steps()
	if out.Score.Missing > 0 {
		out.Verdict = substitute.NeedsParts
	}
	out.Drawing = substitute.Drawing{Voltage: ctl.Voltage, Current: ctl.Current, Bias: ctl.Bias,
		BulkHigh: u.part.Bulk.Value * 1.2, BleedTo: stage.BleedVolts,
		Feedback: u.chip.Feedback, Unheld: k.Unheld(inside,
			j.Target.Empty), OutputLeast: k.Output.Least}
	out.Drawing.StandIn = k.standIn(out, u, inside, loss)
	return out
}

// standIn is the build with the assumed stage of its adapter in it.
func (j *fitter) standIn(b substitute.Build, u *adapterUnit, m *stage.Measured,
	loss si.Power) *substitute.Build {
	bill.SwitcherOut(&b, m)
	rail := j.Target.Set + b.Regulation.Sense
	low, high := u.clampAt(rail)
	useful := float64(j.Target.Set) * float64(j.Target.Current)
	b.Transformer = substitute.Transformer{PrimaryTurns: m.Np, SecondaryTurns: m.Ns,
		Inductance: m.Inductance, InductanceLow: m.Band.Low,
		InductanceHigh: m.Band.High, Reflected: m.Reflected}
	b.Stage = substitute.Stage{BusMin: u.busMin, BusMax: u.busMax, Mode: m.Op.Mode.String(),
		Clamp: high, RectifierDrop: u.drop(), PulseShare: m.Share,
		Throughput: b.Adapter.Power, PrimaryPeak: m.Op.Peak}
	if u.part.ChipSupply.Known() {
		b.Transformer.BiasTurns = 1 // there is one; its turns are not known and not used
		b.Stage.BiasMin, b.Stage.BiasMax = b.Adapter.SupplyMin, b.Adapter.SupplyMax
	}
	b.Losses = substitute.Losses{Other: loss}
	b.Efficiency = useful / (useful + float64(loss))
	b.Drawing.ClampLow = low
	return &b
}

// checks writes the gauges out, each with its basis, in the order of their numbers.
func (u limiting) checks(gs []substitute.Gauge) []substitute.Check {
	basis := map[substitute.CheckID]string{}
	for _, l := range u.limits() {
		basis[l.id] = l.words()
	}
	gs = append([]substitute.Gauge(nil), gs...)
	sort.SliceStable(gs, func(a, b int) bool { return gs[a].Id < gs[b].Id })
	var out []substitute.Check
	for _, g := range gs {
		out = append(out, g.Check(basis[g.Id]))
	}
	return out
}

func (j *fitter) adapterUse(u *adapterUnit, ctl *control.Control) *substitute.AdapterUse {
	t, p := j.Target, u.part
	rail := t.Set + ctl.Current.Sense
	_, clamp := u.clampAt(rail)
	watts, amps := u.load(t, ctl)
	out := &substitute.AdapterUse{Designation: u.stock.Name(), Chip: p.Chip,
		PlateVolts: p.Volts.Value, PlateAmps: p.Amps.Value,
		PlateWatts: u.watts(), Ratio: u.ratio,
		Reflected: u.reflected(rail), BusMax: u.busMax, DrainPeak: flyback.DrainPeak(u.busMax,
			clamp),
		Reverse: flyback.RectifierReverse(t.Absolute+ctl.Current.Sense, u.busMax,
			u.ratio), Power: watts, Current: amps, Swaps: []substitute.AdapterSwap{}}
	if len(u.stock.Lots) > 0 {
		out.Lot = u.stock.Lots[0].Lot
	}
	if p.ChipSupply.Known() {
		out.SupplyMin, out.SupplyMax = u.supplyAt(t.Empty+ctl.Current.Sense),
			u.supplyAt(t.Absolute+ctl.Current.Sense)
	}
	for _, s := range u.swaps {
		out.Swaps = append(out.Swaps, substitute.AdapterSwap{Role: s.role, Lot: s.place.Lot,
			Designation: s.name, Quantity: s.count,
			Moves: substitute.CheckNames[s.from].Name})
	}
	out.Steps = steps(u, ctl)
	return out
}

// steps says what is done to the adapter, in order.
func steps(u *adapterUnit, ctl *control.Control) []string {
	p := u.part
	out := []string{
		fmt.Sprintf("Load it as it is: %s at %s. Unplug it, wait, measure its bulk capacitor, "+
			"discharge it through 1 to 10 kohm, "+
			"measure again.", si.Format(p.Amps.Value, 3), si.Format(p.Volts.Value, 3)),
		"Take out its reference, the divider of that, and the resistor of its optocoupler's LED. " +
			"Touch nothing on the mains " +
			"side but the optocoupler.",
		fmt.Sprintf("Put the %s in place of its optocoupler, transistor to the same two pads, "+
			"the same way round.", ctl.Opto.Name()),
	}
	for _, s := range u.swaps {
		out = append(out, fmt.Sprintf("Exchange its %s for %d x %s.", s.role, s.count, s.name))
	}
	return append(out,
		"Wire our control circuit: OUT to the plus of its output capacitor, control ground to "+
			"the minus; the shunt between "+
			"control ground and the battery's minus.",
		"Close it as it was made. Its transformer is never opened or heated.")
}

// warnings says what nobody has computed of an adapter.
func warnings(u *adapterUnit, ctl *control.Control, gs []substitute.Gauge) []string {
	var out []string
	for _, g := range gs {
		if d := substitute.CheckNames[g.Id]; d.Soft && !g.Passed() {
			out = append(out, fmt.Sprintf("%s is %.3g %s, better below %.3g", d.Name, g.Value,
				d.Unit, g.Limit))
		}
	}
	out = append(out, "transformer, chip and heat of the adapter are not computed: its plate "+
		"stands for them, and it is never asked for more watts "+
		"or amperes than its plate; losses are reckoned with 80 % efficiency (from memory)",
		"its loops are reckoned with the inductance that its plate needs at the lowest limit of "+
			"its chip: look for ringing with a resistor "+
			"as load before any pack")
	if u.chip.SelfSupply != "yes" && u.part.ChipSupply.Known() {
		if low := u.starvesBelow(ctl.Current.Sense); low > 0 {
			out = append(out, fmt.Sprintf("a pack below %.1f V starves the chip: it tries to "+
				"start again and again until the pack "+
				"has risen", float64(low)))
		}
	}
	return out
}

// starvesBelow is the pack voltage at which the bias winding no longer feeds the chip.
func (u *adapterUnit) starvesBelow(sense si.Voltage) si.Voltage {
	turns := float64(u.part.ChipSupply.Value+stage.BiasDiode) / float64(u.part.Volts.Value+u.drop())
	return si.Voltage(float64(u.chip.SupplyMin.Value+stage.BiasDiode)/turns) - u.drop() - sense
}
