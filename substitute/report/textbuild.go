package report

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// Build words one build whole: the charger, its parts with their bins, how to wind and gap the transformer, the stage, the
// control network, losses and heat, every check, and what to beware of.
func Build(t substitute.Target, b *substitute.Build, cautionTexts []string) []Block {
	blocks := []Block{
		{Word: "charger", Title: fmt.Sprintf("build %d: %s on %s", b.Rank, name(b.ChipName()), name(b.Carrier())),
			Table: chargerFacts(t, b)},
		{Word: "part", Title: "parts", Table: partTable(b.Parts)},
	}
	switch b.Kind {
	case substitute.DonorAdapter:
		blocks = append(blocks, adapterBlocks(b)...)
	case substitute.DonorTransformer:
		blocks = append(blocks, Block{Word: "transformer", Title: "transformer, as found", Table: donorFacts(b)})
	default:
		blocks = append(blocks,
			Block{Word: "winding", Title: "windings, in the order they are wound", Table: windingTable(b.Windings)},
			Block{Word: "tape", Title: "tape", Table: tapeTable(b.Transformer.Tape)},
			Block{Word: "core", Title: "core and gap", Table: coreFacts(b)})
	}
	if b.Kind != substitute.DonorAdapter {
		blocks = append(blocks, Block{Word: "stage", Title: "power stage at lowest mains, full pack", Table: stageFacts(b)})
	}
	blocks = append(blocks,
		Block{Word: "network", Title: "resistor networks", Table: networkTable(b.Regulation.Networks)},
		Block{Word: "regulation", Title: "regulation", Table: regulationFacts(t, b.Regulation)})
	if b.Kind != substitute.DonorAdapter {
		blocks = append(blocks, Block{Word: "heat", Title: "losses and heat", Table: heatFacts(b)})
	}
	blocks = append(blocks, Block{Word: "check", Title: "checks", Table: checkTable(b.Checks)})
	if len(b.Warnings) > 0 {
		blocks = append(blocks, Block{Word: "warning", Title: "warnings", Lines: lines(2, b.Warnings)})
	}
	return append(blocks, cautions(cautionTexts))
}

// verdictWords say what a verdict means for the builder.
func verdictWords(b *substitute.Build) string {
	if b.Verdict == substitute.Feasible {
		return "buildable from the drawer"
	}
	return "needs " + plural(b.Score.Missing, "part", "parts") + " bought"
}

func chargerFacts(t substitute.Target, b *substitute.Build) Table {
	s := b.Switcher
	sense := ""
	if s.Sense != 0 {
		sense = si.RKM(s.Sense)
	}
	chip, limit := fmt.Sprintf("%s, %s, %s, %s", s.Designation, s.Control, three(s.Frequency), three(s.Breakdown)), between(s.LimitMin, s.LimitMax, 3)
	if b.Kind == substitute.DonorAdapter {
		chip, limit = b.ChipName()+", as it sits in the adapter", ""
	}
	return facts(
		[2]string{"battery", fmt.Sprintf("%s, full %s, empty %s, never above %s", t.Name, four(t.Set), four(t.Empty), four(t.Absolute))},
		[2]string{"current", three(t.Current)},
		[2]string{"mains", fmt.Sprintf("%g-%g V, %g Hz", float64(t.MainsMin), float64(t.MainsMax), float64(t.Line))},
		[2]string{"case", fmt.Sprintf("%s, %s around it", t.Case, three(t.Ambient))},
		[2]string{"verdict", verdictWords(b)},
		[2]string{"tightest", wholeRoom(b.Score.Margin) + " room: " + middling(b.Score.Binding)},
		[2]string{"switcher", chip},
		[2]string{"current limit", limit},
		[2]string{"sense resistor", sense},
	)
}

func partTable(parts []substitute.PartUse) Table {
	t := Table{Columns: []Column{{Title: "ROLE", Shrink: 1}, {Title: "LOT", Number: true}, {Title: "BIN", Shrink: 1},
		{Title: "DESIGNATION", Shrink: 1}, {Title: "QUANTITY", Number: true}}}
	for _, p := range parts {
		lot := fmt.Sprint(p.Lot)
		if p.Source == "buy" {
			lot = "buy"
		}
		t.add(p.Role, lot, p.Bin, p.Designation, amount(p.Quantity, p.Unit))
	}
	return t
}

func windingTable(ws []substitute.Winding) Table {
	t := Table{Columns: []Column{{Title: "NO", Number: true, Wide: true}, {Title: "WINDING"}, {Title: "WIRE", Shrink: 1},
		{Title: "TURNS", Number: true}, {Title: "STRANDS", Number: true}, {Title: "LAYERS", Number: true},
		{Title: "LENGTH", Number: true}, {Title: "OHM", Number: true}, {Title: "RMS", Number: true, Wide: true},
		{Title: "LOT", Number: true, Wide: true}, {Title: "AC FACTOR", Number: true, Wide: true}}}
	for i, w := range ws {
		layers := fmt.Sprint(w.Layers)
		if w.Layers > 1 {
			layers += "x" + fmt.Sprint(w.PerLayer)
		}
		t.add(fmt.Sprint(i+1), w.Name, w.Wire, fmt.Sprint(w.Turns), fmt.Sprint(w.Strands), layers, three(w.Length),
			si.Format(w.Resistance, 2), si.Format(w.RMS, 2), lotOf(w.Lot), three(w.ACFactor))
	}
	return t
}

