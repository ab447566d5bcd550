package search

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stage"
)

// winding is one way to wind a candidate with one clamp, which stood the bounds.
type winding struct {
	*stage.Design
	g         *stage.Gist
	reflected si.Voltage
	warm      *Warmth
	loss      si.Power // at least
	leak      si.Inductance
	burn      si.Power // what the clamp takes for every part of the leakage energy
	chip      si.Power // that the chip takes through the core
	power     si.Power // that crosses the gap at least
}

// outlook tells what a winding will come to before it is measured.
type outlook struct{ *pairing }

// winding is a design with a way to wind and a clamp, its bounds known.
func (p outlook) winding(d *stage.Design, g *stage.Gist, reflected si.Voltage, warm *Warmth,
	loss si.Power) *winding {
	w := &winding{Design: d, g: g, reflected: reflected, warm: warm, loss: loss, burn: 1,
		chip: p.ChipPower(*d)}
	w.leak = max(g.Leakage, stage.LeastLeakage*d.Primary(d.Gap.Al))
	if d.Clamp.Lowest > reflected {
		w.burn = si.Power(d.Clamp.Lowest / (d.Clamp.Lowest - reflected))
	}
	w.power = p.leastPower(d.Rect) + w.chip
	return w
}

// doomed reports that a winding cannot come up to what is wanted though it stood the bounds. It
// looks closer: at what else is known of the losses once they must not exceed those of the best, at
// the valley and the crest with what is lost there, at the shortest pulse. While its miss may be
// told it is left to be measured.
func (p outlook) doomed(w *winding, bound float64) bool {
	if p.telling() {
		return false
	}
	mark := p.wanted()
	if bound <= mark.Margin && mark.Loss < math.MaxInt64 &&
		mark.Below(mark.Margin, p.spent(w, si.Power(mark.Loss+1)/1000)) {
		return true
	}
	least := mark.Margin - roundOff
	return !p.standsValley(w, least) || !p.standsCrest(w, least)
}

// roundOff is more than what a margin is rounded up by.
const roundOff = 1e-7

// telling reports whether the nearest miss of the pair may be told.
func (p outlook) telling() bool {
	return !p.Quiet && !p.out.Found && (p.Record == nil || !p.some.Load())
}

// fartherOff reports that the first corner that is measured already misses a limit by more than the
// nearest miss so far.
func (p outlook) fartherOff(w *winding) bool {
	if !p.telling() || !p.deepest.valid {
		return false
	}
	_, curve := p.curves()
	c := p.atCrest(w, w.Gap.Band.Low, w.V.Limit.High, curve)
	return !p.standsWarm(w, &c, p.deepest.margin) || !p.longEnough(w, &c, p.deepest.margin)
}

// spent is a lower bound of the losses at lowest mains if they are no more than most: then the bus
// does not sag below that.
func (p outlook) spent(w *winding, most si.Power) si.Power {
	useful := si.Power(float64(p.Target.Set) * float64(p.Target.Current))
	bus := p.deepestBus(useful + most)
	bleeds := func(v si.Voltage) si.Power {
		return si.Power(float64(v) * float64(v) / float64(p.Bleed))
	}
	input := w.warm.through + w.warm.chipLoss + w.warm.first
	coil := float64(p.LeastInside(w.loss)) +
		float64(w.warm.core+w.warm.first+w.warm.second)*float64(w.C.Rise)
	warmer := float64(si.CopperTempCo) * (coil - float64(p.LeastInside(w.loss))) /
		(1 + float64(si.CopperTempCo)*(coil-20))
	return w.loss + (w.warm.first+w.warm.second)*si.Power(warmer) +
		si.Power(float64(w.Rect.Drop-p.leastDrop)*float64(p.Target.Current)) + bleeds(bus) -
		bleeds(p.worstBus) +
		stage.LeastSwitchLoss(w.V, w.warm.op, bus, bus, w.reflected, w.warm.share) -
		w.warm.chipLoss +
		flyback.BridgeLoss(input, p.sagged(input), p.BridgeDrop) -
		flyback.BridgeLoss(useful, p.bestBus, p.BridgeDrop)
}

