package search

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
)

// Candidate is a turn set on a core with the best gap that can be made.
type Candidate struct {
	*turnSet
	at    int32 // place in the turn list
	Gap   int
	Bound float64
	loss  si.Power // at least, once the chip's temperature was bounded
}

// nearMiss remembers how close a pair came when nothing passed: the design whose worst check is
// nearest to its limit.
type nearMiss struct {
	g      substitute.Gauge
	margin float64
	valid  bool
	at     *turnSet // where, when it was found before the full computation
	place  int32    // of it in the turn list
	weak   bool     // no core helps this switcher
	gap    int
}

func (n *nearMiss) see(g substitute.Gauge, margin float64) {
	if !n.valid || margin > n.margin {
		*n = nearMiss{g: g, margin: margin, valid: true}
	}
}

// hopeless is the margin below which a miss is too far to be worth telling.
const hopeless = -0.5

// lowest keeps the smaller margin and the gauge it belongs to.
func lowest(bound float64, binding substitute.Gauge, gs ...substitute.Gauge) (float64,
	substitute.Gauge) {
	for _, g := range gs {
		if r := g.Margin(); r < bound {
			bound, binding = r, g
		}
	}
	return bound, binding
}

// Record is the mark of the best designs found by any pairs so far, as many as it keeps: what is
// worse than all of them is cut. It cuts the search when only the best builds are wanted; nil when
// the best of every pair is. A pair that cannot beat the record strictly is cut, so that the answer
// does not depend on which pair came first. It is asked millions of times and set a few dozen
// times, hence no lock where it is asked.
type Record struct {
	Keep  int // how many designs, at least one
	mu    sync.Mutex
	marks []stage.Mark // the best first
	last  atomic.Pointer[stage.Mark]
}

// mark is what the last of the designs kept came to; anything will do while there are fewer.
func (r *Record) mark() stage.Mark {
	if r != nil {
		if m := r.last.Load(); m != nil {
			return *m
		}
	}
	return stage.Anything
}

func (r *Record) margin() float64 { return r.mark().Margin }

// beats reports that a design with this bound and at least this loss is worse than the record.
func (r *Record) beats(bound float64, loss si.Power) bool { return r.mark().Below(bound, loss) }

