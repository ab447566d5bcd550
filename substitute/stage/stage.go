// Package stage computes a power stage whole: switcher, core, gap, windings, clamp and rectifier at
// all their corners.
package stage

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stock"
)

// Figures of the stage that no part states. Sources beside them.
const (
	BreakdownUse   = 0.90  // of a published breakdown voltage; common practice, no source
	BreakdownGuess = 0.85  // of one from memory
	ReverseUse     = 0.80  // of the rectifier's rating, AN-23 step 6
	ClampAbove     = 1.30  // x reflected voltage, SLVAFK6 / AN-23
	LimitUse       = 0.96  // of the lowest current limit, AN-30 eq. 17
	LimitUseGuess  = 0.90  // when the limit is from memory, AN-23 step 8
	HighestVR      = 150.0 // V, AN-23 steps 6 and 16
	// V, below it the duty is too small to be worth winding; common practice, no source
	LowestVR       = 45.0
	BiasDiode      = 0.7   // V, silicon
	BiasSpike      = 1.2   // leakage spike on the bias winding, from memory
	biasSpare      = 1.05  // over the stop voltage of the chip
	crossover      = 40e-9 // s, voltage and current overlap at turn-off, from memory
	LeastLeakage   = 0.01  // of the primary inductance with mains insulation (AN-19 p. 10)
	currentDensity = 9.9e6 // A/m2, AN-18 p. 10
	CoilLimit      = 110.0 // C
	junctionLimit  = 110.0 // C, or 25 K below the lowest shutdown temperature
	PulsesLimit    = 0.95
	valleyLimit    = 0.55
	RectifierUse   = 0.70 // of the average rating, for the heat inside; common practice, no source
	windingHot     = 100  // C, at which copper is reckoned
)

// Variant is a drive with one setting of its current limit, and the switch it drives. A chip of the
// drawer that has its switch inside is both.
type Variant struct {
	Drive
	Switch
	Stock *stock.Stock[catalog.Switcher] // that chip, to be taken
	Aux   si.Power                       // what the secondary circuit takes, with the LED it needs
}

// Design is one point of the design space.
type Design struct {
	V      *Variant
	C      *BareCore
	Core   magnetics.LossCurve // of the core at the frequency of the switcher
	Np, Ns int
	Gap    *MadeGap
	Rect   *RectifierChoice
	Plan   *Plan
	Clamp  ClampChoice
	Nb     int
	Donor  *DonorTransformer // nil unless the transformer is one of the drawer, unopened
}

// On is the part of a design that all turns of a switcher on a core have in common.
func On(v *Variant, c *BareCore) Design { return Design{V: v, C: c, Core: c.LossAt(v.Frequency)} }

// With is the design with turns and a gap, not yet wound.
func (d Design) With(j *Measurer, np, ns, nb, rect, gap int) Design {
	d.Np, d.Ns, d.Nb = np, ns, nb
	d.Gap, d.Rect = &d.C.Gaps[gap], &j.Rectifiers[rect]
	return d
}

// Planned is the key of its ways to wind.
func (d Design) Planned() planKey {
	return planKey{core: d.C.index, np: d.Np, ns: d.Ns, bias: d.Nb,
		band: int(float64(d.V.Frequency) / 20e3)}
}

// State is the steady state of a design at one bus voltage, with one inductance, frequency and,
// where the control is on/off, current limit.
type State struct {
	Inductance si.Inductance
	frequency  si.Frequency
	curve      magnetics.LossCurve // of the core at this frequency
	limit      si.Current
	bus        si.Voltage
	Through    si.Power
	Input      si.Power
	Op         flyback.Operating
	Sec        flyback.Secondary
	Ripple     si.Current
	Share      si.Ratio
	FluxSwing  si.FluxDensity
	Leak       si.Inductance
	AcP, AcS   si.Ratio
	Loss       substitute.Losses
	inside     si.Celsius
	Coil       si.Celsius
	junction   si.Celsius
}

