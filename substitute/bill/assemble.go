// Package bill writes finished designs out as builds: parts list, numbers, checks, warnings.
package bill

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Writer writes measured designs out as builds.
type Writer struct{ *loops.Looper }

func NewWriter(l *loops.Looper) *Writer { return &Writer{l} }

// Finished is a measured design with its last parts chosen. What it lacks and what it was held
// against can be asked without writing it out.
type Finished struct {
	*Writer
	m   *stage.Measured
	ctl *control.Control
	b   *stock.Basket
	out substitute.Build // parts, networks, checks, score
}

// Finish takes every part that a design needs and holds the whole against its limits.
func (j *Writer) Finish(m *stage.Measured) Finished {
	j = NewWriter(j.On(m.Of))
	b := stock.NewBasket()
	ctl := j.ControlFor(m.V.Feedback.Stop)
	out := substitute.Build{Kind: substitute.Wound, Verdict: substitute.Feasible}
	SwitcherOut(&out, m)
	if m.Donor != nil {
		donorOut(&out, m, b)
	} else {
		j.coreOut(&out, m, b)
		j.windingsOut(&out, m, b)
	}
	j.stageOut(&out, m)
	j.RegulationOut(&out, m, ctl, b)
	y := taking{j}.fill(b, m, out.Regulation.Loops)
	guarded := j.ProtectionOut(&out, m, b)
	out.Parts = stage.SortedUses(b.Uses)
	gauges := j.gauges(m, ctl, out.Regulation.Loops, b, y, guarded)
	for _, g := range gauges {
		out.Checks = append(out.Checks, g.Check(j.Basis(m, g.Id)))
	}
	out.Score = ScoreOf(j.Drawer, b, gauges, m.Loss.Total(), out.Regulation.Loops)
	out.Score.Steps = ctl.Steps()
	if out.Score.Missing > 0 {
		out.Verdict = substitute.NeedsParts
	}
	return Finished{j, m, ctl, b, out}
}

// Broken is the check of the design that fails by most.
func (f *Finished) Broken() (substitute.Refusal, bool) { return substitute.Broken(&f.out) }

func (f *Finished) ToBuy() []substitute.PartUse { return substitute.ToBuy(f.out.Parts) }

// Score is what the design is ranked by.
func (f *Finished) Score() substitute.Score { return f.out.Score }

// Build writes the design out: every part with its lot, every number, every check.
func (f *Finished) Build() substitute.Build {
	out, m := f.out, f.m
	if m.Donor == nil {
		holds := f.OpenWindow(m)
		out.Transformer.Holds = &holds
	}
	l := out.Regulation.Loops
	out.Warnings = append(f.warnings(), bandWarning(&out.Transformer)...)
	out.Warnings = append(out.Warnings, loops.ReversedWarning(f.b, f.Target)...)
	out.Warnings = append(out.Warnings, ProtectionWarning(out.Regulation.Protection, f.Target)...)
	out.Warnings = append(out.Warnings, loops.StarvingWarning(f.Looper, m, f.ctl, l.UnloadPeak)...)
	out.Switcher.Lot = f.b.LotOf(seats.Switcher, "")
	out.Drawing = f.drawing()
	return out
}

// bandWarning says when the inductance may come out where a limit no longer holds.
func bandWarning(x *substitute.Transformer) []string {
	h := x.Holds
	if h == nil || x.InductanceLow >= h.Low && x.InductanceHigh <= h.High {
		return nil
	}
	return []string{fmt.Sprintf("the inductance may come out at %s to %s, every limit holds from "+
		"%s to %s: measure it before the core is glued, "+
		"tune says what to change", si.Format(x.InductanceLow, 3), si.Format(x.InductanceHigh,
		3), si.Format(h.Low, 3), si.Format(h.High, 3))}
}

// ScoreOf is what a build is ranked by: its basket, the margin over all that it was held against,
// what it loses.
func ScoreOf(d *stock.Drawer, b *stock.Basket, gauges []substitute.Gauge, loss si.Power,
	l substitute.LoopChoice) substitute.Score {
	margin, binding, _ := substitute.Tightest(gauges)
	s := substitute.Score{Missing: b.Missing(), Margin: margin,
		Binding: substitute.CheckNames[binding].Name, Loss: float64(substitute.Milli(loss)) / 1e3}
	s.Cost = float64(s.Missing)
	for _, u := range b.Uses {
		if u.Unit == string(inventory.Pieces) {
			s.Parts += int(math.Ceil(u.Quantity))
		}
	}
	s.Scarce = scarce(d, b)
	s.Reason = reasonOf(s, l)
	return s
}

