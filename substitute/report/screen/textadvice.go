// Package screen lays answers out as lines and tables for a terminal.
package screen

import (
	"fmt"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

// mostRefusals is how many of the nearest refusals the text shows; the JSON document holds more.
const mostRefusals = 8

// mostReasons is how many builds are told apart in words; the JSON document does it for all.
const mostReasons = 8

// Advice words the answer for one target: the answer itself, the builds, the nearest refusals and
// the cautions. total is how many builds were found, r.Builds may hold fewer.
func Advice(r substitute.Result, total int) []report.Block {
	blocks := []report.Block{answer(r, total)}
	if len(r.Builds) > 0 {
		blocks = append(blocks, report.Block{Word: "build", Title: "builds, best first",
			Table: buildTable(r.Builds)}, reasons(r.Builds))
	}
	if len(r.Refused) > 0 {
		blocks = append(blocks, refusals(r.Refused))
		blocks = append(blocks, howToNote(r.Refused)...)
	}
	if len(r.Builds) == 0 || r.Builds[0].Verdict != substitute.Feasible {
		blocks = append(append(blocks, whatIsWrong(r.Misses)...), whatCures(r.Cures)...)
	}
	return append(blocks, cautions(r.Cautions))
}

// answer says yes or no first.
func answer(r substitute.Result, total int) report.Block {
	b := report.Block{Word: "answer", Lines: []report.Line{{Text: asked(r.Target)}}}
	say := func(text string) { b.Lines = append(b.Lines, report.Line{Text: text}) }
	if len(r.Builds) == 0 {
		say("No: " + whyNot(r))
		return b
	}
	best := &r.Builds[0]
	if best.Verdict == substitute.Feasible {
		say(fmt.Sprintf("Yes: %s from your drawer; best: %s.",
			report.Plural(feasible(r.Builds, total), "build", "builds"), inShort(best)))
		if k := best.Regulation.Step; k != nil {
			say(fmt.Sprintf("With 1 measured step: before mains the meter says which of %s goes in as %s.",
				report.Plural(len(k.Choices), "resistor", "resistors"), seats.SetResistor.Mark()))
		}
	} else {
		say(fmt.Sprintf("Not from your drawer alone, but with %s bought; best: %s.",
			report.Plural(best.Score.Missing, "part", "parts"), inShort(best)))
		say("To buy: " + wanted(best) + ".")
	}
	if total > len(r.Builds) {
		say(fmt.Sprintf("Shown: %d of %d.", len(r.Builds), total))
	}
	return b
}

// feasible counts the builds that need nothing bought. Those that are not shown come last and are
// counted as feasible only when the last one shown is.
func feasible(builds []substitute.Build, total int) int {
	n := 0
	for i := range builds {
		if builds[i].Verdict == substitute.Feasible {
			n++
		}
	}
	if n == len(builds) {
		return total
	}
	return n
}

// whyNot tells what stands in the way of a target without a build.
func whyNot(r substitute.Result) string {
	if len(r.Refused) == 0 {
		return "nothing in the drawer makes this charger, and no purchase of up to two kinds " +
			"of part does."
	}
	if r.Refused[0].Check == chemistryCheck {
		return "a plain charger for constant current, then constant voltage, must not charge " +
			"this chemistry."
	}
	return "nothing in the drawer makes this charger, and no purchase of up to two kinds of part " +
		"does. Nearest: " +
		MissText(r.Refused[0]) + "."
}

// chemistryCheck names the refusal of a battery that no charger of this kind may charge.
const chemistryCheck = "chemistry"

// asked repeats the wanted charger.
func asked(t substitute.Target) string {
	pack := t.Name
	if t.Set != 0 {
		pack += ", " + report.Four(t.Set)
	}
	return fmt.Sprintf("%s, %s; mains %g-%g V %g Hz, %s case, %s around it.", pack,
		report.Three(t.Current), float64(t.MainsMin),
		float64(t.MainsMax), float64(t.Line), t.Case, report.Three(t.Ambient))
}

// inShort is a build in one sentence.
func inShort(b *substitute.Build) string {
	rest := fmt.Sprintf("%s margin (%s), %s lost", report.WholeMargin(b.Score.Margin),
		report.Brief(b.Score.Binding), report.Three(report.LossOf(b)))
	switch b.Kind {
	case substitute.DonorAdapter:
		return fmt.Sprintf("our regulation in the adapter %s, %s", report.Name(b.Carrier()), rest)
	case substitute.DonorTransformer:
		return fmt.Sprintf("%s on the unopened %s, %s turns, %s",
			report.Name(b.Switcher.Designation), report.Name(b.Carrier()),
			report.Turns(b.Transformer), rest)
	}
	return fmt.Sprintf("%s on %s, %s turns, %s", report.Name(b.Switcher.Designation),
		report.Name(b.Core.Designation), report.Turns(b.Transformer), rest)
}

// wanted names what a build needs bought, whole: the words are ours or those of the tables, and
// lines fold.
func wanted(b *substitute.Build) string {
	text := ""
	for _, p := range b.Parts {
		if p.Source != "buy" {
			continue
		}
		if text != "" {
			text += "; "
		}
		text += p.Role.String() + ": " + p.Designation
	}
	return text
}

// buildTable lists builds, one a row.
func buildTable(builds []substitute.Build) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "NO", Number: true},
		{Title: "SWITCHER", Shrink: 1}, {Title: "CORE", Shrink: 2},
		{Title: "TURNS", Number: true}, {Title: "SHIM", Number: true}, {Title: "MARGIN", Number: true}, {Title: "TIGHTEST", Shrink: 1},
		{Title: "LOSS", Number: true}, {Title: "BUY", Number: true}}}
	for i := range builds {
		b := &builds[i]
		t.Add(fmt.Sprint(b.Rank), b.ChipName(), b.Carrier(), report.TurnsOf(b), report.ShimOf(b),
			report.WholeMargin(b.Score.Margin), report.Brief(b.Score.Binding),
			report.Three(report.LossOf(b)), fmt.Sprint(b.Score.Missing))
	}
	return t
}

