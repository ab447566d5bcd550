package advise

import (
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/stock"
)

// mostLacks bounds how many times a network is asked what it lacks: voltage and current divider,
// shunt, bias and LED resistor, of which a divider may ask twice.
const mostLacks = 8

// Networked returns the workbench with the resistors, trimmers and reference added that the
// regulation network of a target lacks; nil when that is not what is missing, or no purchase helps.
// What helps the first divider is bought before the next is looked at, so that the parts are
// enough, not proven to be the fewest.
func (w *Workbench) Networked(t substitute.Target, refused []substitute.Refusal) *Workbench {
	if !slices.ContainsFunc(refused, func(r substitute.Refusal) bool { return r.Lack != "" }) {
		return nil
	}
	var added []stock.Shelf
	bench := w
	for range mostLacks {
		lacks, served := NewAttempt(bench, t).lacks()
		if served && bench == w {
			return nil
		}
		if !putOn(&added, lacks) {
			break
		}
		bench = w.Stocked(added...)
	}
	if bench == w {
		return nil
	}
	if found, still := NewAttempt(bench, t).Pairs(); len(found) == 0 &&
		putOn(&added, lacksOf(still)) {
		// with the damping resistors of the loops, which no network asks for
		return w.Stocked(added...)
	}
	return bench
}

// putOn adds what is lacking to the shelves of its kind and reports whether anything of it is new
// there.
func putOn(added *[]stock.Shelf, lacks []string) (grown bool) {
	for _, lack := range lacks {
		kind, name, _ := strings.Cut(lack, ":")
		at := slices.IndexFunc(*added, func(s stock.Shelf) bool { return s.Word == kind })
		if at < 0 {
			at = len(*added)
			*added = append(*added, stock.Shelf{Word: kind, Kind: catalog.Kind(kind)})
		}
		if s := &(*added)[at]; !slices.Contains(s.Names, name) {
			s.Names = append(slices.Clip(s.Names), name)
			grown = true
		}
	}
	return grown
}

// lacksOf are the parts that refusals lack, in their order.
func lacksOf(refused []substitute.Refusal) (names []string) {
	for _, r := range refused {
		if r.Lack != "" {
			names = append(names, strings.Split(r.Lack, ";")...)
		}
	}
	return names
}

// usualStop is the feedback current in A that stops the usual switcher (from memory).
const usualStop = 1e-3

// lacks are the parts that networks of this target lack, in the order of the switchers that ask for
// them, and whether any switcher has its network. Where there is no switcher, the usual one asks.
func (j *Attempt) lacks() (names []string, served bool) {
	variants := j.Variants()
	served = len(j.Controlled(variants)) > 0
	if len(variants) == 0 {
		served = j.ControlFor(usualStop) != nil
	}
	return lacksOf(append(slices.Clone(j.Refused), j.Barred...)), served
}
