package stage

import (
	"fmt"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stock"
)

// Figures of a transformer that is used as found. Sources beside them.
const (
	// of the cold knee current, saturation at 100 C against 25 C (from memory: 0.75 to 0.8)
	kneeHot = 0.75
	// a.c. over d.c. resistance of windings nobody has seen; assumed, no source
	donorLayerFactor = 3.0
	// T, no power ferrite goes further cold (highest of ferrites.tsv at 25 C is below)
	kneeFlux = 0.55
	// of the inductance factor without gap: above it there is no gap that was made (own
	// calculation)
	ungappedShare = 0.6
	// initial permeability, no power ferrite of a main transformer has more (from memory)
	highestMu = 3000
)

// Names of checks of donors that have no number.
const (
	CheckTransformerFigures = "transformer figures"
	checkBiasWinding        = "bias winding"
	CheckNoGap              = "a gap in the core"
)

// DonorTransformer is a transformer of the drawer that is used unopened: its turns as far as the
// readings tell, and what it bears.
type DonorTransformer struct {
	Stock     *stock.Stock[catalog.Transformer]
	core      BareCore          // its outline, as a core that cannot be changed
	Turns     []magnetics.Turns // all that agree with the readings
	Safe      si.Current        // largest primary current
	SafeBasis string            // where that comes from
	band      si.Interval[si.Inductance]
}

// transformerUnfit says what is missing or wrong for any use of a transformer, and the cure; empty
// when nothing is.
func transformerUnfit(p catalog.Transformer) (check, why, cure string) {
	measure := func(what string) (string, string, string) {
		return CheckTransformerFigures, "cannot be called feasible: " + what + " not known",
			"measure the " + what
	}
	switch {
	case p.Barrier != "yes":
		return substitute.CheckBarrier, "nobody has declared its insulation whole; a " +
				"meter cannot tell",
			"enter barrier=yes only for one from an approved class II mains adapter, never " +
				"opened, never reheated"
	case !p.Ratio.Known() && !p.Secondary.Known():
		return measure("ratio of its voltages or secondary inductance")
	case !p.Leakage.Known():
		return measure("leakage inductance, secondary shorted")
	case !p.PrimaryOhm.Known() || !p.SecondaryOhm.Known():
		return measure("resistance of both windings")
	}
	return "", "", ""
}

// OpenTransformer works out what is known of an unopened transformer, or says why it cannot be
// used.
func OpenTransformer(s *stock.Stock[catalog.Transformer]) (*DonorTransformer, substitute.Refusal) {
	p := s.Part
	refuse := func(check, why, cure string, miss float64) (*DonorTransformer, substitute.Refusal) {
		return nil, substitute.Refusal{Core: s.Name(), Check: check, Why: why,
			Cure: cure, Miss: miss}
	}
	if check, why, cure := transformerUnfit(p); check != "" {
		return refuse(check, why, cure, 7)
	}
	core, why := newBareCore(stock.Stock[catalog.Core]{
		Part: complete.Part(catalog.Core{Named: catalog.Named{Name: s.Name()},
			Shape: p.Shape, Ferrite: "unknown"}).(catalog.Core), Key: s.Key,
		Count: s.Count, Lots: s.Lots})
	if why != "" {
		return refuse(CheckTransformerFigures, "cannot be called feasible: core outline not known",
			"measure the outline and enter shape", 7)
	}
	d := &DonorTransformer{Stock: s, core: core}
	d.core.Notes = nil
	d.band = si.Around(p.Inductance.Value, p.Meter.Value)
	if !d.findSafe() {
		return d.withoutSafe()
	}
	d.findTurns()
	if len(d.Turns) == 0 {
		return refuse(CheckTransformerFigures,
			"no whole turns agree with its inductances and voltages", "measure both again", 7)
	}
	if d.ungapped() && p.Saturation.Basis == catalog.Unknown {
		return refuse(CheckNoGap, "its inductance a turn is that of a core without gap: no "+
			"flyback without opening it",
			"open it for its core", 8)
	}
	return d, substitute.Refusal{}
}

