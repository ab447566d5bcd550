package swap

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/search"
	"sparewright/substitute/seats"
)

// Judge holds one lot against a seat: first its figures against what the build asks as it stands,
// then, where nothing refuses it that the search cannot make up for, by a search in which it is the
// only part for that place.
func (s *Swapper) Judge(at seat, l inventory.Lot) StandIn {
	part := Completed(l)
	out := StandIn{Lot: l.ID, Designation: part.Designation(),
		Free: inventory.RoundCount(l.Available()), Unit: l.Unit(), Bin: l.Bin,
		Changes: []SwapChange{}}
	tightest, failed, soft := s.Hold(at, part)
	out.Soft = soft
	if failed.Parameter != "" && failed.Redo == "" && !failed.Guide {
		out.Verdict, out.Binds = SwapRefused, failed
		return out
	}
	found, refusal := s.Force(at, l)
	if found == nil {
		out.Verdict, out.Binds = SwapRefused, boundOf(refusal)
		if failed.Parameter != "" && (!failed.Guide || refusal.Limit == 0) {
			out.Binds = failed
		}
		return out
	}
	s.compare(&out, found, at)
	switch {
	case failed.Parameter != "" && !failed.Guide:
		// missed as the build stands; the search made up for it
		out.Binds = failed
	case out.Binds.Parameter == "" && tightest.Parameter != "":
		out.Binds = tightest
	case out.Binds.Parameter == "":
		out.Binds = checkBound(found, found.Score.Binding)
	}
	return out
}

// Hold holds a part against all needs of a seat: the tightest limit it keeps, the worst hard one it
// fails (one that nothing makes up for before any other), and the soft ones it fails.
func (s *Swapper) Hold(at seat, part catalog.Part) (tightest, failed Bound, soft []Bound) {
	tightest.margin, failed.margin = math.Inf(1), math.Inf(1)
	for _, n := range s.Needs(at, part) {
		b := against(n, part, at.Role)
		switch {
		case b.Passed && (b.margin < tightest.margin || tightest.Parameter == ""):
			tightest = b
		case b.Passed:
		case !b.Hard:
			soft = append(soft, b)
		case failed.Parameter == "" || b.graver(failed):
			failed = b
		}
	}
	return tightest, failed, soft
}

// graver reports whether a failed limit says more than another: one that nothing makes up for, then
// a wrong safety class (which no figure makes right), then how far off it is.
func (b Bound) graver(o Bound) bool {
	final := func(b Bound) bool { return b.Redo == "" && !b.Guide }
	class := func(b Bound) bool { return b.Parameter == "safety" }
	switch {
	case final(b) != final(o):
		return final(b)
	case class(b) != class(o):
		return class(b)
	}
	return b.margin < o.margin
}

// boundOf words the refusal of a search as the bound that decides.
func boundOf(r substitute.Refusal) Bound {
	b := Bound{Parameter: r.Check, Value: r.Value, Limit: r.Limit, Unit: r.Unit, Hard: true,
		Why: r.Why, Sense: "min", margin: -math.Abs(r.Miss)}
	if r.Value > r.Limit {
		b.Sense = "max"
	}
	return b
}

// checkBound is a check of a build as a bound.
func checkBound(b *substitute.Build, name string) Bound {
	i := slices.IndexFunc(b.Checks, func(c substitute.Check) bool { return c.Name == name })
	if i < 0 {
		return Bound{Parameter: name, Passed: true, Sense: "max"}
	}
	c := b.Checks[i]
	return Bound{Parameter: c.Name, Value: c.Value, Limit: c.Limit, Unit: c.Unit, Sense: c.Sense,
		Hard: c.Hard, Passed: c.Passed,
		Why: c.Basis, margin: c.Margin}
}

// freely lists the kinds that the second search may take from the whole drawer: what is cut, wound
// and soldered by value.
var freely = []catalog.Kind{catalog.KindResistor, catalog.KindTrimmer, catalog.KindFilm,
	catalog.KindWire, catalog.KindCapacitor}

