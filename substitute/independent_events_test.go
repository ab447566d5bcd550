package substitute_test

import (
	"math"
	"strings"

	"sparewright/catalog"
)

// auditEvents: what a pack does that is put on, what a short and a deep pack draw, by Ohm's law,
// half C V^2 and the two thresholds of the chip's supply.
func auditEvents(a audit) {
	t, r, f := a.target, a.build.Regulation, a.figures()
	out := partOf[catalog.Capacitor](a, "output capacitor")
	n := 0.0
	for _, u := range a.uses("output capacitor") {
		n += u.Quantity
	}
	most := n * float64(out.Capacitance.Value) * (1 + float64(out.Tolerance.Value))
	shunt := float64(r.Shunt)
	loop := 0.005*float64(t.Cells) + 0.03 + shunt + float64(out.ESR.Value)/n
	fuse := 1.6 * float64(t.Current)
	through := 10 * fuse * fuse // of a time-lag one; fast 1
	for _, u := range a.uses("output fuse") {
		if p, is := a.part(u).(catalog.Fuse); is {
			fuse = float64(p.Current.Value)
			through = 10 * fuse * fuse
			if p.Speed == "fast" {
				through = fuse * fuse
			}
		}
	}
	for _, u := range a.uses("pack switch") {
		if q, is := a.part(u).(catalog.Transistor); is {
			bears := 4 * float64(q.Current.Value)
			judged(a, "surge in the pack switch, pack put on a dead charger",
				float64(t.Absolute)/loop, bears, exact)
			judged(a, "surge in the pack switch, empty pack put on an idle charger",
				float64(t.Set-t.Empty)/loop, bears, exact)
		}
	}
	judged(a, "squared current in the output fuse, pack put on a dead charger",
		most*float64(t.Absolute*t.Absolute)/2/loop, through/4, exact)

	burst := a.burst(f)
	rect := partOf[catalog.Rectifier](a, "output rectifier")
	legs := math.Max(1, float64(rect.Legs.Value))
	judged(a, "lasting current, leads or output shorted", math.Min(burst, 2.1*fuse),
		float64(rect.Average.Value)*legs, exact)
	name := "energy in the shunt, output put to control ground with a pack on"
	agrees(a, a.check(name).Value, through*shunt, exact, name)
	a.deep(burst)
	a.preCharged()
	name = "current that the unplugged charger takes from a full pack"
	judged(a, name, float64(r.IdleDraw), 1e-3, exact)
}

// burst is the mean current into a short: the limit through the turns ratio, for the share of the
// time in which the supply capacitor of the chip is discharged, not charged.
func (a audit) burst(f figures) float64 {
	held := f.n * f.rectDrop // the winding still carries its rectifier
	whole := f.lHigh * f.limitHigh * f.limitHigh / 2 * float64(f.sw.FrequencyMax.Value) / f.rectDrop
	passes := 1.1 * math.Min(whole, f.n*f.limitHigh*f.busMax/(held+f.busMax))
	if f.sw.SelfSupply == "yes" {
		return passes
	}
	// shunt and 1 ohm of leads and switch may hold OUT up enough for the bias winding, less 0.7 V
	// there
	x, r := a.build.Transformer, a.build.Regulation
	wound := passes*(float64(r.Shunt)+1) + f.rectDrop + float64(r.Sense)
	if wound*float64(x.BiasTurns)/float64(x.SecondaryTurns) >= float64(f.sw.SupplyMin.Value)+0.7 {
		return passes
	}
	start := 2e-3
	if f.sw.Start == "resistor" {
		start = 0.3e-3
	}
	return passes * start / (start + float64(f.sw.SupplyCurrent.Value))
}

// deep: a pack below its lowest voltage gets at least the set current, and the bursts.
func (a audit) deep(burst float64) {
	c := a.check("mean current into a pack below its lowest voltage")
	least := math.Max(float64(a.target.Current), burst)
	a.isTrue(c.Value >= least*(1-exact), "deep pack: %g A, at least %g A flow", c.Value, least)
	agrees(a, c.Limit, 1.25*float64(a.target.Current), exact, "limit for a deep pack")
}

// preCharged: the next value of E12 (IEC 60063) that lets no more than a tenth through, 5 % low.
func (a audit) preCharged() {
	if strings.HasPrefix(a.target.Chemistry, "lead-acid") {
		return
	}
	c := a.check("current into a pack at 0 V through the pre-charge resistor")
	least := float64(a.target.Set) / (0.1 * float64(a.target.Current) * 0.95)
	ohm := math.Inf(1)
	for _, m := range []float64{1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2} {
		for decade := 0.1; decade < 1e4; decade *= 10 {
			if v := m * decade; v >= least*(1-1e-12) {
				ohm = math.Min(ohm, v)
			}
		}
	}
	agrees(a, c.Value, float64(a.target.Set)/ohm/0.95, exact, "pre-charge current")
	a.isTrue(c.Passed, "pre-charge current %g A", c.Value)
}
