package search

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
)

// selfClass is the share of a class that is left where the chip feeds itself from the drain
// although the class was printed for a supply from a bias winding: 14 of 19 W and 6 of 8 W for
// NCP1014 (from memory). On/off parts are printed as they feed themselves.
const selfClass = 14.0 / 19

// PowerClass is the maker's ceiling for this mains range, case and way of supply. What holds for a
// wider range holds for a narrower one too, so the larger of both counts; a class known only for an
// open frame is scaled by the usual ratio of the printed tables (sealed 0.6 x open), one from
// memory by 0.9.
func PowerClass(p catalog.Switcher, t substitute.Target) (si.Power, string) {
	if p.SelfSupply == "yes" && p.SelfWide.Known() {
		var none catalog.Datum[si.Power]
		best, text := classOf(none, p.SelfWide, t.Case, "85-265 V without a bias winding")
		if t.MainsMin >= 180 {
			if narrow, words := classOf(none, p.SelfNarrow, t.Case,
				"195-265 V without a bias winding"); narrow > best {
				best, text = narrow, words
			}
		}
		return best, text
	}
	best, text := classOf(p.SealedWide, p.OpenWide, t.Case, "85-265 V")
	if t.MainsMin >= 180 {
		if narrow, words := classOf(p.SealedNarrow, p.OpenNarrow, t.Case,
			"195-265 V"); narrow > best {
			best, text = narrow, words
		}
	}
	if p.SelfSupply == "yes" && p.Control == "fixed-frequency" && best > 0 {
		best, text = best*selfClass, text+", x14/19 without a bias winding"
	}
	return best, text
}

// classOf is the ceiling from one row of a maker's table, for the case; zero where it has none.
func classOf(sealed, open catalog.Datum[si.Power], in substitute.Case,
	row string) (best si.Power, text string) {
	use := func(d catalog.Datum[si.Power], k float64, words string) {
		if !d.Known() {
			return
		}
		if !d.Firm() {
			k, words = 0.9*k, words+", from memory, x0.9"
		}
		if w := d.Value * si.Power(k); w > best {
			best, text = w, fmt.Sprintf("maker's class, %s, %s", row, words)
		}
	}
	use(sealed, 1, "sealed")
	switch {
	case in == substitute.Open:
		use(open, 1, "open frame")
	case !sealed.Known():
		use(open, 0.6, "open frame x0.6 for a closed case")
	}
	return best, text
}
