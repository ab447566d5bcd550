package substitute_test

import (
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute"
)

func effective(a audit, lot int64) catalog.Part {
	l, ok := a.lots[lot]
	if !ok {
		a.fail("lot %d is not in the drawer", lot)
		return catalog.Resistor{}
	}
	return inventory.Effective(l)
}

// auditStock: over the whole build no lot gives more than it has, nothing damaged is used, names
// and units are those of the lots, and the resistors of the networks are those of the parts list.
func auditStock(a audit) {
	used := map[int64]float64{}
	for _, u := range a.build.Parts {
		if u.Source == "buy" {
			a.isTrue(u.Lot == 0 && u.Requirement != "",
				"%s: to be bought, but lot %d and requirement %q", u.Role, u.Lot,
				u.Requirement)
			continue
		}
		l, ok := a.lots[u.Lot]
		if !ok {
			a.fail("%s: lot %d is not in the drawer", u.Role, u.Lot)
			continue
		}
		used[u.Lot] += u.Quantity
		a.isTrue(u.Source == "drawer" && u.Quantity > 0, "%s: source %q, quantity %g", u.Role,
			u.Source, u.Quantity)
		a.isTrue(l.Condition != inventory.Damaged, "%s: lot %d is damaged", u.Role, u.Lot)
		a.isTrue(u.Designation == l.Part.Designation() && u.Unit == string(l.Unit()) &&
			u.Bin == l.Bin,
			"%s: %q of bin %q is %q of bin %q",
			u.Role, u.Designation, u.Bin, l.Part.Designation(), l.Bin)
		a.isTrue(l.Unit() == inventory.Metres || u.Quantity == math.Trunc(u.Quantity),
			"%s: %g pieces", u.Role, u.Quantity)
	}
	for id, n := range used {
		a.isTrue(n <= a.lots[id].Available()+1e-9, "lot %d gives %g and has %g", id, n,
			a.lots[id].Available())
	}
	for _, n := range a.build.Regulation.Networks {
		wired, listed := map[int64]float64{}, map[int64]float64{}
		for _, p := range n.Parts {
			wired[p.Lot] += float64(p.Count)
		}
		for _, u := range a.uses(n.Role.String()) {
			listed[u.Lot] += u.Quantity
		}
		for _, m := range []map[int64]float64{wired, listed} {
			for id := range m {
				a.isTrue(wired[id] == listed[id], "%s: %g of lot %d wired, %g in the parts list",
					n.Role, wired[id], id, listed[id])
			}
		}
	}
}

// auditLots: where the build names a lot beside a figure, it is one that the parts list takes for
// that role.
func auditLots(a audit) {
	b := a.build
	same := func(lot int64, role string) {
		for _, u := range a.uses(role) {
			if u.Lot == lot {
				return
			}
		}
		a.fail("lot %d is not what the parts list takes for %q", lot, role)
	}
	same(b.Switcher.Lot, "switcher")
	same(b.Core.Lot, "core pair")
	for _, l := range b.Gap.Layers {
		for _, u := range a.uses("shim") {
			if film, is := a.part(u).(catalog.Film); is && u.Designation == l.Designation {
				a.isTrue(u.Lot == l.Lot, "film %q is lot %d, not %d", l.Designation, u.Lot, l.Lot)
				agrees(a, l.Thickness, film.Thickness.Value, exact, "film")
			}
		}
	}
	for _, w := range b.Windings {
		same(w.Lot, "wire, "+w.Name)
	}
	for _, t := range b.Transformer.Tape {
		same(t.Lot, "tape")
	}
}

