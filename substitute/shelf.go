package substitute

import (
	"fmt"
	"slices"

	"sparewright/catalog"
)

// shelf is the kind of part that a purchase may add to the drawer when nothing on hand will do.
type shelf struct {
	word  string
	names []string
	kind  catalog.Kind
}

// shelves lists what is tried, cheapest and easiest to get first. The names are rows of the published tables, usual in the
// trade; all are tried, so their order inside a shelf does not matter.
var shelves = []shelf{
	{"film", []string{"polyester film 50 um", "polyester film 75 um", "polyester film 100 um", "polyester film 125 um"}, catalog.KindFilm},
	{"rectifier", []string{"1N5822", "SB560", "SB5100", "MBR20100CT", "MUR420", "BYV32E-200", "UF5404"}, catalog.KindRectifier},
	{"clamp", []string{"1.5KE91A", "1.5KE110A", "1.5KE130A", "1.5KE150A", "1.5KE180A"}, catalog.KindClamp},
	{"wire", []string{"TIW 0.30 mm", "TIW 0.40 mm", "TIW 0.50 mm", "TIW 0.60 mm", "TIW 0.80 mm"}, catalog.KindWire},
	{"core", []string{"E16/8/5", "E20/10/6", "E25/13/7", "ETD29/16/10", "ETD34/17/11", "E30/15/7"}, catalog.KindCore},
	{"switcher", []string{"NCP1014", "NCP1055", "TOP223", "TOP224", "TOP244Y", "TOP246Y", "FSDM0565RB", "KA5M0365R", "NCP1053", "VIPer16L"}, catalog.KindSwitcher},
	{"amplifier", []string{"LM358A", "AP4310A", "TSM103A", "LM2904AV"}, catalog.KindAmplifier},
	{"optocoupler", []string{"PC817B"}, catalog.KindOptocoupler},
	{"tape", []string{"polyester tape 25 um film"}, catalog.KindFilm},
}

// boughtFerrite is the grade reckoned with for a core to be bought.
const boughtFerrite = "N87"

// soldCore is the name of a core of this shape as it is bought.
func soldCore(shape string) string { return shape + " " + boughtFerrite }

// with returns a copy of the drawer that also holds the parts of a shelf, marked as to be bought.
func (d *drawer) with(s shelf) *drawer {
	c := *d
	for _, name := range s.names {
		p, ok := soldPart(s.kind, name)
		if !ok {
			continue
		}
		if core, is := p.(catalog.Core); is {
			core.Name, core.Shape, core.Ferrite, core.Former = soldCore(name), name, boughtFerrite, "plain"
			core.Gap = catalog.Of(core.Gap.Value)
			p = core
		}
		switch v := catalog.Complete(p).(type) {
		case catalog.Film:
			if v.Form == "sheet" {
				v.Shim = "yes"
			}
			c.films = append(c.films[:len(c.films):len(c.films)], bought(v))
		case catalog.Rectifier:
			c.rectifiers = append(c.rectifiers[:len(c.rectifiers):len(c.rectifiers)], bought(v))
		case catalog.Clamp:
			c.clamps = append(c.clamps[:len(c.clamps):len(c.clamps)], bought(v))
		case catalog.Wire:
			c.wires = append(c.wires[:len(c.wires):len(c.wires)], bought(v))
		case catalog.Core:
			c.cores = append(c.cores[:len(c.cores):len(c.cores)], bought(v))
		case catalog.Switcher:
			c.switchers = append(c.switchers[:len(c.switchers):len(c.switchers)], bought(v))
		case catalog.Amplifier:
			c.amplifiers = append(c.amplifiers[:len(c.amplifiers):len(c.amplifiers)], bought(v))
		case catalog.Resistor:
			c.resistors = append(c.resistors[:len(c.resistors):len(c.resistors)], bought(v))
		case catalog.Reference:
			c.references = append(c.references[:len(c.references):len(c.references)], bought(v))
		case catalog.Trimmer:
			c.trimmers = append(c.trimmers[:len(c.trimmers):len(c.trimmers)], bought(v))
		case catalog.Optocoupler:
			c.optos = append(c.optos[:len(c.optos):len(c.optos)], bought(v))
		}
	}
	return &c
}

func bought[P catalog.Part](p P) stock[P] {
	return stock[P]{part: p, key: "buy|" + partKey(p), count: 1000, buy: true}
}

// bench returns the workbench of this drawer with the shelves at the given places of the list added; made once.
func (w *Workbench) bench(places ...int) *Workbench {
	var added []shelf
	for _, p := range places {
		added = append(added, shelves[p])
	}
	return w.stocked(added...)
}

// stocked returns the workbench of this drawer with shelves added; made once for the same shelves.
func (w *Workbench) stocked(added ...shelf) *Workbench {
	w.benches.mu.Lock()
	defer w.benches.mu.Unlock()
	key := fmt.Sprintf("%q", added)
	b := w.benches.all[key]
	if b == nil {
		b = w.fresh(added...)
		w.benches.all[key] = b
	}
	return b
}

