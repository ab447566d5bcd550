package substitute

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
)

// Workbench is a snapshot made ready: parts merged and completed, cores with their gaps, ways to wind. It may be used for many
// targets and by several goroutines.
type Workbench struct {
	drawer *drawer
	cores  []bareCore
	bad    []Refusal
	shop   *windingShop
	legs   regulation.Stock
	shunts []regulation.Piece
	trims  []regulation.TrimmerPiece

	mu      sync.Mutex
	plans   map[planKey][]plan
	volts   map[voltageKey]voltageAnswer
	benches map[string]*Workbench
}

type voltageAnswer struct {
	nets  []regulation.VoltageNetwork
	short regulation.Shortfall
}

// NewWorkbench prepares a snapshot. The order of its lots has no influence on any answer.
func NewWorkbench(s inventory.Snapshot) *Workbench { return newWorkbench(openDrawer(s)) }

func newWorkbench(d *drawer) *Workbench {
	w := &Workbench{drawer: d, plans: map[planKey][]plan{}, volts: map[voltageKey]voltageAnswer{}, benches: map[string]*Workbench{}}
	w.cores, w.bad = bareCores(d)
	w.shop = newWindingShop(d)
	w.legs, w.shunts = resistorStock(d, nil)
	w.trims = trimmerStock(d)
	return w
}

// job is the search for one target on one workbench.
type job struct {
	*Workbench
	target     Target
	busMax     si.Voltage
	bridgeDrop si.Voltage
	bulk       capacitorSet
	bulkLow    si.Capacitance
	bleed      si.Resistance
	output     capacitorSet
	surface    si.Area
	sense      si.Voltage
	auxPower   si.Power

	bridgeStock    *stock[catalog.Bridge]
	suppressors    []clampChoice
	clampResistors []*stock[catalog.Resistor]
	rectifiers     []rectifierChoice
	bestBus        si.Voltage // valley at lowest mains if nothing were lost
	coolest        si.Celsius // air inside with only the losses all designs have
	always         si.Power   // those losses
	controls       map[si.Current]*control
	refused        []Refusal
	designs        atomic.Int64
}

// newJob settles what is common to all designs of a target: mains side, output capacitors, regulation network.
func newJob(w *Workbench, t Target) *job {
	j := &job{Workbench: w, target: t, controls: map[si.Current]*control{}}
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
	// 60 V within 60 s from the highest bus voltage, and no more than a sixth of a watt
	j.bleed = si.Resistance(min(660e3, max(330e3, 60/(float64(j.bulk.least)*1.5*math.Log(float64(j.busMax)/60)))))
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
	c, why, ok := j.regulate(j.drawer, stop)
	if !ok {
		why.Core = ""
		j.refused = append(j.refused, why)
		j.controls[stop] = nil
		return nil
	}
	j.controls[stop] = &c
	return &c
}

// plan returns the ways to wind, from memory when another target already asked.
func (j *job) plan(c *bareCore, k planKey) []plan {
	j.mu.Lock()
	p, seen := j.plans[k]
	j.mu.Unlock()
	if seen {
		return p
	}
	p = j.shop.plans(c, k)
	j.mu.Lock()
	j.plans[k] = p
	j.mu.Unlock()
	return p
}

// variants lists every switcher of the drawer with every setting of its limit; kinds that are not modelled are refused by
// the name of their control.
func (j *job) variants() []variant {
	var out []variant
	for i := range j.drawer.switchers {
		s := &j.drawer.switchers[i]
		p := s.part
		if p.Control != "fixed-frequency" && p.Control != "on-off" {
			j.refused = append(j.refused, Refusal{Switcher: s.name(), Check: "kind of control", miss: 9,
				Why: fmt.Sprintf("its %s control is not modelled", p.Control), Cure: "use a fixed-frequency or on/off switcher"})
			continue
		}
		missing := missingFigures(p)
		if missing != "" {
			j.refused = append(j.refused, Refusal{Switcher: s.name(), Check: "switcher figures", miss: 8,
				Why: missing + " not known", Cure: "enter it from the data sheet"})
			continue
		}
		v := variant{stock: s, gated: p.Control == "on-off", frequency: p.Frequency.Value, duty: p.DutyMax.Or(defaultDutyMax),
			delay: p.Delay.Or(defaultDelay)}
		v.freq = si.Interval[si.Frequency]{Low: p.FrequencyMin.Or(p.Frequency.Value * 0.9), High: p.FrequencyMax.Or(p.Frequency.Value * 1.1)}
		v.breakdown = p.Breakdown.Value * breakdownGuess
		if p.Breakdown.Firm() {
			v.breakdown = p.Breakdown.Value * breakdownUse
		}
		v.class, v.classText = powerClass(p, j.target)
		out = append(out, j.settings(v)...)
	}
	return out
}

