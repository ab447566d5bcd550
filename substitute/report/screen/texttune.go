package screen

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
	"sparewright/substitute/tune"
)

// Tuning words the answer to readings of a build on the bench: for everything measured the verdict
// and the next thing to do, then the figures it rests on.
func Tuning(t tune.Tuning, b *substitute.Build) []report.Block {
	head := report.Block{
		Word: "answer",
		Lines: []report.Line{{Text: fmt.Sprintf("Build %d, %s on %s, %s turns.", b.Rank,
			report.Name(b.Switcher.Designation),
			report.Name(b.Core.Designation), report.Turns(b.Transformer))}},
	}
	blocks := []report.Block{}
	if x := t.Inductance; x != nil {
		head.Lines = append(head.Lines, report.Lines(0, inductanceLines(x))...)
		blocks = append(blocks, report.Block{Word: "inductance", Title: "inductance",
			Table: inductanceFacts(x)},
			report.Block{Word: "learned", Title: "what the readings say of core and films",
				Table: learnedTable(x.Learned)})
	}
	if s := t.Step; s != nil {
		head.Lines = append(head.Lines, report.Lines(0, stepLines(s))...)
		blocks = append(blocks, report.Block{Word: "step", Title: "the measured step",
			Table: stepFacts(s)})
	}
	for _, s := range []struct {
		word string
		set  *tune.SetTuning
	}{{"voltage", t.Voltage}, {"current", t.Current}} {
		if s.set != nil {
			head.Lines = append(head.Lines, report.Lines(0, setLines(s.word, s.set))...)
			blocks = append(blocks, report.Block{Word: s.word,
				Title: s.word + " with the parts as read", Table: setFacts(s.set)})
		}
	}
	if s := t.Stage; s != nil {
		head.Lines = append(head.Lines, report.Lines(0, stageLines(s))...)
		blocks = append(blocks, report.Block{Word: "stage",
			Title: "power stage with the leakage as read", Table: tunedStage(s)})
	}
	return append(append([]report.Block{head}, blocks...), cautions(t.Cautions))
}

// inductanceLines words verdict and next step of the inductance.
func inductanceLines(x *tune.InductanceTuning) []string {
	out := []string{verdictSentence(x)}
	if x.Doubt != "" {
		out = append(out, "Doubtful: "+x.Doubt+".")
	}
	switch {
	case x.Verdict == tune.TuneGood:
		out = append(out, "Good: close it. Glue or bind the pair and measure once more.")
	case x.Next != nil:
		out = append(out, "Next: "+changeText(x.Next)+". "+expectText(x.Next))
	case x.Verdict == tune.TuneStrained:
		out = append(out, "No stack of the drawer is likely to keep that limit too. Take another "+
			"build, or mend that limit.")
	case x.Buy != nil:
		out = append(
			out,
			"No stack of the drawer reaches the window. Buy: "+filmsText(x.Buy.Layers)+
				" alone in the gap. "+expectText(x.Buy),
		)
	case x.Turns != nil:
		w := x.Turns
		out = append(
			out,
			fmt.Sprintf("No stack reaches the window with these turns. Wind anew: %d:%d turns%s, "+
				"%s in the gap. %s Accept %s. "+
				"Wires as before; the winding window was scaled in proportion, so measure the "+
				"build height as you wind.",
				w.Primary, w.Secondary, biasText(w.Bias), filmsText(w.Stack.Layers),
				expectText(&w.Stack), report.Between(w.WallPower, w.WallSaturation, 3)),
		)
	case x.Doubt != "":
		out = append(out, "Next: measure again; nothing can be reckoned from this.")
	default:
		out = append(
			out,
			"Neither a stack of the drawer, nor a film to buy, nor other turns near these help: "+
				"this core does not suit. "+
				"Take another build of advise.",
		)
	}
	return out
}

func biasText(turns int) string {
	if turns == 0 {
		return ""
	}
	return fmt.Sprintf(", bias %d", turns)
}

