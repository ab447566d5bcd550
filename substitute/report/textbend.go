package report

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute/adapter"
)

// Bending words how far an adapter can be moved: the range, every limit, what it gives, what widens it, its divider, what
// must be read first.
func Bending(b adapter.Bending) []Block {
	blocks := []Block{bendAnswer(b), {Word: "limit", Title: "what gives up, and where", Table: bendLimits(b.Limits)}}
	if b.Asked != nil {
		blocks = append(blocks, Block{Word: "check", Title: "held against " + three(b.Asked.Output) + ", " + three(b.Asked.Current),
			Table: checkTable(b.Asked.Checks)})
	}
	blocks = append(blocks, Block{Word: "amps", Title: "what it gives", Table: bendAmps(b.Amps)})
	if len(b.Widen) > 0 {
		blocks = append(blocks, Block{Word: "widen", Title: "parts of the drawer that widen it, one on top of the other",
			Table: bendSteps(b.Widen)})
	}
	if len(b.Divider) > 0 {
		blocks = append(blocks, Block{Word: "divider", Title: "upper leg of its divider", Table: bendDivider(b.Divider)})
	}
	if len(b.Measure) > 0 {
		blocks = append(blocks, Block{Word: "measure", Title: "not known; measure before anything is called feasible",
			Lines: lines(2, b.Measure)})
	}
	if len(b.Notes) > 0 {
		blocks = append(blocks, Block{Word: "note", Title: "notes", Lines: lines(2, b.Notes)})
	}
	return append(blocks, cautions(b.Cautions))
}

// bendAnswer says the range first.
func bendAnswer(b adapter.Bending) Block {
	out := Block{Word: "answer"}
	say := func(text string) { out.Lines = append(out.Lines, Line{Text: text}) }
	say(fmt.Sprintf("%s, lot %d: %s, %s, %s; mains %g-%g V.", name(b.Designation), b.Lot, three(b.PlateVolts), three(b.PlateAmps),
		three(b.PlateWatts), float64(b.MainsMin), float64(b.MainsMax)))
	r := b.Range
	switch {
	case r.HighBy == "":
		say("Nothing is known that ends its range; that is no permission.")
	case r.High == 0:
		say("No output keeps every limit: " + r.HighBy + ".")
	default:
		say("By its divider: " + bendRange(r) + ".")
	}
	if len(b.Measure) > 0 {
		say(fmt.Sprintf("It cannot be called feasible: %s not known.", plural(len(b.Measure), "figure is", "figures are")))
	}
	if a := b.Asked; a != nil && a.Feasible {
		say(fmt.Sprintf("Yes: %s at %s keeps every limit.", three(a.Output), three(a.Current)))
	} else if a != nil {
		say(fmt.Sprintf("No: %s at %s: %s.", three(a.Output), three(a.Current), a.Why))
	}
	return out
}

// bendRange is both ends of a range with what binds there.
func bendRange(r adapter.BendRange) string {
	low := "any lower output"
	if r.LowBy != "" {
		low = fmt.Sprintf("%s (%s)", three(r.Low), brief(r.LowBy))
	}
	return fmt.Sprintf("from %s to %s (%s)", low, three(r.High), brief(r.HighBy))
}

// bendLimits lists every limit with the output at which it binds.
func bendLimits(ls []adapter.BendLimit) Table {
	t := Table{Columns: []Column{{Title: "LIMIT", Shrink: 1}, {Title: "END"}, {Title: "BINDS AT", Number: true},
		{Title: "AT THE PLATE", Number: true}, {Title: "LIMIT VALUE", Number: true}, {Title: "BASIS", Wide: true}}}
	for _, l := range ls {
		binds, plate, limit := "never", "", ""
		switch {
		case l.Measure != "":
			binds = "not known"
		default:
			plate, limit = checkFigure(l.Plate, l.Unit, 3), checkFigure(l.Limit, l.Unit, 3)
			if l.Output > 0 {
				binds = three(l.Output)
			} else if !l.Passed {
				binds = "always"
			}
		}
		t.add(middling(l.Name), l.End, binds, plate, limit, l.Basis)
	}
	return t
}

func bendAmps(as []adapter.BendAmps) Table {
	t := Table{Columns: []Column{{Title: "OUTPUT", Number: true}, {Title: "CURRENT", Number: true}, {Title: "POWER", Number: true}}}
	for _, a := range as {
		t.add(three(a.Output), three(a.Amps), three(si.Power(float64(a.Output)*float64(a.Amps))))
	}
	return t
}

func bendSteps(steps []adapter.BendStep) Table {
	t := Table{Columns: []Column{{Title: "ROLE"}, {Title: "PART", Shrink: 1}, {Title: "LOT", Number: true}, {Title: "BIN", Wide: true},
		{Title: "RANGE THEN", Number: true}, {Title: "THEN BINDS", Shrink: 1}}}
	for _, s := range steps {
		part := s.Designation
		if s.Quantity > 1 {
			part = fmt.Sprintf("%d x %s", s.Quantity, part)
		}
		t.add(s.Role, part, fmt.Sprint(s.Lot), s.Bin, three(s.Range.Low)+" to "+three(s.Range.High), brief(s.Range.HighBy))
	}
	return t
}

func bendDivider(ds []adapter.BendDivider) Table {
	t := Table{Columns: []Column{{Title: "OUTPUT", Number: true}, {Title: "UPPER LEG", Number: true}, {Title: "FROM THE DRAWER", Shrink: 1},
		{Title: "LOTS"}, {Title: "GIVES", Number: true}}}
	for _, d := range ds {
		gives, lots := "", []string{}
		if d.Have > 0 {
			gives = between(d.Low, d.High, 4)
		}
		for _, l := range d.Lots {
			lots = append(lots, fmt.Sprint(l))
		}
		t.add(three(d.Output), three(d.Top), d.Wiring, strings.Join(lots, ", "), gives)
	}
	return t
}
