package screen

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute/adapter"
	"sparewright/substitute/report"
)

// Bending words how far an adapter can be moved: the range, every limit, what it gives, what widens
// it, its divider, what must be read first.
func Bending(b adapter.Bending) []report.Block {
	blocks := []report.Block{bendAnswer(b),
		{Word: "limit", Title: "what gives up, and where", Table: bendLimits(b.Limits)}}
	if b.Asked != nil {
		blocks = append(blocks, report.Block{Word: "check",
			Title: "held against " + report.Three(b.Asked.Output) + ", " +
				report.Three(b.Asked.Current),
			Table: checkTable(b.Asked.Checks)})
	}
	blocks = append(blocks, report.Block{Word: "amps", Title: "what it gives",
		Table: bendAmps(b.Amps)})
	if len(b.Widen) > 0 {
		blocks = append(blocks, report.Block{Word: "widen",
			Title: "parts of the drawer that widen it, one on top of the other",
			Table: bendSteps(b.Widen)})
	}
	if len(b.Divider) > 0 {
		blocks = append(blocks, report.Block{Word: "divider", Title: "upper leg of its divider",
			Table: bendDivider(b.Divider)})
	}
	if len(b.Measure) > 0 {
		blocks = append(blocks, report.Block{Word: "measure",
			Title: "not known; measure before anything is called feasible",
			Lines: report.Lines(2, b.Measure)})
	}
	if len(b.Notes) > 0 {
		blocks = append(blocks, report.Block{Word: "note", Title: "notes",
			Lines: report.Lines(2, b.Notes)})
	}
	return append(blocks, cautions(b.Cautions))
}

// bendAnswer says the range first.
func bendAnswer(b adapter.Bending) report.Block {
	out := report.Block{Word: "answer"}
	say := func(text string) { out.Lines = append(out.Lines, report.Line{Text: text}) }
	say(fmt.Sprintf("%s, lot %d: %s, %s, %s; mains %g-%g V.", report.Name(b.Designation), b.Lot,
		report.Three(b.PlateVolts), report.Three(b.PlateAmps),
		report.Three(b.PlateWatts), float64(b.MainsMin), float64(b.MainsMax)))
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
		say(fmt.Sprintf("It cannot be called feasible: %s not known.",
			report.Plural(len(b.Measure), "figure is", "figures are")))
	}
	if a := b.Asked; a != nil && a.Feasible {
		say(fmt.Sprintf("Yes: %s at %s keeps every limit.", report.Three(a.Output),
			report.Three(a.Current)))
	} else if a != nil {
		say(fmt.Sprintf("No: %s at %s: %s.", report.Three(a.Output),
			report.Three(a.Current), a.Why))
	}
	return out
}

// bendRange is both ends of a range with what binds there.
func bendRange(r adapter.BendRange) string {
	low := "any lower output"
	if r.LowBy != "" {
		low = fmt.Sprintf("%s (%s)", report.Three(r.Low), report.Brief(r.LowBy))
	}
	return fmt.Sprintf("from %s to %s (%s)", low, report.Three(r.High), report.Brief(r.HighBy))
}

// bendLimits lists every limit with the output at which it binds.
func bendLimits(ls []adapter.BendLimit) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "LIMIT", Shrink: 1}, {Title: "END"},
		{Title: "BINDS AT", Number: true},
		{Title: "AT THE PLATE", Number: true}, {Title: "LIMIT VALUE",
			Number: true}, {Title: "BASIS", Wide: true}}}
	for _, l := range ls {
		binds, plate, limit := "never", "", ""
		switch {
		case l.Measure != "":
			binds = "not known"
		default:
			plate, limit = report.CheckFigure(l.Plate, l.Unit, 3),
				report.CheckFigure(l.Limit, l.Unit, 3)
			if l.Output > 0 {
				binds = report.Three(l.Output)
			} else if !l.Passed {
				binds = "always"
			}
		}
		t.Add(report.Middling(l.Name), l.End, binds, plate, limit, l.Basis)
	}
	return t
}

func bendAmps(as []adapter.BendAmps) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "OUTPUT", Number: true},
		{Title: "CURRENT", Number: true}, {Title: "POWER", Number: true}}}
	for _, a := range as {
		t.Add(report.Three(a.Output), report.Three(a.Amps),
			report.Three(si.Power(float64(a.Output)*float64(a.Amps))))
	}
	return t
}

func bendSteps(steps []adapter.BendStep) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "ROLE"}, {Title: "PART", Shrink: 1},
		{Title: "LOT", Number: true}, {Title: "BIN", Wide: true},
		{Title: "RANGE THEN", Number: true}, {Title: "THEN BINDS", Shrink: 1}}}
	for _, s := range steps {
		part := s.Designation
		if s.Quantity > 1 {
			part = fmt.Sprintf("%d x %s", s.Quantity, part)
		}
		t.Add(s.Role.String(), part, fmt.Sprint(s.Lot), s.Bin,
			report.Three(s.Range.Low)+" to "+
				report.Three(s.Range.High), report.Brief(s.Range.HighBy))
	}
	return t
}

func bendDivider(ds []adapter.BendDivider) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "OUTPUT", Number: true},
		{Title: "UPPER LEG", Number: true}, {Title: "FROM THE DRAWER", Shrink: 1},
		{Title: "LOTS"}, {Title: "GIVES", Number: true}}}
	for _, d := range ds {
		gives, lots := "", []string{}
		if d.Have > 0 {
			gives = report.Between(d.Low, d.High, 4)
		}
		for _, l := range d.Lots {
			lots = append(lots, fmt.Sprint(l))
		}
		t.Add(report.Three(d.Output), report.Three(d.Top), d.Wiring,
			strings.Join(lots, ", "), gives)
	}
	return t
}