func verdictSentence(x *tune.InductanceTuning) string {
	read := fmt.Sprintf("Inductance %s, by the meter %s; accept %s", si.Format(x.Measured, 3),
		report.Between(x.Low, x.High, 3),
		report.Between(x.WallPower, x.WallSaturation, 3))
	switch x.Verdict {
	case tune.TuneGood:
		return read + "."
	case tune.TuneLow:
		return read + ": too low, the charger would lack power."
	case tune.TuneHigh:
		return read + ": too high, the core would saturate."
	case tune.TuneStrained:
		return fmt.Sprintf(
			"%s. It lies between the walls, but there %s goes over its limit; every limit "+
				"holds from %s.",
			read,
			report.Brief(x.Strained),
			report.Between(x.Window.Low, x.Window.High, 3),
		)
	}
	return read + ": a wall lies within the error of the meter."
}

// changeText says what to lay in and what to take out.
func changeText(s *tune.StackStep) string {
	var in, out []string
	for _, c := range s.Changes {
		text := report.Plural(max(c.Layers, -c.Layers), "layer", "layers") + " of " +
			report.Name(c.Designation)
		if c.Lot > 0 {
			text += fmt.Sprintf(" (lot %d%s)", c.Lot, binText(c.Bin))
		}
		if c.Layers > 0 {
			in = append(in, text)
		} else {
			out = append(out, text)
		}
	}
	var all []string
	if len(out) > 0 {
		all = append(all, "take out "+strings.Join(out, " and "))
	}
	if len(in) > 0 {
		all = append(all, "lay in "+strings.Join(in, " and "))
	}
	text := strings.Join(all, ", ") + ", under every leg; then there are " + filmsText(s.Layers)
	if len(s.Layers) == 1 && s.Layers[0].Count == 1 || len(s.Layers) == 0 {
		text = strings.Replace(text, "then there are", "then there is", 1)
	}
	return text
}

func binText(bin string) string {
	if bin == "" {
		return ""
	}
	return ", bin " + bin
}

func filmsText(films []substitute.ShimFilm) string {
	var parts []string
	for _, f := range films {
		parts = append(parts, fmt.Sprintf("%d x %s", f.Count, report.Name(f.Designation)))
	}
	if len(parts) == 0 {
		return "no film"
	}
	return strings.Join(parts, " + ")
}

func expectText(s *tune.StackStep) string {
	text := fmt.Sprintf(
		"Expect %s, %s; chance to land %s.",
		si.Format(s.Inductance, 3),
		report.Between(s.Low, s.High, 3),
		chanceText(s.Chance),
	)
	if s.Springs {
		text += " More than three layers spring: press the pair well."
	}
	if s.Hot != "" {
		text += " " + strings.ToUpper(s.Hot[:1]) + s.Hot[1:] + "."
	}
	return text
}

// chanceText never claims certainty.
func chanceText(p si.Ratio) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "below 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*float64(p))
}

func inductanceFacts(x *tune.InductanceTuning) report.Table {
	window := "the walls"
	if x.Window.LowBy != "" || x.Window.HighBy != "" {
		window = report.Between(x.Window.Low, x.Window.High, 3)
	}
	limit := func(by string) string {
		if by == "" {
			return ""
		}
		return report.Brief(by)
	}
	rows := [][2]string{
		{"measured", si.Format(x.Measured, 4)},
		{"by the meter", report.Between(x.Low, x.High, 4)},
		{"wall of power", si.Format(x.WallPower, 4)},
		{"wall of saturation", si.Format(x.WallSaturation, 4)},
		{"every limit holds in", window},
		{"below it fails", limit(x.Window.LowBy)},
		{"above it fails", limit(x.Window.HighBy)},
		{"in the core now", filmsText(x.Now)},
	}
	if s := x.Next; s != nil {
		rows = append(rows, [2]string{"next stack", filmsText(s.Layers)},
			[2]string{"expected", si.Format(s.Inductance, 3)},
			[2]string{"expected band", report.Between(s.Low, s.High, 3)},
			[2]string{"chance to land", chanceText(s.Chance)})
	}
	return report.Facts(rows...)
}

func learnedTable(all []tune.LearnedFigure) report.Table {
	t := report.Table{
		Columns: []report.Column{{Title: "FIGURE", Shrink: 1}, {Title: "NOTED", Number: true},
			{Title: "BY THE READINGS", Number: true},
			{Title: "FROM", Number: true}, {Title: "TO", Number: true}},
	}
	for _, f := range all {
		text := func(v float64) string {
			if f.Unit == "m" {
				return si.Format(si.Length(v), 3)
			}
			return si.Format(si.Ratio(v), 3)
		}
		t.Add(f.Name, text(f.Noted), text(f.Value), text(f.Low), text(f.High))
	}
	return t
}

