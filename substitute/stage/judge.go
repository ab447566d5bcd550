package stage

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
)

// lowestMains holds what is hardest at the valley of the lowest mains against the chip: peak
// current, pulses, duty. It counts with the throughput of the state at hand and the lowest
// frequency.
func (m *Measured) lowestMains(j *Measurer, n si.Ratio) {
	v, t := m.V, j.Target
	low := flyback.Point{Bus: m.bus, Reflected: m.Reflected, Power: m.Through,
		Inductance: m.Inductance, Frequency: v.Freq.Low}
	empty := low
	empty.Reflected = flyback.Reflected(n, j.SecondaryVolts(t.Empty, m.Rect))
	empty.Power = j.throughEmpty(m)
	duty := m.Op.Duty / max(m.Share, 1e-9)
	if v.Gated {
		m.hold(substitute.Most(substitute.ChkPulses,
			max(flyback.PulseShare(low.Power, low.Inductance, v.Freq.Low, v.Limit.Low, low.Bus,
				low.Reflected),
				flyback.PulseShare(empty.Power, low.Inductance, v.Freq.Low, v.Limit.Low, low.Bus,
					empty.Reflected)), PulsesLimit))
	} else {
		need := flyback.Operate(low)
		m.hold(substitute.Most(substitute.ChkPower, need.Peak, v.Usable))
		m.hold(substitute.Most(substitute.ChkPowerEmpty, flyback.Operate(empty).Peak, v.Usable))
		duty = need.Duty
		if need.Mode == flyback.Continuous {
			m.hold(substitute.Most(substitute.ChkSubharmonic, need.Duty, 0.5))
		}
	}
	m.Duty = max(m.Duty, duty)
	m.hold(substitute.Most(substitute.ChkDuty, duty, v.Duty))
	crest := flyback.BusPeak(t.MainsMin, j.BridgeDrop)
	// a bus that collapses knows no ripple
	m.hold(substitute.Most(substitute.ChkBulkRipple,
		min(m.bulkRipple(j), runaway*j.Bulk.Rms), j.Bulk.Rms))
	m.hold(substitute.Least(substitute.ChkBulkValley, m.bus,
		valleyLimit*crest).From(float64(crest)))
}

// fixedGauges are the limits that no state of the stage moves.
func (m *Measured) fixedGauges(j *Measurer, n si.Ratio) {
	v, t := m.V, j.Target
	if v.Class > 0 {
		m.hold(substitute.Most(substitute.ChkClass,
			si.Power(float64(t.Set)*float64(t.Current)), v.Class))
	}
	if m.Donor != nil {
		m.donorGauges(j, m.Design)
	} else {
		m.windingGauges(m.Design)
	}
	m.hold(substitute.Least(substitute.ChkClampAbove, m.Clamp.Lowest, ClampAbove*m.Reflected))
	m.hold(substitute.Most(substitute.ChkReverse, flyback.RectifierReverse(t.Absolute, j.BusMax, n),
		m.Rect.Reverse))
	m.hold(substitute.Most(substitute.ChkRectifierCurrent, t.Current, m.Rect.average))
	if !v.Supply.Self {
		m.Bias = j.BiasSupply(m.Design)
		for _, g := range v.Supply.Gauges(m.Bias) {
			m.hold(g)
		}
	}
}

// throughEmpty is the power that crosses the gap into an empty pack at full current, in proportion
// to the secondary voltage.
func (j *Measurer) throughEmpty(m *Measured) si.Power {
	return m.Through * si.Power(j.SecondaryVolts(j.Target.Empty, m.Rect)/
		j.SecondaryVolts(j.Target.Set, m.Rect))
}

// windingGauges are the limits of a transformer that is wound here.
func (m *Measured) windingGauges(d Design) {
	m.hold(substitute.Most(substitute.ChkFlux, m.fluxPeak, d.C.FluxLimit))
	if d.Gap.Layers > 0 {
		m.hold(substitute.Least(substitute.ChkSmallestGap, d.Gap.Shim, thinnestShim))
	}
	m.hold(substitute.Most(substitute.ChkFill, si.Length(d.Plan.Fill)*d.C.Former.Height,
		d.C.Former.Height))
	m.barrierGauges(d)
}

func (m *Measured) barrierGauges(d Design) {
	if d.Plan.Barrier == Margins {
		m.hold(substitute.Least(substitute.ChkBarrierMargin, 2*d.Plan.margin, CreepageNeeded))
	}
	if pin := d.C.Stock.Part.PinCreepage; pin.Known() && d.Plan.Barrier != TripleInsulated {
		m.hold(substitute.Least(substitute.ChkPinCreepage, pin.Value, CreepageNeeded))
	}
}

func density(rms si.Current, w catalog.Wire, strands int) si.Ratio {
	d := float64(w.Diameter.Value)
	return si.Ratio(float64(rms) / (float64(strands) * math.Pi * d * d / 4))
}

// settle finds the smallest margin and the check it belongs to.
func (m *Measured) settle() {
	m.Margin, m.Binding, m.Failed = substitute.Tightest(m.Gauges[:m.Count])
}

// Worst is the hard gauge with the least margin, and that margin; negative when the design failed.
func (m *Measured) Worst() (substitute.Gauge, float64) {
	return substitute.WorstOf(m.Gauges[:m.Count])
}

// BiasSupply is the chip supply over the sweep of the pack, from empty to the highest voltage the
// network allows.
func (j *Measurer) BiasSupply(d Design) si.Interval[si.Voltage] {
	at := func(output si.Voltage) si.Voltage {
		return flyback.WindingVoltage(j.SecondaryVolts(output, d.Rect),
			si.Ratio(float64(d.Nb)/float64(d.Ns)), BiasDiode)
	}
	return si.Interval[si.Voltage]{Low: at(j.Target.Empty), High: at(j.Target.Absolute)}
}

// Starves is the output below which a chip fed by a bias winding loses its supply and only tries to
// start again and again.
func (j *Measurer) Starves(m *Measured) si.Voltage {
	if m.Nb == 0 {
		return 0
	}
	stop := m.V.Supply.Min.Value + BiasDiode
	return stop*si.Voltage(float64(m.Ns)/float64(m.Nb)) - m.Rect.Drop - j.Sense
}

// BiasTurns picks the bias turns whose smaller margin, towards stop and highest supply voltage, is
// greatest.
func (j *Measurer) BiasTurns(d Design) int {
	if d.V.Supply.Self {
		return 0
	}
	margin := func(nb int) (low, high float64) {
		d.Nb = nb
		g := d.V.Supply.Gauges(j.BiasSupply(d))
		return g[0].Margin(), g[1].Margin()
	}
	// more turns help the low end and hurt the high end: the best lies where the two cross
	few, many := 1, 3*d.Ns+20
	for few < many {
		mid := (few + many) / 2
		if low, high := margin(mid); low < high {
			few = mid + 1
		} else {
			many = mid
		}
	}
	if few > 1 {
		low, high := margin(few)
		lowBefore, highBefore := margin(few - 1)
		if min(lowBefore, highBefore) >= min(low, high) {
			return few - 1
		}
	}
	return few
}