func missingFigures(p catalog.Switcher) string {
	switch {
	case !p.Frequency.Known():
		return "switching frequency"
	case !p.Breakdown.Known():
		return "drain breakdown voltage"
	case !p.OnHot.Known() && !p.OnResistance.Known():
		return "on-resistance"
	case p.Setting == "external" && (!p.SenseMin.Known() || !p.SenseMax.Known()):
		return "threshold of the external limit"
	case p.Setting != "external" && (!p.LimitMin.Known() || !p.LimitMax.Known()):
		return "current limit"
	}
	return ""
}

// settings makes one variant of an internally limited switcher, and one for each sense resistor on hand of an external one.
func (j *job) settings(v variant) []variant {
	p := v.stock.part
	if p.Setting != "external" {
		v.limit = si.Interval[si.Current]{Low: p.LimitMin.Value, High: p.LimitMax.Value}
		v.usable = v.limit.Low * limitUseGuess
		if p.LimitMin.Firm() {
			v.usable = v.limit.Low * limitUse
		}
		if v.gated {
			v.usable = v.limit.Low
		}
		return []variant{v}
	}
	// a triangle over the whole period at 60 % duty would need this peak; much above it only the core suffers
	leastPeak := si.Current(2 * float64(j.target.Set) * float64(j.target.Current) / (0.6 * float64(flyback.BusPeak(j.target.MainsMin, 0.7))))
	const settingsReach = 5
	var out []variant
	for i := range j.drawer.resistors {
		r := &j.drawer.resistors[i]
		ohm, tol := float64(r.part.Resistance.Value), float64(r.part.Tolerance.Or(0.05))
		if ohm < 0.15 || ohm > 10 || r.part.Type == "fusible" || r.count < 1 {
			continue
		}
		w := v
		w.sense = r
		w.limit = si.Interval[si.Current]{Low: si.Current(float64(p.SenseMin.Value) / (ohm * (1 + tol))),
			High: si.Current(float64(p.SenseMax.Value) / (ohm * (1 - tol)))}
		if p.LimitMax.Known() && w.limit.High > p.LimitMax.Value {
			continue // more than the switch bears
		}
		w.usable = w.limit.Low * limitUseGuess
		if p.SenseMin.Firm() {
			w.usable = w.limit.Low * limitUse
		}
		if w.usable >= leastPeak && w.usable <= settingsReach*leastPeak {
			out = append(out, w)
		}
	}
	return out
}

// powerClass is the maker's ceiling for this mains range and case; a class known only for another case is scaled by the usual
// ratio of the printed tables (sealed 0.6 x open), one from memory by 0.9.
func powerClass(p catalog.Switcher, t Target) (si.Power, string) {
	sealed, open := p.SealedWide, p.OpenWide
	text := "85-265 V"
	if t.MainsMin >= 180 {
		if p.SealedNarrow.Known() || p.OpenNarrow.Known() {
			sealed, open, text = p.SealedNarrow, p.OpenNarrow, "195-265 V"
		}
	}
	use := func(d catalog.Datum[si.Power], k float64, words string) (si.Power, string) {
		if !d.Firm() {
			k, words = 0.9*k, words+", from memory, x0.9"
		}
		return d.Value * si.Power(k), fmt.Sprintf("maker's class, %s, %s", text, words)
	}
	switch {
	case t.Case == Open && open.Known():
		return use(open, 1, "open frame")
	case sealed.Known():
		return use(sealed, 1, "sealed")
	case open.Known():
		return use(open, 0.6, "open frame x0.6 for a closed case")
	}
	return 0, ""
}