// lotOf writes the number of a lot; parts to buy have none.
func lotOf(lot int64) string {
	if lot == 0 {
		return "buy"
	}
	return fmt.Sprint(lot)
}

func tapeTable(uses []substitute.TapeUse) Table {
	t := Table{Columns: []Column{{Title: "WHERE", Shrink: 1}, {Title: "LAYERS", Number: true}, {Title: "LENGTH", Number: true},
		{Title: "LOT", Number: true}}}
	for _, u := range uses {
		t.add(u.Where, fmt.Sprint(u.Layers), three(u.Length), lotOf(u.Lot))
	}
	return t
}

// gapMethods explains the words of the JSON contract.
var gapMethods = map[string]string{
	"shim-all-legs":      "film under all legs",
	"ground":             "centre leg ground down",
	"as-found":           "as found, nothing added",
	"as-found-plus-shim": "as found, with film under all legs",
}

func coreFacts(b *substitute.Build) Table {
	c, g, x := b.Core, b.Gap, b.Transformer
	method := gapMethods[g.Method]
	if method == "" {
		method = g.Method
	}
	rows := [][2]string{
		{"core", fmt.Sprintf("%s, ferrite %s, flux at most %s", c.Designation, c.Ferrite, three(c.FluxLimit))},
		{"gap", method},
	}
	if g.Ground != 0 {
		rows = append(rows, [2]string{"ground gap", three(g.Ground)})
	}
	if g.Shim != 0 {
		rows = append(rows, [2]string{"shim thickness", three(g.Shim)})
	}
	for _, f := range g.Layers {
		rows = append(rows, [2]string{"film", fmt.Sprintf("%s of %s, lot %s", plural(f.Count, "layer", "layers"), f.Designation, lotOf(f.Lot))})
	}
	margin := ""
	if x.Margin != 0 {
		margin = three(x.Margin) + " on each side"
	}
	below, above := "the charger lacks power", "the core saturates; put film in"
	if g.Shim != 0 {
		below += "; take film out"
	}
	accept := acceptance(&x)
	if accept.LowBy != "" {
		below = beyond(accept.LowBy) + "; below " + three(x.WallPower) + " " + below
	}
	if accept.HighBy != "" {
		above = beyond(accept.HighBy) + "; above " + three(x.WallSaturation) + " " + above
	}
	rows = append(rows,
		[2]string{"winding order", x.Order},
		[2]string{"barrier", x.Barrier},
		[2]string{"margins", margin},
		[2]string{"window filled", si.Percent(x.WindowFill, 2)},
		[2]string{"primary inductance", fmt.Sprintf("%s expected, %s", three(x.Inductance), between(x.InductanceLow, x.InductanceHigh, 3))},
		[2]string{"accept when measured", between(accept.Low, accept.High, 3)},
		[2]string{"below that", below},
		[2]string{"above that", above},
		[2]string{"flux peak and swing", three(x.FluxPeak) + ", " + three(x.FluxSwing)},
		[2]string{"reflected voltage", three(x.Reflected)},
		[2]string{"leakage expected", three(x.Leakage)},
	)
	return facts(rows...)
}

func stageFacts(b *substitute.Build) Table {
	s := b.Stage
	bias := ""
	if b.Transformer.BiasTurns > 0 {
		bias = fmt.Sprintf("%s from %d turns", between(s.BiasMin, s.BiasMax, 3), b.Transformer.BiasTurns)
	}
	return facts(
		[2]string{"bus, any mains", between(s.BusMin, s.BusMax, 3)},
		[2]string{"bulk capacitor, least", three(s.BulkCapacity)},
		[2]string{"mode", s.Mode},
		[2]string{"duty", si.Percent(s.DutyMax, 3)},
		[2]string{"primary current", three(s.PrimaryPeak) + " peak, " + three(s.PrimaryRMS) + " rms"},
		[2]string{"secondary current", three(s.SecondaryPeak) + " peak, " + three(s.SecondaryRMS) + " rms"},
		[2]string{"drain at highest mains", three(s.DrainPeak) + " peak, clamp at " + three(s.Clamp)},
		[2]string{"rectifier, reverse", three(s.ReverseVoltage)},
		[2]string{"output capacitor ripple", three(s.CapacitorRipple)},
		[2]string{"chip supply", bias},
		[2]string{"power from the mains", three(s.InputPower)},
	)
}

