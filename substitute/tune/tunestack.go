package tune

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/bill"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// InductanceTuning is what the inductance readings tell and the stack to try next.
type InductanceTuning struct {
	Verdict        string            `json:"verdict"`
	Measured       si.Inductance     `json:"measured_h"`
	Low            si.Inductance     `json:"low_h"` // of the reading, by the meter error
	High           si.Inductance     `json:"high_h"`
	WallPower      si.Inductance     `json:"wall_power_h"`
	WallSaturation si.Inductance     `json:"wall_saturation_h"`
	Window         substitute.Window `json:"window"`
	// Strained is the limit that fails at the reading although it lies between the walls.
	Strained string                `json:"strained,omitempty"`
	Now      []substitute.ShimFilm `json:"now"`
	Learned  []LearnedFigure       `json:"learned"`
	// the readings contradict each other or the record
	Doubt string `json:"doubt,omitempty"`

	// At most one of these: the next stack from the drawer, else what would help.
	Next  *StackStep `json:"next,omitempty"`
	Buy   *StackStep `json:"buy,omitempty"`
	Turns *TurnsStep `json:"turns,omitempty"`
}

// helped reports whether something in stock leads on; from a reading that cannot be, measuring
// again does.
func (x *InductanceTuning) helped() bool {
	stuck := x.Verdict == TuneStrained || x.Buy != nil || x.Turns != nil
	return x.Verdict == TuneGood || x.Next != nil || x.Doubt != "" && !stuck
}

// LearnedFigure is a figure as the readings have it, beside what was noted.
type LearnedFigure struct {
	Name  string  `json:"name"`
	Lot   int64   `json:"lot,omitempty"`
	Noted float64 `json:"noted" figures:"entered"`
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Unit  string  `json:"unit"` // m, or 1 for the permeability
}

// StackStep is a stack of films with what to expect of it.
type StackStep struct {
	Layers     []substitute.ShimFilm `json:"layers"`
	Changes    []FilmChange          `json:"changes"`
	Shim       si.Length             `json:"shim_m"` // by the figures noted
	Inductance si.Inductance         `json:"inductance_h"`
	Low        si.Inductance         `json:"low_h"` // 19 times out of 20
	High       si.Inductance         `json:"high_h"`
	// of a reading between the walls, meter error included
	Chance  si.Ratio `json:"chance"`
	Springs bool     `json:"springs,omitempty"`
	// film that does not bear the transformer
	Hot string `json:"hot,omitempty"`
}

// FilmChange is so many layers to lay in (positive) or take out (negative) under every leg.
type FilmChange struct {
	Lot         int64  `json:"lot,omitempty"`
	Bin         string `json:"bin,omitempty"`
	Designation string `json:"designation"`
	Layers      int    `json:"layers"`
}

// TurnsStep is a new winding, near the ratio of the old, that a stack of the drawer brings between
// its walls.
type TurnsStep struct {
	Primary        int           `json:"primary_turns"`
	Secondary      int           `json:"secondary_turns"`
	Bias           int           `json:"bias_turns"`
	WallPower      si.Inductance `json:"wall_power_h"`
	WallSaturation si.Inductance `json:"wall_saturation_h"`
	Stack          StackStep     `json:"stack"`
}

// Figures of the next step.
const (
	// filmDoubt is by how much a layer in the gap may differ from what was noted: dust, burrs, bow,
	// glue and wrong labels; common practice, no source.
	filmDoubt = 0.30
	// filmDoubtMeasured is the same for a film whose thickness was measured.
	filmDoubtMeasured = 0.10
	// unknownGap stands for a ground gap that nobody looked for: most likely 5 um, up to a tenth of
	// a millimetre 19 times out of 20; from memory.
	unknownGap       = 5e-6
	unknownGapSpread = 1.5
	// dirtSpread is how well the joint is known at least: dust and chipped edges make it up to e
	// times as long 19 times out of 20; common practice, no source.
	dirtSpread               = 0.5
	sureEnough      si.Ratio = 0.90 // chance beyond which thicker stacks are not looked at
	likelyEnough    si.Ratio = 0.50 // chance with which a stack is proposed that keeps every limit
	worthTrying     si.Ratio = 0.10 // chance below which a stack is not proposed
	centredEnough            = 4
	nearestStacks            = 40
	tallLayers               = 6 // layers of the thicker stacks
	turnsSureEnough si.Ratio = 0.85
	turnsReach               = 0.6  // share by which turns may change
	ratioKept                = 0.02 // by which the turns ratio may change
)