// setLines words verdict and next step of a set point.
func setLines(word string, s *tune.SetTuning) []string {
	f := func(v float64) string { return report.CheckFigure(v, s.Unit, 4) }
	var text string
	switch s.Verdict {
	case tune.TuneGood:
		text = fmt.Sprintf("%s: good. %s can be set, and nothing passes %s.", word,
			f(s.Set), f(s.Limit))
	case tune.TuneBroken:
		text = fmt.Sprintf("%s: do not connect a battery. It can reach %s, the limit is %s.", word,
			f(s.WorstHigh), f(s.Limit))
	case tune.TuneLow:
		text = fmt.Sprintf("%s: %s cannot be reached, the upper end is %s.", word,
			f(s.Set), f(s.High))
	case tune.TuneHigh:
		text = fmt.Sprintf("%s: it cannot be set as low as %s, the lower end is %s.", word,
			f(s.Set), f(s.Low))
	case tune.TuneUnsure:
		text = fmt.Sprintf("%s: it is not sure that %s can be set.", word, f(s.Set))
	default:
		text = word + ": doubtful."
	}
	out := []string{strings.ToUpper(text[:1]) + text[1:]}
	into := "without a battery"
	if s.Unit == "A" {
		into = "into a resistor as load"
	}
	switch {
	case s.Doubt != "":
		out = append(out, "Next: "+s.Doubt+".")
	case s.Swap != nil:
		out = append(
			out,
			"Next: "+swapText(s.Swap)+fmt.Sprintf(". Ends then near %s and %s, at most %s; set "+
				"it to %s by the meter.", f(s.Swap.Low),
				f(s.Swap.High), f(s.Swap.WorstHigh), f(s.Set)),
		)
	case s.ReadEnds:
		out = append(
			out,
			"Next: no single resistor of the drawer is sure to mend it as far as is known; read "+
				"the set point at both stops "+
				"of the trimmer, "+
				into+".",
		)
	case s.Verdict != tune.TuneGood && s.Verdict != tune.TuneDoubt:
		out = append(
			out,
			"No single resistor of the drawer mends it. Enter what was measured into the drawer "+
				"and ask advise again.",
		)
	}
	if s.Turn != 0 && s.Verdict == tune.TuneGood {
		way := "up"
		if s.Turn < 0 {
			way = "down"
		}
		out = append(
			out,
			fmt.Sprintf("Next: turn the trimmer %s by %s, from %s to %s.", way,
				f(max(s.Turn, -s.Turn)), f(s.Present), f(s.Set)),
		)
	}
	for _, n := range s.Notes {
		out = append(out, "Note: "+n+".")
	}
	return out
}

func swapText(w *tune.SwapStep) string {
	part := fmt.Sprintf("%s (lot %d%s)", report.Name(w.Designation), w.Lot, binText(w.Bin))
	if w.Out > 0 {
		return fmt.Sprintf("in the %s take out %s and put in %s", w.Role, si.RKM(w.Out), part)
	}
	return fmt.Sprintf("put %s %s with the %s, which is then %s", part, w.How, w.Role, w.Leg)
}

// stepLines words what to do about a divider that a measurement finishes.
func stepLines(s *tune.StepTuning) []string {
	accept := fmt.Sprintf("%.2f to %.2f V", float64(s.AcceptLow), float64(s.AcceptHigh))
	again := seats.DividerTop.Mark() + ", " + seats.DividerBottom.Mark() + " or the reference"
	switch {
	case s.Present > 0 && s.Verdict == tune.TuneGood:
		return []string{"Voltage: good. Seal it; nothing passes " + report.Four(s.Limit) + "."}
	case s.Verdict == tune.TuneBroken:
		return []string{fmt.Sprintf("Voltage: do not connect a battery. It reads %s, more than "+
			"%.2f V. "+
			"Take %s out, read again and give it as bare=.", report.Four(s.Present),
			float64(s.AcceptHigh), seats.SetResistor.Mark())}
	case s.Put != "":
		return []string{fmt.Sprintf("Next: solder %s in as %s, across %s. The meter then reads "+
			"%.2f to "+
			"%.2f V; accept %s.", s.Put, seats.SetResistor.Mark(), seats.DividerBottom.Mark(),
			float64(s.ExpectLow), float64(s.ExpectHigh), accept)}
	case s.Verdict == tune.TuneGood:
		return []string{"Voltage: good without a set resistor. Leave " + seats.SetResistor.Mark() +
			" out."}
	case s.Verdict == tune.TuneLow:
		return []string{fmt.Sprintf("Voltage: too low, accept %s. Take %s out, read again and "+
			"give it as "+
			"bare=.", accept, seats.SetResistor.Mark())}
	}
	return []string{fmt.Sprintf("Voltage: doubtful. Right parts read %.2f to %.2f V without %s: "+
		"a wrong "+
		"value at %s.", float64(s.BeforeLow), float64(s.BeforeHigh), seats.SetResistor.Mark(),
		again)}
}

