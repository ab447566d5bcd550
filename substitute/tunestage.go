package substitute

import (
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// StageTuning is the power stage reckoned again with the inductance and leakage that were measured.
type StageTuning struct {
	Holds           bool          `json:"holds"` // every hard limit
	Leakage         si.Inductance `json:"leakage_h"`
	LeakageExpected si.Inductance `json:"leakage_expected_h"`
	ClampPower      si.Power      `json:"clamp_w"`
	ClampLimit      si.Power      `json:"clamp_limit_w"`
	Clamp           si.Voltage    `json:"clamp_v"`
	DrainPeak       si.Voltage    `json:"drain_peak_v"`
	DrainLimit      si.Voltage    `json:"drain_limit_v"`
	Junction        si.Celsius    `json:"junction_c"`
	CoilHot         si.Celsius    `json:"transformer_c"`
	Broken          []Check       `json:"broken"`          // hard limits that do not hold
	Swap            *ClampSwap    `json:"clamp,omitempty"` // clamp of the drawer with which all hold
}

// ClampSwap is another clamp from the drawer.
type ClampSwap struct {
	Designation string     `json:"designation"`
	Lot         int64      `json:"lot,omitempty"`
	Bin         string     `json:"bin,omitempty"`
	ClampPower  si.Power   `json:"clamp_w"`
	ClampLimit  si.Power   `json:"clamp_limit_w"`
	DrainPeak   si.Voltage `json:"drain_peak_v"`
}

// stage measures the build again, at the worse end of the readings: the highest leakage, and the inductance with its error.
// The leakage is never counted below 1 % of the inductance.
func (u *Tuner) stage(b Bench) StageTuning {
	d, leak := u.asRead(b)
	m := u.job.measure(d)
	s := StageTuning{
		Leakage:         m.leak,
		LeakageExpected: u.m.leak,
		ClampPower:      m.hottest.clampPower,
		ClampLimit:      d.clamp.steady,
		Clamp:           m.clampTop,
		DrainPeak:       m.drain,
		DrainLimit:      d.v.breakdown,
		Junction:        m.hottest.junction,
		CoilHot:         m.hottest.coil,
		Broken:          []Check{},
	}
	for _, g := range m.gauges[:m.count] {
		if !g.passed() && !checkNames[g.id].soft {
			s.Broken = append(s.Broken, g.check(u.job.basis(&m, g.id)))
		}
	}
	if s.Holds = len(s.Broken) == 0; !s.Holds {
		s.Swap = u.otherClamp(d, leak)
	}
	return s
}

// asRead is the design with what was read of inductance and leakage, and that leakage.
func (u *Tuner) asRead(b Bench) (design, si.Inductance) {
	d := u.m.design
	if len(b.Stacks) > 0 {
		last := b.Stacks[len(b.Stacks)-1].Inductance
		gap := *d.gap
		gap.al = u.factor(last.Value)
		gap.band = si.Interval[si.InductanceFactor]{Low: u.factor(last.Band.Low), High: u.factor(last.Band.High)}
		d.gap = &gap
	}
	plan := *d.plan
	if b.Leakage.Value > 0 {
		plan.leakage, plan.leakageRead = b.Leakage.Band.High, true
	}
	d.plan = &plan
	primary := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	leak := max(plan.leakage, leastLeakage*primary)
	if r := d.clamp.r; r != nil {
		d.clamp.lowest = flyback.ClampVoltage(leak, d.v.usable, d.v.frequency, r.part.Resistance.Value, u.m.reflected)
	}
	return d, leak
}

// otherClamp is the clamp of the drawer that suits the leakage best, if every limit holds with it.
func (u *Tuner) otherClamp(d design, leak si.Inductance) *ClampSwap {
	primary := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	c := u.job.chooseClamp(d, u.m.reflected, leak, primary)
	if c.tvs == nil && c.r == nil || c.tvs == d.clamp.tvs && c.r == d.clamp.r {
		return nil
	}
	d.clamp = c
	m := u.job.measure(d)
	if m.failed {
		return nil
	}
	out := &ClampSwap{ClampPower: m.hottest.clampPower, ClampLimit: c.steady, DrainPeak: m.drain}
	var at []place
	if c.tvs != nil {
		out.Designation, at = c.tvs.name(), c.tvs.lots
	} else {
		out.Designation, at = c.r.name(), c.r.lots
	}
	if len(at) > 0 {
		out.Lot, out.Bin = at[0].lot, at[0].bin
	}
	return out
}