// prior is what is known of core and films before the first reading.
func (u stacks) prior(films []stock.Stock[catalog.Film]) magnetics.StackPrior {
	c := u.m.C
	p := magnetics.StackPrior{
		Geometry: c.Geometry,
		Permeability: magnetics.VagueIn(c.Mu,
			si.Interval[si.Ratio]{Low: c.MuBand.Low, High: c.MuBand.High}),
		Ground:   magnetics.VagueIn(c.Ground, c.GndBand),
		Residual: magnetics.VagueIn(c.Residual, c.ResBand),
	}
	if c.Ground == 0 && !c.Stock.Part.Gap.Known() {
		p.Ground = magnetics.Vague[si.Length]{Value: unknownGap, Spread: unknownGapSpread}
	}
	if p.Residual.Value > 0 {
		p.Residual.Spread = max(p.Residual.Spread, dirtSpread)
	}
	for i := range films {
		f := films[i].Part
		e := si.Ratio(filmDoubt)
		if f.Thickness.Basis == catalog.Measured {
			e = filmDoubtMeasured
		}
		p.Films = append(p.Films, magnetics.VagueIn(f.Thickness.Value,
			si.Around(f.Thickness.Value, e)))
	}
	gap := magnetics.Gap{Ground: c.Ground, Shim: u.m.Gap.Shim, Residual: c.Residual}
	p.Stray = magnetics.Deviation(magnetics.ModelError(c.Geometry, gap))
	return p
}

// stackOf finds the films of a reading in the drawer.
func (u stacks) stackOf(r StackReading) (magnetics.Stack, error) {
	films := u.bench.Drawer.Films
	s := make(magnetics.Stack, len(films))
	if r.AsBuilt {
		for _, f := range u.m.Gap.Films {
			s[f.Film] += f.Count
		}
		return s, nil
	}
	for _, l := range r.Layers {
		i := slices.IndexFunc(films, func(f stock.Stock[catalog.Film]) bool {
			if l.Lot > 0 {
				return holds(f.Lots, l.Lot)
			}
			return strings.EqualFold(f.Name(), l.Designation)
		})
		given := l.Designation
		if l.Lot > 0 {
			given = fmt.Sprint(l.Lot)
		}
		switch {
		case i < 0:
			return nil, BenchFault{"reading", given,
				"no film of the drawer; give its lot number or its name as list shows them"}
		case films[i].Part.Shim != "yes":
			return nil, BenchFault{"reading", given,
				"this film must not lie in a gap; take one with shim=yes"}
		}
		s[i] += l.Count
	}
	return s, nil
}

// stacks reads the gap's films from inductances and says what to put there next.
type stacks struct{ *Tuner }

// inductance judges the last reading and looks for the next stack.
func (u stacks) inductance(readings []StackReading) (InductanceTuning, error) {
	last := readings[len(readings)-1].Inductance
	x := InductanceTuning{
		Measured:       last.Value,
		Low:            last.Band.Low,
		High:           last.Band.High,
		WallPower:      u.m.WallPower,
		WallSaturation: u.m.WallFlux,
		Window:         u.window,
		Verdict:        verdictOf(last, u.walls()),
		Learned:        []LearnedFigure{},
	}
	var steps []magnetics.StackReading
	var now magnetics.Stack
	for _, r := range readings {
		s, err := u.stackOf(r)
		if err != nil {
			return x, err
		}
		steps, now = append(
			steps,
			magnetics.StackReading{Stack: s, AL: u.factor(r.Inductance.Value),
				Error: relative(r.Inductance)},
		), s
	}
	fit, err := magnetics.FitStacks(u.prior(u.bench.Drawer.Films), steps)
	if err != nil {
		return x, BenchFault{"reading", si.Text(last.Value), err.Error()}
	}
	x.Now = shimFilms(u.bench.Drawer.Films, now)
	x.Learned = u.learned(fit, steps)
	x.Doubt = doubtOf(fit)
	if fit.Misfit > hopelessAt || fit.Strain > hopelessAt {
		return x, nil // nothing can be reckoned from this
	}
	if x.Verdict == TuneGood {
		switch {
		case last.Value < u.window.Low:
			x.Verdict, x.Strained = TuneStrained, u.window.LowBy
		case last.Value > u.window.High:
			x.Verdict, x.Strained = TuneStrained, u.window.HighBy
		default:
			return x, nil
		}
	}
	u.advance(&x, fit, steps, now, relative(last))
	return x, nil
}

// verdictOf holds a reading with its error against the walls.
func verdictOf(k magnetics.Known[si.Inductance], walls si.Interval[si.Inductance]) string {
	switch {
	case k.Band.Within(walls):
		return TuneGood
	case k.Value < walls.Low:
		return TuneLow
	case k.Value > walls.High:
		return TuneHigh
	}
	return TuneUnsure
}

