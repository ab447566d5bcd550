package substitute

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// Figures of a transformer that is used as found. Sources beside them.
const (
	kneeHot          = 0.75 // of the cold knee current, saturation at 100 C against 25 C (from memory: 0.75 to 0.8)
	donorLayerFactor = 3.0  // a.c. over d.c. resistance of windings nobody has seen; assumed, no source
	kneeFlux         = 0.55 // T, no power ferrite goes further cold (highest of ferrites.tsv at 25 C is below)
	ungappedShare    = 0.6  // of the inductance factor without gap: above it there is no gap that was made (own calculation)
	highestMu        = 3000 // initial permeability, no power ferrite of a main transformer has more (from memory)
)

// Names of checks of donors that have no number.
const (
	checkTransformerFigures = "transformer figures"
	checkBiasWinding        = "bias winding"
	checkNoGap              = "a gap in the core"
)

// donorTransformer is a transformer of the drawer that is used unopened: its turns as far as the readings tell, and what it
// bears.
type donorTransformer struct {
	stock     *stock[catalog.Transformer]
	core      bareCore          // its outline, as a core that cannot be changed
	turns     []magnetics.Turns // all that agree with the readings
	safe      si.Current        // largest primary current
	safeBasis string            // where that comes from
	band      si.Interval[si.Inductance]
}

// transformerUnfit says what is missing or wrong for any use of a transformer, and the cure; empty when nothing is.
func transformerUnfit(p catalog.Transformer) (check, why, cure string) {
	measure := func(what string) (string, string, string) {
		return checkTransformerFigures, "cannot be called feasible: " + what + " not known", "measure the " + what
	}
	switch {
	case p.Barrier != "yes":
		return checkBarrier, "nobody has declared its insulation whole; a meter cannot tell",
			"enter barrier=yes only for one from an approved class II mains adapter, never opened, never reheated"
	case !p.Ratio.Known() && !p.Secondary.Known():
		return measure("ratio of its voltages or secondary inductance")
	case !p.Leakage.Known():
		return measure("leakage inductance, secondary shorted")
	case !p.PrimaryOhm.Known() || !p.SecondaryOhm.Known():
		return measure("resistance of both windings")
	}
	return "", "", ""
}

// openTransformer works out what is known of an unopened transformer, or says why it cannot be used.
func openTransformer(s *stock[catalog.Transformer]) (*donorTransformer, Refusal) {
	p := s.part
	refuse := func(check, why, cure string, miss float64) (*donorTransformer, Refusal) {
		return nil, Refusal{Core: s.name(), Check: check, Why: why, Cure: cure, miss: miss}
	}
	if check, why, cure := transformerUnfit(p); check != "" {
		return refuse(check, why, cure, 7)
	}
	core, why := newBareCore(stock[catalog.Core]{part: catalog.Complete(catalog.Core{Named: catalog.Named{Name: s.name()},
		Shape: p.Shape, Ferrite: "unknown"}).(catalog.Core), key: s.key, count: s.count, lots: s.lots})
	if why != "" {
		return refuse(checkTransformerFigures, "cannot be called feasible: core outline not known", "measure the outline and enter shape", 7)
	}
	d := &donorTransformer{stock: s, core: core}
	d.core.notes = nil
	d.band = si.Around(p.Inductance.Value, p.Meter.Value)
	if !d.findSafe() {
		return d.withoutSafe()
	}
	d.findTurns()
	if len(d.turns) == 0 {
		return refuse(checkTransformerFigures, "no whole turns agree with its inductances and voltages", "measure both again", 7)
	}
	if d.ungapped() && p.Saturation.Basis == catalog.Unknown {
		return refuse(checkNoGap, "its inductance a turn is that of a core without gap: no flyback without opening it",
			"open it for its core", 8)
	}
	return d, Refusal{}
}

// findSafe settles the largest primary current: three quarters of the cold knee, else what a working flyback donor has
// passed. All its power crossed the gap as L I2/2 f at most, so that its peak was sqrt(2 P/(L f)) at least, in either mode;
// and every start ran against the lowest limit of its switcher.
func (d *donorTransformer) findSafe() bool {
	p := d.stock.part
	if p.Saturation.Known() {
		d.safe, d.safeBasis = kneeHot*p.Saturation.Value, "0.75 x the knee of the saturation pulse (hot against cold, from memory)"
		return true
	}
	if p.Topology != "flyback" {
		return false
	}
	if p.Passed.Known() && p.PassedAt.Known() {
		d.safe = si.Current(math.Sqrt(2 * float64(p.Passed.Value) / (float64(p.PassedAt.Value) * float64(d.band.High))))
		d.safeBasis = "peak that the power of its donor needed at least: sqrt(2 P/(L f))"
	}
	if p.PassedLimit.Known() && p.PassedLimit.Value > d.safe {
		d.safe, d.safeBasis = p.PassedLimit.Value, "lowest current limit of its donor, met at every start"
	}
	return d.safe > 0
}

