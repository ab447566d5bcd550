package search

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
)

// Warmth is a lower bound of what warms chip and coil, at a bus voltage that is not reached and a
// power that is exceeded, so that a design it rejects can never pass.
type Warmth struct {
	op       flyback.Operating
	share    si.Ratio
	sec      flyback.Secondary
	core     si.Power
	chipLoss si.Power
	Loss     si.Power // all losses known so far

	// copper, and what crosses the gap, once coil has looked at a way to wind
	first, second, through si.Power
}

// Warm is the first bound: nothing lost, the bus at its best.
func (j *Bounder) Warm(d stage.Design, reflected si.Voltage) (w Warmth) {
	w.operate(j, d, reflected, j.bestBus, j.leastPower(d.Rect))
	return w
}

// operate reckons everything that does not depend on the winding. The swing of the flux is that of
// discontinuous mode or the ripple of continuous mode at the lowest bus, whichever is less.
func (w *Warmth) operate(j *Bounder, d stage.Design, reflected, bus si.Voltage, power si.Power) {
	l := float64(d.Gap.Al) * float64(d.Np) * float64(d.Np)
	p := flyback.Point{Bus: bus, Reflected: reflected, Power: power, Inductance: si.Inductance(l),
		Frequency: d.V.Frequency}
	w.share = 1
	if d.V.Gated {
		w.op, w.share = flyback.OperateGated(p, (d.V.Limit.Low+d.V.Limit.High)/2)
	} else {
		w.op = flyback.Operate(p)
	}
	w.sec = w.op.Secondary(si.Ratio(float64(d.Np) / float64(d.Ns)))
	low, vr := float64(j.worstBus), float64(reflected)
	ripple := min(float64(w.op.Peak-w.op.Valley), low*vr/(low+vr)/l/float64(d.V.Frequency))
	swing := si.FluxDensity(ripple * l / (float64(d.Np) * float64(d.C.Geometry.Area)))
	w.core = si.Power(float64(d.Core.LeastTriangle(swing)) * float64(d.C.Geometry.Volume) *
		float64(w.share))
	w.chipLoss = stage.LeastSwitchLoss(d.V, w.op, bus, j.worstBus, reflected, w.share)
	w.Loss = w.core + w.chipLoss + j.always + d.V.Aux - j.auxLeast + j.ChipPower(d)
}

// Chip bounds the margin by the chip's temperature and the ripple of the output capacitor.
func (w *Warmth) Chip(j *Bounder, d stage.Design, reflected si.Voltage, bound float64) (float64,
	substitute.Gauge) {
	hot := j.LeastInside(w.Loss) + si.Celsius(
		float64(w.chipLoss)*float64(d.V.JunctionAir))
	b, by := lowest(bound, substitute.Gauge{}, j.chipGauge(&d, hot),
		substitute.Most(substitute.ChkOutputRipple,
			flyback.CapacitorRipple(w.sec, j.Target.Current), j.Output.Rms))
	if b >= 0 {
		chip, _ := j.crest(&d, nil, reflected, 0, j.leastPower(d.Rect))
		b, by = lowest(b, by, j.chipGauge(&d, chip))
	}
	return substitute.Percent(b), by
}

// chipGauge holds a temperature of the chip against its limit.
func (j *Bounder) chipGauge(d *stage.Design, hot si.Celsius) substitute.Gauge {
	return substitute.Most(substitute.ChkJunction, hot,
		d.V.JunctionMost).From(float64(j.Target.Ambient))
}

// coilGauge holds a temperature of the coil against its limit.
func (j *Bounder) coilGauge(hot si.Celsius) substitute.Gauge {
	return substitute.Most(substitute.ChkCoilHot, hot,
		si.Celsius(stage.CoilLimit)).From(float64(j.Target.Ambient))
}

// crest is a lower bound of the temperatures of chip and coil at the crest of the highest mains,
// where pulses are most frequent and turn-on costs most, with both ends of the inductance; the
// measure looks at the same corners. Without a way to wind it leaves copper and clamp out. burnt is
// the share of the leakage energy that the clamp takes, power what crosses the gap at least.
func (j *Bounder) crest(d *stage.Design, g *stage.Gist, reflected si.Voltage, burnt,
	power si.Power) (chip, coil si.Celsius) {
	v := d.V
	for _, al := range [2]si.InductanceFactor{d.Gap.Band.Low, d.Gap.Band.High} {
		p := flyback.Point{Bus: j.BusMax, Reflected: reflected, Power: power,
			Inductance: d.Primary(al), Frequency: v.Freq.High}
		if !v.Gated {
			hot, coiled := j.crestAt(d, g, p, flyback.Operate(p), 1, burnt)
			chip, coil = max(chip, hot), max(coil, coiled)
			continue
		}
		p.Frequency = v.Frequency
		for _, limit := range [2]si.Current{v.Limit.Low, v.Limit.High} {
			op, share := flyback.OperateGated(p, limit)
			hot, coiled := j.crestAt(d, g, p, op, share, burnt)
			chip, coil = max(chip, hot), max(coil, coiled)
		}
	}
	return chip, coil
}

