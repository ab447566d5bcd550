package screen

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

// Build words one build whole: the charger, its parts with their bins, how to wind and gap the
// transformer, the stage, the control network, losses and heat, every check, and what to beware of.
func Build(t substitute.Target, b *substitute.Build, cautionTexts []string) []report.Block {
	blocks := []report.Block{
		{Word: "charger", Title: fmt.Sprintf("build %d: %s on %s", b.Rank,
			report.Name(b.ChipName()), report.Name(b.Carrier())),
			Table: chargerFacts(t, b)},
		{Word: "part", Title: "parts", Table: partTable(b.Parts)},
	}
	switch b.Kind {
	case substitute.DonorAdapter:
		blocks = append(blocks, adapterBlocks(b)...)
	case substitute.DonorTransformer:
		blocks = append(blocks, report.Block{Word: "transformer", Title: "transformer, as found",
			Table: donorFacts(b)})
	default:
		blocks = append(blocks,
			report.Block{Word: "winding", Title: "windings, in the order they are wound",
				Table: windingTable(b.Windings)},
			report.Block{Word: "tape", Title: "tape", Table: tapeTable(b.Transformer.Tape)},
			report.Block{Word: "core", Title: "core and gap", Table: coreFacts(b)})
	}
	if b.Kind != substitute.DonorAdapter {
		blocks = append(blocks, report.Block{Word: "stage",
			Title: "power stage at lowest mains, full pack", Table: stageFacts(b)})
	}
	blocks = append(blocks,
		report.Block{Word: "network", Title: "resistor networks",
			Table: networkTable(b.Regulation.Networks)},
		report.Block{Word: "regulation", Title: "regulation",
			Table: regulationFacts(t, b.Regulation)},
		report.Block{Word: "protection",
			Title: "overvoltage protection, no part shared with the regulation",
			Table: protectionFacts(b.Regulation.Protection)})
	if b.Kind != substitute.DonorAdapter {
		blocks = append(blocks, report.Block{Word: "heat", Title: "losses and heat",
			Table: heatFacts(b)})
	}
	blocks = append(blocks, report.Block{Word: "check", Title: "checks",
		Table: checkTable(b.Checks)})
	if len(b.Warnings) > 0 {
		blocks = append(blocks, report.Block{Word: "warning", Title: "warnings",
			Lines: report.Lines(2, b.Warnings)})
	}
	return append(blocks, cautions(cautionTexts))
}

// protectionFacts is the overvoltage protection in a few lines.
func protectionFacts(p substitute.Protection) report.Table {
	trimmer := ""
	if p.Trimmer > 0 {
		trimmer = fmt.Sprintf("%s, set on a bench supply before any mains", si.RKM(p.Trimmer))
	}
	return report.Facts(
		[2]string{"opens the lead", fmt.Sprintf("at %s; %s to %s over tolerances, hot",
			report.Four(p.Trip),
			report.Four(p.TripLow), report.Four(p.TripHigh))},
		[2]string{"trimmer", trimmer},
		[2]string{"LED current", fmt.Sprintf("%s, needs %s", report.Three(p.LEDHave),
			report.Three(p.LEDNeed))},
		[2]string{"output unheld", report.Three(p.Ceiling)},
		[2]string{"switch, open", "up to " + report.Three(p.SwitchOpen)},
		[2]string{"switch, closed", report.Three(p.SwitchHeat)},
	)
}

