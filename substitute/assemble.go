package substitute

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/compensation"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation"
)

// stopGuess is the feedback current in A that stops a switcher which does not state it; the search takes the same.
const stopGuess = 1e-3

// assemble writes a measured design out as a Build: every part with its lot, every number, every check.
func (j *job) assemble(m *measured) Build {
	if m.of != nil {
		j = m.of
	}
	b := newBasket()
	ctl := j.controlFor(m.v.stock.part.FeedbackStop.Or(stopGuess))
	out := Build{Kind: Wound, Verdict: Feasible}
	j.switcherOut(&out, m)
	if m.donor != nil {
		j.donorOut(&out, m, b)
	} else {
		j.coreOut(&out, m, b)
		j.windingsOut(&out, m, b)
	}
	j.stageOut(&out, m)
	j.regulationOut(&out, m, ctl, b)
	y := j.fill(b, m)
	out.Parts = sortedUses(b.uses)
	out.Checks = j.checksOut(m, ctl, out.Regulation.Loops, b, y)
	out.Warnings = append(j.warnings(m, ctl, out.Regulation.Loops), append(bandWarning(&out.Transformer), reversedWarning(b, j.target)...)...)
	out.Score = j.score(m, b)
	if out.Score.Missing > 0 {
		out.Verdict = NeedsParts
	}
	linkLots(&out)
	out.Drawing = j.drawing(m, ctl)
	return out
}

// bandWarning says when the inductance may come out where a limit no longer holds.
func bandWarning(x *Transformer) []string {
	h := x.Holds
	if h == nil || x.InductanceLow >= h.Low && x.InductanceHigh <= h.High {
		return nil
	}
	return []string{fmt.Sprintf("the inductance may come out at %s to %s, every limit holds from %s to %s: measure it before the core is glued, "+
		"tune says what to change", si.Format(x.InductanceLow, 3), si.Format(x.InductanceHigh, 3), si.Format(h.Low, 3), si.Format(h.High, 3))}
}

// complete reports that for a design no more is missing than for every build of the search, and that its loops are steady.
func (j *job) complete(m *measured) bool {
	b := j.assemble(m)
	return b.Score.Missing <= j.missing && b.Regulation.Loops.steady()
}

func (j *job) score(m *measured, b *basket) Score {
	return scoreOf(b, m.margin, m.binding, m.loss.total())
}

func scoreOf(b *basket, margin float64, binding checkID, loss si.Power) Score {
	s := Score{Missing: b.missing(), Margin: margin, Binding: checkNames[binding].name, Loss: float64(milli(loss)) / 1e3}
	s.Cost = float64(s.Missing)
	for _, u := range b.uses {
		if u.Unit == string(inventory.Pieces) {
			s.Parts += int(math.Ceil(u.Quantity))
		}
	}
	return s
}

func (j *job) switcherOut(out *Build, m *measured) {
	v := m.v
	out.Switcher = SwitcherChoice{Designation: v.stock.name(), Control: v.stock.part.Control, Frequency: v.frequency,
		LimitMin: v.limit.Low, LimitMax: v.limit.High, Breakdown: v.stock.part.Breakdown.Value,
		FeedbackStop: v.stock.part.FeedbackStop.Or(stopGuess)}
	if v.sense != nil {
		out.Switcher.Sense = v.sense.part.Resistance.Value
	}
}

func (j *job) coreOut(out *Build, m *measured, b *basket) {
	c := m.c
	ferrite := c.stock.part.Ferrite
	if ferrite == "" {
		ferrite = "unknown"
	}
	out.Core = CoreChoice{Designation: c.stock.name(), Area: c.geometry.Area, AreaMin: c.geometry.AreaMin, Path: c.geometry.Path,
		Volume: c.geometry.Volume, Permeability: c.mu, FluxLimit: c.fluxLimit, Ferrite: ferrite}
	take(b, "core pair", c.stock, 1)
	if c.needsBuy != "" {
		b.buy("former", c.needsBuy, 1, "piece", c.needsBuy)
	}
	gap := magnetics.Gap{Ground: c.ground, Shim: m.gap.shim, Residual: c.residual}
	out.Gap = GapChoice{Method: c.method(*m.gap), Shim: m.gap.shim, Ground: c.ground, Layers: []ShimFilm{}, Fringing: magnetics.Fringing(c.geometry, gap)}
	for _, f := range m.gap.films {
		s := j.drawer.films[f.film]
		out.Gap.Layers = append(out.Gap.Layers, ShimFilm{Designation: s.name(), Thickness: s.part.Thickness.Value, Count: f.count})
		take(b, "shim", s, shimQuantity(s.part, f.count, c.geometry))
	}
}