// crestAt is crest in one steady state.
func (j *Bounder) crestAt(d *stage.Design, g *stage.Gist, p flyback.Point, op flyback.Operating,
	share si.Ratio, burnt si.Power) (
	chip, coil si.Celsius) {
	pulses := si.Frequency(float64(p.Frequency) * float64(share))
	ownLoss := stage.SwitchLoss(d.V, op, j.BusMax, p.Reflected, pulses)
	swing := float64(op.Peak-op.Valley) * float64(p.Inductance) /
		(float64(d.Np) * float64(d.C.Geometry.Area))
	core := si.Power(float64(d.Core.LeastTriangle(si.FluxDensity(swing))) *
		float64(d.C.Geometry.Volume) * float64(share))
	loss := ownLoss + core + j.alwaysCrest + d.V.Aux - j.auxLeast + j.ChipPower(*d)
	wound := core
	if g != nil {
		sec := op.Secondary(si.Ratio(float64(d.Np) / float64(d.Ns)))
		warm := si.Power(1 + float64(si.CopperTempCo)*(float64(j.LeastInside(loss))-20))
		copper := warm * (leastCopper(op.PrimaryRMS, op.PrimaryMean, share, g.PrimaryR, g.LeastP) +
			leastCopper(sec.RMS, sec.Mean, share, g.SecondaryR, g.LeastS))
		wound += copper
		loss += copper + burnt*flyback.LeakagePower(
			max(g.Leakage, stage.LeastLeakage*d.Primary(d.Gap.Al)), op.Peak, pulses)
	}
	air := j.LeastInside(loss)
	return air + si.Celsius(float64(ownLoss)*float64(d.V.JunctionAir)),
		air + si.Celsius(float64(wound)*float64(d.C.Rise))
}

// passes is how often coil lets the bus sag and the power grow by the losses it has found.
const passes = 2

// Coil bounds the margin by build height, and by the temperatures of coil and chip with copper as
// warm as the air and every harmonic at the layer factor of the lowest, the clamp as high as given.
// What is lost that way has to cross the core and the bus, which raises the currents.
func (w Warmth) Coil(j *Bounder, d stage.Design, g *stage.Gist, reflected, clamp si.Voltage,
	bound float64) (float64, substitute.Gauge, si.Power) {
	return w.coil(j, &d, g, reflected, clamp, bound)
}

func (w *Warmth) coil(j *Bounder, d *stage.Design, g *stage.Gist, reflected, clamp si.Voltage,
	bound float64) (float64, substitute.Gauge, si.Power) {
	l := si.Inductance(float64(d.Gap.Al) * float64(d.Np) * float64(d.Np))
	leak := max(g.Leakage, stage.LeastLeakage*l)
	by := substitute.Gauge{}
	bound, by = lowest(bound, by, substitute.Most(substitute.ChkFill,
		si.Length(g.Fill)*d.C.Former.Height, d.C.Former.Height))
	own := j.ChipPower(*d)
	// the lower the clamp stands, the more of the magnetising energy it burns too
	share := si.Power(1)
	if clamp > reflected {
		share = si.Power(clamp / (clamp - reflected))
	}
	loss := w.Loss
	for pass := 0; ; pass++ {
		warm := si.Power(1 + float64(si.CopperTempCo)*(float64(j.LeastInside(loss))-20))
		first := warm * leastCopper(w.op.PrimaryRMS, w.op.PrimaryMean, w.share,
			g.PrimaryR, g.LeastP)
		second := warm * leastCopper(w.sec.RMS, w.sec.Mean, w.share, g.SecondaryR, g.LeastS)
		burnt := share * flyback.LeakagePower(leak, w.op.Peak,
			si.Frequency(float64(d.V.Frequency)*float64(w.share)))
		loss = w.Loss + first + second + burnt
		through := j.leastPower(d.Rect) + second + w.core + burnt + own
		if pass == passes {
			w.first, w.second, w.through = first, second, through
			air := j.LeastInside(loss)
			bound, by = lowest(bound, by,
				j.coilGauge(air+si.Celsius(float64(w.core+first+second)*float64(d.C.Rise))),
				j.chipGauge(d, air+si.Celsius(float64(w.chipLoss)*
					float64(d.V.JunctionAir))),
				substitute.Most(substitute.ChkOutputRipple,
					flyback.CapacitorRipple(w.sec, j.Target.Current), j.Output.Rms))
			if bound >= 0 && d.Clamp.Lowest > 0 {
				bound, by = w.clamped(j, d, g, reflected, bound, by)
			}
			if bound >= 0 {
				chip, coil := j.crest(d, g, reflected, share, j.leastPower(d.Rect)+own)
				bound, by = lowest(bound, by, j.coilGauge(coil), j.chipGauge(d, chip))
			}
			return substitute.Percent(bound), by, loss
		}
		w.operate(j, *d, reflected, j.sagged(through+w.chipLoss+first), through)
	}
}

// clamped bounds the margin by what the clamp of the design burns.
func (w *Warmth) clamped(j *Bounder, d *stage.Design, g *stage.Gist, reflected si.Voltage,
	bound float64, by substitute.Gauge) (
	float64, substitute.Gauge) {
	burns := d.Burns(g, w.op.Peak, si.Frequency(float64(d.V.Frequency)*float64(w.share)), reflected)
	return lowest(bound, by, substitute.Most(substitute.ChkClampPower, burns, d.Clamp.Steady))
}

// sagged is the highest that the bus can be at an input power: valleys on a grid, the point below.
func (j *busValleys) sagged(input si.Power) si.Voltage {
	i := int(float64(input-j.valleyFrom) / float64(j.valleyStep))
	return j.valleys[max(0, min(i, len(j.valleys)-1))]
}

// leastCopper is the loss of a winding whose alternating part meets only the layer factor of the
// fundamental. share is that of the pulses that are made: while they come the current alternates
// about a mean as much higher.
func leastCopper(rms, mean si.Current, share si.Ratio, r si.Resistance, factor si.Ratio) si.Power {
	direct := float64(mean) * float64(mean) / float64(share)
	return si.Power((direct + (float64(rms)*float64(rms)-direct)*float64(factor)) * float64(r))
}