// withoutSafe refuses a transformer whose saturation nobody knows. One that was no flyback is held against the energy that
// its core stores without a gap.
func (d *donorTransformer) withoutSafe() (*donorTransformer, Refusal) {
	p := d.stock.part
	r := Refusal{Core: d.stock.name(), Check: checkTransformerFigures, miss: 7,
		Why:  "cannot be called feasible: its saturation current is not known",
		Cure: "measure the knee with a saturation pulse, or enter topology, passed and chip from its flyback donor's plate"}
	if p.Topology == "half-bridge" || p.Topology == "forward" {
		r.Check, r.miss = checkNoGap, 8
		r.Why = fmt.Sprintf("a %s transformer has no gap; %s of inductance saturate long before the current of a flyback", p.Topology,
			si.Format(p.Inductance.Value, 3))
		r.Cure = "open it for its core, or prove it with a saturation pulse"
	}
	return nil, r
}

// findTurns lists the whole turns. The fewest are those that a core without any gap needs for the inductance, and those that
// keep the flux at the safe current below what any ferrite carries.
func (d *donorTransformer) findTurns() {
	p, g := d.stock.part, d.core.geometry
	knee := d.safe
	if p.Saturation.Known() {
		knee = p.Saturation.Value
	}
	fewest := max(magnetics.TurnsForInductance(d.band.Low, magnetics.UngappedFactor(g, highestMu)),
		magnetics.TurnsForFlux(d.band.Low, knee, kneeFlux, g.Area))
	r := magnetics.TurnsReading{Primary: p.Inductance.Value, Secondary: p.Secondary.Value, Bias: p.Bias.Value, Ratio: p.Ratio.Value,
		BiasRatio: p.BiasRatio.Value, Meter: p.Meter.Value, Scope: p.Scope.Value, PrimaryTurns: p.PrimaryTurns.Value,
		Fewest: int(math.Ceil(fewest)), Most: maxPrimaryTurns}
	d.turns = magnetics.CandidateTurns(r)
}

// ungapped reports that the turns are known and the inductance of one of them is that of a core without gap.
func (d *donorTransformer) ungapped() bool {
	p := d.stock.part
	if !p.PrimaryTurns.Known() {
		return false
	}
	n := float64(p.PrimaryTurns.Value)
	return float64(p.Inductance.Value)/(n*n) > ungappedShare*float64(magnetics.UngappedFactor(d.core.geometry, d.core.mu))
}

// corners are the turns at the ends of what the readings allow: those to build with first, then the lowest and the highest
// ratio of primary to secondary, the lowest and the highest of bias to secondary, each with either end of the other, and the
// fewest turns, which swing the flux most. The turns to build with are the best fit among the fewest, since only ratios are
// read and few turns are the cautious side for loss.
func (d *donorTransformer) corners(bias bool) []magnetics.Turns {
	fewest := d.turns[0]
	for _, t := range d.turns {
		if t.Primary < fewest.Primary {
			fewest = t
		}
	}
	nominal := fewest
	for _, t := range d.turns {
		if float64(t.Primary) <= 1.25*float64(fewest.Primary) && t.Misfit < nominal.Misfit-1e-9 {
			nominal = t
		}
	}
	ratio := func(t magnetics.Turns) float64 { return float64(t.Primary) / float64(t.Secondary) }
	supply := func(t magnetics.Turns) float64 { return float64(t.Bias) / float64(t.Secondary) }
	all := []magnetics.Turns{nominal, d.outermost(ratio, supply, -1, -1), d.outermost(ratio, supply, 1, 1), fewest}
	if bias {
		return append(all, d.outermost(ratio, supply, -1, 1), d.outermost(ratio, supply, 1, -1), d.outermost(supply, ratio, -1, -1),
			d.outermost(supply, ratio, -1, 1), d.outermost(supply, ratio, 1, -1), d.outermost(supply, ratio, 1, 1))
	}
	for i := range all {
		all[i].Bias = 0
	}
	return all
}

