package advise

import (
	"errors"
	"fmt"
	"slices"
	"sync/atomic"

	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/search"
)

// Survey is the answer for all usual targets.
type Survey struct {
	Targets  []SurveyLine `json:"targets"`
	First    *Offer       `json:"first,omitempty"`
	Cautions []string     `json:"cautions"`
}

// Offer is a purchase that makes several targets buildable.
type Offer struct {
	Buy   []substitute.PartUse `json:"buy"`
	Opens []int                `json:"opens"` // places among the targets, from 0
}

// firstOffer is the purchase of those named that opens most targets for each line bought; of equal
// ones the shortest list, then the first. Each target it opens has a build that lacks no more.
func firstOffer(lines []SurveyLine) *Offer {
	var best *Offer
	for i := range lines {
		o := &Offer{Buy: lines[i].Missing, Opens: []int{}}
		if len(o.Buy) == 0 {
			continue
		}
		for k := range lines {
			if len(lines[k].Missing) > 0 && covers(o.Buy, lines[k].Missing) {
				o.Opens = append(o.Opens, k)
			}
		}
		if best == nil || o.before(best) {
			best = o
		}
	}
	return best
}

func (o *Offer) before(p *Offer) bool {
	here, there := len(o.Opens)*len(p.Buy), len(p.Opens)*len(o.Buy)
	return here > there || here == there && len(o.Buy) < len(p.Buy)
}

// covers reports that a purchase holds all that is missing.
func covers(bought, missing []substitute.PartUse) bool {
	for _, m := range missing {
		if !slices.ContainsFunc(bought, func(b substitute.PartUse) bool {
			return b.Designation == m.Designation && b.Quantity >= m.Quantity
		}) {
			return false
		}
	}
	return true
}

// SurveyLine is one target with its best build, or with what is missing or in the way.
type SurveyLine struct {
	Target  substitute.Target    `json:"target"`
	Best    *substitute.Build    `json:"best"`
	Missing []substitute.PartUse `json:"missing"`
	Refused []substitute.Refusal `json:"refused"`
}

// Usual lists the batteries of the survey: lithium-ion of one to ten cells, LiFePO4 of four and
// eight, lead-acid of 6, 12 and 24 V, cyclic and float.
func Usual() []substitute.Target {
	var out []substitute.Target
	for n := 1; n <= 10; n++ {
		out = append(out, substitute.Target{Chemistry: "li-ion", Cells: n})
	}
	for _, n := range []int{4, 8} {
		out = append(out, substitute.Target{Chemistry: "lifepo4", Cells: n})
	}
	for _, duty := range []string{"cyclic", "float"} {
		for _, n := range []int{3, 6, 12} {
			out = append(out, substitute.Target{Chemistry: "lead-acid-agm", Duty: duty, Cells: n})
		}
	}
	return out
}

// UsualCurrents are the charging currents tried for each battery, in rising order.
var UsualCurrents = []si.Current{0.5, 1, 2, 3}

// SurveyAll answers for every usual battery and current under the conditions of like (mains, case,
// ambient). A battery's list ends with the first current that is refused even with a purchase of
// one kind: what is refused at 2 A is refused at 3 A. progress, when not nil, is called from
// several goroutines.
func SurveyAll(like substitute.Target, s inventory.Snapshot,
	progress func(done, of int)) (Survey, error) {
	w := NewWorkbench(s)
	list := Usual()
	lines := make([][]SurveyLine, len(list))
	errs := make([]error, len(list))
	var done atomic.Int64
	search.Each(len(list), func(i int) {
		lines[i], errs[i] = w.battery(like, list[i])
		if progress != nil {
			progress(int(done.Add(1)), len(list))
		}
	})
	out := Survey{Targets: slices.Concat(lines...),
		Cautions: substitute.Cautions(substitute.Target{Chemistry: "li-ion"})}
	out.First = firstOffer(out.Targets)
	return out, errors.Join(errs...)
}

// battery answers for one battery at rising currents, up to the first that is refused.
func (w *Workbench) battery(like, u substitute.Target) ([]SurveyLine, error) {
	var out []SurveyLine
	last := si.Current(0) // the highest current with an answer so far
	for _, current := range UsualCurrents {
		t := like
		t.Chemistry, t.Cells, t.Duty, t.Current = u.Chemistry, u.Cells, u.Duty, current
		t, err := t.Resolve(0)
		if err != nil {
			return nil, err
		}
		line := w.line(t, last)
		out = append(out, line)
		if line.Best == nil {
			break
		}
		last = current
	}
	return out, nil
}

// line boils an answer down to its best build or its nearest refusal. last is the highest smaller
// current of the same battery that was answered with a build; it is the cure when there is no
// other.
func (w *Workbench) line(t substitute.Target, last si.Current) SurveyLine {
	r := w.Advise(t, Options{Builds: 1, Refused: 1, Single: true})
	line := SurveyLine{Target: t, Missing: []substitute.PartUse{}, Refused: r.Refused}
	if len(r.Builds) > 0 {
		line.Best = &r.Builds[0]
		line.Missing = append(line.Missing, substitute.ToBuy(line.Best.Parts)...)
		line.Refused = []substitute.Refusal{}
	} else {
		if last > 0 && len(line.Refused) > 0 && line.Refused[0].Cure == "" {
			line.Refused[0].Cure = fmt.Sprintf("charge with %s instead of %s", Amps(last),
				Amps(t.Current))
		}
		w.Cure(t, line.Refused, false)
	}
	return line
}