func SwitcherOut(out *substitute.Build, m *stage.Measured) {
	v := m.V
	out.Switcher = substitute.SwitcherChoice{Designation: v.Drive.Name,
		Control: v.Control, Frequency: v.Frequency,
		LimitMin: v.Limit.Low, LimitMax: v.Limit.High, Breakdown: v.Rated,
		FeedbackStop: v.Feedback.Stop}
	if v.Sense != nil {
		out.Switcher.Sense = v.Sense.Part.Resistance.Value
	}
}

func (j *Writer) coreOut(out *substitute.Build, m *stage.Measured, b *stock.Basket) {
	c := m.C
	ferrite := c.Stock.Part.Ferrite
	if ferrite == "" {
		ferrite = "unknown"
	}
	out.Core = substitute.CoreChoice{Designation: c.Stock.Name(), Area: c.Geometry.Area,
		AreaMin: c.Geometry.AreaMin, Path: c.Geometry.Path,
		Volume: c.Geometry.Volume, Permeability: c.Mu, FluxLimit: c.FluxLimit, Ferrite: ferrite}
	stock.Take(b, seats.Core, c.Stock, 1)
	out.Core.Lot = b.LotOf(seats.Core, "")
	if c.NeedsBuy != "" {
		b.Buy(seats.Former, c.NeedsBuy, 1, "piece", c.NeedsBuy)
	}
	gap := magnetics.Gap{Ground: c.Ground, Shim: m.Gap.Shim, Residual: c.Residual}
	out.Gap = substitute.GapChoice{Method: c.Method(*m.Gap), Shim: m.Gap.Shim, Ground: c.Ground,
		Layers: []substitute.ShimFilm{}, Fringing: magnetics.Fringing(c.Geometry, gap)}
	for _, f := range m.Gap.Films {
		s := j.Drawer.Films[f.Film]
		stock.Take(b, seats.Shim, s, stage.ShimQuantity(s.Part, f.Count, c.Geometry))
		out.Gap.Layers = append(out.Gap.Layers,
			substitute.ShimFilm{Lot: b.LotOf(seats.Shim, s.Name()), Designation: s.Name(),
				Thickness: s.Part.Thickness.Value, Count: f.Count})
	}
}

// metres rounds a length to take up to whole centimetres.
func metres(l float64) float64 { return math.Ceil(l*100-1e-9) / 100 }

func (j *Writer) windingsOut(out *substitute.Build, m *stage.Measured, b *stock.Basket) {
	p := m.Plan
	out.Transformer = m.TransformerOut()
	winding := func(id seats.ID, w *stock.Stock[catalog.Wire], lay magnetics.Layering, turns,
		strands int, ac si.Ratio, rms si.Current) {
		length := lay.Length
		stock.Take(b, id, *w, metres(stage.Spare*float64(length)*float64(strands)))
		out.Windings = append(out.Windings,
			substitute.Winding{Name: id.Winding(), Lot: b.LotOf(id, ""), Wire: w.Name(),
				Turns: turns, WireD: w.Part.Diameter.Value,
				Overall: w.Part.Overall.Value, Strands: strands, PerLayer: min(turns,
					lay.TurnsPerLayer), Layers: lay.Layers, Length: length,
				Resistance: stage.WireResistance(w.Part, length, strands,
					m.Coil), ACFactor: ac, RMS: rms})
	}
	bias := func() {
		if m.Nb > 0 && p.Bias != nil {
			winding(seats.WireBias, p.Bias, p.BiasLay, m.Nb, 1, 1, chipCurrent(m))
		}
	}
	if p.Split {
		winding(seats.WirePrimaryFirst, p.Primary, p.First, p.TurnsFirst, p.StrandsP, m.AcP,
			m.Op.PrimaryRMS)
		winding(seats.WireSecondary, p.Secondary, p.Second, m.Ns, p.StrandsS, m.AcS, m.Sec.RMS)
		winding(seats.WirePrimarySecond, p.Primary, p.Half, m.Np-p.TurnsFirst, p.StrandsP, m.AcP,
			m.Op.PrimaryRMS)
		bias()
		out.Transformer.Order = "half the primary, the secondary, the other half"
	} else {
		winding(seats.WirePrimary, p.Primary, p.First, m.Np, p.StrandsP, m.AcP, m.Op.PrimaryRMS)
		bias()
		winding(seats.WireSecondary, p.Secondary, p.Second, m.Ns, p.StrandsS, m.AcS, m.Sec.RMS)
	}
	tapeOut(out, m, b)
}

func chipCurrent(m *stage.Measured) si.Current {
	return m.V.Supply.Current
}