func chargerFacts(t substitute.Target, b *substitute.Build) report.Table {
	s := b.Switcher
	sense := ""
	if s.Sense != 0 {
		sense = si.RKM(s.Sense)
	}
	chip, limit := fmt.Sprintf("%s, %s, %s, %s", s.Designation, s.Control,
		report.Three(s.Frequency), report.Three(s.Breakdown)),
		report.Between(s.LimitMin, s.LimitMax, 3)
	if b.Kind == substitute.DonorAdapter {
		chip, limit = b.ChipName()+", as it sits in the adapter", ""
	}
	return report.Facts(
		[2]string{"battery", fmt.Sprintf("%s, full %s, empty %s, never above %s", t.Name,
			report.Four(t.Set), report.Four(t.Empty), report.Four(t.Absolute))},
		[2]string{"current", report.Three(t.Current)},
		[2]string{"mains", fmt.Sprintf("%g-%g V, %g Hz", float64(t.MainsMin), float64(t.MainsMax),
			float64(t.Line))},
		[2]string{"case", fmt.Sprintf("%s, %s around it", t.Case, report.Three(t.Ambient))},
		[2]string{"verdict", report.VerdictWords(b)},
		[2]string{"tightest", report.WholeMargin(b.Score.Margin) + " margin: " +
			report.Middling(b.Score.Binding)},
		[2]string{"reason", b.Score.Reason},
		[2]string{"switcher", chip},
		[2]string{"current limit", limit},
		[2]string{"sense resistor", sense},
	)
}

func partTable(parts []substitute.PartUse) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "ROLE", Shrink: 1},
		{Title: "LOT", Number: true}, {Title: "BIN", Shrink: 1},
		{Title: "DESIGNATION", Shrink: 1}, {Title: "QUANTITY", Number: true}}}
	for _, p := range parts {
		lot := fmt.Sprint(p.Lot)
		if p.Source == "buy" {
			lot = "buy"
		}
		t.Add(p.Role.String(), lot, p.Bin, p.Designation, report.Amount(p.Quantity, p.Unit))
	}
	return t
}

func windingTable(ws []substitute.Winding) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "NO", Number: true, Wide: true},
		{Title: "WINDING"}, {Title: "WIRE", Shrink: 1},
		{Title: "TURNS", Number: true}, {Title: "STRANDS", Number: true}, {Title: "LAYERS", Number: true},
		{Title: "LENGTH", Number: true}, {Title: "OHM", Number: true}, {Title: "RMS", Number: true, Wide: true},
		{Title: "LOT", Number: true, Wide: true}, {Title: "AC FACTOR", Number: true, Wide: true}}}
	for i, w := range ws {
		layers := fmt.Sprint(w.Layers)
		if w.Layers > 1 {
			layers += "x" + fmt.Sprint(w.PerLayer)
		}
		t.Add(fmt.Sprint(i+1), w.Name, w.Wire, fmt.Sprint(w.Turns), fmt.Sprint(w.Strands), layers,
			report.Three(w.Length),
			si.Format(w.Resistance, 2), si.Format(w.RMS,
				2), report.LotOf(w.Lot), report.Three(w.ACFactor))
	}
	return t
}

func tapeTable(uses []substitute.TapeUse) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "WHERE", Shrink: 1},
		{Title: "LAYERS", Number: true}, {Title: "LENGTH", Number: true},
		{Title: "LOT", Number: true}}}
	for _, u := range uses {
		t.Add(u.Where, fmt.Sprint(u.Layers), report.Three(u.Length), report.LotOf(u.Lot))
	}
	return t
}

