package substitute

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// Every limit is held at the end of each range where it is worst. Ranges are the bus from the valley at lowest mains to the crest
// at highest, the inductance over what gap and ferrite leave open, the frequency of the switcher or, where whole pulses are gated,
// its current limit, and the leakage. Between two ends every figure is a sum of terms that bend upwards over the bus, so that its
// highest lies at an end, apart from one step: where the stage leaves continuous mode the drain is no longer charged to bus plus
// reflected voltage at turn-on. That border is looked at too where it lies inside.

// hotSpots are the highest temperatures at any corner.
type hotSpots struct {
	inside, coil, junction, rectifier, clamp si.Celsius
	clampPower                               si.Power
}

// extremes takes a design through the corners and comes back to its middle; it leaves out the rest once the design is of no use.
func (m *measured) extremes(j *job, n si.Ratio, first, second *magnetics.LayerSpectrum, least float64) {
	middle := m.state
	ends := [2]si.Inductance{m.band.Low, m.band.High}
	for i, l := range ends {
		if i == 1 && l == ends[0] {
			break
		}
		for _, high := range [2]bool{false, true} {
			m.state = middle
			m.inductance = l
			m.tuneTo(high)
			m.settleAt(j, n, first, second, moreRounds, 0)
			m.warmGauges(j)
			if !high {
				m.lowestMains(j, n)
			}
			if border := m.border(); border > m.bus && border < j.busMax {
				m.settleAt(j, n, first, second, moreRounds, border)
				m.warmGauges(j)
			}
			m.settleAt(j, n, first, second, moreRounds, j.busMax)
			m.warmGauges(j)
			m.shortest(j, n)
			if m.useless(least) {
				m.state = middle
				return
			}
		}
	}
	m.state = middle
}

// useless reports that a design is known to fail or to stay below a margin that it has to reach.
func (m *measured) useless(least float64) bool {
	if math.IsInf(least, -1) {
		return false
	}
	m.settle()
	return m.failed || m.margin < least
}

// tuneTo takes the switcher to the low or the high end of its frequency, or of its limit where pulses are gated.
func (m *measured) tuneTo(high bool) {
	v := m.v
	switch {
	case v.gated && high:
		m.limit = v.limit.High
	case v.gated:
		m.limit = v.limit.Low
	case high:
		m.frequency = v.freq.High
	default:
		m.frequency = v.freq.Low
	}
	if m.frequency != v.frequency {
		m.curve = m.c.lossAt(m.frequency)
	}
}

// border is the bus at which the stage leaves continuous mode, a hair on this side of it; zero where it never does.
func (m *measured) border() si.Voltage {
	l, f := float64(m.inductance), float64(m.frequency)
	volts := math.Sqrt(2 * float64(m.through) * l * f) // half a period's volts of the triangle that just carries the power
	if m.v.gated {
		volts = float64(m.limit) * l * f
	}
	vr := float64(m.reflected)
	if !(volts < vr) {
		return 0
	}
	return si.Voltage(volts * vr / (vr - volts) * (1 - 1e-6))
}

// warmGauges hold what gets warm or carries ripple in the state at hand.
func (m *measured) warmGauges(j *job) {
	ambient, hot := float64(j.target.Ambient), &m.hottest
	hot.inside, hot.coil, hot.junction = max(hot.inside, m.inside), max(hot.coil, m.coil), max(hot.junction, m.junction)
	m.hold(most(chkCoilHot, m.coil, si.Celsius(coilLimit)).from(ambient))
	m.hold(most(chkJunction, m.junction, junctionMost(m.v.stock.part)).from(ambient))
	m.hold(most(chkInside, m.inside, si.Celsius(insideLimit)).from(ambient))
	m.hold(most(chkOutputRipple, m.ripple, j.output.rms))
	rect := flyback.Junction(m.inside, m.loss.Rectifier, m.rect.air)
	hot.rectifier = max(hot.rectifier, rect)
	m.hold(most(chkRectifierHot, rect, m.rect.hottest).from(ambient))
	if m.donor == nil {
		m.hold(most(chkPrimaryWire, density(m.op.PrimaryRMS, m.plan.primary.part, m.plan.strandsP), si.Ratio(currentDensity)))
		m.hold(most(chkSecondaryWire, density(m.sec.RMS, m.plan.secondary.part, m.plan.strandsS), si.Ratio(currentDensity)))
	}
	burnt := m.clamp.burns(m.leakHigh(), m.op.Peak, si.Frequency(float64(m.frequency)*float64(m.share)), m.reflected)
	hot.clampPower = max(hot.clampPower, burnt)
	hot.clamp = max(hot.clamp, flyback.Junction(m.inside, burnt, m.clamp.air))
}