// auditRoles: every role that a charger needs is filled with as many parts as it takes.
func auditRoles(a audit) {
	b := a.build
	need := map[string]float64{"mains fuse": 1, "inrush limiter": 1, "X capacitor": 1,
		"mains choke": 1, "bridge": 1,
		"bulk capacitor":            1,
		"bulk bleed, two in series": 2, "clamp diode": 1, "switcher": 1, "chip supply capacitor": 1,
		"core pair": 1, "tape": 0.01,
		"output rectifier": 1, "output capacitor": 1, "Y capacitor": 1, "optocoupler": 1,
		"amplifier":               1,
		"loop capacitor, voltage": 1, "loop capacitor, current": 1,
		"supply bypass of the amplifier": 1}
	if b.Transformer.BiasTurns > 0 {
		need["bias rectifier"] = 1
		a.isTrue(len(windingsNamed(b, "bias")) == 1, "no bias winding is laid")
	}
	for _, w := range b.Windings {
		need["wire, "+w.Name] = float64(w.Length) * float64(w.Strands)
	}
	for _, n := range b.Regulation.Networks {
		need[n.Role.String()] = float64(len(values(n.Wiring)))
	}
	if len(a.uses("drain clamp")) > 0 {
		need["drain clamp"] = 1
	} else {
		need["clamp resistor"], need["clamp capacitor"] = 1, 1
	}
	if len(a.uses("diode joining the loops")) > 0 {
		need["diode joining the loops"] = 2
	} else {
		need["LED, charging (current holds)"], need["LED, full (voltage holds)"] = 1, 1
	}
	combined := partOf[catalog.Amplifier](a, "amplifier").Function == "combined"
	need["input resistor at SENSE"], need["input clamp at SENSE"] = 1, 1
	if !combined {
		need["loop resistor, one a loop"] = 2
	}
	a.needIf(need, "loop damping, voltage", b.Regulation.Loops.Voltage.Damping > 0)
	a.needIf(need, "loop damping, current", b.Regulation.Loops.Current.Damping > 0)
	a.needIf(need, "lead capacitor", b.Regulation.Loops.Voltage.Lead > 0)
	a.needIf(need, "output capacitor behind the choke", len(a.uses("output choke")) > 0)
	sw := partOf[catalog.Switcher](a, "switcher")
	a.needIf(need, "feedback capacitor", sw.FeedbackStore.Known())
	a.needIf(need, "start resistor, two in series", sw.Start == "resistor")
	if sw.Start == "resistor" {
		need["start resistor, two in series"] = 2
	}
	a.needIf(need, "bias capacitor", partOf[catalog.Switcher](a, "switcher").Feedback ==
		"feeds-control")
	a.needIf(need, "reference", partOf[catalog.Amplifier](a, "amplifier").Function != "combined")
	a.needIf(need, "limit resistor", partOf[catalog.Switcher](a, "switcher").Setting == "external")
	a.needIf(need, "shim", len(b.Gap.Layers) > 0)
	a.needIf(need, "voltage trimmer", b.Regulation.Trimmer > 0)
	a.needIf(need, "current trimmer", b.Regulation.SenseTrimmer > 0)
	for role, n := range need {
		have := 0.0
		for _, u := range a.uses(role) {
			have += u.Quantity
		}
		a.isTrue(have >= n, "role %q has %g of %g", role, have, n)
	}
	for _, role := range []string{"divider top", "divider bottom", "shunt", "current divider top",
		"current divider bottom",
		"reference bias", "LED resistor"} {
		a.network(role)
	}
}

func (a audit) needIf(need map[string]float64, role string, when bool) {
	if when {
		need[role] = 1
	} else {
		a.isTrue(len(a.uses(role)) == 0, "role %q is filled without need", role)
	}
}

func windingsNamed(b *substitute.Build, name string) (out []substitute.Winding) {
	for _, w := range b.Windings {
		if strings.HasPrefix(w.Name, name) {
			out = append(out, w)
		}
	}
	return out
}