func coreFacts(b *substitute.Build) report.Table {
	c, g, x := b.Core, b.Gap, b.Transformer
	method := report.GapMethods[g.Method]
	if method == "" {
		method = g.Method
	}
	rows := [][2]string{
		{"core", fmt.Sprintf("%s, ferrite %s, flux at most %s", c.Designation, c.Ferrite, report.Three(c.FluxLimit))},
		{"gap", method},
	}
	if g.Ground != 0 {
		rows = append(rows, [2]string{"ground gap", report.Three(g.Ground)})
	}
	if g.Shim != 0 {
		rows = append(rows, [2]string{"shim thickness", report.Three(g.Shim)})
	}
	for _, f := range g.Layers {
		rows = append(rows, [2]string{"film",
			fmt.Sprintf("%s of %s, lot %s", report.Plural(f.Count, "layer", "layers"),
				f.Designation, report.LotOf(f.Lot))})
	}
	margin := ""
	if x.Margin != 0 {
		margin = report.Three(x.Margin) + " on each side"
	}
	below, above := "the charger lacks power", "the core saturates; put film in"
	if g.Shim != 0 {
		below += "; take film out"
	}
	accept := report.Acceptance(&x)
	if accept.LowBy != "" {
		below = report.Beyond(accept.LowBy) + "; below " + report.Three(x.WallPower) + " " + below
	}
	if accept.HighBy != "" {
		above = report.Beyond(accept.HighBy) + "; above " +
			report.Three(x.WallSaturation) + " " + above
	}
	rows = append(rows,
		[2]string{"winding order", x.Order},
		[2]string{"barrier", x.Barrier},
		[2]string{"margins", margin},
		[2]string{"window filled", si.Percent(x.WindowFill, 2)},
		[2]string{"primary inductance", fmt.Sprintf("%s expected, %s", report.Three(x.Inductance),
			report.Between(x.InductanceLow, x.InductanceHigh, 3))},
		[2]string{"accept when measured", report.Between(accept.Low, accept.High, 3)},
		[2]string{"below that", below},
		[2]string{"above that", above},
		[2]string{"flux peak and swing",
			report.Three(x.FluxPeak) + ", " + report.Three(x.FluxSwing)},
		[2]string{"reflected voltage", report.Three(x.Reflected)},
		[2]string{"leakage expected", report.Three(x.Leakage)},
	)
	return report.Facts(rows...)
}

func stageFacts(b *substitute.Build) report.Table {
	s := b.Stage
	bias := ""
	if b.Transformer.BiasTurns > 0 {
		bias = fmt.Sprintf("%s from %d turns", report.Between(s.BiasMin, s.BiasMax, 3),
			b.Transformer.BiasTurns)
	}
	return report.Facts(
		[2]string{"bus, any mains", report.Between(s.BusMin, s.BusMax, 3)},
		[2]string{"bulk capacitor, least", report.Three(s.BulkCapacity)},
		[2]string{"mode", s.Mode},
		[2]string{"duty", si.Percent(s.DutyMax, 3)},
		[2]string{"primary current", report.Three(s.PrimaryPeak) + " peak, " +
			report.Three(s.PrimaryRMS) + " rms"},
		[2]string{"secondary current", report.Three(s.SecondaryPeak) + " peak, " +
			report.Three(s.SecondaryRMS) + " rms"},
		[2]string{"drain at highest mains",
			report.Three(s.DrainPeak) + " peak, clamp at " + report.Three(s.Clamp)},
		[2]string{"rectifier, reverse", report.Three(s.ReverseVoltage)},
		[2]string{"output capacitor ripple", report.Three(s.CapacitorRipple)},
		[2]string{"chip supply", bias},
		[2]string{"power from the mains", report.Three(s.InputPower)},
	)
}

func networkTable(ns []substitute.NetworkUse) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "ROLE"}, {Title: "VALUE", Number: true},
		{Title: "WIRING", Shrink: 1}, {Title: "LOTS", Shrink: 1}}}
	for _, n := range ns {
		t.Add(n.Role.String(), si.RKM(n.Ohm), n.Wiring, networkLots(n.Parts))
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
		text += report.LotOf(p.Lot)
	}
	return text
}

func regulationFacts(t substitute.Target, r substitute.Regulation) report.Table {
	rows := append(setPoint(t, r),
		[2]string{"current falls from", report.Four(r.KneeVoltage) + " at the battery"},
		[2]string{"reference", report.Four(r.Reference)},
		[2]string{"divider", si.RKM(r.Top) + " over " + si.RKM(r.Bottom)},
		[2]string{"control ground", r.Ground},
		[2]string{"shunt", fmt.Sprintf("%s, %s across it, %s", si.RKM(r.Shunt),
			report.Three(r.Sense), report.Three(r.ShuntPower))},
		[2]string{"current divider", si.RKM(r.SenseTop) + " over " + si.RKM(r.SenseBottom)},
		[2]string{seats.CurrentTrimmer.String(), code(r.SenseTrimmer)},
		[2]string{"charging current", report.Between(r.CurrentLow, r.CurrentHigh, 3)},
		[2]string{"current, worst case", "up to " + report.Three(r.CurrentWorst)},
		[2]string{"reference current", fmt.Sprintf("%s through %s",
			report.Between(r.BiasMin, r.BiasMax, 3), si.RKM(r.Bias))},
		[2]string{"optocoupler LED", fmt.Sprintf("%s through %s, needs %s", report.Three(r.LEDHave),
			si.RKM(r.LEDResistor), report.Three(r.LEDNeed))},
		[2]string{"regulates down to", report.Four(r.LowestRegulated)},
	)
	return report.Facts(rows...)
}