// Distances, in standard deviations, from which readings contradict each other or the record, and
// from which nothing is proposed on them.
const (
	doubtfulAt = 3
	hopelessAt = 6
)

func doubtOf(f magnetics.StackFit) string {
	switch {
	case f.Misfit > doubtfulAt:
		return "the readings do not fit together: count the layers again, clamp the pair, and " +
			"measure once more"
	case f.Strain > doubtfulAt:
		return "the reading is far from what core, turns and films allow: count the turns, look " +
			"for dirt or a gap in the core, " +
			"measure between 1 and 100 kHz with the secondary open"
	}
	return ""
}

// factor turns an inductance of the primary into an inductance factor.
func (u stacks) factor(l si.Inductance) si.InductanceFactor {
	return si.InductanceFactor(float64(l) / float64(u.m.Np) / float64(u.m.Np))
}

// learned lists the figures the readings changed: permeability, ground gap, and the films that were
// laid in.
func (u stacks) learned(f magnetics.StackFit, steps []magnetics.StackReading) []LearnedFigure {
	c := u.m.C
	mu := f.Permeability()
	out := []LearnedFigure{
		{
			Name:  "permeability",
			Noted: float64(c.Mu),
			Value: float64(mu.Value),
			Low:   float64(mu.Band.Low),
			High:  float64(mu.Band.High),
			Unit:  "1",
		},
	}
	if g := f.Ground(); g.Value > 0 {
		out = append(
			out,
			LearnedFigure{
				Name:  "centre-leg gap",
				Noted: float64(c.Ground),
				Value: float64(g.Value),
				Low:   float64(g.Band.Low),
				High:  float64(g.Band.High),
				Unit:  "m",
			},
		)
	}
	for i := range u.bench.Drawer.Films {
		if slices.ContainsFunc(steps, func(r magnetics.StackReading) bool {
			return r.Stack[i] > 0
		}) {
			film, k := &u.bench.Drawer.Films[i], f.Film(i)
			out = append(out, LearnedFigure{Name: film.Name(), Lot: film.Lots[0].Lot,
				Noted: float64(film.Part.Thickness.Value),
				Value: float64(k.Value), Low: float64(k.Band.Low),
				High: float64(k.Band.High), Unit: "m"})
		}
	}
	return out
}

// shimFilms writes a stack out.
func shimFilms(all []stock.Stock[catalog.Film], s magnetics.Stack) []substitute.ShimFilm {
	out := []substitute.ShimFilm{}
	for i, n := range s {
		if n > 0 {
			f := substitute.ShimFilm{Designation: all[i].Name(),
				Thickness: all[i].Part.Thickness.Value, Count: n}
			if len(all[i].Lots) > 0 {
				f.Lot = all[i].Lots[0].Lot
			}
			out = append(out, f)
		}
	}
	return out
}

// trial is a stack with its outlook.
type trial struct {
	stack   magnetics.Stack
	shim    si.Length
	layers  int
	off     float64 // of the logarithm from the middle of the window
	spare   float64 // distance from the nearer wall in standard deviations
	centred float64 // the same in quarters, as it counts
	seen    magnetics.Prediction
}

// advance finds what to do about an inductance that is not good. It aims at the window in which
// every limit holds, and at the walls alone where no stack is likely to hit that; from between the
// walls only the window is worth the trouble.
func (u stacks) advance(
	x *InductanceTuning,
	fit magnetics.StackFit,
	steps []magnetics.StackReading,
	now magnetics.Stack,
	meter si.Ratio,
) {
	inner, outer := readable(u.window.Ends(), u.m.Np, meter), readable(u.walls(), u.m.Np, meter)
	if s := u.nextStack(fit, now, inner, likelyEnough); s != nil {
		x.Next = s
		return
	}
	if x.Verdict == TuneStrained {
		return
	}
	if x.Next = u.nextStack(fit, now, outer, worthTrying); x.Next != nil {
		return
	}
	if x.Buy = u.filmToBuy(steps, now, outer); x.Buy == nil {
		x.Turns = u.newTurns(fit, now, meter)
	}
}

