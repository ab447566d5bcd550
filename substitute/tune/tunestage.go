package tune

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// StageTuning is the power stage reckoned again with the inductance and leakage that were measured.
type StageTuning struct {
	Holds           bool               `json:"holds"` // every hard limit
	Leakage         si.Inductance      `json:"leakage_h"`
	LeakageExpected si.Inductance      `json:"leakage_expected_h"`
	ClampPower      si.Power           `json:"clamp_w"`
	ClampLimit      si.Power           `json:"clamp_limit_w"`
	Clamp           si.Voltage         `json:"clamp_v"`
	DrainPeak       si.Voltage         `json:"drain_peak_v"`
	DrainLimit      si.Voltage         `json:"drain_limit_v"`
	Junction        si.Celsius         `json:"junction_c"`
	CoilHot         si.Celsius         `json:"transformer_c"`
	Broken          []substitute.Check `json:"broken"` // hard limits that do not hold
	// clamp of the drawer with which all hold
	Swap *ClampSwap `json:"clamp,omitempty"`
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

// stage measures the build again, at the worse end of the readings: the highest leakage, and the
// inductance with its error. The leakage is never counted below 1 % of the inductance.
func (u *Tuner) stage(b Bench) StageTuning {
	d, leak := u.asRead(b)
	m := u.bench.Measure(d)
	s := StageTuning{
		Leakage:         m.Leak,
		LeakageExpected: u.m.Leak,
		ClampPower:      m.Hottest.ClampPower,
		ClampLimit:      d.Clamp.Steady,
		Clamp:           m.ClampTop,
		DrainPeak:       m.Drain,
		DrainLimit:      d.V.Breakdown,
		Junction:        m.Hottest.Junction,
		CoilHot:         m.Hottest.Coil,
		Broken:          []substitute.Check{},
	}
	for _, g := range m.Gauges[:m.Count] {
		if !g.Passed() && !substitute.CheckNames[g.Id].Soft {
			s.Broken = append(s.Broken, g.Check(u.bench.Basis(&m, g.Id)))
		}
	}
	if s.Holds = len(s.Broken) == 0; !s.Holds {
		s.Swap = u.otherClamp(d, leak)
	}
	return s
}

// asRead is the design with what was read of inductance and leakage, and that leakage.
func (u *Tuner) asRead(b Bench) (stage.Design, si.Inductance) {
	d := u.m.Design
	if len(b.Stacks) > 0 {
		last := b.Stacks[len(b.Stacks)-1].Inductance
		gap := *d.Gap
		gap.Al = stacks{u}.factor(last.Value)
		gap.Band = si.Interval[si.InductanceFactor]{Low: stacks{u}.factor(last.Band.Low),
			High: stacks{u}.factor(last.Band.High)}
		d.Gap = &gap
	}
	plan := *d.Plan
	if b.Leakage.Value > 0 {
		plan.Leakage, plan.LeakageRead = b.Leakage.Band.High, true
	}
	d.Plan = &plan
	primary := si.Inductance(float64(d.Gap.Al) * float64(d.Np) * float64(d.Np))
	leak := max(plan.Leakage, stage.LeastLeakage*primary)
	if r := d.Clamp.R; r != nil {
		d.Clamp.Lowest = flyback.ClampVoltage(leak, d.V.Usable, d.V.Frequency,
			r.Part.Resistance.Value, u.m.Reflected)
	}
	return d, leak
}

// otherClamp is the clamp of the drawer that suits the leakage best, if every limit holds with it.
func (u *Tuner) otherClamp(d stage.Design, leak si.Inductance) *ClampSwap {
	c := u.bench.ChooseClamp(d, u.m.Reflected, &d.Plan.Gist)
	if c.Tvs == nil && c.R == nil || c.Tvs == d.Clamp.Tvs && c.R == d.Clamp.R {
		return nil
	}
	d.Clamp = c
	m := u.bench.Measure(d)
	if m.Failed {
		return nil
	}
	out := &ClampSwap{ClampPower: m.Hottest.ClampPower, ClampLimit: c.Steady, DrainPeak: m.Drain}
	var at []stock.Place
	if c.Tvs != nil {
		out.Designation, at = c.Tvs.Name(), c.Tvs.Lots
	} else {
		out.Designation, at = c.R.Name(), c.R.Lots
	}
	if len(at) > 0 {
		out.Lot, out.Bin = at[0].Lot, at[0].Bin
	}
	return out
}