// Measured is a design with everything computed for it. Its state is that at lowest mains with
// every figure at its middle; the gauges are those of the worst corner, see extremes.go.
type Measured struct {
	Design
	State
	Of        *Measurer // whose shunt voltage it was reckoned with
	Band      si.Interval[si.Inductance]
	Reflected si.Voltage
	BusMin    si.Voltage
	fluxPeak  si.FluxDensity
	WallPower si.Inductance
	WallFlux  si.Inductance
	Duty      si.Ratio
	Drain     si.Voltage
	ClampTop  si.Voltage // above the bus, hot, at the highest current
	Hottest   hotSpots
	Bias      si.Interval[si.Voltage]
	Filter    si.Capacitance // at the feedback pin, once chosen
	Exit      Exit           // choke and capacitor to OUT, once chosen
	PinSeries si.Resistance  // at a control pin that is fed, once chosen
	Gauges    [substitute.ChkCount]substitute.Gauge
	Count     int
	Margin    float64 // smallest margin of the gauges that are not shared, rounded to 1 %
	Binding   substitute.CheckID
	Failed    bool
	Left      bool // without its corners
}

// hold notes a gauge; of several with the same number the worst stays.
func (m *Measured) hold(g substitute.Gauge) {
	for i := range m.Gauges[:m.Count] {
		if h := &m.Gauges[i]; h.Id == g.Id {
			if g.Worse(*h) {
				*h = g
			}
			return
		}
	}
	m.Gauges[m.Count] = g
	m.Count++
}

// Measurer computes designs of one target whole.
type Measurer struct {
	*Frame
	Sense   si.Voltage // across the shunt at full current
	surface si.Area    // of the case
	Coolest si.Celsius // air inside with only the losses all designs have
}

func NewMeasurer(d *stock.Drawer, t substitute.Target) *Measurer {
	m := &Measurer{Frame: newFrame(d, t), surface: substitute.UsualBox.Surface()}
	if t.Box != nil {
		m.surface = t.Box.Surface()
	}
	return m
}

// Inside is the air in the case with these losses.
func (j *Measurer) Inside(loss si.Power) si.Celsius {
	switch j.Target.Case {
	case substitute.Sealed:
		return flyback.SealedAir(j.Target.Ambient, loss, j.surface)
	case substitute.Vented:
		return (j.Target.Ambient + flyback.SealedAir(j.Target.Ambient, loss, j.surface)) / 2
	}
	return j.Target.Ambient
}

// SecondaryVolts is what the secondary winding carries while the rectifier conducts.
func (j *Measurer) SecondaryVolts(out si.Voltage, r *RectifierChoice) si.Voltage {
	return out + r.Drop + j.Sense
}

// Measure computes one design at all its corners. It allocates nothing.
func (j *Measurer) Measure(d Design) (m Measured) {
	return j.MeasureAbove(d, Anything)
}

// Mark is what a design has to come up to: a margin and, where it just reaches that, a loss in mW
// that it may not exceed.
type Mark struct {
	Margin float64
	Loss   int64
}

// Anything is the mark that every design reaches, Sound the one of those that break no limit.
var (
	Anything = Mark{math.Inf(-1), math.MaxInt64}
	Sound    = Mark{0, math.MaxInt64}
)

// Below reports that a design with this margin and loss does not come up to the mark.
func (k Mark) Below(margin float64, loss si.Power) bool {
	return margin < k.Margin || margin == k.Margin && substitute.Milli(loss) > k.Loss
}

// Over reports that a design that came to this mark is better than one that came to the other.
func (k Mark) Over(o Mark) bool {
	return k.Margin > o.Margin || k.Margin == o.Margin && k.Loss < o.Loss
}

// MeasureAbove is measure for a design that is of no use unless it reaches a mark: it stops as soon
// as that is lost in the middle of all ranges, or a hard limit is, unless anything will do.
func (j *Measurer) MeasureAbove(d Design, least Mark) (m Measured) {
	return j.MeasureUnless(d, least, func() bool { return false })
}

