package substitute

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"sparewright/catalog/si"
)

// job is the search for one target on one workbench.
type job struct {
	*turner
	*partsBench
	*designer
	target  Target
	drawer  *drawer
	record  *record
	quiet   bool // misses are of no interest
	missing int  // lines that every build of this search has to buy
	mustBuy bool // look only at switchers and cores of which one is from the shelf
	refused []Refusal
	designs int64 // turn sets put on cores

	// complete reports that for a design no more is missing than for every build of the search, and that its loops are steady.
	complete func(*measured) bool
}

// newJob settles what is common to all designs of a target: mains side, output capacitors, regulation network.
func newJob(parts *partsBench, networks *networkBench, t Target) *job {
	m := newMeasurer(networks.drawer, t)
	return &job{turner: &turner{bounder: &bounder{measurer: m}}, partsBench: parts, designer: newDesigner(networks, t),
		target: t, drawer: networks.drawer}
}

// apart is a copy that may be settled for other switchers.
func (j *job) apart() *job {
	own, t, b, m := *j, *j.turner, *j.bounder, *j.measurer
	b.measurer, t.bounder = &m, &b
	own.turner, own.designs = &t, 0
	return &own
}

// controlled keeps the variants for which a regulation network could be designed.
func (j *job) controlled(all []variant) []*variant {
	var out []*variant
	for i := range all {
		if j.controlFor(all[i].stock.part.FeedbackStop.Or(stopGuess)) != nil {
			out = append(out, &all[i])
		}
	}
	return out
}

// each runs work for 0..n-1 on as many goroutines as there are processors.
func each(n int, work func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				work(i)
			}
		}()
	}
	wg.Wait()
}

// pairs searches every switcher with every core, two at a time or as many as there are processors, and returns the best of each
// pair in a fixed order.
func (j *job) pairs() (found []measured, refused []Refusal) {
	variants := j.variants()
	groups := j.bySense(j.controlled(variants))
	if len(j.drawer.switchers) == 0 {
		refused = append(refused, Refusal{Check: checkNoSwitcher, Why: "there is no switcher in the drawer", miss: 5})
	}
	if len(j.cores) == 0 {
		refused = append(refused, Refusal{Check: checkNoCore, Why: "there is no usable core in the drawer", miss: 5})
	}
	if why, none := j.noBarrier(); none {
		refused = append(refused, why)
	}
	refused = append(append(refused, j.refused...), j.barred...)
	refused = append(refused, j.bad...)
	for _, usable := range groups {
		part := j
		if len(groups) > 1 {
			own := j.apart()
			part = own
		}
		f, r := part.search(usable)
		for i := range f {
			f[i].of = part.measurer
		}
		found = append(found, f...)
		for _, why := range r {
			if !slices.Contains(refused, why) {
				refused = append(refused, why)
			}
		}
		if part != j {
			j.designs += part.designs
		}
	}
	return found, refused
}

// bySense groups switchers by the voltage of the shunt in their control network, which all of a search is reckoned with. There are
// several only where the feedback of some asks for another amplifier. Without any switcher there is one empty group.
func (j *job) bySense(usable []*variant) [][]*variant {
	var senses []si.Voltage
	groups := [][]*variant{nil}
	for _, v := range usable {
		sense := j.controlFor(v.stock.part.FeedbackStop.Or(stopGuess)).current.Sense
		at := slices.Index(senses, sense)
		if at < 0 {
			at = len(senses)
			senses = append(senses, sense)
			if at > 0 {
				groups = append(groups, nil)
			}
		}
		groups[at] = append(groups[at], v)
	}
	return groups
}

// search looks through the given switchers, whose control networks have one shunt voltage.
func (j *job) search(usable []*variant) (found []measured, refused []Refusal) {
	type task struct{ v, c int }
	var tasks []task
	j.settle(usable)
	for i, v := range usable {
		for k := range j.cores {
			if !j.mustBuy || v.stock.buy || j.cores[k].stock.buy {
				tasks = append(tasks, task{i, k})
			}
		}
	}
	j.turns = j.turnRatios()
	sets := make([]turnList, len(usable))
	each(len(usable), func(i int) { sets[i] = j.turnSets(usable[i]) })
	for _, k := range tasks {
		j.designs += int64(len(sets[k.v].all))
	}
	pairs := make([]*pairing, len(tasks))
	each(len(tasks), func(i int) {
		pairs[i] = j.open(usable[tasks[i].v], &j.cores[tasks[i].c], &sets[tasks[i].v])
	})
	outcomes := make([]outcome, len(tasks))
	var some atomic.Bool
	reused, unfit := j.donorStages(usable)
	some.Store(len(reused) > 0)
	// the settings of one switcher on one core are one build: only the best of them can be a record
	groups := hopeful(pairs)
	each(len(groups), func(n int) {
		var best *measured
		for _, i := range groups[n] {
			if outcomes[i] = pairs[i].finish(); outcomes[i].found && (best == nil || outcomes[i].best.better(best)) {
				best = &outcomes[i].best
			}
		}
		if best != nil {
			some.Store(true)
			j.record.set(best, j.complete)
		}
	})
	if j.record == nil || !some.Load() && !j.quiet {
		each(len(tasks), func(i int) {
			if !outcomes[i].found {
				outcomes[i] = pairs[i].missed()
			}
		})
	}
	// one result a switcher and core: of the settings of an external limit the best
	best := map[[2]string]int{}
	for i, o := range outcomes {
		v, c := usable[tasks[i].v], &j.cores[tasks[i].c]
		key := [2]string{v.stock.key, c.stock.key}
		if o.found {
			if at, seen := best[key]; !seen {
				best[key] = len(found)
				found = append(found, o.best)
			} else if o.best.better(&found[at]) {
				found[at] = o.best
			}
		}
	}
	nearest := map[[2]string]int{}
	for i, o := range outcomes {
		v, c := usable[tasks[i].v], &j.cores[tasks[i].c]
		key := [2]string{v.stock.key, c.stock.key}
		if _, ok := best[key]; ok || !o.miss.valid && j.record != nil {
			continue
		}
		r := j.pairRefusal(v, c, o)
		if o.miss.weak && !o.found {
			key[1], r.Core = "", ""
			r.Why = "no core helps"
			if math.IsInf(r.miss, 0) {
				r.miss = 9
			}
		}
		if at, seen := nearest[key]; !seen {
			nearest[key] = len(refused)
			refused = append(refused, r)
		} else if r.miss < refused[at].miss {
			refused[at] = r
		}
	}
	return append(found, reused...), append(refused, unfit...)
}
