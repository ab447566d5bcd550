package search

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/stage"
)

// refusing words why a search found nothing.
type refusing struct{ *Job }

func (j refusing) pairRefusal(v *stage.Variant, c *stage.BareCore, o outcome) substitute.Refusal {
	r := substitute.Refusal{Switcher: v.Drive.Name, Core: c.Stock.Name()}
	switch {
	case o.miss.valid && (o.stage != 1):
		d := substitute.CheckNames[o.miss.g.Id]
		r.Check, r.Value, r.Limit, r.Unit, r.Miss = d.Name, o.miss.g.Value, o.miss.g.Limit,
			d.Unit, -o.miss.margin
	case o.stage == 1:
		r = j.windingRefusal(r, c)
	case len(j.Rectifiers) == 0:
		r.Check, r.Why, r.Miss = substitute.CheckNames[substitute.ChkRectifierCurrent].Name,
			"no output rectifier on hand is fast and strong enough", 2
		r.Cure = fmt.Sprintf("buy an ultrafast or Schottky diode of %.1f A or more",
			float64(j.Target.Current)/stage.RectifierUse)
	default:
		r.Check, r.Miss = "gap", 3
		r.Why = "no stack of the films on hand puts the inductance between the two walls"
	}
	return r
}

// windingRefusal says why no winding could be laid: no barrier at all, or no space.
func (j refusing) windingRefusal(r substitute.Refusal, c *stage.BareCore) substitute.Refusal {
	r.Miss = 1.5 // says less than a number
	switch {
	case len(j.Shop.Tapes) == 0:
		r.Check, r.Why, r.Cure = substitute.CheckTape, "no tape sold as insulation on hand",
			"buy polyester tape of 25 um film, 10 m"
	case len(j.Shop.Triple) == 0 && (c.Former.Width <= leastMarginWidth) && !c.Former.Split:
		r.Check = substitute.CheckBarrier
		r.Value, r.Limit, r.Unit = float64(c.Former.Width), float64(leastMarginWidth), "m"
		r.Why = "no triple-insulated wire, and the former is too narrow for margins; two layers " +
			"of enamel are no barrier"
		r.Cure = "buy triple-insulated wire for the secondary"
	default:
		r.Check, r.Why = substitute.CheckWindingWindow,
			"the windings with their barrier do not fit, or the spools are too short"
	}
	return r
}

// noBarrier reports that the drawer holds nothing to keep mains and battery apart inside a
// transformer, whatever the core.
func (j refusing) noBarrier() (substitute.Refusal, bool) {
	if len(j.Shop.Tapes) == 0 {
		return substitute.Refusal{Check: substitute.CheckTape,
			Why:  "no tape sold as insulation on hand",
			Cure: "buy polyester tape of 25 um film, 10 m", Miss: -1}, true
	}
	if len(j.Shop.Triple) > 0 || len(j.Cores) == 0 {
		return substitute.Refusal{}, false
	}
	widest := si.Length(0)
	for i := range j.Cores {
		if j.Cores[i].Former.Split {
			return substitute.Refusal{}, false
		}
		widest = max(widest, j.Cores[i].Former.Width)
	}
	if widest > leastMarginWidth {
		return substitute.Refusal{}, false
	}
	return substitute.Refusal{Check: substitute.CheckBarrier, Value: float64(widest),
		Limit: float64(leastMarginWidth), Unit: "m", Miss: -1,
		Why: "no triple-insulated wire, and no former wide enough for margins; two layers of " +
			"enamel are no barrier",
		Cure: "buy triple-insulated wire for the secondary"}, true
}

// leastMarginWidth is the narrowest former on which margins leave space for a winding.
const leastMarginWidth si.Length = 2*stage.MarginEachSide + 2e-3