// findSafe settles the largest primary current: three quarters of the cold knee, else what a
// working flyback donor has passed. All its power crossed the gap as L I2/2 f at most, so that its
// peak was sqrt(2 P/(L f)) at least, in either mode; and every start ran against the lowest limit
// of its switcher.
func (d *DonorTransformer) findSafe() bool {
	p := d.Stock.Part
	if p.Saturation.Known() {
		d.Safe, d.SafeBasis = kneeHot*p.Saturation.Value,
			"0.75 x the knee of the saturation pulse (hot against cold, from memory)"
		return true
	}
	if p.Topology != "flyback" {
		return false
	}
	if p.Passed.Known() && p.PassedAt.Known() {
		d.Safe = si.Current(math.Sqrt(2 * float64(p.Passed.Value) /
			(float64(p.PassedAt.Value) * float64(d.band.High))))
		d.SafeBasis = "peak that the power of its donor needed at least: sqrt(2 P/(L f))"
	}
	if p.PassedLimit.Known() && p.PassedLimit.Value > d.Safe {
		d.Safe, d.SafeBasis = p.PassedLimit.Value,
			"lowest current limit of its donor, met at every start"
	}
	return d.Safe > 0
}

// withoutSafe refuses a transformer whose saturation nobody knows. One that was no flyback is held
// against the energy that its core stores without a gap.
func (d *DonorTransformer) withoutSafe() (*DonorTransformer, substitute.Refusal) {
	p := d.Stock.Part
	r := substitute.Refusal{Core: d.Stock.Name(), Check: CheckTransformerFigures, Miss: 7,
		Why: "cannot be called feasible: its saturation current is not known",
		Cure: "measure the knee with a saturation pulse, or enter topology, passed and chip from " +
			"its flyback donor's plate"}
	if p.Topology == "half-bridge" || p.Topology == "forward" {
		r.Check, r.Miss = CheckNoGap, 8
		r.Why = fmt.Sprintf("a %s transformer has no gap; %s of inductance saturate long before "+
			"the current of a flyback", p.Topology,
			si.Format(p.Inductance.Value, 3))
		r.Cure = "open it for its core, or prove it with a saturation pulse"
	}
	return nil, r
}

// findTurns lists the whole turns. The fewest are those that a core without any gap needs for the
// inductance, and those that keep the flux at the safe current below what any ferrite carries.
func (d *DonorTransformer) findTurns() {
	p, g := d.Stock.Part, d.core.Geometry
	knee := d.Safe
	if p.Saturation.Known() {
		knee = p.Saturation.Value
	}
	fewest := max(magnetics.TurnsForInductance(d.band.Low, magnetics.UngappedFactor(g, highestMu)),
		magnetics.TurnsForFlux(d.band.Low, knee, kneeFlux, g.Area))
	r := magnetics.TurnsReading{Primary: p.Inductance.Value, Secondary: p.Secondary.Value,
		Bias: p.Bias.Value, Ratio: p.Ratio.Value,
		BiasRatio: p.BiasRatio.Value, Meter: p.Meter.Value, Scope: p.Scope.Value,
		PrimaryTurns: p.PrimaryTurns.Value,
		Fewest:       int(math.Ceil(fewest)), Most: MaxPrimaryTurns}
	d.Turns = magnetics.CandidateTurns(r)
}

// ungapped reports that the turns are known and the inductance of one of them is that of a core
// without gap.
func (d *DonorTransformer) ungapped() bool {
	p := d.Stock.Part
	if !p.PrimaryTurns.Known() {
		return false
	}
	n := float64(p.PrimaryTurns.Value)
	return float64(p.Inductance.Value)/(n*n) >
		ungappedShare*float64(magnetics.UngappedFactor(d.core.Geometry, d.core.Mu))
}

