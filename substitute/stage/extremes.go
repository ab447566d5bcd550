package stage

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// Every limit is held at the end of each range where it is worst. Ranges are the bus from the
// valley at lowest mains to the crest at highest, the inductance over what gap and ferrite leave
// open, the frequency of the switcher or, where whole pulses are gated, its current limit, and the
// leakage. Between two ends every figure is a sum of terms that bend upwards over the bus, so that
// its highest lies at an end, apart from one step: where the stage leaves continuous mode the drain
// is no longer charged to bus plus reflected voltage at turn-on. Over bus and inductance that
// border is a line; wherever it crosses the edge of both ranges it is looked at too, on the side of
// continuous mode.

// hotSpots are the highest temperatures at any corner.
type hotSpots struct {
	Inside, Coil, Junction, rectifier, clamp si.Celsius
	ClampPower                               si.Power
}

// extremes takes a design through the corners and comes back to its middle; it leaves out the rest
// once the design is of no use.
func (m *Measured) extremes(j *Measurer, n si.Ratio, first,
	second *magnetics.LayerSpectrum, least Mark) {
	middle := m.State
	// the high end warms the chip most, so that what fails is seen early
	for _, high := range [2]bool{true, false} {
		m.tuneTo(high)
		here, there := *first, *second
		if m.frequency != m.V.Frequency {
			here, there = j.layerSpectra(&m.Design, m.frequency)
		}
		tuned := m.State
		for i, l := range [2]si.Inductance{m.Band.Low, m.Band.High} {
			if i == 1 && l == m.Band.Low {
				break
			}
			m.State = tuned
			m.Inductance = l
			m.edges(j, n, &here, &there, !high)
			if i == 0 {
				m.crossings(j, n, &here, &there)
			}
			if m.useless(least, middle.Loss.Total()) {
				m.State = middle
				return
			}
		}
		m.State = middle
	}
}

// edges looks at one inductance and frequency from the valley of the lowest mains to the crest of
// the highest; slowest says that this is the lowest frequency, with which the chip is asked most.
func (m *Measured) edges(j *Measurer, n si.Ratio, first, second *magnetics.LayerSpectrum,
	slowest bool) {
	m.settleAt(j, n, first, second, moreRounds, 0)
	m.warmGauges(j)
	if slowest {
		m.lowestMains(j, n)
	}
	if border := m.border(); border > m.bus && border < j.BusMax {
		m.settleAt(j, n, first, second, moreRounds, border)
		m.warmGauges(j)
	}
	m.settleAt(j, n, first, second, moreRounds, j.BusMax)
	m.warmGauges(j)
	m.shortest(j, n)
}

// useless reports that a design that loses so much is known to fail or to stay below the mark that
// it has to reach.
func (m *Measured) useless(least Mark, loss si.Power) bool {
	if least == Anything {
		return false
	}
	m.settle()
	return m.Failed || least.Below(m.Margin, loss)
}

// tuneTo takes the switcher to the low or the high end of its frequency, or of its limit where
// pulses are gated.
func (m *Measured) tuneTo(high bool) {
	v := m.V
	switch {
	case v.Gated && high:
		m.limit = v.Limit.High
	case v.Gated:
		m.limit = v.Limit.Low
	case high:
		m.frequency = v.Freq.High
	default:
		m.frequency = v.Freq.Low
	}
	if m.frequency != v.Frequency {
		m.curve = m.C.LossAt(m.frequency)
	}
}

// border is the bus at which the stage leaves continuous mode, a hair on this side of it; zero
// where it never does.
func (m *Measured) border() si.Voltage {
	l, f := float64(m.Inductance), float64(m.frequency)
	// half a period's volts of the triangle that just carries the power
	volts := math.Sqrt(2 * float64(m.Through) * l * f)
	if m.V.Gated {
		volts = float64(m.limit) * l * f
	}
	vr := float64(m.Reflected)
	if !(volts < vr) {
		return 0
	}
	return si.Voltage(volts * vr / (vr - volts) * (1 - 1e-6))
}

