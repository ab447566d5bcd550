package substitute

import (
	"cmp"
	"math"
	"slices"
	"sync/atomic"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// candidate is a turn set on a core with the best gap that can be made.
type candidate struct {
	*turnSet
	at    int32 // place in the turn list
	gap   int
	bound float64
	loss  si.Power // at least, once the chip's temperature was bounded
}

// nearMiss remembers how close a pair came when nothing passed: the design whose worst check is nearest to its limit.
type nearMiss struct {
	g     gauge
	room  float64
	valid bool
	at    *turnSet // where, when it was found before the full computation
	place int32    // of it in the turn list
	weak  bool     // no core helps this switcher
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

// record is the best margin and loss found by any pair so far. It cuts the search when only the best build is wanted; nil when
// the best of every pair is. A pair that cannot beat the record strictly is cut, so that the answer does not depend on which
// pair came first. It is asked millions of times and set a few dozen times, hence no lock.
type record struct {
	best atomic.Pointer[mark]
	miss atomic.Pointer[float64] // room of the nearest miss while nothing was found
}

// mark is the margin and the loss in mW of the best design found.
type mark struct {
	margin float64
	loss   int64
}

// missed is the room of the nearest miss of any pair so far, and whether there is one.
func (r *record) missed() (float64, bool) {
	if r == nil {
		return 0, false
	}
	if m := r.miss.Load(); m != nil {
		return *m, true
	}
	return 0, false
}

// seeMiss enters the nearest miss of a pair.
func (r *record) seeMiss(room float64) {
	for r != nil {
		old := r.miss.Load()
		if old != nil && *old >= room || r.miss.CompareAndSwap(old, &room) {
			return
		}
	}
}

func (r *record) margin() float64 {
	if r == nil {
		return math.Inf(-1)
	}
	if m := r.best.Load(); m != nil {
		return m.margin
	}
	return math.Inf(-1)
}

// beats reports that a design with this bound and at least this loss is worse than the record.
func (r *record) beats(bound float64, loss si.Power) bool {
	if r == nil {
		return false
	}
	m := r.best.Load()
	return m != nil && (bound < m.margin || bound == m.margin && milli(loss) > m.loss)
}

// set enters a design if it is better and complete says that no more need be bought for it than for every build of this search;
// one with more to buy is no record, since those with less come first whatever their margins.
func (r *record) set(m *measured, complete func(*measured) bool) {
	if r == nil {
		return
	}
	now := &mark{m.margin, milli(m.loss.total())}
	for asked := false; ; asked = true {
		old := r.best.Load()
		if old != nil && (now.margin < old.margin || now.margin == old.margin && now.loss >= old.loss) {
			return
		}
		if !asked && !complete(m) || r.best.CompareAndSwap(old, now) {
			return
		}
	}
}

// candidates puts the turn sets of a switcher on a core: the gap on hand that lies best between the two walls, and an upper
// bound of the room it leaves. What cannot reach the margin already found is left out; since the sets come best first, most are
// never looked at.
func (j *job) candidates(v *variant, c *bareCore, sets *turnList) (out []candidate) {
	least := max(0, j.record.margin())
	if len(sets.all) == 0 || percent(sets.best()) < least {
		return nil
	}
	from, to := j.turnsRange(v, c, sets)
	for _, i := range sets.order {
		s := &sets.all[i]
		if percent(s.bound) < least {
			break
		}
		if int(i) < from || int(i) >= to || math.IsInf(float64(s.wall), 1) {
			continue
		}
		gap, fits := j.bestGap(v, c, s)
		if !fits {
			continue
		}
		if bound := percent(min(s.bound, j.gapRoom(v, c, s, gap))); bound >= least {
			out = append(out, candidate{turnSet: s, at: i, gap: gap, bound: bound})
		}
	}
	return out
}

// topBound is the highest bound of the candidates of a pair, below zero when there is none.
func (j *job) topBound(v *variant, c *bareCore, sets *turnList) float64 {
	top := -1.0
	from, to := j.turnsRange(v, c, sets)
	for _, i := range sets.order {
		s := &sets.all[i]
		if percent(s.bound) <= top || percent(s.bound) < 0 {
			break
		}
		if s.bound < 0 || int(i) < from || int(i) >= to || math.IsInf(float64(s.wall), 1) {
			continue
		}
		if gap, fits := j.bestGap(v, c, s); fits {
			top = max(top, percent(min(s.bound, j.gapRoom(v, c, s, gap))))
		}
	}
	return top
}

// between reports whether for some turns of a switcher a gap of the core lies between the walls.
func (j *job) between(v *variant, c *bareCore, sets *turnList) bool {
	from, to := j.turnsRange(v, c, sets)
	for i := from; i < to; i++ {
		s := &sets.all[i]
		if s.bound < 0 || math.IsInf(float64(s.wall), 1) {
			continue
		}
		if _, fits := j.bestGap(v, c, s); fits {
			return true
		}
	}
	return false
}

// missesKept is how many near misses of turns and gap are computed in full to find the nearest.
const missesKept = 8

// nearest lists the turn sets and gaps whose worst limit is missed by least, nearest first. Equal misses keep the order of the
// turn sets.
func (j *job) nearest(v *variant, c *bareCore, sets *turnList) []nearMiss {
	if v.class > 0 {
		if g := j.classGauge(v); !g.passed() {
			return []nearMiss{{g: g, room: g.room(), valid: true, weak: true}}
		}
	}
	if weak, is := j.weak(v, sets); is {
		return []nearMiss{weak}
	}
	var out []nearMiss
	least := hopeless
	if known, any := j.record.missed(); any {
		least = max(least, math.Nextafter(known, math.Inf(-1))) // a pair farther off than this is not told
	}
	area, slope := float64(c.geometry.AreaMin), float64(j.busMax)*float64(v.delay)
	for _, i := range sets.order {
		s := &sets.all[i]
		if percent(s.bound) < percent(least) {
			break
		}
		if s.bound <= least {
			continue
		}
		// even the smallest useful inductance takes this flux at the highest limit
		ideal := 1 - (float64(v.limit.High)*float64(s.wall)+slope)/float64(s.np)/area/float64(c.fluxLimit)
		if math.IsInf(float64(s.wall), 1) || ideal <= least {
			continue
		}
		gap, _ := j.bestGap(v, c, s)
		room := min(s.bound, j.gapRoom(v, c, s, gap))
		if room <= least {
			continue
		}
		at, _ := slices.BinarySearchFunc(out, room, func(m nearMiss, r float64) int {
			if m.room > r || m.room == r && m.place < i {
				return -1
			}
			return 1
		})
		_, by := j.boundGap(v, c, s, gap)
		out = slices.Insert(out, at, nearMiss{g: by, room: room, valid: true, at: s, place: i, gap: gap})
		if len(out) > missesKept {
			out = out[:missesKept]
			least = max(least, out[missesKept-1].room)
		}
	}
	return out
}

// weak reports that a switcher serves with no core at all, and the limit that the most hopeful of its turns breaks.
func (j *job) weak(v *variant, sets *turnList) (nearMiss, bool) {
	if len(sets.all) == 0 || sets.best() >= 0 {
		return nearMiss{}, false
	}
	room, by := j.binding(v, &sets.all[sets.first])
	return nearMiss{g: by, room: room, valid: true, weak: true}, true
}

// gapRoom is the smaller room towards flux and peak current with a gap, the same as boundGap tells in gauges.
func (j *job) gapRoom(v *variant, c *bareCore, s *turnSet, gap int) float64 {
	way := &c.gaps[gap]
	turns2 := float64(s.np) * float64(s.np)
	flux := (float64(v.limit.High)*float64(way.band.High)*turns2 + float64(j.busMax)*float64(v.delay)) / (float64(s.np) * float64(c.geometry.AreaMin))
	room := 1 - flux/float64(c.fluxLimit)
	low := si.Inductance(float64(way.band.Low) * turns2)
	if v.gated {
		full := flyback.PowerAtLimit(j.bestBus, s.reflected, low, v.freq.Low, v.limit.Low, 1)
		return min(room, 1-float64(s.power/full)/pulsesLimit)
	}
	bus, vr, lf := float64(j.bestBus), float64(s.reflected), float64(low)*float64(v.freq.Low)
	ripple := bus * vr / (bus + vr) / lf
	peak := math.Sqrt(2 * float64(s.power) / lf)
	if peak > ripple {
		peak = float64(s.power)*(bus+vr)/(bus*vr) + ripple/2
	}
	return min(room, 1-peak/float64(v.usable))
}

// turnsRange cuts the turn sets, which rise in primary turns, down to those between the fewest turns that keep the flux of the
// smallest useful inductance below the limit and the most turns that keep it there with the largest gap.
func (j *job) turnsRange(v *variant, c *bareCore, sets *turnList) (from, to int) {
	if len(sets.all) == 0 {
		return 0, 0
	}
	wall := sets.wall
	field := float64(c.fluxLimit) * float64(c.geometry.AreaMin)
	fewest := (float64(v.limit.High)*wall + float64(j.busMax)*float64(v.delay)) / field
	highest := field / (float64(v.limit.High) * float64(c.gaps[0].band.High))
	at := func(np float64) int {
		i, _ := slices.BinarySearchFunc(sets.all, np, func(s turnSet, np float64) int { return cmp.Compare(float64(s.np), np) })
		return i
	}
	return at(fewest), max(at(fewest), at(math.Floor(highest)+1))
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
	bound, by := j.binding(v, s)
	bound, by = lowest(bound, by, most(chkFlux, si.FluxDensity(flux), c.fluxLimit))
	low := flyback.Point{Bus: j.bestBus, Reflected: s.reflected, Power: s.power,
		Inductance: si.Inductance(float64(way.band.Low) * turns2), Frequency: v.freq.Low}
	if v.gated {
		return lowest(bound, by, most(chkPulses, flyback.PulseShare(low.Power, low.Inductance, v.freq.Low, v.limit.Low, low.Bus, low.Reflected), pulsesLimit))
	}
	return lowest(bound, by, most(chkPower, flyback.Operate(low).Peak, v.usable))
}

// warmth is a lower bound of what warms chip and coil, at a bus voltage that is not reached and a power that is exceeded, so that
// a design it rejects can never pass.
type warmth struct {
	op       flyback.Operating
	share    si.Ratio
	sec      flyback.Secondary
	core     si.Power
	chipLoss si.Power
	loss     si.Power // all losses known so far
}

// warm is the first bound: nothing lost, the bus at its best.
func (j *job) warm(d design, reflected si.Voltage) (w warmth) {
	w.operate(j, d, reflected, j.bestBus, j.leastPower(d.rect))
	return w
}

// operate reckons everything that does not depend on the winding. The swing of the flux is that of discontinuous mode or the
// ripple of continuous mode at the lowest bus, whichever is less.
func (w *warmth) operate(j *job, d design, reflected, bus si.Voltage, power si.Power) {
	l := float64(d.gap.al) * float64(d.np) * float64(d.np)
	p := flyback.Point{Bus: bus, Reflected: reflected, Power: power, Inductance: si.Inductance(l), Frequency: d.v.frequency}
	w.share = 1
	if d.v.gated {
		w.op, w.share = flyback.OperateGated(p, (d.v.limit.Low+d.v.limit.High)/2)
	} else {
		w.op = flyback.Operate(p)
	}
	w.sec = w.op.Secondary(si.Ratio(float64(d.np) / float64(d.ns)))
	low, vr := float64(j.worstBus), float64(reflected)
	ripple := min(float64(w.op.Peak-w.op.Valley), low*vr/(low+vr)/l/float64(d.v.frequency))
	swing := si.FluxDensity(ripple * l / (float64(d.np) * float64(d.c.geometry.Area)))
	w.core = si.Power(float64(d.core.LeastTriangle(swing)) * float64(d.c.geometry.Volume) * float64(w.share))
	w.chipLoss = leastSwitchLoss(d.v, w.op, bus, j.worstBus, reflected, w.share)
	w.loss = w.core + w.chipLoss + j.always + d.v.aux - j.auxLeast + j.chipPower(d)
}

// chip bounds the room by the chip's temperature and the ripple of the output capacitor.
func (w *warmth) chip(j *job, d design, bound float64) (float64, gauge) {
	hot := j.leastInside(w.loss) + si.Celsius(float64(w.chipLoss)*float64(junctionAir(d.v.stock.part)))
	b, by := lowest(bound, gauge{}, most(chkJunction, hot, junctionMost(d.v.stock.part)).from(float64(j.target.Ambient)),
		most(chkOutputRipple, flyback.CapacitorRipple(w.sec, j.target.Current), j.output.rms))
	return percent(b), by
}

// passes is how often coil lets the bus sag and the power grow by the losses it has found.
const passes = 2

// coil bounds the room by build height, and by the temperatures of coil and chip with copper as warm as the air and every
// harmonic at the layer factor of the lowest, the clamp as high as given. What is lost that way has to cross the core and the
// bus, which raises the currents.
func (w warmth) coil(j *job, d design, g *gist, reflected, clamp si.Voltage, bound float64) (float64, gauge, si.Power) {
	l := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	leak := max(g.leakage, leastLeakage*l)
	by := gauge{}
	bound, by = lowest(bound, by, most(chkFill, si.Length(g.fill)*d.c.former.Height, d.c.former.Height))
	own := j.chipPower(d)
	// the lower the clamp stands, the more of the magnetising energy it burns too
	share := si.Power(1)
	if clamp > reflected {
		share = si.Power(clamp / (clamp - reflected))
	}
	loss := w.loss
	for pass := 0; ; pass++ {
		warm := si.Power(1 + float64(si.CopperTempCo)*(float64(j.leastInside(loss))-20))
		first := warm * leastCopper(w.op.PrimaryRMS, w.op.PrimaryMean, w.share, g.primaryR, g.leastP)
		second := warm * leastCopper(w.sec.RMS, w.sec.Mean, w.share, g.secondaryR, g.leastS)
		burnt := share * flyback.LeakagePower(leak, w.op.Peak, si.Frequency(float64(d.v.frequency)*float64(w.share)))
		loss = w.loss + first + second + burnt
		if pass == passes {
			air := j.leastInside(loss)
			bound, by = lowest(bound, by,
				most(chkCoilHot, air+si.Celsius(float64(w.core+first+second)*float64(d.c.rise)), si.Celsius(coilLimit)).from(float64(j.target.Ambient)),
				most(chkJunction, air+si.Celsius(float64(w.chipLoss)*float64(junctionAir(d.v.stock.part))), junctionMost(d.v.stock.part)).from(float64(j.target.Ambient)),
				most(chkOutputRipple, flyback.CapacitorRipple(w.sec, j.target.Current), j.output.rms))
			return percent(bound), by, loss
		}
		through := j.leastPower(d.rect) + second + w.core + burnt + own
		w.operate(j, d, reflected, j.sagged(through+w.chipLoss+first), through)
	}
}

// sagged is the highest that the bus can be at an input power: valleys on a grid, the point below.
func (j *job) sagged(input si.Power) si.Voltage {
	i := int(float64(input-j.valleyFrom) / float64(j.valleyStep))
	return j.valleys[max(0, min(i, len(j.valleys)-1))]
}

// leastCopper is the loss of a winding whose alternating part meets only the layer factor of the fundamental. share is that of the
// pulses that are made: while they come the current alternates about a mean as much higher.
func leastCopper(rms, mean si.Current, share si.Ratio, r si.Resistance, factor si.Ratio) si.Power {
	direct := float64(mean) * float64(mean) / float64(share)
	return si.Power((direct + (float64(rms)*float64(rms)-direct)*float64(factor)) * float64(r))
}