// deepestBus is the lowest that the bus can be at an input power: two points of the grid of valleys
// further, as the balance that the measure stops at may be a hair off.
func (j *busValleys) deepestBus(input si.Power) si.Voltage {
	i := max(0, int(float64(input-j.valleyFrom)/float64(j.valleyStep))) + 2
	if i >= len(j.valleys) {
		return j.worstBus
	}
	return max(j.worstBus, j.valleys[i])
}

// corner is a winding at one bus voltage, inductance and frequency, with what it loses there at
// least.
type corner struct {
	flyback.Point
	op                         flyback.Operating
	sec                        flyback.Secondary
	pulses                     si.Frequency
	first, second, core, burnt si.Power
	own                        si.Power // of the chip
	loss                       si.Power
	air, coil                  si.Celsius
}

// with finds the steady state and what it loses; limit is that at which each pulse of a gated
// switcher ends. always is what every design loses at that bus.
func (c *corner) with(p *pairing, w *winding, limit si.Current, curve *magnetics.LossCurve,
	always si.Power) {
	share := si.Ratio(1)
	if w.V.Gated {
		c.op, share = flyback.OperateGated(c.Point, limit)
	} else {
		c.op = flyback.Operate(c.Point)
	}
	c.sec = c.op.Secondary(si.Ratio(float64(w.Np) / float64(w.Ns)))
	hot := si.Power(1 + float64(si.CopperTempCo)*(float64(c.coil)-20))
	c.first = hot * leastCopper(c.op.PrimaryRMS, c.op.PrimaryMean, share, w.g.PrimaryR, w.g.LeastP)
	c.second = hot * leastCopper(c.sec.RMS, c.sec.Mean, share, w.g.SecondaryR, w.g.LeastS)
	c.pulses = si.Frequency(float64(c.Frequency) * float64(share))
	c.burnt = w.burn * flyback.LeakagePower(w.leak, c.op.Peak, c.pulses)
	swing := float64(c.op.Peak-c.op.Valley) * float64(c.Inductance) /
		(float64(w.Np) * float64(w.C.Geometry.Area))
	core := curve.Triangle(si.FluxDensity(swing), c.op.Duty/share, c.op.Demag/share)
	c.core = si.Power(float64(core) * float64(w.C.Geometry.Volume) * float64(share))
	c.own = stage.SwitchLoss(w.V, c.op, c.Bus, w.reflected, c.pulses)
	c.loss = c.own + c.core + c.first + c.second + c.burnt + always + w.V.Aux - p.auxLeast + w.chip
	c.air = p.LeastInside(c.loss)
	c.coil = c.air + si.Celsius(float64(c.core+c.first+c.second)*float64(w.C.Rise))
}

// curves are the losses of the core at the ends of the frequency of the switcher, where pulses are
// gated at the only one.
func (p outlook) curves() (slow, fast *magnetics.LossCurve) {
	if p.fast == nil {
		ends := p.V.Freq
		if p.V.Gated {
			ends = si.Interval[si.Frequency]{Low: p.V.Frequency, High: p.V.Frequency}
		}
		low, high := p.C.LossAt(ends.Low), p.C.LossAt(ends.High)
		p.slow, p.fast = &low, &high
	}
	return p.slow, p.fast
}

// atCrest is a corner at the crest of the highest mains and the highest frequency; what is lost the
// first time crosses the gap the second time.
func (p outlook) atCrest(w *winding, al si.InductanceFactor, limit si.Current,
	curve *magnetics.LossCurve) corner {
	c := corner{Point: flyback.Point{Bus: p.BusMax, Reflected: w.reflected, Power: w.power,
		Inductance: w.Primary(al),
		Frequency:  w.V.Freq.High}, coil: p.LeastInside(w.warm.Loss)}
	if w.V.Gated {
		c.Frequency = w.V.Frequency
	}
	c.with(p.pairing, w, limit, curve, p.alwaysCrest)
	c.Power += c.second + c.core + c.burnt
	c.with(p.pairing, w, limit, curve, p.alwaysCrest)
	return c
}