// turnSet is a switcher with whole turns and a rectifier, before any core is chosen.
type turnSet struct {
	np, ns, rect int
	reflected    si.Voltage
	wall         si.Inductance // below it the power cannot be delivered, even without losses
	bias         int           // bias turns
	bound        float64       // upper bound of the room
	binding      gauge
}

// candidate is a turn set on a core with the best gap that can be made.
type candidate struct {
	*turnSet
	gap   int
	bound float64
}

// nearMiss remembers how close a pair came when nothing passed: the design whose worst check is nearest to its limit.
type nearMiss struct {
	g     gauge
	room  float64
	valid bool
	at    *turnSet // where, when it was found before the full computation
	gap   int
}

func (n *nearMiss) see(g gauge, room float64) {
	if !n.valid || room > n.room {
		*n = nearMiss{g: g, room: room, valid: true}
	}
}

// hopeless is the room below which a miss is too far to be worth telling.
const hopeless = -0.5

// lowest keeps the smaller room and the gauge it belongs to.
func lowest(bound float64, binding gauge, gs ...gauge) (float64, gauge) {
	for _, g := range gs {
		if r := g.room(); r < bound {
			bound, binding = r, g
		}
	}
	return bound, binding
}

// percent rounds a room down to whole hundredths, so that the last bit of a float never decides.
func percent(room float64) float64 { return math.Floor(room*100+1e-6) / 100 }

// Turns beyond these do not fit any former the tables hold at wire that can be handled.
const (
	maxSecondaryTurns = 60
	maxPrimaryTurns   = 250
)