// MeasureUnless is MeasureAbove that asks, once a design stood the middle of all ranges, whether to
// leave the corners.
func (j *Measurer) MeasureUnless(d Design, least Mark, leave func() bool) (m Measured) {
	n, first, second := m.begin(j, d)
	m.settleAt(j, n, &first, &second, rounds, 0)
	m.BusMin = m.bus
	m.walls(j, n)
	m.fixedGauges(j, n)
	m.lowestMains(j, n)
	m.warmGauges(j)
	m.clampGauges(j)
	if m.useless(least, m.Loss.Total()) {
		return m
	}
	if m.Left = leave(); m.Left {
		return m
	}
	m.extremes(j, n, &first, &second, least)
	m.clampGauges(j)
	m.settle()
	return m
}

// rounds of the loss balance from scratch, and from the state of a neighbouring corner.
const (
	rounds     = 4
	moreRounds = 3
)

// begin sets a design up in the middle of all its ranges.
func (m *Measured) begin(j *Measurer, d Design) (n si.Ratio, first,
	second magnetics.LayerSpectrum) {
	m.Design = d
	t := j.Target
	n = si.Ratio(float64(d.Np) / float64(d.Ns))
	m.Inductance = d.Primary(d.Gap.Al)
	m.Band = si.Interval[si.Inductance]{Low: d.Primary(d.Gap.Band.Low),
		High: d.Primary(d.Gap.Band.High)}
	m.frequency, m.curve, m.limit = d.V.Frequency, d.Core, (d.V.Limit.Low+d.V.Limit.High)/2
	m.Reflected = flyback.Reflected(n, j.SecondaryVolts(t.Set, d.Rect))
	m.Leak = max(d.Plan.Leakage, m.Inductance*LeastLeakage)
	m.inside = t.Ambient + 20
	m.Coil = m.inside + 15
	useful := si.Power(float64(t.Set+d.Rect.Drop+j.Sense)*float64(t.Current)) + d.V.Aux
	m.Through = useful * 1.06
	m.Input = m.Through * 1.05
	first, second = j.layerSpectra(&d, d.V.Frequency)
	return n, first, second
}

// Primary is the inductance of the primary with an inductance factor.
func (d *Design) Primary(al si.InductanceFactor) si.Inductance {
	return si.Inductance(float64(al) * float64(d.Np) * float64(d.Np))
}

// settleAt balances losses, currents and temperatures at a bus voltage; zero is the valley at
// lowest mains, which sags with them.
func (m *Measured) settleAt(j *Measurer, n si.Ratio, first, second *magnetics.LayerSpectrum,
	rounds int, bus si.Voltage) {
	for range rounds {
		if m.bus = bus; bus == 0 {
			m.bus, _ = flyback.BusValley(j.Target.MainsMin, j.Target.Line, j.BulkLow,
				m.Input, j.BridgeDrop)
			m.bus = max(m.bus, collapsed*flyback.BusPeak(j.Target.MainsMin, j.BridgeDrop))
		}
		m.operate()
		m.losses(j, n, first, second)
		m.heat(j)
	}
}

// operate finds the steady state at the bus voltage, full pack.
func (m *Measured) operate() {
	p := flyback.Point{Bus: m.bus, Reflected: m.Reflected, Power: m.Through,
		Inductance: m.Inductance, Frequency: m.frequency}
	if m.V.Gated {
		m.Op, m.Share = flyback.OperateGated(p, m.limit)
	} else {
		m.Op, m.Share = flyback.Operate(p), 1
	}
}

// runaway times the useful power is where the balance of a stage is stopped that burns ever more
// than it delivers, and collapsed that of the crest where its bus is, so that what is told of it
// stays finite. Both lie far beyond every limit.
const (
	runaway   = 20
	collapsed = 0.2
)