// fresh is stocked without memory, for shelves that are asked for once. Cores of different shelves stand at the same place of
// the list, so that a bench with other cores keeps its windings to itself.
func (w *Workbench) fresh(added ...shelf) *Workbench {
	d := w.drawer
	var kinds []catalog.Kind
	for _, s := range added {
		d = d.with(s)
		kinds = append(kinds, s.kind)
	}
	b := w.restocked(d, kinds...)
	b.benches = &benchMemory{all: map[string]*Workbench{}}
	if slices.Contains(kinds, catalog.KindCore) {
		b.winding, b.shop = newWindingMemory(), newWindingShop(d)
	}
	return b
}

// remedies names the shelves that may help against a check, as words of shelves.
var remedies = map[string][]string{
	checkNames[chkPower].name:            {"film", "core", "switcher"},
	checkNames[chkPowerEmpty].name:       {"film", "core", "switcher"},
	checkNames[chkDuty].name:             {"switcher", "rectifier"},
	checkNames[chkClass].name:            {"switcher"},
	checkNames[chkFlux].name:             {"film", "core", "switcher"},
	checkNames[chkPulses].name:           {"film", "core", "switcher"},
	checkNames[chkDrain].name:            {"clamp", "rectifier", "switcher"},
	checkNames[chkClampAbove].name:       {"clamp", "rectifier", "switcher"},
	checkNames[chkClampPower].name:       {"clamp", "wire", "switcher"},
	checkNames[chkClampHot].name:         {"clamp", "wire", "switcher"},
	checkNames[chkRectifierHot].name:     {"rectifier"},
	checkNames[chkOnTime].name:           {"switcher", "core"},
	checkNames[chkOutputRipple].name:     {"switcher", "core"},
	checkNames[chkReverse].name:          {"rectifier"},
	checkNames[chkRectifierCurrent].name: {"rectifier"},
	checkNames[chkBiasLow].name:          {"switcher"},
	checkNames[chkBiasHigh].name:         {"switcher"},
	checkNames[chkFill].name:             {"wire", "core"},
	checkNames[chkCoilHot].name:          {"wire", "core"},
	checkNames[chkJunction].name:         {"switcher"},
	checkNames[chkInside].name:           {"rectifier", "switcher", "core"},
	checkNames[chkSupplyHigh].name:       {"amplifier"},
	checkNames[chkOvercharge].name:       {"amplifier"},
	checkNames[chkWarm].name:             {"amplifier"},
	checkNames[chkLamp].name:             {"optocoupler", "amplifier"},
	checkNames[chkLowestRegulated].name:  {"amplifier"},
	checkNames[chkIsolation].name:        {"optocoupler"},
	checkNames[chkPhaseVoltage].name:     {"switcher"},
	checkNames[chkPhaseCurrent].name:     {"switcher"},
	checkBarrier:                         {"wire"},
	checkTape:                            {"tape"},
	checkSwitcherKind:                    {"switcher"},
	checkSwitcherFigures:                 {"switcher"},
	checkWindingRoom:                     {"wire", "core"},
	checkNoSwitcher:                      {"switcher"},
	checkNoCore:                          {"core"},
}

// relevant lists the shelves that may help against any of the refusals, in the order of the list.
func relevant(refused []Refusal) []int {
	var out []int
	for i, s := range shelves {
		for _, r := range refused {
			if slices.Contains(remedies[r.Check], s.word) {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// withPurchases searches for builds that need parts of one shelf, then of two, and stops at the first number that serves. Only
// shelves are tried that may help against a check that refused something. What a regulation network lacks is bought
// beside one shelf.
func (w *Workbench) withPurchases(t Target, refused []Refusal, o Options) (builds []Build, designs int64) {
	var harder []Refusal
	try := func(w *Workbench, places ...int) []Refusal {
		if len(places) > 0 {
			w = w.bench(places...)
		}
		j := newJob(w, t)
		if o.Builds == 1 {
			j.record = &record{}
			j.missing = 1 // without a purchase nothing serves, or there would be no search here
			j.quiet = o.single && len(places) > 0
		}
		for _, p := range places {
			if k := shelves[p].kind; k == catalog.KindCore || k == catalog.KindSwitcher {
				j.mustBuy = true
			}
		}
		found, still := j.all()
		for i := range found {
			builds = append(builds, j.assemble(&found[i]))
		}
		if !j.mustBuy {
			bent, _ := j.adapterBuilds()
			builds = append(builds, bent...)
		}
		designs += j.designs
		return still
	}
	first := relevant(refused)
	for _, p := range first {
		harder = append(harder, try(w, p)...)
	}
	if wired := w.networked(t, refused); wired != nil {
		still := try(wired)
		for _, p := range relevant(still) {
			if len(builds) == 0 {
				try(wired, p)
			}
		}
	}
	if len(builds) > 0 || o.single {
		return builds, designs
	}
	second := relevant(append(harder, refused...))
	for _, p := range first {
		for _, q := range second {
			if p != q && len(builds) == 0 && !(slices.Contains(first, q) && q < p) {
				try(w, min(p, q), max(p, q))
			}
		}
	}
	return builds, designs
}