// transformerOut sums up the transformer of a design.
func (m *measured) transformerOut() Transformer {
	p := m.plan
	return Transformer{PrimaryTurns: m.np, SecondaryTurns: m.ns, BiasTurns: m.nb, Inductance: m.inductance,
		InductanceLow: m.band.Low, InductanceHigh: m.band.High, WallPower: m.wallPower, WallSaturation: m.wallFlux,
		FluxPeak: m.fluxPeak, FluxSwing: m.fluxSwing, Reflected: m.reflected, Leakage: m.leak, Barrier: p.barrier.String(),
		WindowFill: si.Ratio(p.fill), Margin: p.margin, Order: "primary, secondary"}
}

// metres rounds a length to take up to whole centimetres.
func metres(l float64) float64 { return math.Ceil(l*100-1e-9) / 100 }

func (j *job) windingsOut(out *Build, m *measured, b *basket) {
	p := m.plan
	out.Transformer = m.transformerOut()
	holds := j.openWindow(m)
	out.Transformer.Holds = &holds
	winding := func(name string, w *stock[catalog.Wire], lay magnetics.Layering, turns, strands int, ac si.Ratio, rms si.Current) {
		length := lay.Length
		out.Windings = append(out.Windings, Winding{Name: name, Wire: w.name(), Turns: turns, WireD: w.part.Diameter.Value,
			Overall: w.part.Overall.Value, Strands: strands, PerLayer: min(turns, lay.TurnsPerLayer), Layers: lay.Layers, Length: length,
			Resistance: wireResistance(w.part, length, strands, m.coil), ACFactor: ac, RMS: rms})
		take(b, "wire, "+name, *w, metres(spare*float64(length)*float64(strands)))
	}
	bias := func() {
		if m.nb > 0 && p.bias != nil {
			winding("bias", p.bias, p.biasLay, m.nb, 1, 1, j.chipCurrent(m))
		}
	}
	if p.split {
		winding("primary 1st half", p.primary, p.first, p.turnsFirst, p.strandsP, m.acP, m.op.PrimaryRMS)
		winding("secondary", p.secondary, p.second, m.ns, p.strandsS, m.acS, m.sec.RMS)
		winding("primary 2nd half", p.primary, p.half, m.np-p.turnsFirst, p.strandsP, m.acP, m.op.PrimaryRMS)
		bias()
		out.Transformer.Order = "half the primary, the secondary, the other half"
	} else {
		winding("primary", p.primary, p.first, m.np, p.strandsP, m.acP, m.op.PrimaryRMS)
		bias()
		winding("secondary", p.secondary, p.second, m.ns, p.strandsS, m.acS, m.sec.RMS)
	}
	j.tapeOut(out, m, b)
}

func (j *job) chipCurrent(m *measured) si.Current {
	return m.v.stock.part.SupplyCurrent.Or(2 * chipOwnCurrent)
}

