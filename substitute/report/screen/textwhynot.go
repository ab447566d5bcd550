package screen

import (
	"fmt"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/report"
)

// whatIsWrong lists, for each of the nearest misses, all limits it breaks and all that it lacks.
func whatIsWrong(misses []substitute.NearMiss) []report.Block {
	if len(misses) == 0 {
		return nil
	}
	b := report.Block{Word: "miss", Title: "all that is wrong with the nearest",
		Table: report.Table{Columns: []report.Column{{Title: "SWITCHER"}, {Title: "CORE"},
			{Title: "WRONG"}, {Title: "VALUE", Number: true}, {Title: "LIMIT", Number: true}}}}
	for i := range misses {
		n := &misses[i]
		b.Lines = append(b.Lines, report.Line{
			Text: report.Name(n.Switcher) + " + " + report.Name(n.Core) + ":", Indent: 2})
		for _, c := range n.Failing {
			value, limit := report.Apart(c.Value, c.Limit, c.Unit)
			b.Table.Add(n.Switcher, n.Core, c.Name, value, limit)
			b.Lines = append(b.Lines, report.Line{Indent: 6,
				Text: fmt.Sprintf("%s %s, limit %s", report.Brief(c.Name), value, limit)})
		}
		for _, p := range n.Empty {
			text := "nothing for " + p.Role.String() + ": " + p.Designation
			b.Table.Add(n.Switcher, n.Core, text, "", "")
			b.Lines = append(b.Lines, report.Line{Text: text, Indent: 6})
		}
	}
	return []report.Block{b}
}

// whatCures lists what makes the answer yes, the cheapest first.
func whatCures(cures []substitute.Cure) []report.Block {
	if len(cures) == 0 {
		return nil
	}
	b := report.Block{Word: "cure", Title: "any one of these makes it a yes, cheapest first"}
	for i := range cures {
		b.Lines = append(b.Lines, report.Line{Text: CureText(&cures[i]), Indent: 2})
	}
	return []report.Block{b}
}

// CureText is a cure in one line.
func CureText(c *substitute.Cure) string {
	box := ""
	if c.Box != nil {
		box = fmt.Sprintf("--box %gx%gx%g", float64(c.Box.Length)*1e3, float64(c.Box.Width)*1e3,
			float64(c.Box.Height)*1e3)
	}
	switch c.Way {
	case substitute.ByMeasuring:
		return measureText(c.Measure)
	case substitute.ByCase:
		return strings.TrimSuffix("another case: --case "+string(c.Case)+" "+box, " ")
	case substitute.ByBox:
		return "a larger box: " + box
	case substitute.ByCurrent:
		return "a smaller current: --current " +
			strings.ReplaceAll(report.Three(c.Current), " ", "")
	}
	var parts []string
	for _, p := range c.Buy {
		parts = append(parts, p.Role.String()+": "+p.Designation)
	}
	return fmt.Sprintf("buy %s: %s", report.Plural(len(c.Buy), "part", "parts"),
		strings.Join(parts, "; "))
}

// measureText names the lots to read, with their bins.
func measureText(lots []substitute.LotReading) string {
	var parts []string
	for _, l := range lots {
		text := fmt.Sprintf("lot %d %s", l.Lot, report.Name(l.Designation))
		if l.Bin != "" {
			text += fmt.Sprintf(" (bin %s)", report.Name(l.Bin))
		}
		parts = append(parts, text+" "+l.Field)
	}
	return fmt.Sprintf("measure within %.2g %%, if they read what is printed: %s",
		float64(lots[0].Error)*100, strings.Join(parts, "; "))
}
