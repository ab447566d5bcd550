package stage

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// judge holds a design against its limits in the state at hand.
type judge struct {
	balance
}

// lowestMains holds what is hardest at the valley of the lowest mains against the chip: peak
// current, pulses, duty. It counts with the throughput of the state at hand and the lowest
// frequency.
func (k *judge) lowestMains() {
	v, t := k.V, k.Target
	low := flyback.Point{Bus: k.bus, Reflected: k.Reflected, Power: k.Through,
		Inductance: k.Inductance, Frequency: v.Freq.Low}
	empty := low
	empty.Reflected = flyback.Reflected(k.n, k.SecondaryVolts(t.Empty, k.Rect))
	empty.Power = k.throughEmpty(k.Measured)
	duty := k.Op.Duty / max(k.Share, 1e-9)
	if v.Gated {
		k.hold(substitute.Most(substitute.ChkPulses,
			max(flyback.PulseShare(low.Power, low.Inductance, v.Freq.Low, v.Limit.Low, low.Bus,
				low.Reflected),
				flyback.PulseShare(empty.Power, low.Inductance, v.Freq.Low, v.Limit.Low, low.Bus,
					empty.Reflected)), PulsesLimit))
	} else {
		need := flyback.Operate(low)
		k.hold(substitute.Most(substitute.ChkPower, need.Peak, v.Usable))
		k.hold(substitute.Most(substitute.ChkPowerEmpty, flyback.Operate(empty).Peak, v.Usable))
		duty = need.Duty
		if need.Mode == flyback.Continuous {
			k.hold(substitute.Most(substitute.ChkSubharmonic, need.Duty, 0.5))
		}
	}
	k.Duty = max(k.Duty, duty)
	k.hold(substitute.Most(substitute.ChkDuty, duty, v.Duty))
	crest := flyback.BusPeak(t.MainsMin, k.BridgeDrop)
	// a bus that collapses knows no ripple
	k.hold(substitute.Most(substitute.ChkBulkRipple,
		min(k.bulkRipple(), runaway*k.Bulk.Rms), k.Bulk.Rms))
	k.hold(substitute.Least(substitute.ChkBulkValley, k.bus,
		valleyLimit*crest).From(float64(crest)))
}

// fixedGauges are the limits that no state of the stage moves.
func (k *judge) fixedGauges() {
	v, t := k.V, k.Target
	if v.Class > 0 {
		k.hold(substitute.Most(substitute.ChkClass,
			si.Power(float64(t.Set)*float64(t.Current)), v.Class))
	}
	if k.Donor != nil {
		k.donorGauges(k.Design)
	} else {
		k.windingGauges(k.Design)
	}
	k.hold(substitute.Least(substitute.ChkClampAbove, k.Clamp.Lowest, ClampAbove*k.Reflected))
	k.hold(substitute.Most(substitute.ChkReverse, flyback.RectifierReverse(t.Absolute, k.BusMax,
		k.n),
		k.Rect.Reverse))
	k.hold(substitute.Most(substitute.ChkRectifierCurrent, t.Current, k.Rect.average))
	if !v.Supply.Self {
		k.Bias = k.BiasSupply(k.Design)
		for _, g := range v.Supply.Gauges(k.Bias) {
			k.hold(g)
		}
	}
}

// windingGauges are the limits of a transformer that is wound here.
func (k *judge) windingGauges(d Design) {
	k.hold(substitute.Most(substitute.ChkFlux, k.fluxPeak, d.C.FluxLimit))
	if d.Gap.Layers > 0 {
		k.hold(substitute.Least(substitute.ChkSmallestGap, d.Gap.Shim, thinnestShim))
	}
	k.hold(substitute.Most(substitute.ChkFill, si.Length(d.Plan.Fill)*d.C.Former.Height,
		d.C.Former.Height))
	k.barrierGauges(d)
}

func (k *judge) barrierGauges(d Design) {
	if d.Plan.Barrier == Margins {
		k.hold(substitute.Least(substitute.ChkBarrierMargin, 2*d.Plan.margin, CreepageNeeded))
	}
	if pin := d.C.Stock.Part.PinCreepage; pin.Known() && d.Plan.Barrier != TripleInsulated {
		k.hold(substitute.Least(substitute.ChkPinCreepage, pin.Value, CreepageNeeded))
	}
}

// donorGauges are the limits that stand for those of a winding: the safe current of the core, the
// energy it stores, and the builder's word for the barrier. The current still rises during the
// turn-off delay, most with the lowest inductance.
func (k *judge) donorGauges(d Design) {
	p := d.Donor.Stock.Part
	top := d.V.Limit.High + flyback.Overshoot(k.BusMax, k.Band.Low, d.V.Delay)
	if d.Donor.OwnChip(d.V) {
		k.hold(substitute.Most(substitute.ChkOwnChip, d.V.Limit.High, d.V.Limit.High))
	} else {
		k.hold(substitute.Most(substitute.ChkSafeCurrent, top, d.Donor.Safe))
	}
	stored := si.Power(0.5 * float64(p.Inductance.Value) * float64(d.Donor.Safe) *
		float64(d.Donor.Safe) * float64(d.V.Frequency))
	k.hold(substitute.Least(substitute.ChkStored, stored, k.Through))
	declared := 0.0
	if p.Barrier == "yes" {
		declared = 1
	}
	k.hold(substitute.Least(substitute.ChkDeclared, si.Ratio(declared), 1))
}

