package substitute

import (
	"fmt"

	"sparewright/catalog/si"
)

// Names of checks that have no number.
const (
	checkSwitcherKind    = "kind of control"
	checkSwitcherFigures = "switcher figures"
	checkBarrier         = "insulation barrier between mains and battery"
	checkTape            = "insulating tape"
	checkWindingRoom     = "room for the windings"
	checkNoSwitcher      = "a switcher"
	checkNoCore          = "a core pair"
)

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
	r.miss = 1.5 // says less than a number
	switch {
	case len(j.shop.tapes) == 0:
		r.Check, r.Why, r.Cure = checkTape, "no tape sold as insulation on hand", "buy polyester tape of 25 um film, 10 m"
	case len(j.shop.triple) == 0 && (c.former.Width <= leastMarginWidth) && !c.former.Split:
		r.Check = checkBarrier
		r.Value, r.Limit, r.Unit = float64(c.former.Width), float64(leastMarginWidth), "m"
		r.Why = "no triple-insulated wire, and the former is too narrow for margins; two layers of enamel are no barrier"
		r.Cure = "buy triple-insulated wire for the secondary"
	default:
		r.Check, r.Why = checkWindingRoom, "the windings with their barrier do not fit, or the spools are too short"
	}
	return r
}

// noBarrier reports that the drawer holds nothing to keep mains and battery apart inside a transformer, whatever the core.
func (j *job) noBarrier() (Refusal, bool) {
	if len(j.shop.tapes) == 0 {
		return Refusal{Check: checkTape, Why: "no tape sold as insulation on hand", Cure: "buy polyester tape of 25 um film, 10 m", miss: -1}, true
	}
	if len(j.shop.triple) > 0 || len(j.cores) == 0 {
		return Refusal{}, false
	}
	widest := si.Length(0)
	for i := range j.cores {
		if j.cores[i].former.Split {
			return Refusal{}, false
		}
		widest = max(widest, j.cores[i].former.Width)
	}
	if widest > leastMarginWidth {
		return Refusal{}, false
	}
	return Refusal{Check: checkBarrier, Value: float64(widest), Limit: float64(leastMarginWidth), Unit: "m", miss: -1,
		Why:  "no triple-insulated wire, and no former wide enough for margins; two layers of enamel are no barrier",
		Cure: "buy triple-insulated wire for the secondary"}, true
}

// leastMarginWidth is the narrowest former on which margins leave room for a winding.
const leastMarginWidth si.Length = 2*marginEachSide + 2e-3