// Corners are the turns at the ends of what the readings allow: those to build with first, then the
// lowest and the highest ratio of primary to secondary, the lowest and the highest of bias to
// secondary, each with either end of the other, and the fewest turns, which swing the flux most.
// The turns to build with are the best fit among the fewest, since only ratios are read and few
// turns are the cautious side for loss.
func (d *DonorTransformer) Corners(bias bool) []magnetics.Turns {
	fewest := d.Turns[0]
	for _, t := range d.Turns {
		if t.Primary < fewest.Primary {
			fewest = t
		}
	}
	nominal := fewest
	for _, t := range d.Turns {
		if float64(t.Primary) <= 1.25*float64(fewest.Primary) && t.Misfit < nominal.Misfit-1e-9 {
			nominal = t
		}
	}
	ratio := func(t magnetics.Turns) float64 { return float64(t.Primary) / float64(t.Secondary) }
	supply := func(t magnetics.Turns) float64 { return float64(t.Bias) / float64(t.Secondary) }
	all := []magnetics.Turns{nominal, d.outermost(ratio, supply, -1, -1),
		d.outermost(ratio, supply, 1, 1), fewest}
	if bias {
		return append(all, d.outermost(ratio, supply, -1, 1), d.outermost(ratio, supply, 1, -1),
			d.outermost(supply, ratio, -1, -1),
			d.outermost(supply, ratio, -1, 1), d.outermost(supply, ratio, 1,
				-1), d.outermost(supply, ratio, 1, 1))
	}
	for i := range all {
		all[i].Bias = 0
	}
	return all
}

// outermost are the turns with the highest (sign 1) or lowest (sign -1) first figure, of those with
// the highest or lowest second, of those the fewest, which swing the flux most.
func (d *DonorTransformer) outermost(first, second func(magnetics.Turns) float64, signFirst,
	signSecond float64) magnetics.Turns {
	best := d.Turns[0]
	for _, t := range d.Turns {
		f, g := signFirst*first(t), signFirst*first(best)
		a, b := signSecond*second(t), signSecond*second(best)
		if f > g || f == g && (a > b || a == b && t.Primary < best.Primary) {
			best = t
		}
	}
	return best
}

// OwnChip reports that a switcher is the very type this transformer worked with. Its maker had to
// allow for the highest limit of that type, so no other proof is asked for (from memory).
func (d *DonorTransformer) OwnChip(v *Variant) bool {
	p := d.Stock.Part
	row, _, listed := catalog.Lookup(catalog.KindSwitcher, p.Chip)
	return p.Topology == "flyback" && p.Chip != "" && v.Sense == nil &&
		(v.Drive.Name == p.Chip || listed && row.Designation() == v.Drive.Name)
}

// at is the transformer with these turns as a design with a switcher. The flux limit is the flux of
// the safe current, so that both sides of that check are read from the same turns.
func (d *DonorTransformer) at(v *Variant, t magnetics.Turns) Design {
	c := d.core
	turns := si.InductanceFactor(float64(t.Primary) * float64(t.Primary))
	p := d.Stock.Part
	c.Gaps = []MadeGap{{Al: si.InductanceFactor(p.Inductance.Value) / turns,
		Band: si.Interval[si.InductanceFactor]{Low: si.InductanceFactor(d.band.Low) / turns,
			High: si.InductanceFactor(d.band.High) / turns}}}
	c.FluxLimit = magnetics.FluxDensity(p.Inductance.Value, d.Safe, t.Primary, c.Geometry.AreaMin)
	c.fluxBasis = d.SafeBasis
	return Design{V: v, C: &c, Core: c.LossAt(v.Frequency), Np: t.Primary, Ns: t.Secondary,
		Nb: t.Bias, Gap: &c.Gaps[0], Donor: d,
		Plan: &Plan{Barrier: inherited, Gist: Gist{Leakage: p.Leakage.Value,
			PrimaryR: p.PrimaryOhm.Value, SecondaryR: p.SecondaryOhm.Value}}}
}

// openTransformers works out all of them once for a drawer; what cannot be used is a refusal.
func openTransformers(d *stock.Drawer) (fit []*DonorTransformer, unfit []substitute.Refusal) {
	for i := range d.Transformers {
		if t, why := OpenTransformer(&d.Transformers[i]); t != nil {
			fit = append(fit, t)
		} else {
			unfit = append(unfit, why)
		}
	}
	return fit, unfit
}