// warmGauges hold what gets warm or carries ripple in the state at hand.
func (k *judge) warmGauges() {
	ambient, hot := float64(k.Target.Ambient), &k.Hottest
	hot.Inside, hot.Coil, hot.Junction = max(hot.Inside, k.inside), max(hot.Coil, k.Coil),
		max(hot.Junction, k.junction)
	k.hold(substitute.Most(substitute.ChkCoilHot, k.Coil, si.Celsius(CoilLimit)).From(ambient))
	k.hold(substitute.Most(substitute.ChkJunction, k.junction,
		k.V.JunctionMost).From(ambient))
	k.hold(substitute.Most(substitute.ChkInside, k.inside,
		si.Celsius(substitute.InsideLimit)).From(ambient))
	k.hold(substitute.Most(substitute.ChkOutputRipple, k.Ripple, k.Output.Rms))
	rect := flyback.Junction(k.inside, k.Loss.Rectifier, k.Rect.air)
	hot.rectifier = max(hot.rectifier, rect)
	k.hold(substitute.Most(substitute.ChkRectifierHot, rect, k.Rect.hottest).From(ambient))
	if k.Donor == nil {
		k.hold(substitute.Most(substitute.ChkPrimaryWire,
			density(k.Op.PrimaryRMS, k.Plan.Primary.Part,
				k.Plan.StrandsP), si.Ratio(currentDensity)))
		k.hold(substitute.Most(substitute.ChkSecondaryWire,
			density(k.Sec.RMS, k.Plan.Secondary.Part, k.Plan.StrandsS), si.Ratio(currentDensity)))
	}
	burnt := k.Clamp.burns(k.leakHigh(), k.Op.Peak,
		si.Frequency(float64(k.frequency)*float64(k.Share)), k.Reflected)
	hot.ClampPower = max(hot.ClampPower, burnt)
	hot.clamp = max(hot.clamp, flyback.Junction(k.inside, burnt, k.Clamp.air))
}

// clampGauges hold the drain clamp as hot as it gets: what it burns, and the drain at the highest
// current of the chip.
func (k *judge) clampGauges() {
	v := k.V
	k.ClampTop = k.Clamp.top(k.leakHigh(), k.highestPeak(&k.Design), v.Freq.High, k.Reflected,
		k.Hottest.clamp)
	k.Drain = flyback.DrainPeak(k.BusMax, k.ClampTop)
	k.hold(substitute.Most(substitute.ChkDrain, k.Drain, v.Breakdown).From(float64(k.BusMax)))
	k.hold(substitute.Most(substitute.ChkClampPower, k.Hottest.ClampPower, k.Clamp.Steady))
	if k.Clamp.R == nil {
		k.hold(substitute.Most(substitute.ChkClampHot, k.Hottest.clamp,
			k.Clamp.hottest).From(float64(k.Target.Ambient)))
	}
}

// shortest holds the on-time at the highest bus into an empty pack at full current. Below its
// shortest pulse, the switcher cannot hold the current any more but by leaving pulses out; less
// load than that is left to just this, which the feedback that stops it brings about.
func (k *judge) shortest() {
	if k.V.Gated {
		return // its pulses always run to the limit
	}
	op := flyback.Operate(flyback.Point{Bus: k.bus,
		Reflected: flyback.Reflected(k.n, k.SecondaryVolts(k.Target.Empty, k.Rect)),
		Power:     k.throughEmpty(k.Measured), Inductance: k.Inductance, Frequency: k.frequency})
	k.hold(substitute.Least(substitute.ChkOnTime, si.Time(float64(op.Duty)/float64(k.frequency)),
		k.V.LeastOn))
}

// walls finds the two walls of the inductance and the flux at the highest limit.
func (k *judge) walls() {
	v, t := k.V, k.Target
	empty := flyback.Reflected(k.n, k.SecondaryVolts(t.Empty, k.Rect))
	through := k.Through
	if v.Gated {
		through /= PulsesLimit
	}
	full, okF := flyback.InductanceForPower(k.BusMin, k.Reflected, through, v.Freq.Low,
		v.Usable, v.Duty)
	part := through * si.Power(k.SecondaryVolts(t.Empty, k.Rect)/k.SecondaryVolts(t.Set, k.Rect))
	low, okE := flyback.InductanceForPower(k.BusMin, empty, part, v.Freq.Low, v.Usable, v.Duty)
	k.WallPower = max(full, low)
	if !okF || !okE {
		k.WallPower = si.Inductance(math.Inf(1))
	}
	linkage := float64(k.C.FluxLimit)*float64(k.Np)*float64(k.C.Geometry.AreaMin) -
		float64(k.BusMax)*float64(v.Delay)
	k.WallFlux = si.Inductance(max(0, linkage/float64(v.Limit.High)))
	top := v.Limit.High + flyback.Overshoot(k.BusMax, k.Band.High, v.Delay)
	k.fluxPeak = magnetics.FluxDensity(k.Band.High, top, k.Np, k.C.Geometry.AreaMin)
}

// bulkRipple is the ripple of the bulk capacitor in the state at hand: mains and switching
// frequency add as squares.
func (k *judge) bulkRipple() si.Current {
	return si.Current(math.Hypot(float64(k.mainsRipple(k.BulkLow, k.Input)),
		float64(k.Op.SwitchingRipple())))
}

func density(rms si.Current, w catalog.Wire, strands int) si.Ratio {
	d := float64(w.Diameter.Value)
	return si.Ratio(float64(rms) / (float64(strands) * math.Pi * d * d / 4))
}
