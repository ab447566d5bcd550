package search

import (
	"sparewright/substitute"
	"sparewright/substitute/stage"
)

// donorStages measures and judges every unopened transformer with every switcher.
func (j *Job) donorStages(variants []*stage.Variant) (found []stage.Measured,
	refused []substitute.Refusal) {
	if !j.MustBuy {
		refused = append(refused, j.Unfit...)
	}
	for _, d := range j.Donors {
		best := map[string]int{}
		var misses []substitute.Refusal
		for _, v := range variants {
			if j.MustBuy && !v.Stock.Buy {
				continue
			}
			m, why := j.DonorStage(d, v)
			if why.Check != "" {
				misses = append(misses, why)
				continue
			}
			m.Of = j.Measurer
			if stands := j.verdict(&m, false); stands.refused() {
				misses = append(misses, stands.Refusal)
				continue
			}
			if at, seen := best[v.Stock.Key]; !seen {
				best[v.Stock.Key] = len(found)
				found = append(found, m)
			} else if m.Better(&found[at]) {
				found[at] = m
			}
		}
		refused = append(refused, stage.NearestOf(misses, best, found)...)
	}
	return found, refused
}