// tapeOut lists where tape goes and how much of it; every layer is one turn on top of what is wound
// so far, with a tenth to overlap. Tape goes on top of a section: half its build above its mean
// turn.
func tapeOut(out *substitute.Build, m *stage.Measured, b *stock.Basket) {
	total := 0.0
	tape := float64(m.Plan.Tape.Part.Thickness.Value)
	add := func(where string, layers int, w substitute.Winding) {
		top := meanTurn(w) + math.Pi*float64(w.Layers)*(float64(w.Overall)+tape) +
			math.Pi*tape*float64(layers)
		length := 1.1 * float64(layers) * top
		out.Transformer.Tape = append(out.Transformer.Tape,
			substitute.TapeUse{Where: where, Layers: layers, Length: si.Length(length)})
		total += length
	}
	for i, w := range out.Windings {
		if w.Layers > 1 {
			add("within "+w.Name, w.Layers-1, w)
		}
		switch {
		case i == len(out.Windings)-1:
			add("outside", stage.OuterLayers, w)
		case crosses(w.Name, out.Windings[i+1].Name):
			add(fmt.Sprintf("between %s and %s", w.Name, out.Windings[i+1].Name),
				stage.BarrierLayers, w)
		default:
			add(fmt.Sprintf("between %s and %s", w.Name, out.Windings[i+1].Name),
				stage.WithinLayers, w)
		}
	}
	if m.Plan.Barrier == stage.Margins {
		// cut to 3 mm, built up beside every winding
		total += 2 * marginTape(out.Windings, m.Plan.Tape.Part)
	}
	stock.Take(b, seats.Tape, *m.Plan.Tape, metres(total))
	for i := range out.Transformer.Tape {
		out.Transformer.Tape[i].Lot = b.LotOf(seats.Tape, "")
	}
}

func meanTurn(w substitute.Winding) float64 {
	return (float64(w.Length) - stage.Tails) / float64(max(1, w.Turns))
}

// marginTape is the length of tape that builds one margin of all windings up to their height.
func marginTape(ws []substitute.Winding, tape catalog.Film) float64 {
	total := 0.0
	for _, w := range ws {
		layers := math.Ceil(float64(w.Layers) * float64(w.Overall) / float64(tape.Thickness.Value))
		total += layers * meanTurn(w)
	}
	return total
}

// crosses reports whether the mains barrier lies between two windings.
func crosses(a, b string) bool { return (a == "secondary") != (b == "secondary") }

func (j *Writer) stageOut(out *substitute.Build, m *stage.Measured) {
	t := j.Target
	out.Stage = substitute.Stage{BusMin: m.BusMin, BusMax: j.BusMax, Mode: m.Op.Mode.String(),
		DutyMax: m.Duty, PrimaryPeak: m.Op.Peak,
		PrimaryRMS: m.Op.PrimaryRMS, SecondaryPeak: m.Sec.Peak, SecondaryRMS: m.Sec.RMS,
		DrainPeak: m.Drain, Clamp: m.ClampTop,
		ReverseVoltage: flyback.RectifierReverse(t.Absolute, j.BusMax,
			si.Ratio(float64(m.Np)/float64(m.Ns))),
		CapacitorRipple: m.Ripple, Throughput: m.Through, InputPower: m.Input +
			m.Loss.Bridge, BulkCapacity: j.BulkLow,
		PulseShare: m.Share, RectifierDrop: m.Rect.Drop}
	if m.Nb > 0 {
		out.Stage.BiasMin, out.Stage.BiasMax = m.Bias.Low, m.Bias.High
	}
	out.Losses = m.Loss
	useful := float64(t.Set) * float64(t.Current)
	out.Efficiency = useful / (useful + float64(m.Loss.Total()))
	out.Junction, out.CoilHot, out.Inside = m.Hottest.Junction, m.Hottest.Coil, m.Hottest.Inside
}

// RegulationOut writes the control network and takes its parts.
func (j *Writer) RegulationOut(out *substitute.Build, m *stage.Measured, c *control.Control,
	b *stock.Basket) {
	v, i := c.Voltage, c.Current
	own := c.Own
	at := regulation.AtBattery(regulation.ConverterSide, j.Target.Set, j.Target.Current,
		own, i.Shunt.Ohm)
	r := substitute.Regulation{Ground: regulation.ConverterSide.String(), Reference: c.Vref,
		Top: v.Top.Ohm, Bottom: v.Bottom.Ohm,
		SetLow: v.SetLow, SetHigh: v.SetHigh, WorstLow: v.WorstLow, WorstHigh: v.WorstHigh,
		OpenWiper:   v.OpenWiper,
		KneeVoltage: at.Knee, Shunt: i.Shunt.Ohm, ShuntPower: i.ShuntPower, Sense: i.Sense,
		SenseTop:    i.Top.Ohm,
		SenseBottom: i.Bottom.Ohm, CurrentLow: i.Low, CurrentHigh: i.High,
		CurrentWorst: i.WorstHigh, Bias: c.Bias.Resistor.Ohm,
		BiasMin: c.Bias.MinCathode, BiasMax: c.Bias.MaxCathode, LEDResistor: c.LED.Resistor.Ohm,
		LEDNeed: c.Need,
		LEDHave: c.LED.Least, LowestRegulated: c.Lowest, IdleDraw: c.Idle()}
	if v.HasTrimmer {
		r.Trimmer = v.Trimmer.Ohm
	}
	r.Step = stepOut(v)
	if i.HasTrimmer {
		r.SenseTrimmer = i.Trimmer.Ohm
	}
	r.Networks, r.Loops = j.TakeControl(m, c, b)
	r.Circuit = c.Circuit()
	out.Regulation = r
}

