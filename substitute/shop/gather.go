package shop

import (
	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/purchase"
	"sparewright/substitute/stock"
)

// gathering collects builds of one target that differ in what has to be bought. First the drawer
// alone, then every shelf that may help and every part of it by itself, then two shelves and every
// pair of their parts: so that no part hides behind another that gives more margin but costs more.
// What must cost more than the cheapest found is not tried.
type gathering struct {
	*advise.Workbench
	target substitute.Target
	book   *priceBook
	builds []substitute.Build
	// what has to be bought, to the place of the best build that buys it
	seen map[string]int
	// chargers are wanted: what is taken from the drawer matters, not only what is bought
	several bool
	best    purchase.Amount      // cost of the cheapest so far
	refused []substitute.Refusal // of the drawer alone
	harder  []substitute.Refusal // of the drawer with one shelf
}

// gatherBuilds collects the builds of a target. What must cost more than best is of no use. If not
// thorough, two shelves are tried only when one does not serve.
func gatherBuilds(w *advise.Workbench, t substitute.Target, book *priceBook, several, thorough bool,
	best purchase.Amount) *gathering {
	g := &gathering{Workbench: w, target: t, book: book, several: several,
		seen: map[string]int{}, best: best}
	j := advise.NewAttempt(w, t)
	found, refused := j.Builds()
	g.refused = refused
	for i := range found {
		g.enter(found[i])
	}
	if advise.AnyFeasible(g.builds) {
		return g
	}
	first := advise.Relevant(refused)
	g.wired(refused)
	g.shelves(first)
	if thorough || len(g.builds) == 0 {
		g.pairs(first, advise.Relevant(append(g.harder, refused...)))
	}
	return g
}

// wired tries the resistors and trimmers that the regulation network lacks, alone and, where they
// do not serve, with one shelf.
func (g *gathering) wired(refused []substitute.Refusal) {
	bench := g.Networked(g.target, refused)
	if bench == nil {
		return
	}
	own := g.Workbench
	g.Workbench = bench
	if found, still := g.enterAll(advise.NewAttempt(bench, g.target)); !found {
		g.shelves(advise.Relevant(still))
	}
	g.Workbench = own
}

// shelves tries single shelves.
func (g *gathering) shelves(first []int) {
	for _, p := range first {
		s := g.book.stall[p]
		if g.book.least(s) > g.best {
			continue
		}
		found, still := g.try(true, s)
		g.harder = append(g.harder, still...)
		if !found || len(s.Names) == 1 {
			continue
		}
		for i, name := range s.Names {
			one := s.Only(name)
			if g.book.least(one) <= g.best {
				g.try(false, one)
			}
			for _, other := range s.Names[i+1:] {
				if two := s.Only(other); s.Word == "film" && g.book.least(one, two) <= g.best {
					g.try(false, one, two)
				}
			}
		}
	}
}

// pairs tries two shelves at a time, and where that serves every pair of their parts. Nothing is
// tried that must cost more than the cheapest found; what may cost the same is, to be named beside
// it.
func (g *gathering) pairs(first, second []int) {
	done := map[[2]int]bool{}
	for _, p := range first {
		for _, q := range second {
			pair := [2]int{min(p, q), max(p, q)}
			a, b := g.book.stall[pair[0]], g.book.stall[pair[1]]
			if p == q || done[pair] || g.book.least(a, b) > g.best {
				continue
			}
			done[pair] = true
			if found, _ := g.try(true, a, b); found {
				g.each(a, b)
			}
		}
	}
}

// each tries every part of one shelf with the whole of another and, where that serves, with every
// part of the other.
func (g *gathering) each(a, b stock.Shelf) {
	for _, x := range a.Names {
		one := a.Only(x)
		if g.book.least(one, b) > g.best {
			continue
		}
		if found, _ := g.try(false, one, b); !found {
			continue
		}
		for _, y := range b.Names {
			if two := b.Only(y); g.book.least(one, two) <= g.best {
				g.try(false, one, two)
			}
		}
	}
}

// try searches the drawer with shelves added and enters what it finds.
func (g *gathering) try(keep bool, added ...stock.Shelf) (found bool, still []substitute.Refusal) {
	bench := g.Fresh
	if keep {
		bench = g.Stocked
	}
	j := advise.NewAttempt(bench(added...), g.target)
	for _, s := range added {
		if s.Kind == catalog.KindCore || s.Kind == catalog.KindSwitcher {
			j.MustBuy = true
		}
	}
	return g.enterAll(j)
}

// enterAll searches a bench and enters what it finds.
func (g *gathering) enterAll(j *advise.Attempt) (found bool, still []substitute.Refusal) {
	all, still := j.Builds()
	for i := range all {
		g.enter(all[i])
	}
	return len(all) > 0, still
}

// enter keeps a build if nothing better buys the same and, where several are wanted, takes the
// same.
func (g *gathering) enter(b substitute.Build) {
	key := BoughtKey(&b)
	if g.several {
		key += takenKey(&b)
	}
	g.best = min(g.best, g.book.cost(&b))
	if at, seen := g.seen[key]; !seen {
		g.seen[key] = len(g.builds)
		g.builds = append(g.builds, b)
	} else if advise.Before(&b, &g.builds[at]) {
		g.builds[at] = b
	}
}