// outermost are the turns with the highest (sign 1) or lowest (sign -1) first figure, of those with the highest or lowest
// second.
func (d *donorTransformer) outermost(first, second func(magnetics.Turns) float64, signFirst, signSecond float64) magnetics.Turns {
	best := d.turns[0]
	for _, t := range d.turns {
		f, g := signFirst*first(t), signFirst*first(best)
		if f > g || f == g && signSecond*second(t) > signSecond*second(best) {
			best = t
		}
	}
	return best
}

// ownChip reports that a switcher is the very type this transformer worked with. Its maker had to allow for the highest
// limit of that type, so no other proof is asked for (from memory).
func (d *donorTransformer) ownChip(v *variant) bool {
	p := d.stock.part
	row, _, listed := catalog.Lookup(catalog.KindSwitcher, p.Chip)
	return p.Topology == "flyback" && p.Chip != "" && v.sense == nil &&
		(v.stock.name() == p.Chip || listed && row.Designation() == v.stock.name())
}

// at is the transformer with these turns as a design with a switcher. The flux limit is the flux of the safe current, so
// that both sides of that check are read from the same turns.
func (d *donorTransformer) at(v *variant, t magnetics.Turns) design {
	c := d.core
	turns := si.InductanceFactor(float64(t.Primary) * float64(t.Primary))
	p := d.stock.part
	c.gaps = []madeGap{{al: si.InductanceFactor(p.Inductance.Value) / turns,
		band: si.Interval[si.InductanceFactor]{Low: si.InductanceFactor(d.band.Low) / turns, High: si.InductanceFactor(d.band.High) / turns}}}
	c.fluxLimit = magnetics.FluxDensity(p.Inductance.Value, d.safe, t.Primary, c.geometry.AreaMin)
	c.fluxBasis = d.safeBasis
	return design{v: v, c: &c, core: c.lossAt(v.frequency), np: t.Primary, ns: t.Secondary, nb: t.Bias, gap: &c.gaps[0], donor: d,
		plan: &plan{barrier: inherited, gist: gist{leakage: p.Leakage.Value, primaryR: p.PrimaryOhm.Value, secondaryR: p.SecondaryOhm.Value}}}
}

// openTransformers works out all of them once for a drawer; what cannot be used is a refusal.
func openTransformers(d *drawer) (fit []*donorTransformer, unfit []Refusal) {
	for i := range d.transformers {
		if t, why := openTransformer(&d.transformers[i]); t != nil {
			fit = append(fit, t)
		} else {
			unfit = append(unfit, why)
		}
	}
	return fit, unfit
}

// donorStages measures every unopened transformer with every switcher.
func (j *job) donorStages(variants []*variant) (found []measured, refused []Refusal) {
	if !j.mustBuy {
		refused = append(refused, j.unfit...)
	}
	for _, d := range j.donors {
		best := map[string]int{}
		var misses []Refusal
		for _, v := range variants {
			if j.mustBuy && !v.stock.buy {
				continue
			}
			m, why := j.donorStage(d, v)
			if why.Check != "" {
				misses = append(misses, why)
				continue
			}
			if at, seen := best[v.stock.key]; !seen {
				best[v.stock.key] = len(found)
				found = append(found, m)
			} else if m.better(&found[at]) {
				found[at] = m
			}
		}
		refused = append(refused, nearestOf(misses, best, found)...)
	}
	return found, refused
}

// nearestOf keeps the nearest refusal of every switcher that no setting makes work.
func nearestOf(misses []Refusal, best map[string]int, found []measured) []Refusal {
	served := map[string]bool{}
	for _, at := range best {
		served[found[at].v.stock.name()] = true
	}
	at := map[string]int{}
	var out []Refusal
	for _, r := range misses {
		i, seen := at[r.Switcher]
		switch {
		case served[r.Switcher]:
		case !seen:
			at[r.Switcher] = len(out)
			out = append(out, r)
		case r.miss < out[i].miss:
			out[i] = r
		}
	}
	return out
}

