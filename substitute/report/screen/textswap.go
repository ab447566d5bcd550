package screen

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/substitute/report"
	"sparewright/substitute/swap"
)

// Swap words the stand-ins for one part of a build: what counts in its place, the parts that will
// do, what they change, and the nearest that will not.
func Swap(s swap.Swap) []report.Block {
	head := report.Block{Word: "answer", Lines: report.Lines(0, []string{asked(s.Target),
		fmt.Sprintf("Build %d, %s: lot %d, %s. %s", s.Rank, s.Role, s.Lot,
			report.Name(s.Designation), inNumbers(s.StandIns)),
		fmt.Sprintf("Smallest margin of the build as it is: %s (%s).", report.WholeMargin(s.Margin),
			report.Brief(s.Binding))})}
	blocks := append([]report.Block{head}, standIns(s.Kind, s.StandIns, true)...)
	return append(append(blocks, whatCounts(s.Rules)), cautions(s.Cautions))
}

// Outside words the stand-ins for a part of a circuit this program does not know.
func Outside(o swap.Outside) []report.Block {
	head := report.Block{Word: "answer",
		Lines: report.Lines(0, []string{
			fmt.Sprintf("%s with %s. %s", o.Kind, wantedWords(o), inNumbers(o.StandIns)),
			"Nothing is recomputed: the circuit is not known here."})}
	return append([]report.Block{head}, standIns(o.Kind, o.StandIns, false)...)
}

// inNumbers counts the verdicts.
func inNumbers(all []swap.StandIn) string {
	if len(all) == 0 {
		return "Nothing of its kind is on hand."
	}
	count := map[swap.SwapVerdict]int{}
	for _, s := range all {
		count[s.Verdict]++
	}
	text := ""
	for _, v := range []swap.SwapVerdict{swap.SwapSame, swap.SwapRecomputed, swap.SwapWorse,
		swap.SwapRefused} {
		if count[v] > 0 {
			text += fmt.Sprintf(", %d %s", count[v], v)
		}
	}
	return "On hand: " + strings.TrimPrefix(text, ", ") + "."
}

// standIns lists those that will do, what they change, and the nearest refused.
func standIns(k catalog.Kind, all []swap.StandIn, margins bool) []report.Block {
	good, bad := report.Table{Columns: standInColumns(margins)},
		report.Table{Columns: standInColumns(false)}
	var changes, soft []report.Line
	refused := 0
	for i := range all {
		s := &all[i]
		if s.Verdict == swap.SwapRefused {
			if refused++; refused <= mostRefusals {
				bad.Add(standInRow(k, s, false)...)
			}
			continue
		}
		good.Add(standInRow(k, s, margins)...)
		for j, c := range s.Changes {
			text := fmt.Sprintf("%s: %s, was %s", c.What, c.After, c.Before)
			if j == 0 {
				text = fmt.Sprintf("lot %d, %s: %s", s.Lot, report.Name(s.Designation), text)
				changes = append(changes, report.Line{Text: text, Indent: 2})
				continue
			}
			changes = append(changes, report.Line{Text: text, Indent: 6})
		}
		for _, b := range s.Soft {
			soft = append(soft, report.Line{
				Text: fmt.Sprintf("lot %d, %s: %s", s.Lot, report.Name(s.Designation),
					missedSoftly(k, b)), Indent: 2})
		}
	}
	var out []report.Block
	if len(good.Rows) > 0 {
		out = append(out, report.Block{Word: "stand-in", Title: "will do", Table: good})
	}
	if len(changes) > 0 {
		out = append(out, report.Block{Word: "change", Title: "what changes", Lines: changes})
	}
	if len(soft) > 0 {
		out = append(out, report.Block{Word: "soft", Title: "soft limits missed", Lines: soft})
	}
	if refused > 0 {
		out = append(out, report.Block{Word: "refused",
			Title: "will not do, nearest first", Table: bad})
	}
	if refused > mostRefusals {
		out = append(out, report.Block{Word: "more",
			Lines: report.Lines(0, []string{
				fmt.Sprintf("%d more refused; --json lists them.", refused-mostRefusals)})})
	}
	return out
}

