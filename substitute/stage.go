package substitute

import (
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// Figures of the stage that no part states. Sources beside them.
const (
	breakdownUse    = 0.90  // of a published breakdown voltage; common practice, no source
	breakdownGuess  = 0.85  // of one from memory
	reverseUse      = 0.80  // of the rectifier's rating, AN-23 step 6
	clampAbove      = 1.30  // x reflected voltage, SLVAFK6 / AN-23
	limitUse        = 0.96  // of the lowest current limit, AN-30 eq. 17
	limitUseGuess   = 0.90  // when the limit is from memory, AN-23 step 8
	highestVR       = 150.0 // V, AN-23 steps 6 and 16
	lowestVR        = 45.0  // V, below it the duty is too small to be worth winding; common practice, no source
	biasDiode       = 0.7   // V, silicon
	biasSpike       = 1.2   // leakage spike on the bias winding, from memory
	biasSpare       = 1.05  // over the stop voltage of the chip
	crossover       = 40e-9 // s, voltage and current overlap at turn-off, from memory
	leastLeakage    = 0.01  // of the primary inductance with mains insulation (AN-19 p. 10)
	currentDensity  = 9.9e6 // A/m2, AN-18 p. 10
	coilLimit       = 110.0 // C
	insideLimit     = 75.0  // C
	junctionLimit   = 110.0 // C, or 25 K below the lowest shutdown temperature
	pulsesLimit     = 0.95
	valleyLimit     = 0.55
	rectifierUse    = 0.70 // of the average rating, for the heat inside; common practice, no source
	windingHot      = 100  // C, at which copper is reckoned
	chipOwnCurrent  = 1.0e-3
	defaultDutyMax  = 0.60
	defaultDelay    = 250e-9 // s, from memory
	defaultJunction = 90.0   // K/W, when nothing is known at all
)

// variant is a switcher of the drawer with one setting of its current limit.
type variant struct {
	stock     *stock[catalog.Switcher]
	sense     *stock[catalog.Resistor] // external limit resistor, nil when fixed inside
	limit     si.Interval[si.Current]
	usable    si.Current // highest peak to design for: the lowest limit with its margin
	freq      si.Interval[si.Frequency]
	frequency si.Frequency
	duty      si.Ratio
	delay     si.Time
	breakdown si.Voltage // usable part of it
	gated     bool
	class     si.Power // 0 = no class known
	aux       si.Power // what the secondary circuit takes, with the lamp this switcher needs
	classText string
}

// design is one point of the design space.
type design struct {
	v      *variant
	c      *bareCore
	core   magnetics.LossCurve // of the core at the frequency of the switcher
	np, ns int
	gap    *madeGap
	rect   *rectifierChoice
	plan   *plan
	clamp  clampChoice
	nb     int
	donor  *donorTransformer // nil unless the transformer is one of the drawer, unopened
}

// on is the part of a design that all turns of a switcher on a core have in common.
func on(v *variant, c *bareCore) design { return design{v: v, c: c, core: c.lossAt(v.frequency)} }

// with is the design with turns and a gap, not yet wound.
func (d design) with(j *job, s *turnSet, gap int) design {
	d.np, d.ns, d.nb = s.np, s.ns, s.bias
	d.gap, d.rect = &d.c.gaps[gap], &j.rectifiers[s.rect]
	return d
}

// planned is the key of its ways to wind.
func (d design) planned() planKey {
	return planKey{core: d.c.index, np: d.np, ns: d.ns, bias: d.nb, band: int(float64(d.v.frequency) / 20e3)}
}

// state is the steady state of a design at one bus voltage, with one inductance, frequency and, where the control is on/off,
// current limit.
type state struct {
	inductance si.Inductance
	frequency  si.Frequency
	curve      magnetics.LossCurve // of the core at this frequency
	limit      si.Current
	bus        si.Voltage
	through    si.Power
	input      si.Power
	op         flyback.Operating
	sec        flyback.Secondary
	ripple     si.Current
	share      si.Ratio
	fluxSwing  si.FluxDensity
	leak       si.Inductance
	acP, acS   si.Ratio
	loss       Losses
	inside     si.Celsius
	coil       si.Celsius
	junction   si.Celsius
}

// measured is a design with everything computed for it. Its state is that at lowest mains with every figure at its middle; the
// gauges are those of the worst corner, see extremes.go.
type measured struct {
	design
	state
	of        *job // whose shunt voltage it was reckoned with
	band      si.Interval[si.Inductance]
	reflected si.Voltage
	busMin    si.Voltage
	fluxPeak  si.FluxDensity
	wallPower si.Inductance
	wallFlux  si.Inductance
	duty      si.Ratio
	drain     si.Voltage
	clampTop  si.Voltage // above the bus, hot, at the highest current
	hottest   hotSpots
	bias      si.Interval[si.Voltage]
	filter    si.Capacitance // at the feedback pin, once chosen
	exit      exit           // choke and capacitor to OUT, once chosen
	pinSeries si.Resistance  // at a control pin that is fed, once chosen
	gauges    [chkCount]gauge
	count     int
	margin    float64 // smallest room of the gauges that are not shared, rounded to 1 %
	binding   checkID
	failed    bool
}

// hold notes a gauge; of several with the same number the one with the least room stays.
func (m *measured) hold(g gauge) {
	for i := range m.gauges[:m.count] {
		if h := &m.gauges[i]; h.id == g.id {
			if g.room() < h.room() {
				*h = g
			}
			return
		}
	}
	m.gauges[m.count] = g
	m.count++
}

// secondaryVolts is what the secondary winding carries while the rectifier conducts.
func (j *job) secondaryVolts(out si.Voltage, r *rectifierChoice) si.Voltage {
	return out + r.drop + j.sense
}

// measure computes one design at all its corners. It allocates nothing.
func (j *job) measure(d design) (m measured) {
	return j.measureAbove(d, math.Inf(-1))
}

// measureAbove is measure for a design that is of no use unless its margin reaches least: it stops as soon as that is lost in the
// middle of all ranges, or a hard limit is, while least is above minus infinity.
func (j *job) measureAbove(d design, least float64) (m measured) {
	n, first, second := m.begin(j, d)
	m.settleAt(j, n, &first, &second, rounds, 0)
	m.busMin = m.bus
	m.walls(j, n)
	m.fixedGauges(j, n)
	m.lowestMains(j, n)
	m.warmGauges(j)
	m.clampGauges(j)
	if m.useless(least) {
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
func (m *measured) begin(j *job, d design) (n si.Ratio, first, second magnetics.LayerSpectrum) {
	m.design = d
	t := j.target
	n = si.Ratio(float64(d.np) / float64(d.ns))
	m.inductance = d.primary(d.gap.al)
	m.band = si.Interval[si.Inductance]{Low: d.primary(d.gap.band.Low), High: d.primary(d.gap.band.High)}
	m.frequency, m.curve, m.limit = d.v.frequency, d.core, (d.v.limit.Low+d.v.limit.High)/2
	m.reflected = flyback.Reflected(n, j.secondaryVolts(t.Set, d.rect))
	m.leak = max(d.plan.leakage, m.inductance*leastLeakage)
	m.inside = t.Ambient + 20
	m.coil = m.inside + 15
	useful := si.Power(float64(t.Set+d.rect.drop+j.sense)*float64(t.Current)) + d.v.aux
	m.through = useful * 1.06
	m.input = m.through * 1.05
	first, second = j.layerSpectra(d)
	return n, first, second
}

// primary is the inductance of the primary with an inductance factor.
func (d *design) primary(al si.InductanceFactor) si.Inductance {
	return si.Inductance(float64(al) * float64(d.np) * float64(d.np))
}

// settleAt balances losses, currents and temperatures at a bus voltage; zero is the valley at lowest mains, which sags with them.
func (m *measured) settleAt(j *job, n si.Ratio, first, second *magnetics.LayerSpectrum, rounds int, bus si.Voltage) {
	for range rounds {
		if m.bus = bus; bus == 0 {
			m.bus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, m.input, j.bridgeDrop)
		}
		m.operate()
		m.losses(j, n, first, second)
		m.heat(j)
	}
}

// operate finds the steady state at the bus voltage, full pack.
func (m *measured) operate() {
	p := flyback.Point{Bus: m.bus, Reflected: m.reflected, Power: m.through, Inductance: m.inductance, Frequency: m.frequency}
	if m.v.gated {
		m.op, m.share = flyback.OperateGated(p, m.limit)
	} else {
		m.op, m.share = flyback.Operate(p), 1
	}
}

// losses books every loss once; what crosses the gap or comes out of the core's energy raises the throughput.
func (m *measured) losses(j *job, n si.Ratio, first, second *magnetics.LayerSpectrum) {
	t, d := j.target, &m.design
	fEff := si.Frequency(float64(m.frequency) * float64(m.share))
	m.sec = m.op.Secondary(n)
	m.ripple = flyback.CapacitorRipple(m.sec, t.Current)
	swing := float64(m.op.Peak-m.op.Valley) * float64(m.inductance) / (float64(d.np) * float64(d.c.geometry.Area))
	m.fluxSwing = si.FluxDensity(swing)
	lost := m.curve.Triangle(m.fluxSwing, m.op.Duty/m.share, m.op.Demag/m.share)
	m.loss.Core = si.Power(float64(lost) * float64(d.c.geometry.Volume) * float64(m.share))
	m.copper(first, second)
	m.loss.Clamp = flyback.ClampLoss(m.leak, m.op.Peak, fEff, d.clamp.lowest, m.reflected) // a low clamp burns most
	if math.IsInf(float64(m.loss.Clamp), 0) || m.loss.Clamp > m.through {
		m.loss.Clamp = m.through
	}
	m.loss.Rectifier = flyback.RectifierLoss(t.Current, d.rect.drop)
	m.loss.Shunt = si.Power(float64(t.Current) * float64(j.sense))
	m.loss.Switch = switchLoss(d.v, m.op, m.bus, m.reflected, fEff)
	own := j.chipPower(*d)
	bleed := si.Power(float64(m.bus) * float64(m.bus) / float64(j.bleed))
	// all the clamp burns, leakage energy and what flows on of the magnetising energy, was stored in the core before
	m.through = si.Power(float64(t.Set)*float64(t.Current)) + m.loss.Rectifier + m.loss.Shunt + d.v.aux +
		m.secondaryCopper() + m.loss.Core + m.loss.Clamp + own
	m.input = m.through + m.loss.Switch + m.primaryCopper() + bleed
	m.loss.Other = d.v.aux + own + bleed
	m.loss.Bridge = flyback.BridgeLoss(m.input, m.bus, j.bridgeDrop)
}

// chipPower is what a switcher fed by a bias winding takes through the core.
func (j *job) chipPower(d design) si.Power {
	part := d.v.stock.part
	if part.SelfSupply == "yes" {
		return 0
	}
	return si.Power(float64(part.SupplyCurrent.Or(2*chipOwnCurrent)) * float64(j.biasSupply(d).High))
}

// layerSpectra are the layer factors of primary and secondary at the switching frequency and its harmonics.
func (j *job) layerSpectra(d design) (first, second magnetics.LayerSpectrum) {
	if d.donor != nil {
		return first, second // its wire is not seen
	}
	p, f := d.plan, d.v.frequency
	width := d.c.former.Width - 2*p.margin
	dp, ds := p.primary.part.Diameter.Value, p.secondary.part.Diameter.Value
	first = magnetics.NewLayerSpectrum(f, windingHot, dp, float64(p.first.Layers), porosity(dp, p.strandsP, p.first.TurnsPerLayer, width))
	second = magnetics.NewLayerSpectrum(f, windingHot, ds, p.fieldLayers(), porosity(ds, p.strandsS, min(d.ns, p.second.TurnsPerLayer), width))
	return first, second
}

// copper fills the copper loss with the layer factor of the real current shape of each winding.
func (m *measured) copper(first, second *magnetics.LayerSpectrum) {
	if m.donor != nil {
		m.acP, m.acS = donorLayerFactor, donorLayerFactor
		m.loss.Copper = m.primaryCopper() + m.secondaryCopper()
		return
	}
	m.acP = first.ACFactor(magnetics.Trapezoid{Valley: m.op.Valley, Peak: m.op.Peak, Share: min(1, m.op.Duty/m.share)})
	m.acS = second.ACFactor(magnetics.Trapezoid{Valley: m.sec.Valley, Peak: m.sec.Peak, Share: min(1, m.sec.Share/m.share)})
	m.loss.Copper = m.primaryCopper() + m.secondaryCopper()
}

func porosity(bare si.Length, strands, across int, width si.Length) si.Ratio {
	return si.Ratio(min(1, float64(bare)*float64(strands*across)/float64(width)))
}

func (m *measured) primaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.coil)-20)
	return si.Power(float64(m.op.PrimaryRMS) * float64(m.op.PrimaryRMS) * float64(m.plan.primaryR) * hot * float64(m.acP))
}