// reasons say in one line a build why it stands where it does.
func reasons(builds []substitute.Build) report.Block {
	b := report.Block{Word: "reason", Title: "why in this order"}
	for i := range builds[:min(mostReasons, len(builds))] {
		b.Lines = append(b.Lines, report.Line{Indent: 2,
			Text: fmt.Sprintf("%d  %s", builds[i].Rank, builds[i].Score.Reason)})
	}
	return b
}

// howToNote says where a reading goes, once a cure asks for one.
func howToNote(refused []substitute.Refusal) []report.Block {
	for _, r := range refused[:min(mostRefusals, len(refused))] {
		if strings.HasPrefix(r.Cure, "measure ") {
			return []report.Block{{Word: "how",
				Lines: []report.Line{{Text: "A reading is noted with sparewright change LOT " +
					"--measured FIGURE=VALUE, such as " +
					"resistance=9.97k+-0.2% or vref=2.493V+-0.2%."}}}}
		}
	}
	return nil
}

// refusals lists the nearest misses, each with the check that binds and its cure where one was
// found.
func refusals(refused []substitute.Refusal) report.Block {
	b := report.Block{Word: "refused", Title: "not buildable, nearest first",
		Table: report.Table{Columns: []report.Column{{Title: "SWITCHER"},
			{Title: "CORE"}, {Title: "CHECK"}, {Title: "VALUE", Number: true}, {Title: "LIMIT", Number: true}, {Title: "WHY"},
			{Title: "CURE"}}}}
	for _, r := range refused[:min(mostRefusals, len(refused))] {
		value, limit := missFigures(r)
		b.Table.Add(r.Switcher, r.Core, r.Check, value, limit, r.Why, r.Cure)
		b.Lines = append(b.Lines, report.Line{Text: MissText(r), Indent: 2})
		if r.Cure != "" {
			b.Lines = append(b.Lines, report.Line{Text: "cure: " + r.Cure, Indent: 6})
		}
	}
	return b
}

// missFigures writes value and limit of a refusal; both are empty where there is none.
func missFigures(r substitute.Refusal) (value, limit string) {
	if r.Limit == 0 && r.Value == 0 {
		return "", ""
	}
	return report.Apart(r.Value, r.Limit, r.Unit)
}

// MissText is a refusal in one line: what, check, value against limit, or why.
func MissText(r substitute.Refusal) string {
	text := ""
	switch {
	case r.Switcher != "" && r.Core != "":
		text = report.Name(r.Switcher) + " + " + report.Name(r.Core) + ": "
	case r.Switcher != "" || r.Core != "":
		text = report.Name(r.Switcher+r.Core) + ": "
	}
	value, limit := missFigures(r)
	switch {
	case value == "" && r.Why != "":
		return text + report.Brief(r.Check) + ": " + r.Why
	case value == "":
		return text + report.Brief(r.Check)
	case r.Value == 0 && r.Why != "":
		return fmt.Sprintf("%s%s: %s (limit %s)", text, report.Brief(r.Check), r.Why, limit)
	case r.Why != "":
		return fmt.Sprintf("%s%s %s, limit %s (%s)", text, report.Brief(r.Check),
			value, limit, r.Why)
	}
	return fmt.Sprintf("%s%s %s, limit %s", text, report.Brief(r.Check), value, limit)
}

// cautions stand at the end of every answer.
func cautions(texts []string) report.Block {
	return report.Block{Word: "caution", Title: "cautions", Lines: report.Lines(2, texts)}
}