// crossings look at the inductances inside their band at which the stage leaves continuous mode
// just at the valley of the lowest mains or at the crest of the highest.
func (m *Measured) crossings(j *Measurer, n si.Ratio, first, second *magnetics.LayerSpectrum) {
	lowest := m.Inductance
	for _, bus := range [2]si.Voltage{0, j.BusMax} {
		m.Inductance = lowest
		m.settleAt(j, n, first, second, moreRounds, bus)
		if m.Op.Mode == flyback.Continuous {
			continue // so it is with more inductance
		}
		// the losses move the border a little, hence a step further each time
		for further := si.Inductance(1); further < 1.004; further += 0.001 {
			m.Inductance = m.bordering() * further
			if m.Inductance <= lowest || m.Inductance >= m.Band.High {
				break
			}
			m.settleAt(j, n, first, second, moreRounds, bus)
			m.warmGauges(j)
			if m.Op.Mode == flyback.Continuous {
				break
			}
		}
	}
}

// bordering is the inductance with which the stage of the state at hand would just run in
// continuous mode.
func (m *Measured) bordering() si.Inductance {
	f, volts := float64(m.frequency), float64(m.bus*m.Reflected/(m.bus+m.Reflected))
	l := volts * volts / (2 * float64(m.Through) * f)
	if m.V.Gated {
		l = volts / (float64(m.limit) * f)
	}
	return si.Inductance(l * (1 + 1e-6))
}

// warmGauges hold what gets warm or carries ripple in the state at hand.
func (m *Measured) warmGauges(j *Measurer) {
	ambient, hot := float64(j.Target.Ambient), &m.Hottest
	hot.Inside, hot.Coil, hot.Junction = max(hot.Inside, m.inside), max(hot.Coil, m.Coil),
		max(hot.Junction, m.junction)
	m.hold(substitute.Most(substitute.ChkCoilHot, m.Coil, si.Celsius(CoilLimit)).From(ambient))
	m.hold(substitute.Most(substitute.ChkJunction, m.junction,
		m.V.JunctionMost).From(ambient))
	m.hold(substitute.Most(substitute.ChkInside, m.inside,
		si.Celsius(substitute.InsideLimit)).From(ambient))
	m.hold(substitute.Most(substitute.ChkOutputRipple, m.Ripple, j.Output.Rms))
	rect := flyback.Junction(m.inside, m.Loss.Rectifier, m.Rect.air)
	hot.rectifier = max(hot.rectifier, rect)
	m.hold(substitute.Most(substitute.ChkRectifierHot, rect, m.Rect.hottest).From(ambient))
	if m.Donor == nil {
		m.hold(substitute.Most(substitute.ChkPrimaryWire,
			density(m.Op.PrimaryRMS, m.Plan.Primary.Part,
				m.Plan.StrandsP), si.Ratio(currentDensity)))
		m.hold(substitute.Most(substitute.ChkSecondaryWire,
			density(m.Sec.RMS, m.Plan.Secondary.Part, m.Plan.StrandsS), si.Ratio(currentDensity)))
	}
	burnt := m.Clamp.burns(m.leakHigh(), m.Op.Peak,
		si.Frequency(float64(m.frequency)*float64(m.Share)), m.Reflected)
	hot.ClampPower = max(hot.ClampPower, burnt)
	hot.clamp = max(hot.clamp, flyback.Junction(m.inside, burnt, m.Clamp.air))
}