func stepFacts(s *tune.StepTuning) report.Table {
	read := func(v si.Voltage) string {
		if v == 0 {
			return ""
		}
		return report.Four(v)
	}
	return report.Facts([2]string{"never above", report.Four(s.Limit)},
		[2]string{"read without it", read(s.Before)}, [2]string{"read with it", read(s.Present)},
		[2]string{"accept", report.Between(s.AcceptLow, s.AcceptHigh, 4)},
		[2]string{"meter off by", fmt.Sprintf("%.1f %% at most", 100*float64(s.Meter))})
}

func setFacts(s *tune.SetTuning) report.Table {
	f := func(v float64) string { return report.CheckFigure(v, s.Unit, 4) }
	present := ""
	if s.Present > 0 {
		present = f(s.Present)
	}
	return report.Facts([2]string{"wanted", f(s.Set)}, [2]string{"never above", f(s.Limit)},
		[2]string{"read now", present},
		[2]string{"ends, likely", f(s.Low) + " to " + f(s.High)},
		[2]string{"lower end at most", f(s.ReachLow)}, [2]string{"upper end at least",
			f(s.ReachHigh)},
		[2]string{"worst case", f(s.WorstLow) + " to " + f(s.WorstHigh)})
}

// stageLines words what the leakage that was read does.
func stageLines(s *tune.StageTuning) []string {
	read := fmt.Sprintf(
		"Leakage reckoned as %s, expected %s: the clamp burns %s of %s, the drain sees %s of %s",
		si.Format(s.Leakage, 3),
		si.Format(
			s.LeakageExpected,
			3,
		),
		si.Format(s.ClampPower, 3),
		si.Format(s.ClampLimit, 3),
		si.Format(s.DrainPeak, 3),
		si.Format(s.DrainLimit, 3),
	)
	if s.Holds {
		return []string{read + ". Every limit of the stage holds."}
	}
	var names []string
	for _, c := range s.Broken {
		value, limit := report.Apart(c.Value, c.Limit, c.Unit)
		names = append(names, fmt.Sprintf("%s %s, limit %s", report.Brief(c.Name), value, limit))
	}
	out := []string{read + ".", "Do not power it: " + strings.Join(names, "; ") + "."}
	if s.Swap != nil {
		return append(
			out,
			fmt.Sprintf(
				"Next: put in %s (lot %d%s) as the clamp. It then burns %s of %s, the drain sees "+
					"%s, and every limit holds.",
				report.Name(
					s.Swap.Designation,
				),
				s.Swap.Lot,
				binText(s.Swap.Bin),
				si.Format(s.Swap.ClampPower, 3),
				si.Format(s.Swap.ClampLimit, 3),
				si.Format(s.Swap.DrainPeak, 3),
			),
		)
	}
	return append(
		out,
		"No clamp of the drawer mends it. Wind anew with less leakage: split the primary, spread "+
			"every layer over the "+
			"whole width.",
	)
}

func tunedStage(s *tune.StageTuning) report.Table {
	return report.Facts(
		[2]string{"leakage", si.Format(s.Leakage, 3)},
		[2]string{"leakage expected", si.Format(s.LeakageExpected, 3)},
		[2]string{"clamp power", si.Format(s.ClampPower, 3) + " of " + si.Format(s.ClampLimit, 3)},
		[2]string{
			"clamp voltage",
			si.Format(s.Clamp, 3),
		},
		[2]string{"drain, peak", si.Format(s.DrainPeak, 3) + " of " + si.Format(s.DrainLimit, 3)},
		[2]string{"switcher junction", si.Format(s.Junction, 3)},
		[2]string{"transformer", si.Format(s.CoilHot, 3)},
	)
}