func (m *measured) secondaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.coil)-20)
	return si.Power(float64(m.sec.RMS) * float64(m.sec.RMS) * float64(m.plan.secondaryR) * hot * float64(m.acS))
}

// walls finds the two walls of the inductance and the flux at the highest limit.
func (m *measured) walls(j *job, n si.Ratio) {
	v, t := m.v, j.target
	empty := flyback.Reflected(n, j.secondaryVolts(t.Empty, m.rect))
	through := m.through
	if v.gated {
		through /= pulsesLimit
	}
	full, okF := flyback.InductanceForPower(m.busMin, m.reflected, through, v.freq.Low, v.usable, v.duty)
	part := through * si.Power(j.secondaryVolts(t.Empty, m.rect)/j.secondaryVolts(t.Set, m.rect))
	low, okE := flyback.InductanceForPower(m.busMin, empty, part, v.freq.Low, v.usable, v.duty)
	m.wallPower = max(full, low)
	if !okF || !okE {
		m.wallPower = si.Inductance(math.Inf(1))
	}
	room := float64(m.c.fluxLimit)*float64(m.np)*float64(m.c.geometry.AreaMin) - float64(j.busMax)*float64(v.delay)
	m.wallFlux = si.Inductance(max(0, room/float64(v.limit.High)))
	top := v.limit.High + flyback.Overshoot(j.busMax, m.band.High, v.delay)
	m.fluxPeak = magnetics.FluxDensity(m.band.High, top, m.np, m.c.geometry.AreaMin)
}