// auditRatings: what the parts around the power stage must bear.
func auditRatings(a audit) {
	f, b := a.figures(), a.build
	// 0.55: power factor of a capacitor-input rectifier, from memory
	mains := float64(b.Stage.InputPower) / float64(a.target.MainsMin) / 0.55
	if len(a.uses("mains fuse")) > 0 {
		p := partOf[catalog.Fuse](a, "mains fuse")
		a.isTrue(float64(p.Current.Value) >= 1.5*mains && p.Speed != "fast",
			"fuse %q at %g A", p.Name, mains)
	}
	bleed := partOf[catalog.Resistor](a, "bulk bleed, two in series")
	half := f.busMax / 2
	burns := half * half / float64(bleed.Resistance.Value)
	a.isTrue(float64(bleed.Volts.Value) >= half && burns <= 0.5*float64(bleed.Rating.Value),
		"bleed %q", bleed.Name)
	// from the highest bus to 60 V, the limit for touchable voltage, within a minute, with all the
	// capacitance and the nominal resistance
	bulk := partOf[catalog.Capacitor](a, "bulk capacitor")
	most := f.bulk * (1 + float64(bulk.Tolerance.Value)) / (1 - float64(bulk.Tolerance.Value))
	seconds := f.bleed * most * math.Log(f.busMax/60)
	a.isTrue(seconds <= 60, "the bleed takes %.0f s to 60 V", seconds)
	a.starting(f.busMax)
	a.plug()
	diode := partOf[catalog.Rectifier](a, "clamp diode")
	a.isTrue(float64(diode.Reverse.Value) >= float64(a.build.Stage.DrainPeak) &&
		diode.Technology != "standard", "clamp diode %q",
		diode.Name)
	a.isTrue(f.rect.Technology == "schottky" || f.rect.Recovery.Value <= 75e-9,
		"output rectifier %q is slow", f.rect.Name)
	y := partOf[catalog.Capacitor](a, "Y capacitor")
	most = float64(y.Capacitance.Value) * (1 + float64(y.Tolerance.Value))
	// the target says the lowest line frequency
	touch := 2 * math.Pi * max(60, float64(a.target.Line)) * float64(a.target.MainsMax) * most
	a.isTrue(y.Safety == "Y1" && touch <= 0.25e-3, "Y capacitor %q, %g A", y.Name, touch)
	judged(a, "touch current through the Y capacitor", touch, 0.25e-3, exact)
	if b.Transformer.BiasTurns > 0 {
		p := partOf[catalog.Rectifier](a, "bias rectifier")
		reverse := f.bias[1] + f.busMax*float64(b.Transformer.BiasTurns)/
			float64(b.Transformer.PrimaryTurns)
		a.isTrue(0.8*float64(p.Reverse.Value) >= reverse && p.Technology != "standard",
			"bias rectifier %q at %g V",
			p.Name, reverse)
		a.isTrue(float64(partOf[catalog.Capacitor](a, "chip supply capacitor").Volts.Value) >=
			1.2*f.bias[1],
			"chip supply capacitor")
	}
}

// plug: above 0.1 uF the X capacitor is down to 34 V a second after the plug is pulled, 20 % above
// its value counted.
func (a audit) plug() {
	c := float64(partOf[catalog.Capacitor](a, "X capacitor").Capacitance.Value)
	across := a.uses("X discharge, two in series")
	if c <= 100e-9 || len(a.uses("X capacitor")) == 0 {
		a.isTrue(len(across) == 0, "an X discharge that is not needed")
		return
	}
	p := partOf[catalog.Resistor](a, "X discharge, two in series")
	crest, ohm := math.Sqrt2*float64(a.target.MainsMax), float64(p.Resistance.Value)
	a.isTrue(2*ohm*1.2*c*math.Log(crest/34) <= 1, "X discharge of 2 x %g ohm across %g F", ohm, c)
	a.isTrue(float64(p.Volts.Or(200)) >= crest/2 &&
		crest*crest/8/ohm <= 0.5*float64(p.Rating.Or(0.25)), "X discharge %q", p.Name)
}