// clampGauges hold the drain clamp as hot as it gets: what it burns, and the drain at the highest current of the chip, which rises
// fastest with the lowest inductance.
func (m *measured) clampGauges(j *job) {
	v := m.v
	highest := v.limit.High + flyback.Overshoot(j.busMax, m.band.Low, v.delay)
	m.clampTop = m.clamp.top(m.leakHigh(), highest, v.freq.High, m.reflected, m.hottest.clamp)
	m.drain = flyback.DrainPeak(j.busMax, m.clampTop)
	m.hold(most(chkDrain, m.drain, v.breakdown).from(float64(j.busMax)))
	m.hold(most(chkClampPower, m.hottest.clampPower, m.clamp.steady))
	if m.clamp.r == nil {
		m.hold(most(chkClampHot, m.hottest.clamp, suppressorHottest).from(float64(j.target.Ambient)))
	}
}

// Leakage, see magnetics.Leakage: the estimate may be half as much again; hand wound with a single primary 3 % of the inductance
// must be counted with (from memory). What was read on the finished transformer stands as read.
const (
	leakageSpread = 1.5
	mostLeakage   = 0.03
)

// leakHigh is the highest leakage that a design may come out with.
func (m *measured) leakHigh() si.Inductance { return m.plan.leakHigh(m.inductance, m.leak, m.donor) }

func (g *gist) leakHigh(primary, leak si.Inductance, donor *donorTransformer) si.Inductance {
	switch {
	case g.leakageRead:
		return leak
	case donor != nil:
		return leak * si.Inductance(1+donor.stock.part.Meter.Or(0.05))
	case g.halves:
		return leak * leakageSpread
	}
	return max(leak*leakageSpread, primary*mostLeakage)
}

// blanking is how long a switcher does not look at the current after turn-on; 250 to 300 ns are usual (from memory).
const blanking si.Time = 300e-9

// shortest holds the on-time at the highest bus into an empty pack at full current. Below what blanking and delay take at least, the
// switcher cannot hold the current any more but by leaving pulses out; less load than that is left to just this, which the
// feedback that stops it brings about.
func (m *measured) shortest(j *job, n si.Ratio) {
	if m.v.gated {
		return // its pulses always run to the limit
	}
	op := flyback.Operate(flyback.Point{Bus: m.bus, Reflected: flyback.Reflected(n, j.secondaryVolts(j.target.Empty, m.rect)),
		Power: j.throughEmpty(m), Inductance: m.inductance, Frequency: m.frequency})
	m.hold(least(chkOnTime, si.Time(float64(op.Duty)/float64(m.frequency)), blanking+m.v.delay))
}

// Suppressors. Documented in the sheets of P6KE and SMBJ types: breakdown drifts by 0.107 to 0.112 %/K from 100 to 300 V;
// the voltage at the rated 10/1000 us pulse is 1.29 to 1.32 x the largest breakdown (1.42 for one of 103 types), which counts as a
// resistance and is an upper bound for spikes of a microsecond; 75 K/W from junction to air and a junction of 150 C at most
// (Good-Ark P6KE6.8 thru P6KE550CA, maximum ratings).
const (
	suppressorDrift   = 0.00108 // 1/K
	suppressorRise    = 1.32
	suppressorAir     = 75.0 // K/W
	suppressorHottest = si.Celsius(150)
	suppressorPulse   = 400.0 // W where none is stated: the smallest usual at a drain; common practice, no source
	clampSpike        = 13.0  // V: forward recovery of the clamp diode and stray inductance, 10 to 20 V (from memory)
)

// suppressor is the part of a clampChoice for one of the drawer or to be bought.
func suppressor(p catalog.Clamp) clampChoice {
	tol := 1 + float64(p.Tolerance.Or(0.05))
	high := p.Breakdown.Value * si.Voltage(tol)
	rated := float64(p.Pulse.Or(suppressorPulse)) / (suppressorRise * float64(high)) // A
	return clampChoice{lowest: p.Breakdown.Value / si.Voltage(tol), highest: high,
		dynamic: si.Resistance((suppressorRise - 1) * float64(high) / rated), steady: p.Steady.Or(1) * 0.8, air: suppressorAir}
}

// top is the voltage above the bus at a peak current, the suppressor at a temperature.
func (c *clampChoice) top(leak si.Inductance, peak si.Current, f si.Frequency, reflected si.Voltage, hot si.Celsius) si.Voltage {
	if c.r != nil {
		return flyback.ClampVoltage(leak, peak, f, c.r.part.Resistance.Value, reflected) + clampSpike
	}
	return flyback.SuppressorVoltage(c.highest, suppressorDrift, hot, c.dynamic, peak) + clampSpike
}

// burns is what the clamp burns with a leakage, a peak and so many pulses a second.
func (c *clampChoice) burns(leak si.Inductance, peak si.Current, f si.Frequency, reflected si.Voltage) si.Power {
	if c.r != nil {
		v := float64(flyback.ClampVoltage(leak, peak, f, c.r.part.Resistance.Value, reflected))
		return si.Power(v * v / float64(c.r.part.Resistance.Value))
	}
	return flyback.ClampLoss(leak, peak, f, c.lowest, reflected)
}