// NearestOf keeps the nearest refusal of every switcher that no setting makes work.
func NearestOf(misses []substitute.Refusal, best map[string]int,
	found []Measured) []substitute.Refusal {
	served := map[string]bool{}
	for _, at := range best {
		served[found[at].V.Drive.Name] = true
	}
	at := map[string]int{}
	var out []substitute.Refusal
	for _, r := range misses {
		i, seen := at[r.Switcher]
		switch {
		case served[r.Switcher]:
		case !seen:
			at[r.Switcher] = len(out)
			out = append(out, r)
		case r.Miss < out[i].Miss:
			out[i] = r
		}
	}
	return out
}

// DonorStage measures a transformer with a switcher at every corner of its readings; the figures
// are those of the likeliest turns, the checks those of the worst corner.
func (j *Measurer) DonorStage(d *DonorTransformer, v *Variant) (Measured, substitute.Refusal) {
	p := d.Stock.Part
	why := substitute.Refusal{Switcher: v.Drive.Name, Core: d.Stock.Name(), Miss: 6}
	bias := !v.Supply.Self
	if bias && !p.Bias.Known() && !p.BiasRatio.Known() {
		why.Check, why.Why, why.Cure = checkBiasWinding,
			"this switcher needs a bias winding and none was read",
			"use a switcher that feeds itself"
		return Measured{}, why
	}
	corners := d.Corners(bias)
	// the lowest ratio reverses the rectifier most
	rect := j.ChooseRectifier(corners[1].Primary, corners[1].Secondary)
	if rect < 0 {
		why.Check, why.Why = substitute.CheckNames[substitute.ChkRectifierCurrent].Name,
			"no output rectifier on hand is fast and strong enough"
		return Measured{}, why
	}
	m := j.bestClamped(d, v, corners, &j.Rectifiers[rect])
	if m.Failed {
		g, margin := m.Worst()
		why.Check, why.Value, why.Limit, why.Unit, why.Miss = substitute.CheckNames[g.Id].Name,
			g.Value, g.Limit, substitute.CheckNames[g.Id].Unit, -margin
		return m, why
	}
	return m, substitute.Refusal{}
}

// bestClamped measures a transformer with every clamp on hand and keeps the best; with nothing on
// hand, with the one to buy. The turns are given, so that the clamp is all that is left to choose.
// Only what passes with the likeliest turns is measured at every corner. Of those that all fail the
// nearest is kept.
func (j *Measurer) bestClamped(d *DonorTransformer, v *Variant, corners []magnetics.Turns,
	rect *RectifierChoice) Measured {
	steepest := d.at(v, corners[2])
	steepest.Rect = rect
	n := si.Ratio(float64(steepest.Np) / float64(steepest.Ns))
	reflected := flyback.Reflected(n, j.SecondaryVolts(j.Target.Set, rect))
	j.FitClamp(&steepest, reflected, &steepest.Plan.Gist)
	best := j.donorCorners(d, v, corners, rect, steepest.Clamp)
	_, known := best.Worst()
	try := func(c ClampChoice) {
		likeliest := d.at(v, corners[0])
		likeliest.Rect, likeliest.Clamp = rect, c
		m := j.MeasureAbove(likeliest, Sound)
		if !m.Failed {
			m = j.donorCorners(d, v, corners, rect, c)
		}
		if _, margin := m.Worst(); best.Failed && margin > known || !m.Failed && m.Better(&best) {
			best, known = m, margin
		}
	}
	j.ClampsFor(steepest, reflected, &steepest.Plan.Gist, try)
	return best
}

// donorCorners measures a transformer at every corner of its readings.
func (j *Measurer) donorCorners(d *DonorTransformer, v *Variant, corners []magnetics.Turns,
	rect *RectifierChoice, clamp ClampChoice) (m Measured) {
	for i, t := range corners {
		if slices.Contains(corners[:i], t) {
			continue
		}
		e := d.at(v, t)
		e.Rect, e.Clamp = rect, clamp
		at := j.Measure(e)
		if i == 0 {
			m = at
		} else {
			m.worsen(&at.Judgement)
		}
	}
	m.settle()
	return m
}