// setPoint tells how the voltage is set: between the ends of a trimmer, or by the divider alone.
func setPoint(t substitute.Target, r substitute.Regulation) [][2]string {
	worst := [2]string{"worst case", report.Between(r.WorstLow, r.WorstHigh, 4)}
	if k := r.Step; k != nil {
		return [][2]string{
			{"voltage at idle", fmt.Sprintf("%s on a meter off by %.1f %% at most",
				report.Between(k.AcceptLow, k.AcceptHigh, 4), 100*float64(k.Meter))},
			{"before that", report.Between(k.BeforeLow, k.BeforeHigh, 4) + ", too little for the pack"},
			{"set resistor", setTable(k)},
			worst,
		}
	}
	if r.Trimmer == 0 {
		return [][2]string{{"voltage at idle",
			report.Four(r.SetHigh) + ", set by the divider alone"}, worst}
	}
	return [][2]string{
		{"voltage at idle", report.Four(t.Set) + ", set with the trimmer, no battery connected"},
		{seats.VoltageTrimmer.String(), code(r.Trimmer)},
		{"trimmer ends", report.Between(r.SetLow, r.SetHigh, 4)},
		worst,
		{"wiper open", report.Four(r.OpenWiper)},
	}
}

// setTable says which resistor goes in after which reading.
func setTable(k *substitute.MeasuredStep) string {
	var out []string
	for _, c := range k.Choices {
		out = append(out, fmt.Sprintf("%s from %.2f V", c.Wiring, float64(c.From)))
	}
	return strings.Join(out, ", ") + fmt.Sprintf(", none from %.2f V", float64(k.AcceptLow))
}

// code writes a resistance as it is printed on the part; a part that is not there has none.
func code(r si.Resistance) string {
	if r == 0 {
		return "none"
	}
	return si.RKM(r)
}

func heatFacts(b *substitute.Build) report.Table {
	l := b.Losses
	return report.Facts(
		[2]string{"switcher", report.Three(l.Switch)},
		[2]string{"core", report.Three(l.Core)},
		[2]string{"copper", report.Three(l.Copper)},
		[2]string{"clamp", report.Three(l.Clamp)},
		[2]string{"rectifier", report.Three(l.Rectifier)},
		[2]string{"shunt", report.Three(l.Shunt)},
		[2]string{"bridge", report.Three(l.Bridge)},
		[2]string{"other", report.Three(l.Other)},
		[2]string{"all losses", report.Three(report.AllLosses(l))},
		[2]string{"efficiency", si.Percent(si.Ratio(b.Efficiency), 3)},
		[2]string{"switcher junction", report.Three(b.Junction)},
		[2]string{"transformer", report.Three(b.CoilHot)},
		[2]string{"air inside", report.Three(b.Inside)},
	)
}

// checkTable lists every limit. A soft limit may be broken; the warning then says so.
func checkTable(checks []substitute.Check) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "CHECK", Shrink: 1},
		{Title: "VALUE", Number: true}, {Title: "LIMIT", Number: true},
		{Title: "MARGIN", Number: true}, {Title: "KEPT"}, {Title: "BASIS", Wide: true}}}
	for _, c := range checks {
		value, limit := report.Apart(c.Value, c.Limit, c.Unit)
		kept := "ok"
		if !c.Passed {
			kept = "no"
		}
		if !c.Hard {
			kept += ", soft"
		}
		t.Add(report.Middling(c.Name), value, c.Sense+" "+limit,
			report.Margin(c.Margin), kept, c.Basis)
	}
	return t
}
