// Package search finds the best stage of every switcher and core: turns, gap, windings and clamp,
// bounded before they are measured.
package search

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Job is the search for one target on one workbench.
type Job struct {
	*turner
	*stage.PartsBench
	*control.Designer
	Target  substitute.Target
	drawer  *stock.Drawer
	Record  *Record
	Quiet   bool // misses are of no interest
	Missing int  // lines that every build of this search has to buy
	MustBuy bool // look only at switchers and cores of which one is from the shelf
	Refused []substitute.Refusal
	Designs int64 // turn sets put on cores

	// Judge chooses the last parts of a design and says what becomes of it; in brief, a refusal
	// need not name its cure. Without it every design stands.
	Judge func(m *stage.Measured, brief bool) Verdict
}

// NewJob settles what is common to all designs of a target: mains side, output capacitors,
// regulation network.
func NewJob(parts *stage.PartsBench, networks *control.NetworkBench, t substitute.Target) *Job {
	m := stage.NewMeasurer(networks.Drawer, t)
	return &Job{turner: &turner{Bounder: &Bounder{Measurer: m}}, PartsBench: parts,
		Designer: control.NewDesigner(networks, t),
		Target:   t, drawer: networks.Drawer}
}

// apart is a copy that may be settled for other switchers.
func (j *Job) apart() *Job {
	own, t, b, m := *j, *j.turner, *j.Bounder, *j.Measurer
	b.Measurer, t.Bounder = &m, &b
	own.turner, own.Designs = &t, 0
	return &own
}

// Controlled keeps the variants for which a regulation network could be designed.
func (j *Job) Controlled(all []stage.Variant) []*stage.Variant {
	var out []*stage.Variant
	for i := range all {
		if j.ControlFor(all[i].Feedback.Stop) != nil {
			out = append(out, &all[i])
		}
	}
	return out
}

// Each runs work for 0..n-1 on as many goroutines as there are processors.
func Each(n int, work func(i int)) {
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

// Pairs searches every switcher with every core, two at a time or as many as there are processors,
// and returns the best of each pair in a fixed order.
func (j *Job) Pairs() (found []stage.Measured, refused []substitute.Refusal) {
	variants := j.Variants()
	groups := bySense(j, j.Controlled(variants))
	if len(j.drawer.Switchers) == 0 {
		refused = append(refused, substitute.Refusal{Check: substitute.CheckNoSwitcher,
			Why: "there is no switcher in the drawer", Miss: 5})
	}
	if len(j.Cores) == 0 {
		refused = append(refused, substitute.Refusal{Check: substitute.CheckNoCore,
			Why: "there is no usable core in the drawer", Miss: 5})
	}
	if why, none := (refusing{j}).noBarrier(); none {
		refused = append(refused, why)
	}
	refused = append(append(refused, j.Refused...), j.Barred...)
	refused = append(refused, j.Bad...)
	for _, usable := range groups {
		part := j
		if len(groups) > 1 {
			own := j.apart()
			part = own
		}
		f, r := part.search(usable)
		found = append(found, f...)
		for _, why := range r {
			if !slices.Contains(refused, why) {
				refused = append(refused, why)
			}
		}
		if part != j {
			j.Designs += part.Designs
		}
	}
	return found, refused
}

// bySense groups switchers by the voltage of the shunt in their control network, which all of a
// search is reckoned with. There are several only where the feedback of some asks for another
// amplifier. Without any switcher there is one empty group.
func bySense(j *Job, usable []*stage.Variant) [][]*stage.Variant {
	var senses []si.Voltage
	groups := [][]*stage.Variant{nil}
	for _, v := range usable {
		sense := j.ControlFor(v.Feedback.Stop).Current.Sense
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
func (j *Job) search(usable []*stage.Variant) (found []stage.Measured,
	refused []substitute.Refusal) {
	type task struct{ v, c int }
	var tasks []task
	j.Settle(usable)
	for i, v := range usable {
		for k := range j.Cores {
			if !j.MustBuy || v.Stock.Buy || j.Cores[k].Stock.Buy {
				tasks = append(tasks, task{i, k})
			}
		}
	}
	j.Turns = j.TurnRatios()
	sets := make([]turnList, len(usable))
	Each(len(usable), func(i int) { sets[i] = j.TurnSets(usable[i]) })
	for _, k := range tasks {
		j.Designs += int64(len(sets[k.v].All))
	}
	var some atomic.Bool
	pairs := make([]*pairing, len(tasks))
	Each(len(tasks), func(i int) {
		pairs[i] = j.open(usable[tasks[i].v], &j.Cores[tasks[i].c], &sets[tasks[i].v], &some)
	})
	reused, unfit := j.donorStages(usable)
	some.Store(len(reused) > 0)
	groups := hopeful(pairs)
	least := fewestSteps(j, usable)
	Each(len(groups), func(n int) {
		r := groups[n]
		if j.judge(r); r.Found {
			some.Store(true)
			if r.verdict.Missing <= j.Missing && stepsOf(j, r.Best.V) == least {
				j.Record.set(r.verdict.Margin)
			}
		}
	})
	if !j.Quiet && (j.Record == nil || !some.Load()) {
		Each(len(tasks), func(i int) {
			if !pairs[i].out.Found {
				miss{pairs[i]}.settle()
			}
		})
	}
	found, refused = j.settled(pairs, groups)
	return append(found, reused...), append(refused, unfit...)
}

// stepsOf is how many measurements finish the control network of a switcher.
func stepsOf(j *Job, v *stage.Variant) int { return j.ControlFor(v.Feedback.Stop).Steps() }

// fewestSteps is the least of those of all switchers: a build with more comes behind, whatever its
// margin, so that it is no record.
func fewestSteps(j *Job, usable []*stage.Variant) int {
	least := math.MaxInt
	for _, v := range usable {
		least = min(least, stepsOf(j, v))
	}
	return least
}

// settled lists what the search of all pairs came to, in the order of their switchers and cores:
// one result for each, of the settings of an external limit the best.
func (j *Job) settled(pairs []*pairing, groups []*rivals) (found []stage.Measured,
	refused []substitute.Refusal) {
	of := map[[2]string]*rivals{}
	for _, r := range groups {
		of[r.all[0].key()] = r
	}
	told := map[*rivals]bool{}
	nearest := map[[2]string]int{}
	for _, p := range pairs {
		r := of[p.key()]
		if r.Found || r.verdict.refused() {
			if told[r] {
				continue
			}
			if told[r] = true; r.Found {
				found = append(found, r.Best)
			} else if why := r.verdict.Refusal; !slices.Contains(refused, why) {
				refused = append(refused, why)
			}
			continue
		}
		o := &p.out
		if !o.miss.valid && (j.Quiet || j.Record != nil) {
			continue
		}
		why, key := refusing{j}.pairRefusal(p.V, p.C, *o), p.key()
		if o.miss.weak {
			key[1], why.Core = "", ""
			why.Why = "no core helps"
			if math.IsInf(why.Miss, 0) {
				why.Miss = 9
			}
		}
		if at, seen := nearest[key]; !seen {
			nearest[key] = len(refused)
			refused = append(refused, why)
		} else if why.Miss < refused[at].Miss {
			refused[at] = why
		}
	}
	return found, refused
}
