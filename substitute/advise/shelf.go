package advise

import (
	"fmt"
	"slices"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
	"sparewright/substitute/search"
	"sparewright/substitute/stock"
)

// bench returns the workbench of this drawer with the shelves at the given places of the list
// added; made once.
func (w *Workbench) bench(places ...int) *Workbench {
	var added []stock.Shelf
	for _, p := range places {
		added = append(added, stock.Shelves[p])
	}
	return w.Stocked(added...)
}

// Stocked returns the workbench of this drawer with shelves added; made once for the same shelves.
func (w *Workbench) Stocked(added ...stock.Shelf) *Workbench {
	w.benches.mu.Lock()
	defer w.benches.mu.Unlock()
	key := fmt.Sprintf("%q", added)
	b := w.benches.all[key]
	if b == nil {
		b = w.Fresh(added...)
		w.benches.all[key] = b
	}
	return b
}

// Fresh is stocked without memory, for shelves that are asked for once. Cores of different shelves
// stand at the same place of the list, so that a bench with other cores keeps its windings to
// itself.
func (w *Workbench) Fresh(added ...stock.Shelf) *Workbench {
	d := w.drawer
	var kinds []catalog.Kind
	for _, s := range added {
		d = d.With(s)
		kinds = append(kinds, s.Kind)
	}
	b := w.restocked(d, kinds...)
	b.benches = &benchMemory{all: map[string]*Workbench{}}
	if slices.Contains(kinds, catalog.KindCore) {
		b.PartsBench = b.PartsBench.Apart(d)
	}
	return b
}

// remedies names the shelves that may help against a check, as words of shelves.
var remedies = map[string][]string{
	substitute.CheckNames[substitute.ChkPower].Name:            {"film", "core", "switcher"},
	substitute.CheckNames[substitute.ChkPowerEmpty].Name:       {"film", "core", "switcher"},
	substitute.CheckNames[substitute.ChkDuty].Name:             {"switcher", "rectifier"},
	substitute.CheckNames[substitute.ChkClass].Name:            {"switcher"},
	substitute.CheckNames[substitute.ChkFlux].Name:             {"film", "core", "switcher"},
	substitute.CheckNames[substitute.ChkPulses].Name:           {"film", "core", "switcher"},
	substitute.CheckNames[substitute.ChkDrain].Name:            {"clamp", "rectifier", "switcher"},
	substitute.CheckNames[substitute.ChkClampAbove].Name:       {"clamp", "rectifier", "switcher"},
	substitute.CheckNames[substitute.ChkClampPower].Name:       {"clamp", "wire", "switcher"},
	substitute.CheckNames[substitute.ChkClampHot].Name:         {"clamp", "wire", "switcher"},
	substitute.CheckNames[substitute.ChkRectifierHot].Name:     {"rectifier"},
	substitute.CheckNames[substitute.ChkOnTime].Name:           {"switcher", "core"},
	substitute.CheckNames[substitute.ChkOutputRipple].Name:     {"switcher", "core"},
	substitute.CheckNames[substitute.ChkReverse].Name:          {"rectifier"},
	substitute.CheckNames[substitute.ChkRectifierCurrent].Name: {"rectifier"},
	substitute.CheckNames[substitute.ChkBiasLow].Name:          {"switcher"},
	substitute.CheckNames[substitute.ChkBiasHigh].Name:         {"switcher"},
	substitute.CheckNames[substitute.ChkFill].Name:             {"wire", "core"},
	substitute.CheckNames[substitute.ChkCoilHot].Name:          {"wire", "core"},
	substitute.CheckNames[substitute.ChkJunction].Name:         {"switcher"},
	substitute.CheckNames[substitute.ChkInside].Name:           {"rectifier", "switcher", "core"},
	substitute.CheckNames[substitute.ChkSupplyHigh].Name:       {"amplifier"},
	substitute.CheckNames[substitute.ChkOvercharge].Name:       {"amplifier"},
	substitute.CheckNames[substitute.ChkWarm].Name:             {"amplifier"},
	substitute.CheckNames[substitute.ChkLED].Name:              {"optocoupler", "amplifier"},
	substitute.CheckNames[substitute.ChkLowestRegulated].Name:  {"amplifier"},
	substitute.CheckNames[substitute.ChkIsolation].Name:        {"optocoupler"},
	substitute.CheckNames[substitute.ChkPhaseVoltage].Name:     {"switcher"},
	substitute.CheckNames[substitute.ChkPhaseCurrent].Name:     {"switcher"},
	regulation.NoLEDResistor:                                   {"switcher", "amplifier", "optocoupler"},
	substitute.CheckBarrier:                                    {"wire"},
	substitute.CheckTape:                                       {"tape"},
	substitute.CheckSwitcherKind:                               {"switcher"},
	substitute.CheckSwitcherFigures:                            {"switcher"},
	substitute.CheckWindingWindow:                              {"wire", "core"},
	substitute.CheckNoSwitcher:                                 {"switcher"},
	substitute.CheckNoCore:                                     {"core"},
}

// Relevant lists the shelves that may help against any of the refusals, in the order of the list.
func Relevant(refused []substitute.Refusal) []int {
	var out []int
	for i, s := range stock.Shelves {
		for _, r := range refused {
			if slices.Contains(remedies[r.Check], s.Word) {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// withPurchases searches for builds that need parts of one shelf, then of two, and stops at the
// first number that serves. Only shelves are tried that may help against a check that refused
// something. What a regulation network lacks is bought beside one shelf.
func (w *Workbench) withPurchases(t substitute.Target, refused []substitute.Refusal,
	o Options) (builds []substitute.Build, designs int64) {
	var harder []substitute.Refusal
	try := func(w *Workbench, places ...int) []substitute.Refusal {
		if len(places) > 0 {
			w = w.bench(places...)
		}
		j := NewAttempt(w, t)
		if o.Builds == 1 {
			j.Record = &search.Record{}
			j.Missing = 1 // without a purchase nothing serves, or there would be no search here
			j.Quiet = o.Single && len(places) > 0
		}
		for _, p := range places {
			if k := stock.Shelves[p].Kind; k == catalog.KindCore || k == catalog.KindSwitcher {
				j.MustBuy = true
			}
		}
		found, still := j.Builds()
		builds = append(builds, found...)
		if !j.MustBuy {
			bent, _ := j.adapterBuilds()
			builds = append(builds, bent...)
		}
		designs += j.Designs
		return still
	}
	// what the drawer holds nothing of is bought in any case, and resistors where they are too few;
	// a whole survey does without
	if base := (curing{w}).lifted(); base != w && !o.Single {
		still := try(base)
		if wired := base.Networked(t, still); wired != nil && len(builds) == 0 {
			try(wired)
		}
		if len(builds) > 0 {
			return builds, designs
		}
	}
	first := Relevant(refused)
	for _, p := range first {
		harder = append(harder, try(w, p)...)
	}
	if wired := w.Networked(t, refused); wired != nil {
		still := try(wired)
		for _, p := range Relevant(still) {
			if len(builds) == 0 {
				try(wired, p)
			}
		}
	}
	if len(builds) > 0 || o.Single {
		return builds, designs
	}
	second := Relevant(append(harder, refused...))
	for _, p := range first {
		for _, q := range second {
			if p != q && len(builds) == 0 && !(slices.Contains(first, q) && q < p) {
				try(w, min(p, q), max(p, q))
			}
		}
	}
	return builds, designs
}