// turnSets lists whole numbers of turns and rectifiers for a switcher, with what can be said of them before a core is chosen:
// reflected voltage, drain, reverse voltage, bias supply, and the inductance that the power asks for at least. All losses
// are left out and the bus is taken at its best, so that no bound is too low.
func (j *job) turnSets(v *variant) []turnSet {
	var out []turnSet
	useful := si.Power(float64(j.target.Set) * float64(j.target.Current))
	base, binding := 1.0, gauge{}
	if v.class > 0 {
		if base, binding = lowest(base, binding, most(chkClass, useful, v.class)); base < hopeless {
			return []turnSet{{bound: base, binding: binding}}
		}
	}
	for ri := range j.rectifiers {
		r := &j.rectifiers[ri]
		volts := float64(j.secondaryVolts(j.target.Set, r))
		for ns := 1; ns <= maxSecondaryTurns; ns++ {
			bound, by := base, binding
			d := design{v: v, ns: ns, rect: r}
			if d.nb = j.biasTurns(d); d.nb > 0 {
				b := j.biasSupply(d)
				bound, by = lowest(bound, by, biasGauges(v.stock.part, b)...)
			}
			for np := int(math.Ceil(lowestVR / volts * float64(ns))); np <= int(highestVR/volts*float64(ns)) && np <= maxPrimaryTurns; np++ {
				s := turnSet{np: np, ns: ns, rect: ri, bias: d.nb}
				if j.boundTurns(v, r, &s, bound, by) {
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// boundTurns fills in one turn set; false when it is hopeless.
func (j *job) boundTurns(v *variant, r *rectifierChoice, s *turnSet, bound float64, by gauge) bool {
	n := si.Ratio(float64(s.np) / float64(s.ns))
	s.reflected = flyback.Reflected(n, j.secondaryVolts(j.target.Set, r))
	bound, by = lowest(bound, by,
		most(chkReverse, flyback.RectifierReverse(j.target.Absolute, j.busMax, n), r.reverse),
		most(chkDrain, j.busMax+clampAbove*s.reflected, v.breakdown).from(float64(j.busMax)))
	need := j.leastPower(r)
	if v.gated {
		need /= pulsesLimit
	}
	if bound < hopeless {
		return false
	}
	wall, ok := flyback.InductanceForPower(j.bestBus, s.reflected, need, v.freq.Low, v.usable, v.duty)
	if !ok {
		op := flyback.Operate(flyback.Point{Bus: j.bestBus, Reflected: s.reflected, Power: need, Inductance: 1, Frequency: v.freq.Low})
		bound, by = lowest(bound, by, most(chkPower, op.Peak, v.usable), most(chkDuty, op.Duty, v.duty))
		wall = si.Inductance(math.Inf(1))
		if bound >= 0 {
			bound, by = -1e-3, most(chkPower, op.Peak, v.usable)
		}
	}
	s.wall, s.bound, s.binding = wall, bound, by
	return bound >= hopeless
}

// leastPower is what crosses the gap when nothing is lost.
func (j *job) leastPower(r *rectifierChoice) si.Power {
	return si.Power(float64(j.secondaryVolts(j.target.Set, r))*float64(j.target.Current)) + j.auxPower
}

// candidates puts the turn sets of a switcher on a core: the gap on hand that lies best between the two walls, and an upper
// bound of the room it leaves. Best bound first; equal bounds in the order of the turn sets. When none passes, the nearest
// miss is told.
func (j *job) candidates(v *variant, c *bareCore, sets []turnSet) ([]candidate, nearMiss) {
	var out []candidate
	var miss nearMiss
	for i := range sets {
		s := &sets[i]
		if s.bound < 0 || math.IsInf(float64(s.wall), 1) {
			continue
		}
		if gap, fits := j.bestGap(v, c, s); fits {
			if bound, _ := j.boundGap(v, c, s, gap); bound >= 0 {
				out = append(out, candidate{turnSet: s, gap: gap, bound: percent(bound)})
			}
		}
	}
	if len(out) > 0 {
		slices.SortStableFunc(out, func(a, b candidate) int { return cmp.Compare(b.bound, a.bound) })
		return out, miss
	}
	for i := range sets {
		s := &sets[i]
		if math.IsInf(float64(s.wall), 1) || s.np == 0 || miss.valid && s.bound <= miss.room {
			continue
		}
		gap, _ := j.bestGap(v, c, s)
		if bound, by := j.boundGap(v, c, s, gap); !miss.valid || bound > miss.room {
			miss = nearMiss{g: by, room: bound, valid: true, at: s, gap: gap}
		}
	}
	for i := range sets {
		if miss.at == nil {
			miss.see(sets[i].binding, sets[i].bound) // no turns can move the power at all
		}
	}
	return nil, miss
}

// bestGap is the gap on hand whose inductance band lies most in the middle between the two walls, as a ratio; with equal
// ratio the one with fewer films. It reports whether the band lies between the walls.
func (j *job) bestGap(v *variant, c *bareCore, s *turnSet) (gap int, fits bool) {
	turns2 := float64(s.np) * float64(s.np)
	lowAL := float64(s.wall) / turns2
	highAL := (float64(c.fluxLimit)*float64(s.np)*float64(c.geometry.AreaMin) - float64(j.busMax)*float64(v.delay)) / float64(v.limit.High) / turns2
	if highAL <= 0 {
		return 0, false
	}
	// gaps rise in AL: the first whose low end clears the lower wall, and its neighbours while the upper wall lets them
	from := c.firstGap(lowAL) - 1
	best := math.Inf(-1)
	for g := max(0, from); g < len(c.gaps); g++ {
		way := &c.gaps[g]
		below := highAL / float64(way.band.High)
		r := min(float64(way.band.Low)/lowAL, below)
		if r > best || r == best && way.layers < c.gaps[gap].layers {
			gap, best = g, r
		} else if below < best {
			break
		}
	}
	return gap, best >= 1
}

// firstGap is the place of the first gap whose low end is at or above al.
func (c *bareCore) firstGap(al float64) int {
	low, high := 0, len(c.gaps)
	for low < high {
		mid := (low + high) / 2
		if float64(c.gaps[mid].al) < al {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}

// boundGap is an upper bound of the room once the gap is chosen.
func (j *job) boundGap(v *variant, c *bareCore, s *turnSet, gap int) (float64, gauge) {
	way := &c.gaps[gap]
	turns2 := float64(s.np) * float64(s.np)
	high := float64(way.band.High) * turns2
	flux := (float64(v.limit.High)*high + float64(j.busMax)*float64(v.delay)) / (float64(s.np) * float64(c.geometry.AreaMin))
	bound, by := lowest(s.bound, s.binding, most(chkFlux, si.FluxDensity(flux), c.fluxLimit))
	low := flyback.Point{Bus: j.bestBus, Reflected: s.reflected, Power: j.leastPower(&j.rectifiers[s.rect]),
		Inductance: si.Inductance(float64(way.band.Low) * turns2), Frequency: v.freq.Low}
	if v.gated {
		return lowest(bound, by, most(chkPulses, flyback.PulseShare(low.Power, low.Inductance, v.freq.Low, v.limit.Low, low.Bus, low.Reflected), pulsesLimit))
	}
	return lowest(bound, by, most(chkPower, flyback.Operate(low).Peak, v.usable))
}

// outcome is what the search of one switcher with one core came to.
type outcome struct {
	best  measured
	found bool
	miss  nearMiss
	stage int // how far the nearest miss came: 0 turns and gap, 1 no winding, 2 full computation
}

// pair searches every whole number of turns, gap and rectifier of one switcher with one core. Candidates are measured in the
// order of their bound; once the bound falls below the best margin found, none of the rest can win.
func (j *job) pair(v *variant, c *bareCore, sets []turnSet) (o outcome) {
	cands, miss := j.candidates(v, c, sets)
	o.miss = miss
	deepest := nearMiss{}
	looked := int64(0)
	for _, k := range cands {
		if o.found && k.bound < o.best.margin {
			break
		}
		looked++
		d := design{v: v, c: c, np: k.np, ns: k.ns, gap: &c.gaps[k.gap], rect: &j.rectifiers[k.rect], nb: k.bias}
		warm := j.warm(d, k.reflected)
		bound, by := warm.chip(j, d, k.bound)
		if bound < 0 {
			deepest.see(by, bound)
			o.stage = 2
			continue
		}
		if o.hopeless(bound, warm.loss) {
			continue
		}
		plans := j.plan(c, planKey{core: c.index, np: k.np, ns: k.ns, bias: k.bias > 0, band: int(float64(v.frequency) / 20e3)})
		if len(plans) == 0 {
			o.stage = max(o.stage, 1)
		}
		for i := range plans {
			d.plan = &plans[i]
			bound, by, loss := warm.coil(j, d, bound)
			if bound < 0 {
				deepest.see(by, bound)
				o.stage = 2
				continue
			}
			if o.hopeless(bound, loss) {
				continue
			}
			lead := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
			d.clamp = j.chooseClamp(d, k.reflected, max(d.plan.leakage, leastLeakage*lead))
			m := j.measure(d)
			if m.failed {
				g, room := m.worst()
				deepest.see(g, room)
				o.stage = 2
				continue
			}
			if !o.found || m.better(&o.best) {
				o.best, o.found = m, true
			}
		}
	}
	j.designs.Add(looked)
	switch {
	case deepest.valid:
		o.miss = deepest
	case len(cands) == 0 && miss.at != nil:
		j.completeMiss(v, c, &o)
	}
	return o
}

// completeMiss computes the nearest miss of turns and gap in full, so that the check it is refused by is its worst one.
func (j *job) completeMiss(v *variant, c *bareCore, o *outcome) {
	k := o.miss.at
	d := design{v: v, c: c, np: k.np, ns: k.ns, gap: &c.gaps[o.miss.gap], rect: &j.rectifiers[k.rect], nb: k.bias}
	plans := j.plan(c, planKey{core: c.index, np: k.np, ns: k.ns, bias: k.bias > 0, band: int(float64(v.frequency) / 20e3)})
	if len(plans) == 0 {
		o.stage = 1
		return
	}
	d.plan = &plans[0]
	lead := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	d.clamp = j.chooseClamp(d, k.reflected, max(d.plan.leakage, leastLeakage*lead))
	m := j.measure(d)
	g, room := m.worst()
	o.miss, o.stage = nearMiss{g: g, room: room, valid: true}, 2
}

// hopeless reports that a design with this bound and at least this loss cannot beat the best found.
func (o *outcome) hopeless(bound float64, loss si.Power) bool {
	if !o.found {
		return false
	}
	return bound < o.best.margin || bound == o.best.margin && milli(loss) > milli(o.best.loss.total())
}

// warmth is a lower bound of what warms chip and coil, at the best bus voltage and without what needs iteration, so that a
// design it rejects can never pass.
type warmth struct {
	op       flyback.Operating
	share    si.Ratio
	sec      flyback.Secondary
	core     si.Power
	chipLoss si.Power
	loss     si.Power // all losses known so far
}

func (j *job) warm(d design, reflected si.Voltage) (w warmth) {
	l := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	p := flyback.Point{Bus: j.bestBus, Reflected: reflected, Power: j.leastPower(d.rect), Inductance: l, Frequency: d.v.frequency}
	w.share = 1
	if d.v.gated {
		w.op, w.share = flyback.OperateGated(p, (d.v.limit.Low+d.v.limit.High)/2)
	} else {
		w.op = flyback.Operate(p)
	}
	w.sec = w.op.Secondary(si.Ratio(float64(d.np) / float64(d.ns)))
	swing := si.FluxDensity(float64(w.op.Peak-w.op.Valley) * float64(l) / (float64(d.np) * float64(d.c.geometry.Area)))
	w.core = si.Power(float64(d.c.loss.Density(d.v.frequency, swing/2, 100)) * float64(d.c.geometry.Volume) * float64(w.share))
	// the true bus is lower, which takes a little from the switching losses: 0.8 of them are sure
	w.chipLoss = 0.8 * switchLoss(d.v, w.op, j.bestBus, reflected, w.share)
	w.loss = w.core + w.chipLoss + j.always
	return w
}

// chip bounds the room by the chip's temperature.
func (w *warmth) chip(j *job, d design, bound float64) (float64, gauge) {
	hot := j.coolest + si.Celsius(float64(w.chipLoss)*float64(junctionAir(d.v.stock.part)))
	b, by := lowest(bound, gauge{}, most(chkJunction, hot, junctionMost(d.v.stock.part)).from(float64(j.target.Ambient)))
	return percent(b), by
}

// coil bounds the room by build height and by the coil's temperature with copper at its cold d.c. resistance.
func (w *warmth) coil(j *job, d design, bound float64) (float64, gauge, si.Power) {
	copper := si.Power(float64(w.op.PrimaryRMS)*float64(w.op.PrimaryRMS)*float64(d.plan.primaryR) + float64(w.sec.RMS)*float64(w.sec.RMS)*float64(d.plan.secondaryR))
	hot := j.coolest + si.Celsius(float64(w.core+copper)*float64(d.c.rise))
	b, by := lowest(bound, gauge{}, most(chkFill, si.Length(d.plan.fill)*d.c.former.Height, d.c.former.Height),
		most(chkCoilHot, hot, si.Celsius(coilLimit)).from(float64(j.target.Ambient)))
	return percent(b), by, w.loss + copper
}

// better is the order among designs of one pair: smallest margin, then loss, then films, then turns.
func (m *measured) better(o *measured) bool {
	if m.margin != o.margin {
		return m.margin > o.margin
	}
	if a, b := milli(m.loss.total()), milli(o.loss.total()); a != b {
		return a < b
	}
	if m.gap.layers != o.gap.layers {
		return m.gap.layers < o.gap.layers
	}
	if m.np != o.np {
		return m.np < o.np
	}
	if m.ns != o.ns {
		return m.ns < o.ns
	}
	return m.gap.shim < o.gap.shim
}

// milli rounds to whole milliwatts, so that the last bit of a sum never decides.
func milli(p si.Power) int64 { return int64(math.Round(float64(p) * 1e3)) }

// settle computes what the bounds of this target need, once the control network is known.
func (j *job) settle(ctl *control) {
	j.sense = ctl.current.Sense
	j.auxPower = max(j.auxPower, si.Power(float64(ctl.own)*float64(j.target.Set)))
	useful := si.Power(float64(j.target.Set) * float64(j.target.Current))
	j.bestBus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, useful*1.05, j.bridgeDrop)
	least := math.Inf(1)
	for i := range j.rectifiers {
		least = min(least, float64(j.rectifiers[i].drop)*float64(j.target.Current))
	}
	j.always = si.Power(least + float64(j.sense)*float64(j.target.Current) + float64(j.auxPower))
	j.coolest = j.inside(j.always)
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
	type task struct{ v, c int }
	var tasks []task
	usable := make([]bool, len(variants))
	for i := range variants {
		ctl := j.controlFor(variants[i].stock.part.FeedbackStop.Or(1e-3))
		if ctl == nil {
			continue
		}
		usable[i] = true
		j.settle(ctl)
		for k := range j.cores {
			tasks = append(tasks, task{i, k})
		}
	}
	sets := make([][]turnSet, len(variants))
	each(len(variants), func(i int) {
		if usable[i] {
			sets[i] = j.turnSets(&variants[i])
		}
	})
	outcomes := make([]outcome, len(tasks))
	each(len(tasks), func(i int) {
		outcomes[i] = j.pair(&variants[tasks[i].v], &j.cores[tasks[i].c], sets[tasks[i].v])
	})
	// one result a switcher and core: of the settings of an external limit the best
	best := map[[2]string]int{}
	for i, o := range outcomes {
		v, c := &variants[tasks[i].v], &j.cores[tasks[i].c]
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
	refused = append(refused, j.refused...)
	refused = append(refused, j.bad...)
	nearest := map[[2]string]int{}
	for i, o := range outcomes {
		v, c := &variants[tasks[i].v], &j.cores[tasks[i].c]
		key := [2]string{v.stock.key, c.stock.key}
		if _, ok := best[key]; ok {
			continue
		}
		r := j.pairRefusal(v, c, o)
		if at, seen := nearest[key]; !seen {
			nearest[key] = len(refused)
			refused = append(refused, r)
		} else if r.miss < refused[at].miss {
			refused[at] = r
		}
	}
	return found, refused
}

func (j *job) pairRefusal(v *variant, c *bareCore, o outcome) Refusal {
	r := Refusal{Switcher: v.stock.name(), Core: c.stock.name()}
	switch {
	case o.miss.valid && (o.stage != 1):
		d := checkNames[o.miss.g.id]
		r.Check, r.Value, r.Limit, r.Unit, r.miss = d.name, o.miss.g.value, o.miss.g.limit, d.unit, -o.miss.room
	case o.stage == 1:
		r = j.windingRefusal(r, c)
	case len(j.rectifiers) == 0:
		r.Check, r.Why, r.miss = checkNames[chkRectifierCurrent].name, "no output rectifier on hand is fast and strong enough", 2
		r.Cure = fmt.Sprintf("buy an ultrafast or Schottky diode of %.1f A or more", float64(j.target.Current)/rectifierUse)
	default:
		r.Check, r.miss = "gap", 3
		r.Why = "no stack of the films on hand puts the inductance between the two walls"
	}
	return r
}

// windingRefusal says why no winding could be laid: no barrier at all, or no room.
func (j *job) windingRefusal(r Refusal, c *bareCore) Refusal {
	r.miss = 1
	switch {
	case j.shop.tape == nil:
		r.Check, r.Why, r.Cure = "insulating tape", "no tape sold as insulation on hand", "buy polyester tape of 25 um film, 10 m"
	case len(j.shop.triple) == 0 && (c.former.Width <= 2*marginEachSide+2e-3) && !c.former.Split:
		r.Check = "insulation barrier between mains and battery"
		r.Value, r.Limit, r.Unit = float64(c.former.Width), 2*marginEachSide+2e-3, "m"
		r.Why = "no triple-insulated wire, and the former is too narrow for margins; two layers of enamel are no barrier"
		r.Cure = "buy triple-insulated wire for the secondary"
	default:
		r.Check, r.Why = "winding build in the former", "the windings with their barrier do not fit, or the spools are too short"
	}
	return r
}
