package advise

import (
	"fmt"
	"sort"
	"strings"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/search"
)

// Options bound an answer.
type Options struct {
	Builds  int  // greatest number of builds returned; 0 = 20
	Refused int  // greatest number of refusals returned; 0 = 40
	Buy     bool // find a cure for the nearest refusals
	Drawer  bool // only what the drawer holds: no shelf of the trade is looked at

	Quiet  bool             // refusals are of no interest; with Drawer only
	Single bool             // try purchases of one kind only
	Held   search.TurnsHeld // look at one pair of turns only
}

func (o Options) builds() int {
	if o.Builds == 0 {
		return 20
	}
	return o.Builds
}

func (o Options) refusals() int {
	if o.Refused == 0 {
		return 40
	}
	return o.Refused
}

// Advise answers for one target what can be built from the snapshot: builds best first, feasible
// before those that need buying, then the refusals, nearest misses first.
func Advise(t substitute.Target, s inventory.Snapshot, o Options) substitute.Result {
	return NewWorkbench(s).Advise(t, o)
}

// Advise is Advise on a prepared workbench.
func (w *Workbench) Advise(t substitute.Target, o Options) substitute.Result {
	r := substitute.Result{Target: t, Builds: []substitute.Build{}, Refused: []substitute.Refusal{},
		Misses: []substitute.NearMiss{}, Cures: []substitute.Cure{},
		Cautions: substitute.Cautions(t)}
	if why, bad := t.Unsuitable(); bad {
		r.Refused = append(r.Refused, why)
		return r
	}
	j := NewAttempt(w, t)
	j.Held = o.Held
	j.Quiet = o.Quiet && o.Drawer
	if o.Builds == 1 || j.Quiet {
		j.Record = &search.Record{Keep: o.builds()} // what is not returned need not be found
	}
	wound, refused := j.Builds()
	r.Builds = append(r.Builds, wound...)
	bent, unbent := j.adapterBuilds()
	r.Builds, refused = append(r.Builds, bent...), append(refused, unbent...)
	r.Searched.Designs = j.Designs
	if !AnyFeasible(r.Builds) && !o.Drawer {
		more, designs := w.withPurchases(t, refused, o)
		r.Builds = distinct(append(r.Builds, more...))
		r.Searched.Designs += designs
	}
	Rank(r.Builds)
	if len(r.Builds) > o.builds() {
		r.Builds = r.Builds[:o.builds()]
	}
	SortRefusals(refused)
	if o.Builds == 1 {
		// what lies behind the nearest depends on what the record had cut
		refused = refused[:min(1, len(refused))]
	}
	if o.Buy {
		w.Cure(t, refused, AnyFeasible(r.Builds))
		if !AnyFeasible(r.Builds) {
			r.Misses, r.Cures = curing{w}.nearMisses(t), curing{w}.cures(t, r.Builds)
		}
	}
	if len(refused) > o.refusals() {
		refused = refused[:o.refusals()]
	}
	r.Refused = append(r.Refused, refused...)
	return r
}

// distinct drops builds that a search with a fuller shelf found again without using it.
func distinct(bs []substitute.Build) []substitute.Build {
	seen := map[string]bool{}
	out := []substitute.Build{}
	for _, b := range bs {
		key := fmt.Sprint(b.Kind, b.Parts, b.Transformer, b.Gap)
		if !seen[key] {
			seen[key] = true
			out = append(out, b)
		}
	}
	return out
}

func AnyFeasible(bs []substitute.Build) bool {
	for i := range bs {
		if bs[i].Verdict == substitute.Feasible {
			return true
		}
	}
	return false
}

// Rank orders builds and numbers them: parts missing, cost, measured steps, smallest margin
// (rounded down to 1 %), parts of which none other is left, loss (whole milliwatts), number of
// parts, then names and turns, so that the order is total and no last bit of a float decides it.
func Rank(bs []substitute.Build) {
	sort.SliceStable(bs, func(i, j int) bool { return Before(&bs[i], &bs[j]) })
	for i := range bs {
		bs[i].Rank = i + 1
	}
}

func Before(a, b *substitute.Build) bool {
	s, o := a.Score, b.Score
	switch {
	case s.Missing != o.Missing:
		return s.Missing < o.Missing
	case s.Cost != o.Cost:
		return s.Cost < o.Cost
	case s.Steps != o.Steps:
		return s.Steps < o.Steps
	case s.Margin != o.Margin:
		return s.Margin > o.Margin
	case len(s.Scarce) != len(o.Scarce):
		return len(s.Scarce) < len(o.Scarce)
	case s.Loss != o.Loss:
		return s.Loss < o.Loss
	case s.Parts != o.Parts:
		return s.Parts < o.Parts
	}
	if c := strings.Compare(a.ChipName(), b.ChipName()); c != 0 {
		return c < 0
	}
	if c := strings.Compare(a.Carrier(), b.Carrier()); c != 0 {
		return c < 0
	}
	if a.Switcher.Lot != b.Switcher.Lot {
		return a.Switcher.Lot < b.Switcher.Lot
	}
	if a.Core.Lot != b.Core.Lot {
		return a.Core.Lot < b.Core.Lot
	}
	return a.Transformer.PrimaryTurns < b.Transformer.PrimaryTurns
}

func SortRefusals(rs []substitute.Refusal) {
	sort.SliceStable(rs, func(i, j int) bool {
		a, b := rs[i], rs[j]
		if a.Miss != b.Miss {
			return a.Miss < b.Miss
		}
		return a.Switcher+"|"+a.Core+"|"+a.Check < b.Switcher+"|"+b.Core+"|"+b.Check
	})
}