// set enters a design if it is better. One for which more need be bought than for every build of
// the search is no record, since those with less come first whatever their margins. Its margin is
// that of the whole build, loops and faults included, and of builds with an equal one the loss does
// not decide alone.
func (r *Record) set(margin float64) {
	if r == nil {
		return
	}
	now := stage.Mark{Margin: margin, Loss: math.MaxInt64}
	if last := r.last.Load(); last != nil && !now.Over(*last) {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	at, _ := slices.BinarySearchFunc(r.marks, now, func(old, now stage.Mark) int {
		if now.Over(old) {
			return 1
		}
		return -1
	})
	r.marks = slices.Insert(r.marks, at, now)
	if keep := max(1, r.Keep); len(r.marks) >= keep {
		r.marks = r.marks[:keep]
		last := r.marks[keep-1]
		r.last.Store(&last)
	}
}

// Candidates puts the turn sets of a switcher on a core: the gap on hand that lies best between the
// two walls, and an upper bound of the margin it leaves. What cannot reach the margin already found
// is left out; since the sets come best first, most are never looked at.
func (j *Job) Candidates(v *stage.Variant, c *stage.BareCore, sets *turnList) (out []Candidate) {
	g := gaps{j.Bounder}
	least := max(0, j.Record.margin())
	if len(sets.All) == 0 || substitute.Percent(sets.best()) < least {
		return nil
	}
	from, to := g.turnsRange(v, c, sets)
	for _, i := range sets.order {
		s := &sets.All[i]
		if substitute.Percent(s.bound) < least {
			break
		}
		if int(i) < from || int(i) >= to || math.IsInf(float64(s.wall), 1) {
			continue
		}
		gap, fits := j.BestGap(v, c, s)
		if !fits {
			continue
		}
		if bound := substitute.Percent(min(s.bound, g.gapMargin(v, c, s, gap))); bound >= least {
			out = append(out, Candidate{turnSet: s, at: i, Gap: gap, Bound: bound})
		}
	}
	return out
}

// gaps bounds what turns on a core can come to at the best of its gaps.
type gaps struct{ *Bounder }

// topBound is the highest bound of the candidates of a pair, below zero when there is none.
func (j gaps) topBound(v *stage.Variant, c *stage.BareCore, sets *turnList) float64 {
	top := -1.0
	from, to := j.turnsRange(v, c, sets)
	for _, i := range sets.order {
		s := &sets.All[i]
		if substitute.Percent(s.bound) <= top || substitute.Percent(s.bound) < 0 {
			break
		}
		if s.bound < 0 || int(i) < from || int(i) >= to || math.IsInf(float64(s.wall), 1) {
			continue
		}
		if gap, fits := j.BestGap(v, c, s); fits {
			top = max(top, substitute.Percent(min(s.bound, j.gapMargin(v, c, s, gap))))
		}
	}
	return top
}

// between reports whether for some turns of a switcher a gap of the core lies between the walls.
func (j gaps) between(v *stage.Variant, c *stage.BareCore, sets *turnList) bool {
	from, to := j.turnsRange(v, c, sets)
	for i := from; i < to; i++ {
		s := &sets.All[i]
		if s.bound < 0 || math.IsInf(float64(s.wall), 1) {
			continue
		}
		if _, fits := j.BestGap(v, c, s); fits {
			return true
		}
	}
	return false
}

// missesKept is how many near misses of turns and gap are computed in full to find the nearest.
const missesKept = 8

// nearest lists the turn sets and gaps whose worst limit is missed by least, nearest first. Equal
// misses keep the order of the turn sets.
func (j *Job) nearest(v *stage.Variant, c *stage.BareCore, sets *turnList) []nearMiss {
	g := gaps{j.Bounder}
	if v.Class > 0 {
		if g := j.classGauge(v); !g.Passed() {
			return []nearMiss{{g: g, margin: g.Margin(), valid: true, weak: true}}
		}
	}
	if weak, is := g.weak(v, sets); is {
		return []nearMiss{weak}
	}
	var out []nearMiss
	least := hopeless
	area, slope := float64(c.Geometry.AreaMin), float64(j.BusMax)*float64(v.Delay)
	for _, i := range sets.order {
		s := &sets.All[i]
		if substitute.Percent(s.bound) < substitute.Percent(least) {
			break
		}
		if s.bound <= least {
			continue
		}
		// even the smallest useful inductance takes this flux at the highest limit
		ideal := 1 - (float64(v.Limit.High)*float64(s.wall)+slope)/float64(s.Np)/area/
			float64(c.FluxLimit)
		if math.IsInf(float64(s.wall), 1) || ideal <= least {
			continue
		}
		gap, _ := j.BestGap(v, c, s)
		margin := min(s.bound, g.gapMargin(v, c, s, gap))
		if margin <= least {
			continue
		}
		at, _ := slices.BinarySearchFunc(out, margin, func(m nearMiss, r float64) int {
			if m.margin > r || m.margin == r && m.place < i {
				return -1
			}
			return 1
		})
		_, by := g.boundGap(v, c, s, gap)
		out = slices.Insert(out, at, nearMiss{g: by, margin: margin, valid: true, at: s,
			place: i, gap: gap})
		if len(out) > missesKept {
			out = out[:missesKept]
			least = max(least, out[missesKept-1].margin)
		}
	}
	return out
}

// weak reports that a switcher serves with no core at all, and the limit that the most hopeful of
// its turns breaks.
func (j gaps) weak(v *stage.Variant, sets *turnList) (nearMiss, bool) {
	if len(sets.All) == 0 || sets.best() >= 0 {
		return nearMiss{}, false
	}
	margin, by := j.binding(v, &sets.All[sets.first])
	return nearMiss{g: by, margin: margin, valid: true, weak: true}, true
}

// gapMargin is the smaller margin towards flux and peak current with a gap, the same as boundGap
// tells in gauges.
func (j gaps) gapMargin(v *stage.Variant, c *stage.BareCore, s *turnSet, gap int) float64 {
	way := &c.Gaps[gap]
	turns2 := float64(s.Np) * float64(s.Np)
	flux := (float64(v.Limit.High)*float64(way.Band.High)*turns2 +
		float64(j.BusMax)*float64(v.Delay)) / (float64(s.Np) * float64(c.Geometry.AreaMin))
	margin := 1 - flux/float64(c.FluxLimit)
	low := si.Inductance(float64(way.Band.Low) * turns2)
	if v.Gated {
		full := flyback.PowerAtLimit(j.bestBus, s.Reflected, low, v.Freq.Low, v.Limit.Low, 1)
		return min(margin, 1-float64(s.power/full)/stage.PulsesLimit)
	}
	bus, vr, lf := float64(j.bestBus), float64(s.Reflected), float64(low)*float64(v.Freq.Low)
	ripple := bus * vr / (bus + vr) / lf
	peak := math.Sqrt(2 * float64(s.power) / lf)
	if peak > ripple {
		peak = float64(s.power)*(bus+vr)/(bus*vr) + ripple/2
	}
	return min(margin, 1-peak/float64(v.Usable))
}

// turnsRange cuts the turn sets, which rise in primary turns, down to those between the fewest
// turns that keep the flux of the smallest useful inductance below the limit and the most turns
// that keep it there with the largest gap.
func (j gaps) turnsRange(v *stage.Variant, c *stage.BareCore, sets *turnList) (from, to int) {
	if len(sets.All) == 0 {
		return 0, 0
	}
	wall := sets.wall
	field := float64(c.FluxLimit) * float64(c.Geometry.AreaMin)
	fewest := (float64(v.Limit.High)*wall + float64(j.BusMax)*float64(v.Delay)) / field
	highest := field / (float64(v.Limit.High) * float64(c.Gaps[0].Band.High))
	at := func(np float64) int {
		i, _ := slices.BinarySearchFunc(sets.All, np,
			func(s turnSet, np float64) int { return cmp.Compare(float64(s.Np), np) })
		return i
	}
	return at(fewest), max(at(fewest), at(math.Floor(highest)+1))
}

// BestGap is the gap on hand whose inductance band lies most in the middle between the two walls,
// as a ratio; with equal ratio the one with fewer films. It reports whether the band lies between
// the walls.
func (j *Bounder) BestGap(v *stage.Variant, c *stage.BareCore, s *turnSet) (gap int, fits bool) {
	turns2 := float64(s.Np) * float64(s.Np)
	lowAL := float64(s.wall) / turns2
	highAL := (float64(c.FluxLimit)*float64(s.Np)*float64(c.Geometry.AreaMin) -
		float64(j.BusMax)*float64(v.Delay)) / float64(v.Limit.High) / turns2
	if highAL <= 0 {
		return 0, false
	}
	// gaps rise in AL: the first whose low end clears the lower wall, and its neighbours while the
	// upper wall lets them
	from := c.FirstGap(lowAL) - 1
	best := math.Inf(-1)
	for g := max(0, from); g < len(c.Gaps); g++ {
		way := &c.Gaps[g]
		below := highAL / float64(way.Band.High)
		r := min(float64(way.Band.Low)/lowAL, below)
		if r > best || r == best && way.Layers < c.Gaps[gap].Layers {
			gap, best = g, r
		} else if below < best {
			break
		}
	}
	return gap, best >= 1
}

// boundGap is an upper bound of the margin once the gap is chosen.
func (j gaps) boundGap(v *stage.Variant, c *stage.BareCore, s *turnSet, gap int) (float64,
	substitute.Gauge) {
	way := &c.Gaps[gap]
	turns2 := float64(s.Np) * float64(s.Np)
	high := float64(way.Band.High) * turns2
	flux := (float64(v.Limit.High)*high + float64(j.BusMax)*float64(v.Delay)) /
		(float64(s.Np) * float64(c.Geometry.AreaMin))
	bound, by := j.binding(v, s)
	bound, by = lowest(bound, by, substitute.Most(substitute.ChkFlux,
		si.FluxDensity(flux), c.FluxLimit))
	low := flyback.Point{Bus: j.bestBus, Reflected: s.Reflected, Power: s.power,
		Inductance: si.Inductance(float64(way.Band.Low) * turns2), Frequency: v.Freq.Low}
	if v.Gated {
		return lowest(bound, by, substitute.Most(substitute.ChkPulses,
			flyback.PulseShare(low.Power, low.Inductance, v.Freq.Low, v.Limit.Low, low.Bus,
				low.Reflected), stage.PulsesLimit))
	}
	return lowest(bound, by, substitute.Most(substitute.ChkPower,
		flyback.Operate(low).Peak, v.Usable))
}
