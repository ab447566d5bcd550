package screen

import (
	"fmt"
	"strings"

	"sparewright/substitute/plan"
	"sparewright/substitute/report"
)

// Plan words how the drawer is shared out: how many are built and how many could be, the builds,
// what is not built and why, and the one line to buy. With parts the parts of every build are
// listed too.
func Plan(p plan.Plan, parts bool) []report.Block {
	blocks := []report.Block{planAnswer(p)}
	builds := report.Table{Columns: []report.Column{{Title: "NO", Number: true}, {Title: "CHARGER"},
		{Title: "CURRENT", Number: true},
		{Title: "SWITCHER", Shrink: 1}, {Title: "CORE", Shrink: 2}, {Title: "TURNS", Number: true},
		{Title: "MARGIN", Number: true},
		{Title: "LOSS", Number: true}}}
	all := report.Table{Columns: append([]report.Column{{Title: "NO", Number: true}},
		partTable(nil).Columns...)}
	var open []report.Line
	for i := range p.Lines {
		l := &p.Lines[i]
		for k := range l.Builds {
			b := &l.Builds[k]
			builds.Add(fmt.Sprint(b.Rank), battery(l.Target), report.Three(l.Target.Current),
				b.Switcher.Designation, b.Core.Designation,
				report.Turns(b.Transformer), report.WholeMargin(b.Score.Margin),
				report.Three(report.AllLosses(b.Losses)))
			for _, row := range partTable(b.Parts).Rows {
				all.Add(append([]string{fmt.Sprint(b.Rank)}, row...)...)
			}
		}
		if missing := l.Wanted - len(l.Builds); missing > 0 {
			open = append(open, report.Line{Text: notBuilt(l, missing, p.Finished), Indent: 2})
		}
	}
	if len(builds.Rows) > 0 {
		blocks = append(blocks, report.Block{Word: "build", Title: "to build", Table: builds})
	}
	if parts && len(all.Rows) > 0 {
		blocks = append(blocks, report.Block{Word: "part", Title: "parts", Table: all})
	}
	if len(open) > 0 {
		blocks = append(blocks, report.Block{Word: "open", Title: "not built", Lines: open})
	}
	return append(blocks, cautions(p.Cautions))
}

func planAnswer(p plan.Plan) report.Block {
	b := report.Block{Word: "answer"}
	say := func(text string) { b.Lines = append(b.Lines, report.Line{Text: text}) }
	switch {
	case p.Built == p.Wanted:
		say(fmt.Sprintf("All %s can be built from your drawer.",
			report.Plural(p.Wanted, "charger", "chargers")))
	case p.Built == 0 && !p.Finished:
		say(fmt.Sprintf("No plan yet; at most %d of %s could be built.", p.AtMost,
			report.Plural(p.Wanted, "charger", "chargers")))
	case p.Built == p.AtMost:
		say(fmt.Sprintf("%d of %s can be built from your drawer; no other choice builds more.",
			p.Built, report.Plural(p.Wanted, "charger", "chargers")))
	default:
		say(fmt.Sprintf("%d of %s can be built from your drawer; at most %d could be.", p.Built,
			report.Plural(p.Wanted, "charger", "chargers"), p.AtMost))
	}
	if !p.Finished {
		say("The search was cut short" +
			map[bool]string{true: " before it found any.",
				false: ": what is shown is the best so far."}[p.Built == 0])
	}
	if q := p.Purchase; q != nil {
		what := q.Designation
		if q.Quantity != 1 {
			what = report.Amount(q.Quantity, q.Unit) + " x " + what
		}
		say(fmt.Sprintf("One purchase helps most: %s (%s); then %d can be built, new: %s.", what,
			q.Role, q.Built, strings.Join(q.Unlocks, "; ")))
	}
	return b
}

// notBuilt tells why a wanted charger is left out.
func notBuilt(l *plan.PlanLine, missing int, finished bool) string {
	text := fmt.Sprintf("%s, %s", battery(l.Target), report.Three(l.Target.Current))
	if missing > 1 {
		text += fmt.Sprintf(", %d of them", missing)
	}
	switch {
	case len(l.Missing) == 0 && !finished:
		return text + ": no time was left to look"
	case len(l.Missing) == 0:
		return text
	case l.Alone:
		return text + ": in what is left, " + MissText(l.Missing[0])
	}
	return text + ": " + MissText(l.Missing[0])
}