// tapeOut lists where tape goes and how much of it; every layer is one turn on top of what is wound so far, with a tenth to
// overlap. Tape goes on top of a section: half its build above its mean turn.
func (j *job) tapeOut(out *Build, m *measured, b *basket) {
	total := 0.0
	tape := float64(m.plan.tape.part.Thickness.Value)
	add := func(where string, layers int, w Winding) {
		top := meanTurn(w) + math.Pi*float64(w.Layers)*(float64(w.Overall)+tape) + math.Pi*tape*float64(layers)
		length := 1.1 * float64(layers) * top
		out.Transformer.Tape = append(out.Transformer.Tape, TapeUse{Where: where, Layers: layers, Length: si.Length(length)})
		total += length
	}
	for i, w := range out.Windings {
		if w.Layers > 1 {
			add("within "+w.Name, w.Layers-1, w)
		}
		switch {
		case i == len(out.Windings)-1:
			add("outside", outerLayers, w)
		case crosses(w.Name, out.Windings[i+1].Name):
			add(fmt.Sprintf("between %s and %s", w.Name, out.Windings[i+1].Name), barrierLayers, w)
		default:
			add(fmt.Sprintf("between %s and %s", w.Name, out.Windings[i+1].Name), withinLayers, w)
		}
	}
	if m.plan.barrier == margins {
		total += 2 * marginTape(out.Windings, m.plan.tape.part) // cut to 3 mm, built up beside every winding
	}
	take(b, "tape", *m.plan.tape, metres(total))
}

func meanTurn(w Winding) float64 { return (float64(w.Length) - tails) / float64(max(1, w.Turns)) }

// marginTape is the length of tape that builds one margin of all windings up to their height.
func marginTape(ws []Winding, tape catalog.Film) float64 {
	total := 0.0
	for _, w := range ws {
		layers := math.Ceil(float64(w.Layers) * float64(w.Overall) / float64(tape.Thickness.Value))
		total += layers * meanTurn(w)
	}
	return total
}

// crosses reports whether the mains barrier lies between two windings.
func crosses(a, b string) bool { return (a == "secondary") != (b == "secondary") }

func (j *job) stageOut(out *Build, m *measured) {
	t := j.target
	out.Stage = Stage{BusMin: m.busMin, BusMax: j.busMax, Mode: m.op.Mode.String(), DutyMax: m.duty, PrimaryPeak: m.op.Peak,
		PrimaryRMS: m.op.PrimaryRMS, SecondaryPeak: m.sec.Peak, SecondaryRMS: m.sec.RMS, DrainPeak: m.drain, Clamp: m.clampTop,
		ReverseVoltage:  flyback.RectifierReverse(t.Absolute, j.busMax, si.Ratio(float64(m.np)/float64(m.ns))),
		CapacitorRipple: m.ripple, Throughput: m.through, InputPower: m.input + m.loss.Bridge, BulkCapacity: j.bulkLow,
		PulseShare: m.share, RectifierDrop: m.rect.drop}
	if m.nb > 0 {
		out.Stage.BiasMin, out.Stage.BiasMax = m.bias.Low, m.bias.High
	}
	out.Losses = m.loss
	useful := float64(t.Set) * float64(t.Current)
	out.Efficiency = useful / (useful + float64(m.loss.total()))
	out.Junction, out.CoilHot, out.Inside = m.hottest.junction, m.hottest.coil, m.hottest.inside
}

