package substitute

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// job is the search for one target on one workbench.
type job struct {
	*Workbench
	target     Target
	busMax     si.Voltage
	bridgeDrop si.Voltage
	bulk       capacitorSet
	bulkLow    si.Capacitance
	bleed      si.Resistance // both bleed resistors in series
	bleedStock *stock[catalog.Resistor]
	output     capacitorSet
	surface    si.Area
	sense      si.Voltage
	auxLeast   si.Power // what every secondary circuit takes

	bridgeStock    *stock[catalog.Bridge]
	suppressors    []clampChoice
	clampResistors []*stock[catalog.Resistor]
	rectifiers     []rectifierChoice
	turns          []turnRatio
	held           turnsHeld
	bestBus        si.Voltage     // valley at lowest mains if nothing were lost
	worstBus       si.Voltage     // valley at the worst efficiency that can pass
	valleys        [64]si.Voltage // at lowest mains, from valleyFrom in steps
	valleyFrom     si.Power
	valleyStep     si.Power
	air            [128]si.Celsius
	coolest        si.Celsius // air inside with only the losses all designs have
	always         si.Power   // those losses
	controls       map[si.Current]*control
	loops          map[int]loopsAnswer
	record         *record
	quiet          bool // misses are of no interest
	missing        int  // lines that every build of this search has to buy
	mustBuy        bool // look only at switchers and cores of which one is from the shelf
	refused        []Refusal
	designs        int64 // turn sets put on cores
}

// newJob settles what is common to all designs of a target: mains side, output capacitors, regulation network.
func newJob(w *Workbench, t Target) *job {
	j := &job{Workbench: w, target: t, controls: map[si.Current]*control{}, loops: map[int]loopsAnswer{}}
	d := w.drawer
	j.surface = usualBox.surface()
	if t.Box != nil {
		j.surface = t.Box.surface()
	}
	j.bridgeDrop = 1.0
	j.busMax = flyback.BusPeak(t.MainsMax, 0.7)
	j.chooseBridge(d)
	j.bulk = j.chooseBulk(d)
	j.bulkLow = j.bulk.least
	j.chooseBleed(d)
	j.output = j.chooseOutput(d)
	j.rectifiers = j.rectifierChoices(d.rectifiers)
	j.clampParts(d)
	return j
}

// bridgeUse is the share of its reverse rating a mains bridge may see: 600 V for 230 V mains (from memory).
const bridgeUse = 0.7

func (j *job) chooseBridge(d *drawer) {
	amps := 1.5 * float64(j.target.Set) * float64(j.target.Current) / 0.7 / float64(j.target.MainsMin)
	for i := range d.bridges {
		p := d.bridges[i].part
		if p.Reverse.Value*bridgeUse < j.busMax || float64(p.Average.Value)*0.5 < amps {
			continue
		}
		if j.bridgeStock == nil || p.Average.Value < j.bridgeStock.part.Average.Value {
			j.bridgeStock = &d.bridges[i]
		}
	}
	if j.bridgeStock != nil {
		j.bridgeDrop = j.bridgeStock.part.Forward.Or(1.0)
	}
}

// controlFor designs the regulation network for a feedback current once.
func (j *job) controlFor(stop si.Current) *control {
	if c, seen := j.controls[stop]; seen {
		return c
	}
	t := j.target
	key := controlKey{t.Set, t.Empty, t.Absolute, t.BandLow, t.BandHigh, t.Current, stop}
	j.network.mu.Lock()
	a, seen := j.network.controls[key]
	j.network.mu.Unlock()
	if !seen {
		a.control, a.refusal, a.ok = j.regulate(j.drawer, stop)
		j.network.mu.Lock()
		j.network.controls[key] = a
		j.network.mu.Unlock()
	}
	if !a.ok {
		j.refuse(a.refusal)
		j.controls[stop] = nil
		return nil
	}
	j.controls[stop] = &a.control
	return &a.control
}

// refuse notes a refusal of the whole target once.
func (j *job) refuse(r Refusal) {
	if !slices.Contains(j.refused, r) {
		j.refused = append(j.refused, r)
	}
}

// gistsKept bounds the memory of ways to wind: some 40 MB.
const gistsKept = 200_000

