package magnetics

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"sparewright/catalog/si"
)

// Reading is the inductance of a test winding of counted turns.
type Reading struct {
	Turns      int
	Inductance si.Inductance
}

// Miscount is a count that would make the readings agree: reading Index has Turns instead of what was noted. Misfit is
// the worst deviation that is left, in units of the meter error.
type Miscount struct {
	Index, Turns int
	Misfit       si.Ratio
}

// ALFit is the least-squares inductance factor of several test windings. Lead is the constant part (leads, fixture),
// Deviation the standard deviation of AL, Misfit the worst deviation of a reading in units of the meter error. Agree is
// false when a reading is off by more than twice the meter error; Suspects then names the miscounts by one turn that
// would heal it, best first.
type ALFit struct {
	AL        si.InductanceFactor
	Deviation si.InductanceFactor
	Lead      si.Inductance
	Misfit    si.Ratio
	Agree     bool
	Suspects  []Miscount
}

// longestLead is the largest inductance believed of leads: half a metre at about 1 uH/m (from memory).
const longestLead = 0.5e-6

// agreement is how many meter errors a reading may be off.
const agreement = 2

// FitAL fits L = AL N^2 + Lead to the readings, each weighted with the relative meter error; Lead is kept between 0 and
// 0.5 uH. One reading gives AL = L/N^2 with no check. Errors: no readings, a count below 1, an inductance or meter
// error not above 0.
func FitAL(readings []Reading, meter si.Ratio) (ALFit, error) {
	if len(readings) == 0 {
		return ALFit{}, errors.New("test windings: none given; enter turns and inductance of at least one")
	}
	if !(meter > 0) {
		return ALFit{}, fmt.Errorf("meter error %g: must be above 0; take it from the meter's manual", float64(meter))
	}
	for _, r := range readings {
		if r.Turns < 1 || !(r.Inductance > 0) {
			return ALFit{}, fmt.Errorf("test winding %d turns, %g H: both must be above 0; measure again",
				r.Turns, float64(r.Inductance))
		}
	}
	f := fitOnce(readings, float64(meter))
	if !f.Agree {
		f.Suspects = miscounts(readings, float64(meter))
	}
	return f, nil
}

func fitOnce(readings []Reading, meter float64) ALFit {
	// Weighted line through x = N^2, y = L.
	var w, wx, wy, wxx, wxy float64
	for _, r := range readings {
		x, y := float64(r.Turns)*float64(r.Turns), float64(r.Inductance)
		k := 1 / (meter * y * meter * y)
		w, wx, wy, wxx, wxy = w+k, wx+k*x, wy+k*y, wxx+k*x*x, wxy+k*x*y
	}
	lead := 0.0
	det := w*wxx - wx*wx
	free := det > 1e-9*w*wxx // turns differ, so that the lead can be told from AL
	if free {
		lead = (wxx*wy - wx*wxy) / det
	}
	variance := w / max(det, math.SmallestNonzeroFloat64)
	if clamped := min(max(lead, 0), longestLead); !free || clamped != lead {
		lead, variance = clamped, 1/wxx
	}
	al := (wxy - lead*wx) / wxx
	f := ALFit{AL: si.InductanceFactor(al), Lead: si.Inductance(lead), Deviation: si.InductanceFactor(math.Sqrt(variance))}
	for _, r := range readings {
		y := float64(r.Inductance)
		off := math.Abs(y-lead-al*float64(r.Turns)*float64(r.Turns)) / (meter * y)
		f.Misfit = max(f.Misfit, si.Ratio(off))
	}
	f.Agree = f.Misfit <= agreement
	return f
}

// miscounts tries every count one up and one down.
func miscounts(readings []Reading, meter float64) []Miscount {
	var found []Miscount
	trial := make([]Reading, len(readings))
	for i, r := range readings {
		for _, turns := range []int{r.Turns - 1, r.Turns + 1} {
			if turns < 1 {
				continue
			}
			copy(trial, readings)
			trial[i].Turns = turns
			if f := fitOnce(trial, meter); f.Agree {
				found = append(found, Miscount{Index: i, Turns: turns, Misfit: f.Misfit})
			}
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].Misfit < found[b].Misfit })
	return found
}