// Force searches the build with the stand-in as the only part for the seat and all other places as
// near to the build as they can be kept: first with nothing but the lots of the build, then also
// without the old lot in its other places, in the end with all resistors, trimmers, films, wires
// and capacitors of the drawer. In each drawer the turns are kept if that costs no more than
// WorseStep of margin, else found anew. The refusal is that of the nearest search.
func (s *Swapper) Force(at seat, l inventory.Lot) (*substitute.Build, substitute.Refusal) {
	var nearest substitute.Refusal
	for i, snapshot := range s.drawers(at, l) {
		w := advise.NewWorkbench(snapshot)
		kept, _ := s.search(w, at, l, search.TurnsHeld{Primary: s.Build.Transformer.PrimaryTurns,
			Secondary: s.Build.Transformer.SecondaryTurns})
		if kept != nil && s.Build.Score.Margin-kept.Score.Margin <= WorseStep {
			return kept, substitute.Refusal{}
		}
		anew, why := s.search(w, at, l, search.TurnsHeld{})
		switch {
		case anew == nil && kept != nil:
			return kept, substitute.Refusal{}
		case anew != nil:
			return anew, substitute.Refusal{}
		case i == 0 || nearest.Limit == 0 && why.Limit != 0:
			// of the nearest search that has numbers
			nearest = why
		}
	}
	return nil, nearest
}

// search looks for the best build of a workbench in which a lot fills a seat.
func (s *Swapper) search(w *advise.Workbench, at seat, l inventory.Lot,
	h search.TurnsHeld) (*substitute.Build, substitute.Refusal) {
	r := w.Advise(s.Target, advise.Options{Builds: 1000, Drawer: true, Held: h})
	for k := range r.Builds {
		if b := &r.Builds[k]; b.Score.Missing <= s.Build.Score.Missing && sits(b, at.Role, l.ID) {
			return b, substitute.Refusal{}
		}
	}
	if len(r.Builds) == 0 && len(r.Refused) > 0 {
		return nil, r.Refused[0]
	}
	return nil, substitute.Refusal{Check: "place in the build",
		Why: "the search finds no way to use it there", Miss: 1}
}

// ledRoles are two places for equal parts: which LED is which colour is a matter of taste.
var ledRoles = []seats.ID{seats.LEDCharging, seats.LEDFull}

// sits reports whether a lot fills a role of a build.
func sits(b *substitute.Build, role seats.ID, lot int64) bool {
	return slices.ContainsFunc(b.Parts, func(p substitute.PartUse) bool {
		return p.Lot == lot && (p.Role.Base() == role ||
			slices.Contains(ledRoles, role) && slices.Contains(ledRoles, p.Role))
	})
}

// seen is how much of a lot the search has to see where its other places take n: twice for what is
// cut to length, since it looks at more than it cuts in the end; of an electrolytic two more, which
// it leaves for others before one goes behind a choke.
func seen(l inventory.Lot, n float64) float64 {
	if c, is := l.Part.(catalog.Capacitor); is && c.Dielectric == "electrolytic" && n > 0 {
		return n + 2
	}
	if l.Unit() == inventory.Metres {
		return 2 * n
	}
	return n
}

// drawers makes the drawers of force.
func (s *Swapper) drawers(at seat, l inventory.Lot) []inventory.Snapshot {
	elsewhere, inBuild := map[int64]float64{}, map[int64]bool{}
	for _, p := range s.Build.Parts {
		if p.Source != "drawer" {
			continue
		}
		inBuild[p.Lot] = true
		if p.Role.Base() != at.Role || p.Lot != at.Lot {
			elsewhere[p.Lot] += p.Quantity
		}
	}
	kind := at.Part.Kind()
	drawerOf := func(keep func(lot inventory.Lot) float64) inventory.Snapshot {
		var out inventory.Snapshot
		for _, lot := range s.Snapshot.Usable().Lots {
			n := lot.Available()
			if lot.ID != l.ID {
				n = min(n, keep(lot))
			}
			if n > 0 {
				lot.Count, lot.SetAside = inventory.RoundCount(n), 0
				out.Lots = append(out.Lots, lot)
			}
		}
		return out
	}
	near := func(lot inventory.Lot) float64 {
		switch {
		case lot.Part.Kind() == kind:
			return seen(lot, elsewhere[lot.ID])
		case inBuild[lot.ID]:
			return lot.Available()
		}
		return 0
	}
	without := func(lot inventory.Lot) float64 {
		if lot.ID == at.Lot {
			return 0
		}
		return near(lot)
	}
	free := func(lot inventory.Lot) float64 {
		switch {
		case lot.ID == at.Lot:
			return seen(lot, elsewhere[lot.ID])
		case slices.Contains(freely, lot.Part.Kind()):
			return lot.Available()
		}
		return near(lot)
	}
	out := []inventory.Snapshot{drawerOf(near)}
	if elsewhere[at.Lot] > 0 {
		out = append(out, drawerOf(without))
	}
	return append(out, drawerOf(free))
}
