package plan

import (
	"cmp"
	"slices"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// atMost is a number of chargers that no plan exceeds: every charger takes one optocoupler, one
// amplifier and one of the carriers of a power stage that serve it when it has the whole drawer to
// itself. A charger built from the mains on takes more, see mainsMost; a whole adapter brings all
// that along and takes a fuse. It is taken for granted that fewer parts in the drawer never make a
// switcher, core, transformer or adapter serve that does not serve in the full one.
func (g *gatherer) atMost() int {
	wanted := 0
	for i, w := range g.wants {
		if g.alone[i] || g.cut && len(g.whole[i].Builds) == 0 { // cut off before it was asked
			wanted += w.Count
		}
	}
	d := stock.OpenDrawer(g.snapshot)
	most := min(wanted, pieces(d.Optos, seats.Optocoupler), pieces(d.Amplifiers, seats.Amplifier))
	if g.cut { // the lists of builds may be short
		return min(most, WithAdapters(mainsMost(d), pieces(d.Adapters, seats.Adapter),
			pieces(d.Fuses, seats.OutputFuse)))
	}
	adapters := alikeOf(d.Adapters)
	switchers := append(alikeOf(d.Switchers), adapters...)
	cores := slices.Concat(alikeOf(d.Cores), alikeOf(d.Transformers), adapters)
	whole := g.served(adapters, adapterLot)
	return min(most, WithAdapters(mainsMost(d), whole, pieces(d.Fuses, seats.OutputFuse)),
		g.served(switchers, func(b *substitute.Build) int64 {
			return cmp.Or(adapterLot(b), b.Switcher.Lot)
		}),
		g.served(cores, func(b *substitute.Build) int64 {
			return cmp.Or(adapterLot(b), transformerLot(b), b.Core.Lot)
		}))
}

// mainsMost is how many chargers the drawer has the parts for that every charger takes that is no
// whole adapter, fuses aside.
func mainsMost(d *stock.Drawer) int {
	return min(pieces(d.Bridges, seats.Bridge), pieces(d.Ntcs, seats.InrushLimiter),
		pieces(d.Chokes, seats.MainsChoke),
		pieces(d.Capacitors, seats.YCapacitor), pieces(d.Capacitors, seats.XCapacitor),
		pieces(d.Rectifiers, seats.None)/2) // at the output and in the clamp
}

// WithAdapters is the most chargers of mains ones, which take two fuses, and whole adapters, which
// take one at the output.
func WithAdapters(mains, adapters, fuses int) (most int) {
	for whole := range min(adapters, fuses) + 1 {
		most = max(most, whole+min(mains, (fuses-whole)/2))
	}
	return most
}

// adapterLot is the lot of the whole adapter a build takes over; 0 for none.
func adapterLot(b *substitute.Build) int64 {
	if b.Adapter == nil {
		return 0
	}
	return b.Adapter.Lot
}

// transformerLot is the lot of the unopened transformer of a build; 0 for none.
func transformerLot(b *substitute.Build) int64 {
	if b.Donor == nil {
		return 0
	}
	return b.Donor.Lot
}

// pieces counts the parts that could sit at a seat in some charger.
func pieces[P catalog.Part](all []stock.Stock[P], id seats.ID) (n int) {
	for _, s := range all {
		if id.MaySit(s.Figures) {
			n += int(s.Count + 1e-9)
		}
	}
	return n
}

// alike is the parts of one stock: how many, and their lots.
type alike struct {
	count int
	lots  []int64
}

func alikeOf[P catalog.Part](all []stock.Stock[P]) []alike {
	var out []alike
	for _, s := range all {
		a := alike{count: int(s.Count + 1e-9)}
		for _, p := range s.Lots {
			a.lots = append(a.lots, p.Lot)
		}
		out = append(out, a)
	}
	return out
}

// served is how many of the wishes get a part of their own, every wish one that served it alone:
// the largest matching, by augmenting paths.
func (g *gatherer) served(parts []alike, of func(*substitute.Build) int64) int {
	serves := make([][]int, len(g.wants)) // stocks that serve a wish
	for i := range g.wants {
		for k := range g.whole[i].Builds {
			b := &g.whole[i].Builds[k]
			at := slices.IndexFunc(parts,
				func(a alike) bool { return slices.Contains(a.lots, of(b)) })
			if b.Verdict == substitute.Feasible && at >= 0 && !slices.Contains(serves[i], at) {
				serves[i] = append(serves[i], at)
			}
		}
	}
	holders := make([][]int, len(parts)) // wishes that hold a part of a stock
	var place func(i int, tried []bool) bool
	place = func(i int, tried []bool) bool {
		for _, s := range serves[i] {
			if tried[s] {
				continue
			}
			tried[s] = true
			if len(holders[s]) < parts[s].count {
				holders[s] = append(holders[s], i)
				return true
			}
			for k, other := range holders[s] {
				if place(other, tried) {
					holders[s][k] = i
					return true
				}
			}
		}
		return false
	}
	n := 0
	for i, w := range g.wants {
		for range w.Count {
			if place(i, make([]bool, len(parts))) {
				n++
			}
		}
	}
	return n
}

// purchase finds the one line to buy after which most chargers can be built; nil when none makes
// more than built.
func (g *gatherer) purchase(built int) *PlanPurchase {
	wanted := 0
	for _, w := range g.wants {
		wanted += w.Count
	}
	if built == wanted {
		return nil
	}
	lines := map[string][]offer{}
	var keys []string
	for _, c := range g.lacking {
		key := c.line.Role.String() + "|" + c.line.Designation
		if lines[key] == nil {
			keys = append(keys, key)
		}
		lines[key] = append(lines[key], c)
	}
	slices.Sort(keys)
	var best *PlanPurchase
	bestValue := int64(0)
	for _, key := range keys {
		all := append(slices.Clone(g.candidates), lines[key]...)
		s := g.choose(all)
		p := &PlanPurchase{Role: lines[key][0].line.Role,
			Designation: lines[key][0].line.Designation,
			Requirement: lines[key][0].line.Requirement, Unit: lines[key][0].line.Unit,
			Unlocks: []string{}}
		for k, n := range s.Counts {
			p.Built += n
			for range n {
				if all[k].line != nil {
					p.Quantity += all[k].line.Quantity
					p.Unlocks = append(p.Unlocks,
						g.wants[all[k].group].Target.Name+", "+
							advise.Amps(g.wants[all[k].group].Target.Current))
				}
			}
		}
		if p.Built > built && s.Value > bestValue {
			best, bestValue = p, s.Value
		}
	}
	return best
}