func standInColumns(margins bool) []report.Column {
	c := []report.Column{{Title: "LOT", Number: true}, {Title: "DESIGNATION", Shrink: 2},
		{Title: "FREE", Number: true}, {Title: "BIN", Wide: true},
		{Title: "VERDICT"}, {Title: "DECIDES", Shrink: 1}, {Title: "VALUE",
			Number: true}, {Title: "LIMIT", Number: true}}
	if margins {
		c = append(c, report.Column{Title: "MARGIN", Number: true})
	}
	return append(c, report.Column{Title: "WHY", Wide: true})
}

func standInRow(k catalog.Kind, s *swap.StandIn, margins bool) []string {
	value, limit := boundFigures(k, s.Binds)
	cells := []string{fmt.Sprint(s.Lot), s.Designation, report.Amount(s.Free, string(s.Unit)),
		s.Bin, string(s.Verdict), report.Brief(s.Binds.Parameter),
		value, limit}
	if margins {
		margin := ""
		if s.Margin != nil {
			margin = report.WholeMargin(math.Max(0, *s.Margin))
		}
		cells = append(cells, margin)
	}
	return append(cells, s.Binds.Why)
}

// boundFigures writes value and limit of a bound in the way of the figure, or of the check.
func boundFigures(k catalog.Kind, b swap.Bound) (value, limit string) {
	switch {
	case b.Sense == "word":
		return orNone(b.Has), b.Wants
	case b.Limit == 0 && b.Value == 0 && b.Has == "":
		return "", ""
	}
	if f, ok := catalog.FieldNamed(k, b.Parameter); ok && f.Numeric {
		for digits := 3; digits < 7 && (digits == 3 ||
			value == limit && b.Value != b.Limit); digits++ {
			value, limit = f.Dimension().Format(b.Value, digits),
				f.Dimension().Format(b.Limit, digits)
		}
	} else {
		value, limit = report.Apart(b.Value, b.Limit, b.Unit)
	}
	if b.Has != "" {
		value = b.Has
	}
	return value, b.Sense + " " + limit
}

func orNone(word string) string {
	if word == "" {
		return "none"
	}
	return word
}

// missedSoftly words a soft limit that a stand-in misses.
func missedSoftly(k catalog.Kind, b swap.Bound) string {
	value, limit := boundFigures(k, b)
	return fmt.Sprintf("%s is %s, better %s", b.Parameter, value, limit)
}

// whatCounts lists the rules for the place, with what only the eye or the bench can tell.
func whatCounts(rules []swap.SwapRule) report.Block {
	t := report.Table{Columns: []report.Column{{Title: "WHAT COUNTS"}, {Title: "SAFE"},
		{Title: "KIND"}, {Title: "LIMIT", Shrink: 1},
		{Title: "RECOMPUTED", Wide: true}, {Title: "SOURCE", Wide: true}}}
	for _, r := range rules {
		kind := "hard"
		if !r.Hard {
			kind = "soft"
		}
		t.Add(r.Parameter, r.Safe, kind, r.Limit, r.Redo, r.Source)
	}
	return report.Block{Word: "rule", Title: "what counts in this place", Table: t}
}

// wantedWords repeats the ratings asked for.
func wantedWords(o swap.Outside) string {
	var out []string
	for _, w := range o.Wanted {
		f, _ := catalog.FieldNamed(o.Kind, w.Field)
		write := func(v float64) string { return f.Dimension().Format(v, 3) }
		switch {
		case w.Words != nil:
			out = append(out, w.Field+" "+strings.Join(w.Words, " or "))
		case w.Low != nil && w.High != nil:
			out = append(out, fmt.Sprintf("%s %s to %s", w.Field, write(*w.Low), write(*w.High)))
		case w.Low != nil:
			out = append(out, fmt.Sprintf("%s at least %s", w.Field, write(*w.Low)))
		default:
			out = append(out, fmt.Sprintf("%s at most %s", w.Field, write(*w.High)))
		}
	}
	return strings.Join(out, ", ")
}