// nextStack is the best stack of the drawer, with more than three layers only where fewer do not
// do; nil when none has the chance asked for.
func (u stacks) nextStack(
	fit magnetics.StackFit,
	now magnetics.Stack,
	walls si.Interval[si.InductanceFactor],
	chance si.Ratio,
) *StackStep {
	films := u.bench.Drawer.Films
	at, ok := bestStack(fit, u.m.C.Gaps, now, walls)
	if !ok || at.seen.Chance(walls) < sureEnough {
		if tall, better := bestStack(fit, u.m.C.Stacks(films, tallLayers), now, walls); better &&
			(!ok || tall.centred > at.centred) {
			at, ok = tall, true
		}
	}
	if !ok || at.seen.Chance(walls) < chance {
		return nil
	}
	s := u.step(films, at, now, walls, u.m.Np)
	return &s
}

// walls are those of the sheet.
func (u stacks) walls() si.Interval[si.Inductance] {
	return si.Interval[si.Inductance]{Low: u.m.WallPower, High: u.m.WallFlux}
}

// readable is the window of inductance factors whose reading lies between the walls in spite of the
// meter error.
func readable(ends si.Interval[si.Inductance], turns int,
	meter si.Ratio) si.Interval[si.InductanceFactor] {
	n := float64(turns) * float64(turns)
	return si.Interval[si.InductanceFactor]{
		Low:  si.InductanceFactor(float64(ends.Low) / float64(1-meter) / n),
		High: si.InductanceFactor(float64(ends.High) / float64(1+meter) / n)}
}

// bestStack is the stack most likely to land, by its distance from the nearer wall in standard
// deviations, in steps of a quarter up to four, beyond which more is no surer; among equals the one
// with fewest layers, then the farthest from the walls. The stack that lies in the core now is left
// out. How well a stack is known is reckoned only for those nearest to the middle.
func bestStack(
	fit magnetics.StackFit,
	gaps []stage.MadeGap,
	now magnetics.Stack,
	walls si.Interval[si.InductanceFactor],
) (trial, bool) {
	if !(walls.Low > 0) || !(walls.High > walls.Low) {
		return trial{}, false
	}
	middle := math.Sqrt(float64(walls.Low) * float64(walls.High))
	var all []trial
	for i := range gaps {
		s := make(magnetics.Stack, len(now))
		for _, f := range gaps[i].Films {
			s[f.Film] += f.Count
		}
		if !slices.Equal(s, now) {
			off := math.Abs(math.Log(float64(fit.Expect(s)) / middle))
			all = append(all, trial{stack: s, shim: gaps[i].Shim, layers: gaps[i].Layers, off: off})
		}
	}
	slices.SortStableFunc(all, func(a, b trial) int { return cmp.Compare(a.off, b.off) })
	all = all[:min(len(all), nearestStacks)]
	for i := range all {
		t := &all[i]
		t.seen = fit.Predict(t.stack)
		t.spare = t.seen.Centred(walls)
		t.centred = math.Floor(4 * min(t.spare, centredEnough))
	}
	slices.SortStableFunc(all, func(a, b trial) int {
		return cmp.Or(cmp.Compare(b.centred, a.centred), a.layers-b.layers,
			cmp.Compare(b.spare, a.spare),
			cmp.Compare(a.shim, b.shim))
	})
	if len(all) == 0 {
		return trial{}, false
	}
	return all[0], true
}

// step writes a trial out.
func (u stacks) step(
	films []stock.Stock[catalog.Film],
	t trial,
	now magnetics.Stack,
	walls si.Interval[si.InductanceFactor],
	turns int,
) StackStep {
	n := float64(turns) * float64(turns)
	band := t.seen.Band()
	s := StackStep{
		Layers:     shimFilms(films, t.stack),
		Changes:    []FilmChange{},
		Shim:       t.shim,
		Inductance: si.Inductance(float64(t.seen.AL) * n),
		Low:        si.Inductance(float64(band.Low) * n),
		High:       si.Inductance(float64(band.High) * n),
		Chance:     t.seen.Chance(walls),
		Springs:    t.layers > stage.MaxShimLayers,
	}
	for i := range t.stack {
		was := 0
		if i < len(now) {
			was = now[i]
		}
		if d := t.stack[i] - was; d != 0 {
			c := FilmChange{Designation: films[i].Name(), Layers: d}
			if len(films[i].Lots) > 0 {
				c.Lot, c.Bin = films[i].Lots[0].Lot, films[i].Lots[0].Bin
			}
			s.Changes = append(s.Changes, c)
		}
		if class := films[i].Part.Class; t.stack[i] > 0 && class.Known() &&
			class.Value < u.m.Hottest.Coil+bill.FilmSpare {
			s.Hot = fmt.Sprintf(
				"%s bears %.0f C, the transformer reaches %.0f C",
				films[i].Name(),
				float64(class.Value),
				float64(u.m.Hottest.Coil),
			)
		}
	}
	return s
}