// starting: what the chip needs before the first pulse, and time for the output to come up. The
// resistors carry more than the chip takes at the lowest mains with 5 % of tolerance, and stand
// half the bus each; the feedback pin goes from 3 V to 6 V with 5 uA (from memory) in no less time
// than half the energy in the output takes at the power of the build, which the limit passes at
// least.
func (a audit) starting(busMax float64) {
	sw := partOf[catalog.Switcher](a, "switcher")
	if sw.Start == "resistor" {
		p := partOf[catalog.Resistor](a, "start resistor, two in series")
		ohm, half := float64(p.Resistance.Value), busMax/2
		least := (math.Sqrt2*float64(a.target.MainsMin) - 2 - 16) / (2 * ohm * 1.05)
		a.isTrue(least > float64(sw.StartCurrent.Value),
			"start: %g A at lowest mains, the chip takes %g A", least,
			float64(sw.StartCurrent.Value))
		a.isTrue(float64(p.Volts.Or(200)) >= half &&
			half*half/ohm <= 0.5*float64(p.Rating.Or(0.25)), "start resistor %q", p.Name)
	}
	if !sw.FeedbackStore.Known() {
		return
	}
	out, n, filter := partOf[catalog.Capacitor](a, "output capacitor"), 0.0, 0.0
	for _, u := range a.uses("output capacitor") {
		n += u.Quantity
	}
	for _, u := range a.uses("feedback capacitor") {
		filter += u.Quantity * float64(partOf[catalog.Capacitor](a,
			"feedback capacitor").Capacitance.Value)
	}
	set := float64(a.target.Set)
	up := n * float64(out.Capacitance.Value) * set * set / 2 / (set * float64(a.target.Current))
	full := 0.5 * float64(a.build.Transformer.InductanceLow) *
		math.Pow(float64(a.build.Switcher.LimitMin), 2) * float64(sw.FrequencyMin.Value)
	if a.build.Stage.Mode != "continuous" && full > 0 {
		up *= set * float64(a.target.Current) / full
	}
	a.isTrue(filter*3/5e-6 >= up, "the overload timer of %g s ends the start of %g s",
		filter*3/5e-6, up)
}

// soft are the checks that only warn.
var soft = []string{
	"energy in the shunt, pack put on a dead charger",
	"let-through of the output fuse, pack reversed",
	"output below ground, pack reversed", "reference current backwards, pack reversed",
	"current density of the primary",
	"current density of the secondary",
	"amplifier offset against the sense voltage",
	"duty in continuous mode",
	"lowest trip of the overvoltage protection",
	"squared current in the output fuse, pack put on a dead charger",
	"energy in the shunt, output put to control ground with a pack on",
	"mean current into a pack below its lowest voltage",
	"lasting current, leads or output shorted",
	"current that the unplugged charger takes from a full pack",
}

// auditChecks: margin and verdict of every check from its value and limit, and the verdict of the
// build from all of them.
func auditChecks(a audit) {
	b := a.build
	names := map[string]bool{}
	for _, c := range b.Checks {
		a.isTrue(!names[c.Name], "check %q comes twice", c.Name)
		names[c.Name] = true
		margin, passed := (c.Limit-c.Value)/math.Abs(c.Limit), c.Value <= c.Limit
		if c.Sense == "min" {
			margin, passed = -margin, c.Value >= c.Limit
		}
		a.isTrue(c.Sense == "min" || c.Sense == "max", "check %q: sense %q", c.Name, c.Sense)
		if ideal, apart := ideals(a)[c.Name]; apart {
			margin = min(1, (c.Limit-c.Value)/(c.Limit-ideal))
		}
		agrees(a, c.Margin, min(1, margin), exact, "margin of the check "+c.Name)
		a.isTrue(c.Passed == passed, "check %q: passed %t, %g against %g", c.Name, c.Passed,
			c.Value, c.Limit)
		a.isTrue(c.Hard != slices.Contains(soft, c.Name), "check %q: hard %t", c.Name, c.Hard)
		a.isTrue(c.Passed || !c.Hard, "the hard check %q failed", c.Name)
		a.isTrue(c.Unit != "" && c.Basis != "", "check %q: unit %q, basis %q", c.Name,
			c.Unit, c.Basis)
	}
	bought := 0
	for _, u := range b.Parts {
		if u.Source == "buy" {
			bought++
		}
	}
	a.isTrue((b.Verdict == substitute.Feasible) == (bought == 0), "verdict %q with %d parts to buy",
		b.Verdict, bought)
	a.isTrue(b.Score.Missing == bought, "score counts %d missing parts of %d",
		b.Score.Missing, bought)
	steps := 0
	if b.Regulation.Step != nil {
		steps = 1
	}
	a.isTrue(b.Score.Steps == steps, "score counts %d measured steps of %d", b.Score.Steps, steps)
}

