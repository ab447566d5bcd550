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

// Miscount is a count that explains the readings better: reading Index has Turns instead of what
// was noted. Misfit is what is left then, as that of ALFit.
type Miscount struct {
	Index, Turns int
	Misfit       si.Ratio
}

// Unseen is a winding whose count may be off by one without the readings showing it: Chance is how
// often they would.
type Unseen struct {
	Index  int
	Chance si.Ratio
}

// ALFit is the least-squares inductance factor of several test windings. Lead is the constant part
// (leads, fixture), Deviation the standard deviation of AL, Misfit the root of the sum of the
// squared deviations of the readings, in standard deviations. Agree is false when chance alone
// leaves that much in one case of a hundred. Suspects are the miscounts by one turn that explain
// the readings clearly better, best first; they may stand beside readings that agree. Unseen lists
// the windings whose miscount by one turn shows in fewer than nine cases of ten.
type ALFit struct {
	AL        si.InductanceFactor
	Deviation si.InductanceFactor
	Lead      si.Inductance
	Misfit    si.Ratio
	Agree     bool
	Suspects  []Miscount
	Unseen    []Unseen
}

// longestLead is the largest inductance believed of leads: half a metre at about 1 uH/m (from
// memory).
const longestLead = 0.5e-6

// better is by how much the squared misfit must fall for a miscount to be suspected: it then is e
// times as likely as the count noted.
const better = 2

// seen is the chance above which a miscount counts as noticed.
const seen = 0.9

// FitAL fits L = AL N^2 + Lead to the readings, each known to the relative standard deviation
// meter; Lead is kept between 0 and 0.5 uH. One reading gives AL = L/N^2 with no check. Errors: no
// readings, a count below 1, an inductance or meter error not above 0.
func FitAL(readings []Reading, meter si.Ratio) (ALFit, error) {
	if len(readings) == 0 {
		return ALFit{}, errors.New("test windings: none given; enter turns and inductance of " +
			"at least one")
	}
	if !(meter > 0) {
		return ALFit{}, fmt.Errorf("meter error %g: must be above 0; take it from the "+
			"meter's manual", float64(meter))
	}
	for _, r := range readings {
		if r.Turns < 1 || !(r.Inductance > 0) {
			return ALFit{}, fmt.Errorf("test winding %d turns, %g H: both must be above 0; "+
				"measure again",
				r.Turns, float64(r.Inductance))
		}
	}
	f := fitOnce(readings, float64(meter))
	f.Suspects = miscounts(readings, f, float64(meter))
	f.Unseen = unseen(readings, f, float64(meter))
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
	f := ALFit{AL: si.InductanceFactor(al), Lead: si.Inductance(lead),
		Deviation: si.InductanceFactor(math.Sqrt(variance))}
	square := 0.0
	for _, r := range readings {
		y := float64(r.Inductance)
		off := (y - lead - al*float64(r.Turns)*float64(r.Turns)) / (meter * y)
		square += off * off
	}
	f.Misfit = si.Ratio(math.Sqrt(square))
	f.Agree = square <= chanceLimit(len(readings)-1)
	return f
}

// chanceLimit is what the sum of so many squared standard normal figures exceeds once in a hundred
// times (Wilson and Hilferty's approximation of the chi-squared distribution).
func chanceLimit(freedom int) float64 {
	if freedom < 1 {
		return math.Inf(1)
	}
	k := float64(freedom)
	c := 1 - 2/(9*k) + 2.326*math.Sqrt(2/(9*k))
	return k * c * c * c
}

// unseen tries every count one up and one down on readings without error.
func unseen(readings []Reading, f ALFit, meter float64) []Unseen {
	if len(readings) < 2 {
		return nil
	}
	var out []Unseen
	trial := make([]Reading, len(readings))
	for i := range readings {
		chance := 1.0
		for _, by := range []int{-1, 1} {
			for k, r := range readings {
				n := float64(r.Turns)
				trial[k] = Reading{r.Turns, si.Inductance(float64(f.AL)*n*n) + f.Lead}
			}
			trial[i].Turns += by
			if trial[i].Turns < 1 {
				continue
			}
			// the likelihood of both counts is compared: noticed from (d^2 + better)/(2 d) up, d
			// scattering by 1
			d := float64(fitOnce(trial, meter).Misfit)
			chance = min(chance, (1+math.Erf((d/2-better/(2*d))/math.Sqrt2))/2)
		}
		if chance < seen {
			out = append(out, Unseen{i, si.Ratio(chance)})
		}
	}
	return out
}

// miscounts tries every count one up and one down.
func miscounts(readings []Reading, as ALFit, meter float64) []Miscount {
	var found []Miscount
	limit := float64(as.Misfit)*float64(as.Misfit) - better
	trial := make([]Reading, len(readings))
	for i, r := range readings {
		for _, turns := range []int{r.Turns - 1, r.Turns + 1} {
			if turns < 1 {
				continue
			}
			copy(trial, readings)
			trial[i].Turns = turns
			f := fitOnce(trial, meter)
			if f.Agree && float64(f.Misfit)*float64(f.Misfit) <= limit {
				found = append(found, Miscount{Index: i, Turns: turns, Misfit: f.Misfit})
			}
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].Misfit < found[b].Misfit })
	return found
}