// standsCrest reports whether the crest of the highest mains leaves a winding window: chip, coil,
// air and clamp as warm as they are with both ends of the inductance, the drain with the clamp that
// hot, and the shortest pulse.
func (p outlook) standsCrest(w *winding, least float64) bool {
	_, curve := p.curves()
	for i, al := range [2]si.InductanceFactor{w.Gap.Band.Low, w.Gap.Band.High} {
		for k, limit := range [2]si.Current{w.V.Limit.High, w.V.Limit.Low} {
			if k > 0 && !w.V.Gated {
				break
			}
			c := p.atCrest(w, al, limit, curve)
			if !p.standsWarm(w, &c, least) || !p.standsClamp(w, &c, least) ||
				i == 0 && !p.longEnough(w, &c, least) {
				return false
			}
		}
	}
	return true
}

// enough reports whether all gauges leave margin.
func enough(least float64, gs ...substitute.Gauge) bool {
	for i := range gs {
		if gs[i].Margin() < least {
			return false
		}
	}
	return true
}

// standsWarm holds what gets warm or carries ripple in a corner against its limit.
func (p outlook) standsWarm(w *winding, c *corner, least float64) bool {
	return enough(least, p.chipGauge(w.Design,
		c.air+si.Celsius(float64(c.own)*float64(w.V.JunctionAir))),
		p.coilGauge(c.coil),
		substitute.Most(substitute.ChkInside, c.air,
			si.Celsius(substitute.InsideLimit)).From(float64(p.Target.Ambient)),
		substitute.Most(substitute.ChkOutputRipple,
			flyback.CapacitorRipple(c.sec, p.Target.Current), p.Output.Rms))
}

// standsClamp holds the clamp, as hot as it is in a corner, against its limits and the drain
// against that of the chip.
func (p outlook) standsClamp(w *winding, c *corner, least float64) bool {
	burns, top, hot := w.ClampAt(p.Measurer, w.g, c.op.Peak, c.pulses, w.reflected, c.air)
	return enough(least, hot, substitute.Most(substitute.ChkDrain, flyback.DrainPeak(p.BusMax, top),
		w.V.Breakdown).From(float64(p.BusMax)),
		substitute.Most(substitute.ChkClampPower, burns, w.Clamp.Steady))
}

// longEnough holds the shortest pulse, into an empty pack, against the least of the switcher: with
// the most power that crosses the gap while the air inside leaves the margin that is wanted.
func (p outlook) longEnough(w *winding, c *corner, least float64) bool {
	if w.V.Gated {
		return true // its pulses always run to the limit
	}
	limit, ambient := float64(substitute.InsideLimit), float64(p.Target.Ambient)
	most, known := p.mostLoss(si.Celsius(limit - least*(limit-ambient)))
	if !known {
		return true
	}
	useful := si.Power(float64(p.Target.Set) * float64(p.Target.Current))
	beside := c.own + c.first + si.Power(float64(p.BusMax)*float64(p.BusMax)/float64(p.Bleed)) +
		flyback.BridgeLoss(useful, p.BusMax, p.BridgeDrop)
	through := useful + most - beside
	return p.OnTime(w.Design, through, c.Point).Margin() >= least
}

// standsValley reports whether the valley of the lowest mains leaves a winding window with the
// least inductance and the lowest frequency, with which the chip is asked most.
func (p outlook) standsValley(w *winding, least float64) bool {
	if w.V.Gated {
		return true
	}
	c := corner{Point: flyback.Point{Bus: p.sagged(w.power), Reflected: w.reflected, Power: w.power,
		Inductance: w.Primary(w.Gap.Band.Low),
		Frequency:  w.V.Freq.Low}, coil: p.LeastInside(w.warm.Loss)}
	slow, _ := p.curves()
	c.with(p.pairing, w, 0, slow, p.always)
	c.Power += c.second + c.burnt
	c.Bus = p.sagged(c.Power + c.first)
	asked := p.Asked(w.Design, c.Point)
	return enough(least, asked[:]...)
}