// Checks that stand in every build of a target alike, or hold by construction, and therefore do not
// rank.
var unranked = []string{
	"bulk capacitor voltage at highest mains",
	"reverse voltage of the bridge",
	"bridge current",
	"output capacitor voltage",
	"creepage across the winding barrier",
	"creepage between the pin rows",
	"shim thickness",
	"lowest reach of the upper trimmer end",
	"highest reach of the lower trimmer end",
	"highest pack voltage, any trimmer position and corner",
	"pack voltage with the trimmer wiper open",
	"pack voltage with the reference hot, set on the bench",
	"highest charging current, any trimmer position and corner",
	"lowest reach of the upper current end",
	"shunt power",
	"reference current at the lowest output reckoned with",
	"reference current, full pack",
	"amplifier supply, full pack",
	"optocoupler LED current at the lowest output reckoned with",
	"optocoupler isolation",
	"touch current through the Y capacitor",
	"pack voltage after the worst single fault",
	"current into a pack at 0 V through the pre-charge resistor",
}

// ideals are the values at which a margin is whole, where that is not nought: ambient for a
// temperature, the bus for the drain, the crest for the valley, the set point for what is held near
// it.
func ideals(a audit) map[string]float64 {
	t := a.target
	ambient, set, bus, crest := float64(t.Ambient), float64(t.Set), 0.0, 0.0
	if u := a.build.Adapter; u != nil { // of its inside only the bus is known
		bus = float64(u.BusMax)
	} else {
		f := a.figures()
		bus, crest = f.busMax, math.Sqrt2*float64(t.MainsMin)-2*f.drop
	}
	return map[string]float64{"transformer temperature": ambient,
		"switcher junction temperature":                             ambient,
		"air inside the case":                                       ambient,
		"suppressor junction temperature":                           ambient,
		"output rectifier junction temperature":                     ambient,
		"drain voltage at highest mains":                            bus,
		"drain voltage before the spike":                            bus,
		"valley of the bulk voltage at lowest mains":                crest,
		"highest pack voltage, any trimmer position and corner":     set,
		"pack voltage with the trimmer wiper open":                  set,
		"pack voltage with the reference hot, set on the bench":     set,
		"output when the pack is taken off at full current":         set,
		"output when the mains comes on without a pack":             set,
		"highest charging current, any trimmer position and corner": float64(t.Current),
		"lowest reach of the upper trimmer end":                     float64(t.Absolute),
		"highest reach of the lower trimmer end":                    float64(t.BandLow),
		"pack voltage after the worst single fault":                 set,
		"lowest trip of the overvoltage protection":                 float64(t.Absolute),
	}
}

// auditScore: the smallest margin of the ranking checks in whole hundredths. The margin of an upper
// limit counts from nought, of a temperature from the ambient, of the drain from the bus, of the
// valley from the crest.
func auditScore(a audit) {
	b, ideal := a.build, ideals(a)
	least, binding := math.Inf(1), ""
	for _, c := range b.Checks {
		if !c.Hard || slices.Contains(unranked, c.Name) {
			continue
		}
		margin := min(1, (c.Limit-c.Value)/(c.Limit-ideal[c.Name]))
		if c.Sense == "min" && ideal[c.Name] == 0 {
			margin = min(1, c.Value/c.Limit-1)
		}
		if margin < least {
			least, binding = margin, c.Name
		}
	}
	rounded := math.Floor(least*100+1e-6) / 100
	a.isTrue(math.Abs(b.Score.Margin-rounded) < 1e-9, "score margin %g, recomputed %g (%s)",
		b.Score.Margin, least, binding)
	a.isTrue(b.Score.Binding == binding, "binding %q, recomputed %q", b.Score.Binding, binding)
	pieces := 0.0
	for _, u := range b.Parts {
		if u.Unit == "piece" {
			pieces += math.Ceil(u.Quantity)
		}
	}
	a.isTrue(float64(b.Score.Parts) == pieces, "score counts %d pieces of %g",
		b.Score.Parts, pieces)
}
