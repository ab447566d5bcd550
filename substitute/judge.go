package substitute

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// lowestMains holds what is hardest at the valley of the lowest mains against the chip: peak current, pulses, duty. It counts with
// the throughput of the state at hand and the lowest frequency.
func (m *measured) lowestMains(j *job, n si.Ratio) {
	v, t := m.v, j.target
	low := flyback.Point{Bus: m.bus, Reflected: m.reflected, Power: m.through, Inductance: m.inductance, Frequency: v.freq.Low}
	empty := low
	empty.Reflected = flyback.Reflected(n, j.secondaryVolts(t.Empty, m.rect))
	empty.Power = j.throughEmpty(m)
	duty := m.op.Duty / max(m.share, 1e-9)
	if v.gated {
		m.hold(most(chkPulses, max(flyback.PulseShare(low.Power, low.Inductance, v.freq.Low, v.limit.Low, low.Bus, low.Reflected),
			flyback.PulseShare(empty.Power, low.Inductance, v.freq.Low, v.limit.Low, low.Bus, empty.Reflected)), pulsesLimit))
	} else {
		need := flyback.Operate(low)
		m.hold(most(chkPower, need.Peak, v.usable))
		m.hold(most(chkPowerEmpty, flyback.Operate(empty).Peak, v.usable))
		duty = need.Duty
		if need.Mode == flyback.Continuous {
			m.hold(most(chkSubharmonic, need.Duty, 0.5))
		}
	}
	m.duty = max(m.duty, duty)
	m.hold(most(chkDuty, duty, v.duty))
	crest := flyback.BusPeak(t.MainsMin, j.bridgeDrop)
	m.hold(most(chkBulkRipple, m.bulkRipple(j), j.bulk.rms))
	m.hold(least(chkBulkValley, m.bus, valleyLimit*crest).from(float64(crest)))
}

// fixedGauges are the limits that no state of the stage moves.
func (m *measured) fixedGauges(j *job, n si.Ratio) {
	v, t, part := m.v, j.target, m.v.stock.part
	if v.class > 0 {
		m.hold(most(chkClass, si.Power(float64(t.Set)*float64(t.Current)), v.class))
	}
	if m.donor != nil {
		m.donorGauges(j, m.design)
	} else {
		m.windingGauges(m.design)
	}
	m.hold(least(chkClampAbove, m.clamp.lowest, clampAbove*m.reflected))
	m.hold(most(chkReverse, flyback.RectifierReverse(t.Absolute, j.busMax, n), m.rect.reverse))
	m.hold(most(chkRectifierCurrent, t.Current, m.rect.average))
	if part.SelfSupply != "yes" {
		m.bias = j.biasSupply(m.design)
		for _, g := range biasGauges(part, m.bias) {
			m.hold(g)
		}
	}
}

// throughEmpty is the power that crosses the gap into an empty pack at full current, in proportion to the secondary voltage.
func (j *job) throughEmpty(m *measured) si.Power {
	return m.through * si.Power(j.secondaryVolts(j.target.Empty, m.rect)/j.secondaryVolts(j.target.Set, m.rect))
}

// windingGauges are the limits of a transformer that is wound here.
func (m *measured) windingGauges(d design) {
	m.hold(most(chkFlux, m.fluxPeak, d.c.fluxLimit))
	if d.gap.layers > 0 {
		m.hold(least(chkSmallestGap, d.gap.shim, thinnestShim))
	}
	m.hold(most(chkFill, si.Length(d.plan.fill)*d.c.former.Height, d.c.former.Height))
	m.barrierGauges(d)
}

func (m *measured) barrierGauges(d design) {
	if d.plan.barrier == margins {
		m.hold(least(chkBarrierMargin, 2*d.plan.margin, creepageNeeded))
	}
	if pin := d.c.stock.part.PinCreepage; pin.Known() && d.plan.barrier != tripleInsulated {
		m.hold(least(chkPinCreepage, pin.Value, creepageNeeded))
	}
}

func density(rms si.Current, w catalog.Wire, strands int) si.Ratio {
	d := float64(w.Diameter.Value)
	return si.Ratio(float64(rms) / (float64(strands) * math.Pi * d * d / 4))
}

// settle finds the smallest room and the check it belongs to.
func (m *measured) settle() {
	m.margin, m.binding, m.failed = tightest(m.gauges[:m.count])
}

// worst is the hard gauge with the least room, and that room; negative when the design failed.
func (m *measured) worst() (gauge, float64) { return worstOf(m.gauges[:m.count]) }

// biasSupply is the chip supply over the sweep of the pack, from empty to the highest voltage the network allows.
func (j *job) biasSupply(d design) si.Interval[si.Voltage] {
	ratio := float64(d.nb) / float64(d.ns)
	low := float64(j.secondaryVolts(j.target.Empty, d.rect))*ratio - biasDiode
	high := float64(j.secondaryVolts(j.target.Absolute, d.rect))*ratio - biasDiode
	return si.Interval[si.Voltage]{Low: si.Voltage(low), High: si.Voltage(high)}
}

// starves is the output below which a chip fed by a bias winding loses its supply and only tries to start again and again.
func (j *job) starves(m *measured) si.Voltage {
	if m.nb == 0 {
		return 0
	}
	stop := m.v.stock.part.SupplyMin.Or(10) + biasDiode
	return stop*si.Voltage(float64(m.ns)/float64(m.nb)) - m.rect.drop - j.sense
}

// biasTurns picks the bias turns whose smaller room, towards stop and highest supply voltage, is greatest.
func (j *job) biasTurns(d design) int {
	part := d.v.stock.part
	if part.SelfSupply == "yes" {
		return 0
	}
	room := func(nb int) (low, high float64) {
		d.nb = nb
		g := biasGauges(part, j.biasSupply(d))
		return g[0].room(), g[1].room()
	}
	// more turns help the low end and hurt the high end: the best lies where the two cross
	few, many := 1, 3*d.ns+20
	for few < many {
		mid := (few + many) / 2
		if low, high := room(mid); low < high {
			few = mid + 1
		} else {
			many = mid
		}
	}
	if few > 1 {
		low, high := room(few)
		lowBefore, highBefore := room(few - 1)
		if min(lowBefore, highBefore) >= min(low, high) {
			return few - 1
		}
	}
	return few
}

// biasGauges holds a chip supply against the chip. A chip that does not say counts as one that stops below 10 V and bears
// 20 V, a narrow window among those whose sheets were read (cautious).
func biasGauges(p catalog.Switcher, b si.Interval[si.Voltage]) []gauge {
	return []gauge{least(chkBiasLow, b.Low, p.SupplyMin.Or(10)*biasSpare), most(chkBiasHigh, b.High*biasSpike, p.SupplyMax.Or(20))}
}
