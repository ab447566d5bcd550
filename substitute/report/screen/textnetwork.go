package screen

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute/control"
	"sparewright/substitute/report"
)

// Networks words which resistor networks or dividers the drawer makes.
func Networks(a control.NetworkAnswer) []report.Block {
	head := report.Block{Word: "answer"}
	say := func(text string) { head.Lines = append(head.Lines, report.Line{Text: text}) }
	wanted := si.Format(a.Wanted, 6)
	if a.Ratio > 0 {
		wanted = "output over reference " + si.Format(a.Ratio, 6)
	}
	say(fmt.Sprintf("Wanted: %s, from %s on hand.", wanted,
		report.Plural(a.Values, "resistor value", "resistor values")))
	if a.LeftOut > 0 {
		say(fmt.Sprintf("%s of the loosest left out.", report.Plural(a.LeftOut, "value", "values")))
	}
	blocks := []report.Block{head}
	switch {
	case len(a.Networks) > 0:
		blocks = append(blocks, report.Block{Word: "network", Title: "networks, fewest parts first",
			Table: networksTable(a.Networks)},
			report.Block{Word: "take", Title: "what they take", Table: takenTable(a.Networks)})
	case len(a.Dividers) > 0:
		blocks = append(blocks,
			report.Block{Word: "divider", Title: "dividers, each nearer than all with fewer parts",
				Table: dividerTable(a.Dividers)},
			report.Block{Word: "take", Title: "what they take", Table: takeTable(a.Dividers)})
	default:
		say("None: " + noNetwork(a))
		blocks[0] = head
		return blocks
	}
	say(enough(a))
	blocks[0] = head
	return blocks
}

func noNetwork(a control.NetworkAnswer) string {
	switch {
	case a.Values == 0:
		return "there is no resistor in the drawer."
	case a.Ratio > 0:
		return "no two legs within that total come within half of the ratio."
	}
	return fmt.Sprintf("no network of up to %s keeps within %s with the tolerance of its parts.",
		report.Plural(a.Most, "part", "parts"),
		si.Percent(a.Within, 3))
}

// enough says from which answer on more parts gain nothing that the parts' own tolerance does not
// take away.
func enough(a control.NetworkAnswer) string {
	count := 0
	if a.Enough >= 0 && a.Ratio > 0 {
		count = a.Dividers[a.Enough].Count
	} else if a.Enough >= 0 {
		count = a.Networks[a.Enough].Count
	}
	if count == 0 {
		return "None comes nearer than its own tolerance."
	}
	return fmt.Sprintf("%s nearer than the tolerance of the parts; more gain little.",
		map[bool]string{true: "1 part already comes",
			false: fmt.Sprintf("%d parts already come", count)}[count == 1])
}

func networksTable(all []control.NetworkFound) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "PARTS", Number: true}, {Title: "NETWORK"},
		{Title: "VALUE"},
		{Title: "OFF", Number: true},
		{Title: "WITH TOLERANCE"}}}
	for _, n := range all {
		t.Add(fmt.Sprint(n.Count), n.Wiring, si.Format(n.Ohm, 6), offText(n.Error),
			report.Between(n.Low, n.High, 4))
	}
	return t
}

func dividerTable(all []control.DividerFound) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "PARTS", Number: true}, {Title: "TOP"},
		{Title: "BOTTOM"},
		{Title: "RATIO", Wide: true},
		{Title: "OFF", Number: true}, {Title: "WITH TOLERANCE"}}}
	for _, d := range all {
		band := report.Between(d.RatioLow, d.RatioHigh, 4)
		if d.Output > 0 {
			band = report.Between(d.Low, d.High, 4)
		}
		t.Add(fmt.Sprint(d.Count), d.Top.Wiring, d.Bottom.Wiring, si.Format(d.Ratio, 6),
			offText(d.Error), band)
	}
	return t
}

func takenTable(all []control.NetworkFound) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "PARTS", Number: true}, {Title: "NETWORK"},
		{Title: "FROM", Shrink: 1}}}
	for _, n := range all {
		t.Add(fmt.Sprint(n.Count), n.Wiring, taken(n.Parts))
	}
	return t
}

func takeTable(all []control.DividerFound) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "PARTS", Number: true},
		{Title: "TOP FROM", Shrink: 1},
		{Title: "BOTTOM FROM", Shrink: 1}}}
	for _, d := range all {
		t.Add(fmt.Sprint(d.Count), taken(d.Top.Parts), taken(d.Bottom.Parts))
	}
	return t
}

// taken lists lots and bins: "lot 12 B4, 2 of lot 7".
func taken(parts []control.ResistorTaken) string {
	var out []string
	for _, p := range parts {
		text := fmt.Sprintf("lot %d", p.Lot)
		if p.Count > 1 {
			text = fmt.Sprintf("%d of lot %d", p.Count, p.Lot)
		}
		if p.Bin != "" {
			text += " " + p.Bin
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// offText writes a signed deviation with as much as matters: "+0.21 %", "-12 ppm", "0".
func offText(e si.Ratio) string {
	switch v := math.Abs(float64(e)); {
	case v == 0:
		return "0"
	case v < 1e-9:
		return "<1 ppb"
	case v < 1e-6:
		return fmt.Sprintf("%+.2g ppb", float64(e)*1e9)
	case v < 1e-4:
		return fmt.Sprintf("%+.2g ppm", float64(e)*1e6)
	}
	return fmt.Sprintf("%+.2g %%", float64(e)*100)
}