// regulationOut writes the control network and takes its parts.
func (j *job) regulationOut(out *Build, m *measured, c *control, b *basket) {
	v, i := c.voltage, c.current
	own := c.own
	at := regulation.AtBattery(regulation.ConverterSide, j.target.Set, j.target.Current, own, i.Shunt.Ohm)
	r := Regulation{Ground: regulation.ConverterSide.String(), Reference: c.vref, Top: v.Top.Ohm, Bottom: v.Bottom.Ohm,
		SetLow: v.SetLow, SetHigh: v.SetHigh, WorstLow: v.WorstLow, WorstHigh: v.WorstHigh, OpenWiper: v.OpenWiper,
		KneeVoltage: at.Knee, Shunt: i.Shunt.Ohm, ShuntPower: i.ShuntPower, Sense: i.Sense, SenseTop: i.Top.Ohm,
		SenseBottom: i.Bottom.Ohm, CurrentLow: i.Low, CurrentHigh: i.High, CurrentWorst: i.WorstHigh, Bias: c.bias.Resistor.Ohm,
		BiasMin: c.bias.MinCathode, BiasMax: c.bias.MaxCathode, LampResistor: c.lamp.Resistor.Ohm, LampNeed: c.need,
		LampHave: c.lamp.Least, LowestRegulated: c.lowest, IdleDraw: c.idle()}
	if v.HasTrimmer {
		r.Trimmer = v.Trimmer.Ohm
		take(b, "voltage trimmer", j.drawer.trimmers[v.Trimmer.Lot-1], 1)
	}
	if i.HasTrimmer {
		r.SenseTrimmer = i.Trimmer.Ohm
		take(b, "current trimmer", j.drawer.trimmers[i.Trimmer.Lot-1], 1)
	}
	network := func(role string, n regulation.Network) {
		use := NetworkUse{Role: role, Ohm: n.Ohm, Wiring: n.String(), Parts: []ResistorUse{}, Network: n}
		for _, u := range n.Uses() {
			s := j.drawer.resistors[u.Lot-1]
			from := len(b.uses)
			take(b, role, s, float64(u.Count))
			for _, p := range b.uses[from:] {
				use.Parts = append(use.Parts, ResistorUse{Lot: p.Lot, Ohm: u.Ohm, Count: int(p.Quantity)})
			}
		}
		r.Networks = append(r.Networks, use)
	}
	network("divider top", v.Top)
	network("divider bottom", v.Bottom)
	network("shunt", i.Shunt)
	network("current divider top", i.Top)
	network("current divider bottom", i.Bottom)
	network("reference bias", c.bias.Resistor)
	network("lamp resistor", c.lamp.Resistor)
	take(b, "amplifier", *c.amp, 1)
	if c.ref != nil {
		take(b, "reference", *c.ref, 1)
	}
	take(b, "optocoupler", *c.opto, 1)
	j.indicatorParts(b, c)
	r.Loops = j.loopsOut(m, c, b)
	r.Circuit = c.circuit()
	out.Regulation = r
}

// circuit writes out what the design of the network reckoned with, see wishes and lampFor.
func (c *control) circuit() Circuit {
	a, o := c.amp.part, c.opto.part
	out := Circuit{AmplifierMin: a.SupplyMin.Value, Headroom: a.Headroom.Or(headroomGuess), Offset: a.Offset.Or(7e-3),
		InputBias: a.BiasCurrent.Or(500e-9), Supply: a.SupplyCurrent.Or(2e-3), Source: a.Source.Or(outputSource),
		CathodeMin: a.CathodeMin.Or(1e-3), CathodeMax: a.CathodeMax.Or(50e-3), Ratio: o.RatioMin.Value * ratioAged,
		Forward: o.Forward.Or(1.4), Lamps: c.indicator, JoinDrop: c.joinDrop(), Drive: "up"}
	if c.ref != nil {
		out.CathodeMin, out.CathodeMax = c.ref.part.CathodeMin.Or(1e-3), c.ref.part.CathodeMax.Or(50e-3)
	}
	if c.drive == regulation.PullDown {
		out.Drive, out.OutputLow, out.Source = "down", sinkLow, a.Sink.Or(outputSink)
	}
	return out
}

// indicatorParts takes the two lamps that join the loops and show which one holds, or two small diodes where the output is
// too low for lamps.
func (j *job) indicatorParts(b *basket, c *control) {
	if !c.indicator {
		pick(b, "diode joining the loops", j.drawer.rectifiers, 2, j.joins, averageOf, "small signal diode 100 mA 75 V")
		return
	}
	for _, l := range []struct{ role, colour string }{{"lamp, charging (current holds)", "red"}, {"lamp, full (voltage holds)", "green"}} {
		pick(b, l.role, j.drawer.lamps, 1, func(p catalog.Lamp) bool {
			return p.Forward.Or(2) <= indicatorDrop && p.Current.Or(20e-3) >= c.lamp.Least
		}, func(p catalog.Lamp) float64 {
			if p.Colour == l.colour {
				return 0
			}
			return 1
		}, "lamp, "+l.colour)
	}
}