// donorStage measures a transformer with a switcher at every corner of its readings; the figures are those of the likeliest
// turns, the checks those of the worst corner.
func (j *job) donorStage(d *donorTransformer, v *variant) (measured, Refusal) {
	p := d.stock.part
	why := Refusal{Switcher: v.stock.name(), Core: d.stock.name(), miss: 6}
	bias := v.stock.part.SelfSupply != "yes"
	if bias && !p.Bias.Known() && !p.BiasRatio.Known() {
		why.Check, why.Why, why.Cure = checkBiasWinding, "this switcher needs a bias winding and none was read", "use a switcher that feeds itself"
		return measured{}, why
	}
	corners := d.corners(bias)
	rect := j.chooseRectifier(corners[1].Primary, corners[1].Secondary) // the lowest ratio reverses the rectifier most
	if rect < 0 {
		why.Check, why.Why = checkNames[chkRectifierCurrent].name, "no output rectifier on hand is fast and strong enough"
		return measured{}, why
	}
	m := j.bestClamped(d, v, corners, &j.rectifiers[rect])
	if m.failed {
		g, room := m.worst()
		why.Check, why.Value, why.Limit, why.Unit, why.miss = checkNames[g.id].name, g.value, g.limit, checkNames[g.id].unit, -room
		return m, why
	}
	return m, Refusal{}
}

// bestClamped measures a transformer with every clamp on hand and keeps the best; with nothing on hand, with the one to
// buy. The turns are given, so that the clamp is all that is left to choose. Only what passes with the likeliest turns is
// measured at every corner. Of those that all fail the nearest is kept.
func (j *job) bestClamped(d *donorTransformer, v *variant, corners []magnetics.Turns, rect *rectifierChoice) measured {
	steepest := d.at(v, corners[2])
	steepest.rect = rect
	n := si.Ratio(float64(steepest.np) / float64(steepest.ns))
	reflected := flyback.Reflected(n, j.secondaryVolts(j.target.Set, rect))
	lead := d.stock.part.Inductance.Value
	leak := max(steepest.plan.leakage, leastLeakage*lead)
	j.fitClamp(&steepest, &turnRatio{reflected: reflected}, &steepest.plan.gist)
	best := j.donorCorners(d, v, corners, rect, steepest.clamp)
	_, known := best.worst()
	try := func(c clampChoice) {
		likeliest := d.at(v, corners[0])
		likeliest.rect, likeliest.clamp = rect, c
		m := j.measureAbove(likeliest, 0)
		if !m.failed {
			m = j.donorCorners(d, v, corners, rect, c)
		}
		if _, room := m.worst(); best.failed && room > known || !m.failed && m.better(&best) {
			best, known = m, room
		}
	}
	j.clampsFor(steepest, reflected, leak, lead, try)
	return best
}

// donorCorners measures a transformer at every corner of its readings.
func (j *job) donorCorners(d *donorTransformer, v *variant, corners []magnetics.Turns, rect *rectifierChoice, clamp clampChoice) (m measured) {
	for i, t := range corners {
		e := d.at(v, t)
		e.rect, e.clamp = rect, clamp
		at := j.measure(e)
		if i == 0 {
			m = at
		} else {
			m.worsen(&at)
		}
	}
	m.settle()
	return m
}

// worsen takes over every gauge of another corner that has less room.
func (m *measured) worsen(o *measured) {
	for _, g := range o.gauges[:o.count] {
		known := false
		for i := range m.gauges[:m.count] {
			if h := &m.gauges[i]; h.id == g.id {
				known = true
				if g.room() < h.room() {
					*h = g
				}
			}
		}
		if !known {
			m.hold(g)
		}
	}
}

// donorGauges are the limits that stand for those of a winding: the safe current of the core, the energy it stores, and the
// builder's word for the barrier. The current still rises during the turn-off delay, most with the lowest inductance.
func (m *measured) donorGauges(j *job, d design) {
	p := d.donor.stock.part
	top := d.v.limit.High + flyback.Overshoot(j.busMax, m.band.Low, d.v.delay)
	if d.donor.ownChip(d.v) {
		m.hold(most(chkOwnChip, d.v.limit.High, d.v.limit.High))
	} else {
		m.hold(most(chkSafeCurrent, top, d.donor.safe))
	}
	stored := si.Power(0.5 * float64(p.Inductance.Value) * float64(d.donor.safe) * float64(d.donor.safe) * float64(d.v.frequency))
	m.hold(least(chkStored, stored, m.through))
	declared := 0.0
	if p.Barrier == "yes" {
		declared = 1
	}
	m.hold(least(chkDeclared, si.Ratio(declared), 1))
}