// stepOut writes the measurement that finishes the divider; nil where there is none.
func stepOut(v regulation.VoltageNetwork) *substitute.MeasuredStep {
	k := v.Step
	if k == nil {
		return nil
	}
	out := &substitute.MeasuredStep{BeforeLow: k.Before.Low, BeforeHigh: k.Before.High,
		AcceptLow: k.Accept.Low, AcceptHigh: k.Accept.High, Meter: k.Meter}
	for _, c := range k.Choices {
		out.Choices = append(out.Choices,
			substitute.SetResistor{Ohm: c.Ohm, Wiring: c.String(), From: c.From, To: c.To})
	}
	if c, _, found := k.Name(v.OpenWiper); found {
		out.Likely = c.Ohm
	}
	return out
}

// ProtectionOut writes the overvoltage protection, takes its parts from what is left, and gives its
// limits.
func (j *Writer) ProtectionOut(out *substitute.Build, m *stage.Measured,
	b *stock.Basket) []substitute.Gauge {
	r := &out.Regulation
	p, legs, guarded := j.takeGuard(m, r.Loops, b)
	r.Protection, r.Networks = p, append(r.Networks, legs...)
	r.IdleDraw += idleOf(p, j.Target.Absolute)
	return append(guarded, substitute.Most(substitute.ChkIdleDraw, r.IdleDraw, idleMost))
}

// idleMost is what an unplugged charger may take from a pack for good: 9 Ah a year; common
// practice, no source.
const idleMost si.Current = 1e-3

// idleOf is what divider and gate of the protection take from a full pack.
func idleOf(p substitute.Protection, full si.Voltage) si.Current {
	return si.Current(float64(full)/float64(p.Top+p.Bottom) +
		float64(full)/float64(p.Gate+p.Divider))
}

// gauges are all limits that a build is held against, in the order of their numbers.
func (j *Writer) gauges(m *stage.Measured, c *control.Control, l substitute.LoopChoice,
	b *stock.Basket, y catalog.Capacitor, guarded []substitute.Gauge) []substitute.Gauge {
	gauges := append([]substitute.Gauge(nil), m.Gauges[:m.Count]...)
	gauges = append(append(gauges, c.Gauges...), guarded...)
	gauges = append(append(gauges, j.LoopGauges(c, l)...), j.ConnectGauges(c, b)...)
	gauges = append(gauges, loops.EventGauges(j.Looper, m, c, l, b)...)
	gauges = append(gauges, substitute.Most(substitute.ChkBulkVoltage, j.BusMax, j.Bulk.Volts))
	if j.BridgeStock != nil {
		p := j.BridgeStock.Part
		gauges = append(gauges, substitute.Most(substitute.ChkBridgeVoltage, j.BusMax,
			p.Reverse.Value*stage.BridgeUse),
			substitute.Most(substitute.ChkBridgeCurrent,
				si.Current(float64(m.Input)/float64(m.BusMin)), p.Average.Value*0.5))
	}
	gauges = append(gauges, substitute.Most(substitute.ChkOutputVoltage, c.Voltage.WorstHigh,
		j.Output.Volts/stage.OutputFault).From(0))
	if y.Capacitance.Known() {
		gauges = append(gauges, substitute.Most(substitute.ChkTouch,
			stage.TouchCurrent(j.Target, y.Capacitance.Value, y.Tolerance), stage.TouchLimit))
	}
	sort.SliceStable(gauges, func(a, b int) bool { return gauges[a].Id < gauges[b].Id })
	return gauges
}

// LoopGauges are the limits of the two loops.
func (j *Writer) LoopGauges(c *control.Control, l substitute.LoopChoice) []substitute.Gauge {
	return []substitute.Gauge{substitute.Most(substitute.ChkUnload, l.UnloadPeak,
		j.OutputBears(c)).From(float64(j.Target.Set)),
		{Id: substitute.ChkPhaseVoltage, Value: l.Voltage.Margin, Limit: compensation.LeastPhase, Lowest: true},
		{Id: substitute.ChkPhaseCurrent, Value: l.Current.Margin,
			Limit: compensation.LeastPhase, Lowest: true}}
}