// checksOut lists all checks, in the order of their numbers.
func (j *job) checksOut(m *measured, c *control, l LoopChoice, b *basket, y catalog.Capacitor) []Check {
	gauges := append([]gauge(nil), m.gauges[:m.count]...)
	gauges = append(gauges, c.gauges...)
	gauges = append(append(gauges, j.loopGauges(c, l)...), j.connectGauges(c, b)...)
	gauges = append(gauges, most(chkBulkVoltage, j.busMax, j.bulk.volts))
	if j.bridgeStock != nil {
		p := j.bridgeStock.part
		gauges = append(gauges, most(chkBridgeVoltage, j.busMax, p.Reverse.Value*bridgeUse),
			most(chkBridgeCurrent, si.Current(float64(m.input)/float64(m.busMin)), p.Average.Value*0.5))
	}
	gauges = append(gauges, most(chkOutputVoltage, c.voltage.WorstHigh, j.output.volts/outputFault).from(0))
	if y.Capacitance.Known() {
		gauges = append(gauges, most(chkTouch, j.target.touchCurrent(y.Capacitance.Value, y.Tolerance), touchLimit))
	}
	sort.SliceStable(gauges, func(a, b int) bool { return gauges[a].id < gauges[b].id })
	var out []Check
	for _, g := range gauges {
		out = append(out, g.check(j.basis(m, g.id)))
	}
	return out
}

// loopGauges are the limits of the two loops.
func (j *job) loopGauges(c *control, l LoopChoice) []gauge {
	return []gauge{most(chkUnload, l.UnloadPeak, j.outputBears(c)).from(float64(j.target.Set)),
		{id: chkPhaseVoltage, value: l.Voltage.Margin, limit: compensation.LeastPhase, lowest: true},
		{id: chkPhaseCurrent, value: l.Current.Margin, limit: compensation.LeastPhase, lowest: true}}
}

// basis says where a limit comes from when that depends on the part.
func (j *job) basis(m *measured, id checkID) string {
	p := m.v.stock.part
	switch id {
	case chkSafeCurrent:
		return m.donor.safeBasis
	case chkFlux:
		return m.c.fluxBasis
	case chkClass:
		return m.v.classText
	case chkDrain:
		if p.Breakdown.Firm() {
			return "0.90 x breakdown voltage (common practice, no source)"
		}
		return "0.85 x breakdown voltage, from memory"
	case chkPower, chkPowerEmpty:
		if m.v.sense != nil {
			return "lowest limit of threshold and sense resistor x 0.96 (AN-30), from memory x 0.90 (AN-23)"
		}
		if p.LimitMin.Firm() {
			return "0.96 x lowest current limit (AN-30 eq. 17)"
		}
		return "0.90 x lowest current limit, limit from memory (AN-23 step 8)"
	case chkJunction:
		text := "110 C, or 25 K below thermal shutdown"
		if !p.JunctionAir.Firm() {
			text += "; thermal resistance estimated, +20 %"
		}
		return text
	case chkBulkRipple:
		return j.bulkBasis()
	case chkRectifierHot:
		text := fmt.Sprintf("%.0f C, %.0f K below what such parts bear; %.0f K/W to the air", float64(m.rect.hottest), rectifierSpare, float64(m.rect.air))
		if m.rect.sink {
			text += " on aluminium of 20 K/W"
		}
		return text + " (from memory)"
	case chkCoilHot:
		return checkNames[id].basis + "; rise by " + m.c.riseBasis
	case chkDuty:
		if !p.DutyMax.Firm() {
			return "maximum duty of the switcher, from memory or assumed 0.6"
		}
	}
	return ""
}

// linkLots puts the lots of the parts list where the contract wants them.
func linkLots(b *Build) {
	lot := func(role, designation string) int64 {
		for _, p := range b.Parts {
			if p.Role == role && (designation == "" || p.Designation == designation) && p.Source == "drawer" {
				return p.Lot
			}
		}
		return 0
	}
	b.Switcher.Lot = lot("switcher", "")
	b.Core.Lot = lot("core pair", "")
	if b.Donor != nil {
		b.Donor.Lot = lot("transformer, unopened", "")
		b.Core.Lot = b.Donor.Lot
	}
	for i := range b.Gap.Layers {
		b.Gap.Layers[i].Lot = lot("shim", b.Gap.Layers[i].Designation)
	}
	for i := range b.Windings {
		b.Windings[i].Lot = lot("wire, "+b.Windings[i].Name, "")
	}
	for i := range b.Transformer.Tape {
		b.Transformer.Tape[i].Lot = lot("tape", "")
	}
}
