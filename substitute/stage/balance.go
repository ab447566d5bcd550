package stage

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// balance brings the losses, currents and temperatures of a design into agreement, which all
// depend on each other.
type balance struct {
	*Measured
	*Measurer
	n             si.Ratio                // turns, primary to secondary
	first, second magnetics.LayerSpectrum // of primary and secondary at the frequency of the state
}

// rounds of the loss balance from scratch, and from the state of a neighbouring corner.
const (
	rounds     = 4
	moreRounds = 3
)

// runaway times the useful power is where the balance of a stage is stopped that burns ever more
// than it delivers, and collapsed that of the crest where its bus is, so that what is told of it
// stays finite. Both lie far beyond every limit.
const (
	runaway   = 20
	collapsed = 0.2
)

// begin sets a design up in the middle of all its ranges.
func (b *balance) begin(d Design) {
	b.Design = d
	t := b.Target
	b.n = si.Ratio(float64(d.Np) / float64(d.Ns))
	b.Inductance = d.Primary(d.Gap.Al)
	b.Band = si.Interval[si.Inductance]{Low: d.Primary(d.Gap.Band.Low),
		High: d.Primary(d.Gap.Band.High)}
	b.frequency, b.curve, b.limit = d.V.Frequency, d.Core, (d.V.Limit.Low+d.V.Limit.High)/2
	b.Reflected = flyback.Reflected(b.n, b.SecondaryVolts(t.Set, d.Rect))
	b.Leak = max(d.Plan.Leakage, b.Inductance*LeastLeakage)
	b.inside = t.Ambient + 20
	b.Coil = b.inside + 15
	useful := si.Power(float64(t.Set+d.Rect.Drop+b.Sense)*float64(t.Current)) + d.V.Aux
	b.Through = useful * 1.06
	b.Input = b.Through * 1.05
	b.first, b.second = d.layerSpectra(d.V.Frequency)
}

// settleAt balances losses, currents and temperatures at a bus voltage; zero is the valley at
// lowest mains, which sags with them.
func (b *balance) settleAt(rounds int, bus si.Voltage) {
	for range rounds {
		if b.bus = bus; bus == 0 {
			b.bus, _ = flyback.BusValley(b.Target.MainsMin, b.Target.Line, b.BulkLow,
				b.Input, b.BridgeDrop)
			b.bus = max(b.bus, collapsed*flyback.BusPeak(b.Target.MainsMin, b.BridgeDrop))
		}
		b.operate()
		b.losses()
		b.heat()
	}
}

// losses books every loss once; what crosses the gap or comes out of the core's energy raises the
// throughput.
func (b *balance) losses() {
	t, d := b.Target, &b.Design
	fEff := si.Frequency(float64(b.frequency) * float64(b.Share))
	b.Sec = b.Op.Secondary(b.n)
	b.Ripple = flyback.CapacitorRipple(b.Sec, t.Current)
	swing := float64(b.Op.Peak-b.Op.Valley) * float64(b.Inductance) /
		(float64(d.Np) * float64(d.C.Geometry.Area))
	b.FluxSwing = si.FluxDensity(swing)
	lost := b.curve.Triangle(b.FluxSwing, b.Op.Duty/b.Share, b.Op.Demag/b.Share)
	b.Loss.Core = si.Power(float64(lost) * float64(d.C.Geometry.Volume) * float64(b.Share))
	b.copper(&b.first, &b.second)
	// a low clamp burns most
	b.Loss.Clamp = flyback.ClampLoss(b.Leak, b.Op.Peak, fEff, d.Clamp.Lowest, b.Reflected)
	if math.IsInf(float64(b.Loss.Clamp), 0) || b.Loss.Clamp > b.Through {
		b.Loss.Clamp = b.Through
	}
	b.Loss.Rectifier = flyback.RectifierLoss(t.Current, d.Rect.Drop)
	b.Loss.Shunt = si.Power(float64(t.Current) * float64(b.Sense))
	b.Loss.Switch = SwitchLoss(d.V, b.Op, b.bus, b.Reflected, fEff)
	own := b.ChipPower(*d)
	bleed := si.Power(float64(b.bus) * float64(b.bus) / float64(b.Bleed))
	// all the clamp burns, leakage energy and what flows on of the magnetising energy, was stored
	// in the core before
	useful := si.Power(float64(t.Set) * float64(t.Current))
	b.Through = min(runaway*useful, useful+b.Loss.Rectifier+b.Loss.Shunt+d.V.Aux+
		b.secondaryCopper()+b.Loss.Core+b.Loss.Clamp+own)
	b.Input = b.Through + b.Loss.Switch + b.primaryCopper() + bleed
	b.Loss.Other = d.V.Aux + own + bleed
	b.Loss.Bridge = flyback.BridgeLoss(b.Input, b.bus, b.BridgeDrop)
}

// heat settles the temperatures: air inside from all losses, then coil and chip on top of it. The
// copper of the next round follows the coil.
func (b *balance) heat() {
	b.inside = b.Inside(b.Loss.Total())
	b.Coil = b.inside + si.Celsius(float64(b.Loss.Core+b.Loss.Copper)*float64(b.C.Rise))
	if b.Coil > 300 || math.IsNaN(float64(b.Coil)) {
		b.Coil = 300
	}
	b.junction = flyback.Junction(b.inside, b.Loss.Switch, b.V.JunctionAir)
}

// layerSpectra are the layer factors of primary and secondary at a switching frequency and its
// harmonics.
func (d *Design) layerSpectra(f si.Frequency) (first, second magnetics.LayerSpectrum) {
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

func porosity(bare si.Length, strands, across int, width si.Length) si.Ratio {
	return si.Ratio(min(1, float64(bare)*float64(strands*across)/float64(width)))
}

// SwitchLoss is what the switch burns, with what its drive takes from the drain, in a steady state
// at a bus voltage with f pulses a second.
func SwitchLoss(v *Variant, op flyback.Operating, bus, reflected si.Voltage,
	f si.Frequency) si.Power {
	turnOff := bus + reflected
	turnOn := bus // in discontinuous mode the ringing has died and the drain waits at the bus
	if op.Mode == flyback.Continuous {
		turnOn = turnOff
	}
	coss := v.Coss + 20e-12 // the winding's own
	loss := flyback.ConductionLoss(op.PrimaryRMS, v.OnHot) +
		flyback.CapacitiveLoss(coss, turnOn, f) +
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
