package advise

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/search"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Cure fills in, for each refusal that has none, the single change that makes this very combination
// work, found by computing it: a part of one shelf, else another switcher, else a smaller current.
// For a target that nothing serves the smaller current is sought over all combinations.
func (w *Workbench) Cure(t substitute.Target, refused []substitute.Refusal, served bool) {
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
func (w *Workbench) cureFor(t substitute.Target, r *substitute.Refusal) string {
	for _, p := range Relevant([]substitute.Refusal{*r}) {
		s := stock.Shelves[p]
		if s.Word == "core" || s.Word == "switcher" {
			continue
		}
		if m, ok := NewAttempt(w.bench(p), t).only(r.Switcher, r.Core); ok {
			return "buy " + describeChange(s.Word, &m)
		}
	}
	if name := w.otherSwitcher(t, r); name != "" {
		return "buy switcher " + name + " instead"
	}
	for _, current := range lesser(t.Current) {
		less := t
		less.Current = current
		j := NewAttempt(w, less)
		if m, ok := j.only(r.Switcher, r.Core); ok && j.Assemble(&m).Score.Missing == 0 {
			return fmt.Sprintf("charge with %s instead of %s", Amps(current), Amps(t.Current))
		}
	}
	return ""
}

// otherSwitcher names the switcher of the shelf that serves the core of a refusal with most margin;
// empty when none does or none can help.
func (w *Workbench) otherSwitcher(t substitute.Target, r *substitute.Refusal) string {
	best, found := stage.Measured{}, false
	for _, p := range Relevant([]substitute.Refusal{*r}) {
		if s := stock.Shelves[p]; s.Word == "switcher" {
			for _, name := range s.Names {
				m, ok := NewAttempt(w.bench(p), t).only(name, r.Core)
				if ok && m.V.Stock.Buy && (!found || m.Better(&best)) {
					best, found = m, true
				}
			}
		}
	}
	if !found {
		return ""
	}
	return best.V.Drive.Name
}

// describeChange names the part of the shelf that the cured design uses.
func describeChange(word string, m *stage.Measured) string {
	switch word {
	case "rectifier":
		return "rectifier " + m.Rect.Stock.Name()
	case "clamp":
		if m.Clamp.Tvs != nil {
			return "suppressor " + m.Clamp.Tvs.Name()
		}
	case "film":
		for _, f := range m.Gap.Films {
			return fmt.Sprintf("%s film for the shim (%d layers in all)",
				lengthText(m.Gap.Shim), f.Count)
		}
	case "wire":
		return "wire " + m.Plan.Secondary.Name() + " for the secondary"
	}
	return word
}

func lengthText(l si.Length) string { return fmt.Sprintf("%.0f um", float64(l)*1e6) }

func Amps(i si.Current) string { return fmt.Sprintf("%.3g A", float64(i)) }

// lesser lists smaller currents to try, in steps of a tenth of the wanted one.
func lesser(i si.Current) []si.Current {
	var out []si.Current
	for k := 9; k >= 2; k-- {
		c := si.Current(math.Floor(float64(i)*float64(k)*2) / 20)
		if c >= substitute.LowestCurrent && c < i {
			out = append(out, c)
		}
	}
	return out
}

// only searches one switcher with one core.
func (j *Attempt) only(switcher, core string) (stage.Measured, bool) {
	j.Quiet = true
	variants := j.Variants()
	var best stage.Measured
	found := false
	usable := j.Controlled(variants)
	j.Settle(usable)
	j.Turns = j.TurnRatios()
	for _, v := range usable {
		if v.Drive.Name != switcher {
			continue
		}
		sets := j.TurnSets(v)
		for k := range j.Cores {
			if j.Cores[k].Stock.Name() != core {
				continue
			}
			if m, ok := j.Pair(v, &j.Cores[k], &sets); ok && (!found || m.Better(&best)) {
				best, found = m, true
			}
		}
	}
	return best, found
}

// serves reports whether anything on hand makes the target.
func (j *Attempt) serves() bool {
	found, _ := j.Builds()
	bent, _ := j.adapterBuilds()
	return AnyFeasible(found) || AnyFeasible(bent)
}

// lessCurrent is the largest of the smaller currents at which anything on hand serves the target,
// found by halving; what it names was computed.
func (w *Workbench) lessCurrent(t substitute.Target) string {
	steps := lesser(t.Current)
	from, to := 0, len(steps) // steps[to] serves
	for from < to {
		mid := (from + to) / 2
		less := t
		less.Current = steps[mid]
		j := NewAttempt(w, less)
		j.Record, j.Quiet = &search.Record{}, true
		if j.serves() {
			to = mid
		} else {
			from = mid + 1
		}
	}
	if to == len(steps) {
		return ""
	}
	return fmt.Sprintf("charge with %s instead of %s", Amps(steps[to]), Amps(t.Current))
}