// losses books every loss once; what crosses the gap or comes out of the core's energy raises the
// throughput.
func (m *Measured) losses(j *Measurer, n si.Ratio, first, second *magnetics.LayerSpectrum) {
	t, d := j.Target, &m.Design
	fEff := si.Frequency(float64(m.frequency) * float64(m.Share))
	m.Sec = m.Op.Secondary(n)
	m.Ripple = flyback.CapacitorRipple(m.Sec, t.Current)
	swing := float64(m.Op.Peak-m.Op.Valley) * float64(m.Inductance) /
		(float64(d.Np) * float64(d.C.Geometry.Area))
	m.FluxSwing = si.FluxDensity(swing)
	lost := m.curve.Triangle(m.FluxSwing, m.Op.Duty/m.Share, m.Op.Demag/m.Share)
	m.Loss.Core = si.Power(float64(lost) * float64(d.C.Geometry.Volume) * float64(m.Share))
	m.copper(first, second)
	// a low clamp burns most
	m.Loss.Clamp = flyback.ClampLoss(m.Leak, m.Op.Peak, fEff, d.Clamp.Lowest, m.Reflected)
	if math.IsInf(float64(m.Loss.Clamp), 0) || m.Loss.Clamp > m.Through {
		m.Loss.Clamp = m.Through
	}
	m.Loss.Rectifier = flyback.RectifierLoss(t.Current, d.Rect.Drop)
	m.Loss.Shunt = si.Power(float64(t.Current) * float64(j.Sense))
	m.Loss.Switch = SwitchLoss(d.V, m.Op, m.bus, m.Reflected, fEff)
	own := j.ChipPower(*d)
	bleed := si.Power(float64(m.bus) * float64(m.bus) / float64(j.Bleed))
	// all the clamp burns, leakage energy and what flows on of the magnetising energy, was stored
	// in the core before
	useful := si.Power(float64(t.Set) * float64(t.Current))
	m.Through = min(runaway*useful, useful+m.Loss.Rectifier+m.Loss.Shunt+d.V.Aux+
		m.secondaryCopper()+m.Loss.Core+m.Loss.Clamp+own)
	m.Input = m.Through + m.Loss.Switch + m.primaryCopper() + bleed
	m.Loss.Other = d.V.Aux + own + bleed
	m.Loss.Bridge = flyback.BridgeLoss(m.Input, m.bus, j.BridgeDrop)
}

// ChipPower is what a switcher fed by a bias winding takes through the core.
func (j *Measurer) ChipPower(d Design) si.Power {
	if d.V.Supply.Self {
		return 0
	}
	return si.Power(float64(d.V.Supply.Current) * float64(j.BiasSupply(d).High))
}

// layerSpectra are the layer factors of primary and secondary at a switching frequency and its
// harmonics.
func (j *Measurer) layerSpectra(d *Design, f si.Frequency) (first, second magnetics.LayerSpectrum) {
	if d.Donor != nil {
		return first, second // its wire is not seen
	}
	p := d.Plan
	width := d.C.Former.Width - 2*p.margin
	dp, ds := p.Primary.Part.Diameter.Value, p.Secondary.Part.Diameter.Value
	first = magnetics.NewLayerSpectrum(f, windingHot, dp, float64(p.First.Layers),
		porosity(dp, p.StrandsP, p.First.TurnsPerLayer, width))
	second = magnetics.NewLayerSpectrum(f, windingHot, ds, p.fieldLayers(),
		porosity(ds, p.StrandsS, min(d.Ns, p.Second.TurnsPerLayer), width))
	return first, second
}

// copper fills the copper loss with the layer factor of the real current shape of each winding.
func (m *Measured) copper(first, second *magnetics.LayerSpectrum) {
	if m.Donor != nil {
		m.AcP, m.AcS = donorLayerFactor, donorLayerFactor
		m.Loss.Copper = m.primaryCopper() + m.secondaryCopper()
		return
	}
	m.AcP = first.ACFactor(magnetics.Trapezoid{Valley: m.Op.Valley, Peak: m.Op.Peak,
		Share: min(1, m.Op.Duty/m.Share)})
	m.AcS = second.ACFactor(magnetics.Trapezoid{Valley: m.Sec.Valley, Peak: m.Sec.Peak,
		Share: min(1, m.Sec.Share/m.Share)})
	m.Loss.Copper = m.primaryCopper() + m.secondaryCopper()
}

func porosity(bare si.Length, strands, across int, width si.Length) si.Ratio {
	return si.Ratio(min(1, float64(bare)*float64(strands*across)/float64(width)))
}