// clampGauges hold the drain clamp as hot as it gets: what it burns, and the drain at the highest
// current of the chip.
func (m *Measured) clampGauges(j *Measurer) {
	v := m.V
	m.ClampTop = m.Clamp.top(m.leakHigh(), j.highestPeak(&m.Design), v.Freq.High, m.Reflected,
		m.Hottest.clamp)
	m.Drain = flyback.DrainPeak(j.BusMax, m.ClampTop)
	m.hold(substitute.Most(substitute.ChkDrain, m.Drain, v.Breakdown).From(float64(j.BusMax)))
	m.hold(substitute.Most(substitute.ChkClampPower, m.Hottest.ClampPower, m.Clamp.Steady))
	if m.Clamp.R == nil {
		m.hold(substitute.Most(substitute.ChkClampHot, m.Hottest.clamp,
			m.Clamp.hottest).From(float64(j.Target.Ambient)))
	}
}

// Leakage, see magnetics.Leakage: the estimate may be half as much again; hand wound with a single
// primary 3 % of the inductance must be counted with (from memory). What was read on the finished
// transformer stands as read.
const (
	leakageSpread = 1.5
	mostLeakage   = 0.03
)

// leakHigh is the highest leakage that a design may come out with.
func (m *Measured) leakHigh() si.Inductance {
	return m.Plan.leakHigh(m.Inductance, m.Leak, m.Donor)
}

func (g *Gist) leakHigh(primary, leak si.Inductance, donor *DonorTransformer) si.Inductance {
	switch {
	case g.LeakageRead:
		return leak
	case donor != nil:
		return leak * si.Inductance(1+donor.Stock.Part.Meter.Value)
	case g.halves:
		return leak * leakageSpread
	}
	return max(leak*leakageSpread, primary*mostLeakage)
}

// shortest holds the on-time at the highest bus into an empty pack at full current. Below its
// shortest pulse, the switcher cannot hold the current any more but by leaving pulses out; less
// load than that is left to just this, which the feedback that stops it brings about.
func (m *Measured) shortest(j *Measurer, n si.Ratio) {
	if m.V.Gated {
		return // its pulses always run to the limit
	}
	op := flyback.Operate(flyback.Point{Bus: m.bus,
		Reflected: flyback.Reflected(n, j.SecondaryVolts(j.Target.Empty, m.Rect)),
		Power:     j.throughEmpty(m), Inductance: m.Inductance, Frequency: m.frequency})
	m.hold(substitute.Least(substitute.ChkOnTime, si.Time(float64(op.Duty)/float64(m.frequency)),
		m.V.LeastOn))
}

// clampSpike is in V: forward recovery of the clamp diode and stray inductance, 10 to 20 V (from
// memory).
const clampSpike = 13.0

// suppressor is the part of a clampChoice for one of the drawer or to be bought.
func suppressor(p catalog.Clamp) ClampChoice {
	tol := 1 + float64(p.Tolerance.Value)
	high := p.Breakdown.Value * si.Voltage(tol)
	c := ClampChoice{Lowest: p.Breakdown.Value / si.Voltage(tol), highest: high,
		drift:   float64(p.Drift.Value),
		dynamic: p.Resistance.Value, air: p.JunctionAir.Value, hottest: p.JunctionMax.Value}
	c.Steady = p.Steady.Value * 0.8
	return c
}

// top is the voltage above the bus at a peak current, the suppressor at a temperature.
func (c *ClampChoice) top(leak si.Inductance, peak si.Current, f si.Frequency, reflected si.Voltage,
	hot si.Celsius) si.Voltage {
	if c.R != nil {
		return flyback.ClampVoltage(leak, peak, f, c.R.Part.Resistance.Value, reflected) +
			clampSpike
	}
	return flyback.SuppressorVoltage(c.highest, c.drift, hot, c.dynamic, peak) + clampSpike
}

// burns is what the clamp burns with a leakage, a peak and so many pulses a second.
func (c *ClampChoice) burns(leak si.Inductance, peak si.Current, f si.Frequency,
	reflected si.Voltage) si.Power {
	if c.R != nil {
		v := float64(flyback.ClampVoltage(leak, peak, f, c.R.Part.Resistance.Value, reflected))
		return si.Power(v * v / float64(c.R.Part.Resistance.Value))
	}
	return flyback.ClampLoss(leak, peak, f, c.Lowest, reflected)
}
