package screen

import (
	"fmt"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report"
)

// Survey words the answers for all usual targets: one row each, then the totals.
func Survey(s advise.Survey) []report.Block {
	t := report.Table{Columns: []report.Column{{Title: "BATTERY"}, {Title: "CURRENT", Number: true},
		{Title: "ANSWER"},
		{Title: "BEST BUILD OR OBSTACLE", Shrink: 1}, {Title: "MARGIN",
			Number: true}, {Title: "CURE", Wide: true}}}
	for i := range s.Targets {
		l := &s.Targets[i]
		t.Add(battery(l.Target), report.Three(l.Target.Current), verdict(l), gist(l),
			surveyMargin(l), surveyCure(l))
	}
	buildable, needs, refused := Totals(s)
	total := fmt.Sprintf("%s: %d buildable, %d need parts, %d refused.",
		report.Plural(len(s.Targets), "target", "targets"), buildable,
		needs, refused)
	blocks := []report.Block{{Word: "target", Table: t}}
	if cures := cureLines(s); len(cures) > 0 {
		blocks = append(blocks, report.Block{Word: "cure", Title: "what would help", Lines: cures})
		for i := range s.Targets {
			if how := howToNote(s.Targets[i].Refused); len(how) > 0 {
				blocks = append(blocks, how...)
				break
			}
		}
	}
	if s.First != nil {
		blocks = append(blocks, report.Block{Word: "first", Lines: []report.Line{{
			Text: firstLine(s, needs+refused)}}})
	}
	return append(blocks, report.Block{Word: "total", Lines: []report.Line{{Text: total}}},
		cautions(s.Cautions))
}

// firstLine says which purchase opens most targets.
func firstLine(s advise.Survey, closed int) string {
	var parts []string
	for _, p := range s.First.Buy {
		parts = append(parts, p.Role.String()+": "+p.Designation)
	}
	return fmt.Sprintf("To buy first: %s. It opens %d of the %d that the drawer alone does not "+
		"make.", strings.Join(parts, "; "), len(s.First.Opens), closed)
}

// Totals counts the targets of a survey by their answer.
func Totals(s advise.Survey) (buildable, needParts, refused int) {
	for _, l := range s.Targets {
		switch {
		case l.Best == nil:
			refused++
		case l.Best.Verdict == substitute.Feasible:
			buildable++
		default:
			needParts++
		}
	}
	return buildable, needParts, refused
}

// battery is the name of the pack; which lead-acid it is says enough in a table.
func battery(t substitute.Target) string { return strings.TrimPrefix(t.Name, "lead-acid ") }

// verdict is the answer in a word or two.
func verdict(l *advise.SurveyLine) string {
	switch {
	case l.Best == nil:
		return "no"
	case l.Best.Verdict == substitute.Feasible && l.Best.Score.Steps > 0:
		return "buildable, " + report.Plural(l.Best.Score.Steps, "step", "steps")
	case l.Best.Verdict == substitute.Feasible:
		return "buildable"
	}
	return fmt.Sprintf("buy %d", len(l.Missing))
}

// gist names the best build, or the nearest miss.
func gist(l *advise.SurveyLine) string {
	switch {
	case l.Best != nil:
		return l.Best.ChipName() + " + " + l.Best.Carrier()
	case len(l.Refused) > 0:
		r := l.Refused[0]
		if value, limit := missFigures(r); value != "" {
			return fmt.Sprintf("%s %s, limit %s", obstacle(r), value, limit)
		}
		return report.Brief(r.Check)
	}
	return "nothing in the drawer or the published tables serves"
}

// obstacle is the check of a refusal, or what failed it where that says as much in fewer words: a
// table is narrow.
func obstacle(r substitute.Refusal) string {
	if r.Why == "voltage divider" || r.Why == "current divider" {
		return r.Why
	}
	return report.Brief(r.Check)
}

func surveyMargin(l *advise.SurveyLine) string {
	if l.Best == nil {
		return ""
	}
	return report.WholeMargin(l.Best.Score.Margin)
}

// surveyCure says what to buy or to change.
func surveyCure(l *advise.SurveyLine) string {
	switch {
	case l.Best != nil && len(l.Missing) > 0:
		return "buy " + wanted(l.Best)
	case l.Best == nil && len(l.Refused) > 0:
		return l.Refused[0].Cure
	}
	return ""
}

// cureLines lists the cures under the table, where the screen has no space for them beside it; what
// helps several stands there once.
func cureLines(s advise.Survey) []report.Line {
	var cures []string
	helped := map[string][]string{}
	for i := range s.Targets {
		l := &s.Targets[i]
		cure := surveyCure(l)
		if cure == "" {
			continue
		}
		if len(helped[cure]) == 0 {
			cures = append(cures, cure)
		}
		helped[cure] = append(helped[cure], battery(l.Target)+" "+report.Three(l.Target.Current))
	}
	var out []report.Line
	for _, cure := range cures {
		out = append(out, report.Line{Text: strings.Join(helped[cure], ", ") + ": " + cure,
			Indent: 2})
	}
	return out
}