// heat settles the temperatures: air inside from all losses, then coil and chip on top of it. The copper of the next round follows the
// coil.
func (m *measured) heat(j *job) {
	m.inside = j.inside(m.loss.total())
	m.coil = m.inside + si.Celsius(float64(m.loss.Core+m.loss.Copper)*float64(m.c.rise))
	if m.coil > 300 || math.IsNaN(float64(m.coil)) {
		m.coil = 300
	}
	m.junction = flyback.Junction(m.inside, m.loss.Switch, junctionAir(m.v.stock.part))
}

// junctionAir is the thermal resistance of the chip as mounted; one from memory is widened by a fifth, an assumed one is
// cautious already.
func junctionAir(p catalog.Switcher) si.ThermalResistance {
	if p.JunctionAir.Basis == catalog.Estimated {
		return p.JunctionAir.Value * 1.2
	}
	return p.JunctionAir.Or(defaultJunction)
}

// onHeatSink reports whether the chip is reckoned with a piece of aluminium of 20 K/W, which the warnings ask for.
func onHeatSink(p catalog.Switcher) bool {
	return !p.JunctionAir.Firm() && strings.Contains(strings.ReplaceAll(p.Package, "-", ""), "TO220")
}

// junctionMost is the limit of the chip: 110 C, or 25 K below its lowest shutdown temperature.
func junctionMost(p catalog.Switcher) si.Celsius {
	if p.JunctionMax.Known() {
		return min(junctionLimit, p.JunctionMax.Value-25)
	}
	return junctionLimit
}

