package substitute

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// cure fills in, for each refusal that has none, the single change that makes this very combination work, found by computing it:
// a part of one shelf, else a smaller current. For a target that nothing serves the smaller current is sought over all
// combinations.
func (w *Workbench) cure(t Target, refused []Refusal, served bool) {
	const tried = 6
	if !served && len(refused) > 0 && refused[0].Cure == "" {
		refused[0].Cure = w.lessCurrent(t)
	}
	for i := range refused[:min(tried, len(refused))] {
		r := &refused[i]
		if r.Cure != "" {
			continue
		}
		if r.Switcher == "" || r.Core == "" {
			continue
		}
		r.Cure = w.cureFor(t, r)
	}
}

// cureFor tries one change after the other on one switcher and core.
func (w *Workbench) cureFor(t Target, r *Refusal) string {
	for _, p := range relevant([]Refusal{*r}) {
		s := shelves[p]
		if s.word == "core" || s.word == "switcher" {
			continue
		}
		if m, ok := newJob(w.bench(p), t).only(r.Switcher, r.Core); ok {
			return "buy " + describeChange(s.word, &m)
		}
	}
	for _, current := range lesser(t.Current) {
		less := t
		less.Current = current
		if _, ok := newJob(w, less).only(r.Switcher, r.Core); ok {
			return fmt.Sprintf("charge with %s instead of %s", amps(current), amps(t.Current))
		}
	}
	return ""
}

// describeChange names the part of the shelf that the cured design uses.
func describeChange(word string, m *measured) string {
	switch word {
	case "rectifier":
		return "rectifier " + m.rect.stock.name()
	case "clamp":
		if m.clamp.tvs != nil {
			return "suppressor " + m.clamp.tvs.name()
		}
	case "film":
		for _, f := range m.gap.films {
			return fmt.Sprintf("%s film for the shim (%d layers in all)", lengthText(m.gap.shim), f.count)
		}
	case "wire":
		return "wire " + m.plan.secondary.name() + " for the secondary"
	}
	return word
}

func lengthText(l si.Length) string { return fmt.Sprintf("%.0f um", float64(l)*1e6) }
func amps(i si.Current) string      { return fmt.Sprintf("%.2g A", float64(i)) }

// lesser lists smaller currents to try, in steps of a tenth of the wanted one.
func lesser(i si.Current) []si.Current {
	var out []si.Current
	for k := 9; k >= 2; k-- {
		c := si.Current(math.Floor(float64(i)*float64(k)*2) / 20)
		if c >= lowestCurrent && c < i {
			out = append(out, c)
		}
	}
	return out
}

// only searches one switcher with one core.
func (j *job) only(switcher, core string) (measured, bool) {
	variants := j.variants()
	var best measured
	found := false
	usable := j.controlled(variants)
	j.settle(usable)
	j.turns = j.turnRatios()
	for _, v := range usable {
		if v.stock.name() != switcher {
			continue
		}
		sets := j.turnSets(v)
		for k := range j.cores {
			if j.cores[k].stock.name() != core {
				continue
			}
			if o := j.pair(v, &j.cores[k], &sets); o.found && (!found || o.best.better(&best)) {
				best, found = o.best, true
			}
		}
	}
	return best, found && best.steady(j)
}

// serves reports whether anything on hand makes the target.
func (j *job) serves() bool {
	if found, _ := j.all(); len(found) > 0 {
		return true
	}
	bent, _ := j.adapterBuilds()
	return len(bent) > 0
}

// lessCurrent is the largest of the smaller currents at which anything on hand serves the target, found by halving; what it
// names was computed.
func (w *Workbench) lessCurrent(t Target) string {
	steps := lesser(t.Current)
	from, to := 0, len(steps) // steps[to] serves
	for from < to {
		mid := (from + to) / 2
		less := t
		less.Current = steps[mid]
		j := newJob(w, less)
		j.record, j.quiet = &record{}, true
		if j.serves() {
			to = mid
		} else {
			from = mid + 1
		}
	}
	if to == len(steps) {
		return ""
	}
	return fmt.Sprintf("charge with %s instead of %s", amps(steps[to]), amps(t.Current))
}