func (m *Measured) primaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.Coil)-20)
	return si.Power(float64(m.Op.PrimaryRMS) * float64(m.Op.PrimaryRMS) * float64(m.Plan.PrimaryR) *
		hot * float64(m.AcP))
}

func (m *Measured) secondaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.Coil)-20)
	return si.Power(float64(m.Sec.RMS) * float64(m.Sec.RMS) * float64(m.Plan.SecondaryR) * hot *
		float64(m.AcS))
}

// walls finds the two walls of the inductance and the flux at the highest limit.
func (m *Measured) walls(j *Measurer, n si.Ratio) {
	v, t := m.V, j.Target
	empty := flyback.Reflected(n, j.SecondaryVolts(t.Empty, m.Rect))
	through := m.Through
	if v.Gated {
		through /= PulsesLimit
	}
	full, okF := flyback.InductanceForPower(m.BusMin, m.Reflected, through, v.Freq.Low,
		v.Usable, v.Duty)
	part := through * si.Power(j.SecondaryVolts(t.Empty, m.Rect)/j.SecondaryVolts(t.Set, m.Rect))
	low, okE := flyback.InductanceForPower(m.BusMin, empty, part, v.Freq.Low, v.Usable, v.Duty)
	m.WallPower = max(full, low)
	if !okF || !okE {
		m.WallPower = si.Inductance(math.Inf(1))
	}
	linkage := float64(m.C.FluxLimit)*float64(m.Np)*float64(m.C.Geometry.AreaMin) -
		float64(j.BusMax)*float64(v.Delay)
	m.WallFlux = si.Inductance(max(0, linkage/float64(v.Limit.High)))
	top := v.Limit.High + flyback.Overshoot(j.BusMax, m.Band.High, v.Delay)
	m.fluxPeak = magnetics.FluxDensity(m.Band.High, top, m.Np, m.C.Geometry.AreaMin)
}

// heat settles the temperatures: air inside from all losses, then coil and chip on top of it. The
// copper of the next round follows the coil.
func (m *Measured) heat(j *Measurer) {
	m.inside = j.Inside(m.Loss.Total())
	m.Coil = m.inside + si.Celsius(float64(m.Loss.Core+m.Loss.Copper)*float64(m.C.Rise))
	if m.Coil > 300 || math.IsNaN(float64(m.Coil)) {
		m.Coil = 300
	}
	m.junction = flyback.Junction(m.inside, m.Loss.Switch, m.V.JunctionAir)
}

// SwitchLoss is what the switch burns, with what its drive takes from the drain, in a steady state at a bus voltage with f pulses a second.
func SwitchLoss(v *Variant, op flyback.Operating, bus, reflected si.Voltage,
	f si.Frequency) si.Power {
	turnOff := bus + reflected
	turnOn := bus // in discontinuous mode the ringing has died and the drain waits at the bus
	if op.Mode == flyback.Continuous {
		turnOn = turnOff
	}
	coss := v.Coss + 20e-12 // the winding's own
	loss := flyback.ConductionLoss(op.PrimaryRMS, v.OnHot) + flyback.CapacitiveLoss(coss, turnOn, f) +
		flyback.CrossoverLoss(turnOff, op.Peak, v.Crossover, f)
	if v.Supply.Self {
		loss += flyback.SelfSupplyLoss(bus, v.Supply.Current)
	}
	return loss
}

// LeastSwitchLoss is a lower bound of SwitchLoss: currents at the best bus voltage, everything that
// grows with the bus at the worst.
func LeastSwitchLoss(v *Variant, op flyback.Operating, best, worst, reflected si.Voltage,
	share si.Ratio) si.Power {
	f := si.Frequency(float64(v.Frequency) * float64(share))
	loss := flyback.ConductionLoss(op.PrimaryRMS, v.OnHot) +
		flyback.CapacitiveLoss(v.Coss+20e-12, worst, f) +
		flyback.CrossoverLoss(worst+reflected, op.Peak, v.Crossover, f)
	if v.Supply.Self {
		loss += flyback.SelfSupplyLoss(worst, v.Supply.Current)
	}
	return loss
}