// switchLoss is what the chip burns in a steady state at a bus voltage with f pulses a second.
func switchLoss(v *variant, op flyback.Operating, bus, reflected si.Voltage, f si.Frequency) si.Power {
	part := v.stock.part
	ron := part.OnHot.Or(1.8 * part.OnResistance.Value)
	turnOff := bus + reflected
	turnOn := bus // in discontinuous mode the ringing has died and the drain waits at the bus
	if op.Mode == flyback.Continuous {
		turnOn = turnOff
	}
	coss := part.Coss.Or(60e-12) + 20e-12 // the winding's own
	loss := flyback.ConductionLoss(op.PrimaryRMS, ron) + flyback.CapacitiveLoss(coss, turnOn, f) +
		flyback.CrossoverLoss(turnOff, op.Peak, crossover, f)
	if part.SelfSupply == "yes" {
		loss += flyback.SelfSupplyLoss(bus, part.SupplyCurrent.Or(chipOwnCurrent))
	}
	return loss
}

// leastSwitchLoss is a lower bound of switchLoss: currents at the best bus voltage, everything that grows with the bus at the worst.
func leastSwitchLoss(v *variant, op flyback.Operating, best, worst, reflected si.Voltage, share si.Ratio) si.Power {
	part := v.stock.part
	f := si.Frequency(float64(v.frequency) * float64(share))
	loss := flyback.ConductionLoss(op.PrimaryRMS, part.OnHot.Or(1.8*part.OnResistance.Value)) +
		flyback.CapacitiveLoss(part.Coss.Or(60e-12)+20e-12, worst, f) + flyback.CrossoverLoss(worst+reflected, op.Peak, crossover, f)
	if part.SelfSupply == "yes" {
		loss += flyback.SelfSupplyLoss(worst, part.SupplyCurrent.Or(chipOwnCurrent))
	}
	return loss
}