func networkTable(ns []substitute.NetworkUse) Table {
	t := Table{Columns: []Column{{Title: "ROLE"}, {Title: "VALUE", Number: true}, {Title: "WIRING", Shrink: 1}, {Title: "LOTS", Shrink: 1}}}
	for _, n := range ns {
		t.add(n.Role, si.RKM(n.Ohm), n.Wiring, networkLots(n.Parts))
	}
	return t
}

// networkLots says which lots the resistors of a network come from.
func networkLots(parts []substitute.ResistorUse) string {
	text := ""
	for i, p := range parts {
		if i > 0 {
			text += ", "
		}
		if p.Count > 1 {
			text += fmt.Sprintf("%d of ", p.Count)
		}
		text += lotOf(p.Lot)
	}
	return text
}

func regulationFacts(t substitute.Target, r substitute.Regulation) Table {
	rows := append(setPoint(t, r),
		[2]string{"current falls from", four(r.KneeVoltage) + " at the battery"},
		[2]string{"reference", four(r.Reference)},
		[2]string{"divider", si.RKM(r.Top) + " over " + si.RKM(r.Bottom)},
		[2]string{"control ground", r.Ground},
		[2]string{"shunt", fmt.Sprintf("%s, %s across it, %s", si.RKM(r.Shunt), three(r.Sense), three(r.ShuntPower))},
		[2]string{"current divider", si.RKM(r.SenseTop) + " over " + si.RKM(r.SenseBottom)},
		[2]string{"current trimmer", code(r.SenseTrimmer)},
		[2]string{"charging current", between(r.CurrentLow, r.CurrentHigh, 3)},
		[2]string{"current, worst case", "up to " + three(r.CurrentWorst)},
		[2]string{"reference current", fmt.Sprintf("%s through %s", between(r.BiasMin, r.BiasMax, 3), si.RKM(r.Bias))},
		[2]string{"optocoupler lamp", fmt.Sprintf("%s through %s, needs %s", three(r.LampHave), si.RKM(r.LampResistor), three(r.LampNeed))},
		[2]string{"regulates down to", four(r.LowestRegulated)},
	)
	return facts(rows...)
}

// setPoint tells how the voltage is set: between the ends of a trimmer, or by the divider alone.
func setPoint(t substitute.Target, r substitute.Regulation) [][2]string {
	worst := [2]string{"worst case", between(r.WorstLow, r.WorstHigh, 4)}
	if r.Trimmer == 0 {
		return [][2]string{{"voltage at idle", four(r.SetHigh) + ", set by the divider alone"}, worst}
	}
	return [][2]string{
		{"voltage at idle", four(t.Set) + ", set with the trimmer, no battery connected"},
		{"voltage trimmer", code(r.Trimmer)},
		{"trimmer ends", between(r.SetLow, r.SetHigh, 4)},
		worst,
		{"wiper open", four(r.OpenWiper)},
	}
}

// code writes a resistance as it is printed on the part; a part that is not there has none.
func code(r si.Resistance) string {
	if r == 0 {
		return "none"
	}
	return si.RKM(r)
}

func heatFacts(b *substitute.Build) Table {
	l := b.Losses
	return facts(
		[2]string{"switcher", three(l.Switch)},
		[2]string{"core", three(l.Core)},
		[2]string{"copper", three(l.Copper)},
		[2]string{"clamp", three(l.Clamp)},
		[2]string{"rectifier", three(l.Rectifier)},
		[2]string{"shunt", three(l.Shunt)},
		[2]string{"bridge", three(l.Bridge)},
		[2]string{"other", three(l.Other)},
		[2]string{"all losses", three(allLosses(l))},
		[2]string{"efficiency", si.Percent(si.Ratio(b.Efficiency), 3)},
		[2]string{"switcher junction", three(b.Junction)},
		[2]string{"transformer", three(b.CoilHot)},
		[2]string{"air inside", three(b.Inside)},
	)
}

// checkTable lists every limit. A soft limit may be broken; the warning then says so.
func checkTable(checks []substitute.Check) Table {
	t := Table{Columns: []Column{{Title: "CHECK", Shrink: 1}, {Title: "VALUE", Number: true}, {Title: "LIMIT", Number: true},
		{Title: "ROOM", Number: true}, {Title: "KEPT"}, {Title: "BASIS", Wide: true}}}
	for _, c := range checks {
		value, limit := apart(c.Value, c.Limit, c.Unit)
		kept := "ok"
		if !c.Passed {
			kept = "no"
		}
		if !c.Hard {
			kept += ", soft"
		}
		t.add(middling(c.Name), value, c.Sense+" "+limit, room(c.Margin), kept, c.Basis)
	}
	return t
}

// acceptance is what the primary may measure: where every limit holds, else between the walls.
func acceptance(x *substitute.Transformer) substitute.Window {
	if x.Holds != nil {
		return *x.Holds
	}
	return substitute.Window{Low: x.WallPower, High: x.WallSaturation}
}

// beyond says which limit goes first.
func beyond(check string) string { return middling(check) + " over its limit" }