// gists returns what the bounds need of the ways to wind, from memory when another target already asked. The ways themselves are
// laid again for the few that stand the bounds.
func (j *job) gists(c *bareCore, k planKey) []gist {
	j.winding.mu.Lock()
	g, seen := j.winding.gists[k]
	j.winding.mu.Unlock()
	if seen {
		return g
	}
	plans := j.shop.plans(c, k)
	j.winding.mu.Lock()
	defer j.winding.mu.Unlock()
	return j.winding.keep(k, plans)
}

// keep notes the gists of plans in blocks, which cost the collector of garbage less than a slice for each.
func (m *windingMemory) keep(k planKey, plans []plan) []gist {
	const block = 4096
	if len(m.gists) >= gistsKept {
		clear(m.gists) // what is needed again is computed again
		m.block = nil
	}
	if cap(m.block)-len(m.block) < len(plans) {
		m.block = make([]gist, 0, block)
	}
	from := len(m.block)
	for i := range plans {
		m.block = append(m.block, plans[i].gist)
	}
	m.gists[k] = m.block[from:len(m.block):len(m.block)]
	return m.gists[k]
}

// settle computes what the bounds of this target need, once the control networks are known; it enters in every variant what
// its control circuit takes.
func (j *job) settle(variants []*variant) {
	j.auxLeast = si.Power(math.Inf(1))
	for _, v := range variants {
		ctl := j.controlFor(v.stock.part.FeedbackStop.Or(stopGuess))
		j.sense = ctl.current.Sense
		v.aux = si.Power(float64(ctl.own) * float64(j.target.Set))
		j.auxLeast = min(j.auxLeast, v.aux)
	}
	useful := si.Power(float64(j.target.Set) * float64(j.target.Current))
	j.bestBus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, useful*1.05, j.bridgeDrop)
	// with less than 60 % efficiency nothing passes the heat anyway
	j.worstBus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, useful/0.6, j.bridgeDrop)
	j.valleyFrom, j.valleyStep = useful*1.05, useful/80
	for i := range j.valleys {
		j.valleys[i], _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, j.valleyFrom+si.Power(i)*j.valleyStep, j.bridgeDrop)
	}
	least := math.Inf(1)
	for i := range j.rectifiers {
		least = min(least, float64(j.rectifiers[i].drop)*float64(j.target.Current))
	}
	j.always = si.Power(least+float64(j.sense)*float64(j.target.Current)+float64(j.auxLeast)) +
		si.Power(float64(j.worstBus)*float64(j.worstBus)/float64(j.bleed)) + flyback.BridgeLoss(useful, j.bestBus, j.bridgeDrop)
	for i := range j.air {
		j.air[i] = j.inside(si.Power(i) * airStep)
	}
	j.coolest = j.leastInside(j.always)
}

// airStep is the step of the table of inside air, in W.
const airStep si.Power = 0.25

// leastInside is inside by straight lines between the points of a table: never above it, since the rise bends downwards.
func (j *job) leastInside(loss si.Power) si.Celsius {
	x := float64(loss / airStep)
	i := int(x)
	if i < 0 || i >= len(j.air)-1 {
		return j.inside(loss)
	}
	return j.air[i] + (j.air[i+1]-j.air[i])*si.Celsius(x-float64(i))
}

// inside is the air in the case with these losses.
func (j *job) inside(loss si.Power) si.Celsius {
	switch j.target.Case {
	case Sealed:
		return flyback.SealedAir(j.target.Ambient, loss, j.surface)
	case Vented:
		return (j.target.Ambient + flyback.SealedAir(j.target.Ambient, loss, j.surface)) / 2
	}
	return j.target.Ambient
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

// all searches every switcher with every core, two at a time or as many as there are processors, and returns the best of each
// pair in a fixed order.
func (j *job) all() (found []measured, refused []Refusal) {
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
	refused = append(refused, j.refused...)
	refused = append(refused, j.bad...)
	for _, usable := range groups {
		part := j
		if len(groups) > 1 {
			own := *j
			own.designs = 0
			part = &own
		}
		f, r := part.search(usable)
		for i := range f {
			f[i].of = part
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
	return j.steadyOnes(found, refused)
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
