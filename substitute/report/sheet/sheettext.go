package sheet

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

// textWidth is how wide a sheet of plain text is.
const textWidth = 78

// typed collects a sheet of plain text.
type typed struct{ strings.Builder }

func (t *typed) head(title string) {
	fmt.Fprintf(t, "\n%s\n%s\n", strings.ToUpper(title),
		strings.Repeat("=", utf8.RuneCountInString(title)))
}

// item writes a paragraph behind a lead, wrapped, the following lines indented by the length of the
// lead, by two at least.
func (t *typed) item(lead, text string) {
	at := utf8.RuneCountInString(lead)
	indent := max(2, at)
	t.WriteString(lead)
	for i, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if i > 0 && at+1+n > textWidth {
			t.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		} else if i > 0 {
			t.WriteString(" ")
			at++
		}
		t.WriteString(word)
		at += n
	}
	t.WriteString("\n")
}

// Text is the sheet as plain text, without the drawings. What a person typed is made harmless for a
// terminal.
func (s *Sheet) Text() string {
	t := &typed{}
	b := s.Build
	fmt.Fprintf(t, "BUILD SHEET %d: %s charger, %s, %s\n", b.Rank, plain(s.Target.Name),
		report.Four(s.Target.Set), report.Three(s.Target.Current))
	t.item("", fmt.Sprintf("%s on %s; mains %g-%g V, %g Hz; %s case; %s", plain(b.ChipName()),
		plain(b.Carrier()),
		float64(s.Target.MainsMin), float64(s.Target.MainsMax), float64(s.Target.Line),
		s.Target.Case, report.VerdictWords(b)))
	s.textCautions(t)
	s.textParts(t)
	if b.Kind == substitute.Wound {
		s.textWinding(t)
	} else {
		s.textDonor(t)
	}
	s.textNetworks(t)
	s.textSetUp(t)
	s.textMargin(t)
	return t.String()
}

func (s *Sheet) textCautions(t *typed) {
	t.head("Read first")
	for _, c := range s.Cautions {
		t.item("! ", plain(c))
	}
	t.item("! ", s.bleedText())
	for _, w := range s.Build.Warnings {
		t.item("- ", plain(w))
	}
}

// bleedText says how long the bulk capacitor stays dangerous. Nobody knows the bleed of a whole
// adapter.
func (s *Sheet) bleedText() string {
	if s.Bleed.Resistor == 0 {
		return fmt.Sprintf("The bulk capacitor of this adapter (at most %s) is charged to %s and "+
			"may have no bleed at all: measure before "+
			"touching, discharge it, measure again.", report.Three(s.Bleed.Bulk),
			report.Three(s.Bleed.From))
	}
	return fmt.Sprintf("This bulk capacitor (at most %s) needs %s from %s down to %s through its "+
		"bleed of %s, longer or for ever if "+
		"a bleed resistor is open: measure before touching.", report.Three(s.Bleed.Bulk),
		report.Three(s.Bleed.Time), report.Three(s.Bleed.From),
		report.Three(s.Bleed.To), report.Three(s.Bleed.Resistor))
}

func (s *Sheet) textParts(t *typed) {
	t.head("Parts, in the order of the bins")
	for _, p := range s.Picks {
		where := "bin " + plain(p.Bin)
		switch {
		case p.Buy:
			where = "BUY"
		case p.Bin == "":
			where = "no bin"
		}
		text := fmt.Sprintf("%s: %s of %s, for %s", where, report.Amount(p.Quantity, p.Unit),
			plain(p.Designation), strings.Join(seats.Names(p.Roles), "; "))
		if p.Lot != 0 {
			text += fmt.Sprintf(" (lot %d)", p.Lot)
		}
		if p.Donor != "" {
			text += ". From " + plain(p.Donor)
		}
		if p.Condition != "" {
			text += ", " + p.Condition
		}
		t.item("[ ] ", text+". Measure: "+p.Measure)
	}
}

func (s *Sheet) textWinding(t *typed) {
	b := s.Build
	x := b.Transformer
	t.head("Winding card")
	t.item("", fmt.Sprintf("In this order: %s. Barrier: %s. Same direction everywhere; every "+
		"start carries the dot.", x.Order, x.Barrier))
	for i, w := range b.Windings {
		e := s.Ends[i]
		text := fmt.Sprintf("%s: start %s (%s), end %s (%s); %d turns in %s of %s, cut %d of %s",
			w.Name, e.Start, e.StartAt, e.End,
			e.EndAt, w.Turns, report.Plural(w.Layers, "layer",
				"layers"), plain(strandsText(w)), w.Strands, report.Three(w.Length))
		if e.Within > 0 {
			text += "; tape on each layer but the last"
		}
		text += fmt.Sprintf("; then %s of tape, %s", report.Plural(e.After, "layer", "layers"),
			report.Three(e.AfterLen))
		if e.Sleeve {
			text += "; sleeve both ends"
		}
		t.item(fmt.Sprintf("[ ] %d ", i+1), text)
	}
	if x.Margin != 0 {
		t.item("", "Margins of "+report.Three(x.Margin)+" on each side.")
	}
	t.item("Gap: ", report.GapMethods[b.Gap.Method]+gapFigures(s))
	g := s.Gap
	t.item("", fmt.Sprintf("Inductance at A and C: accept %s, expected %s (%s).",
		report.Between(g.Accept.Low, g.Accept.High, 3),
		report.Three(g.Expected), report.Between(g.Low, g.High, 3)))
	if g.Accept.LowBy != "" {
		t.item("", fmt.Sprintf("Below it %s; below %s no power.", report.Beyond(g.Accept.LowBy),
			report.Three(g.WallPower)))
	}
	if g.Accept.HighBy != "" {
		t.item("", fmt.Sprintf("Above it %s; above %s the core saturates.",
			report.Beyond(g.Accept.HighBy), report.Three(g.WallSaturation)))
	}
	if g.Thinner != nil {
		t.item("", fmt.Sprintf("Too little, no power: next thinner stack %s (%s) gives %s.",
			report.Three(g.Thinner.Shim), stackText(g.Thinner), report.Three(g.Thinner.Inductance)))
	}
	if g.Thicker != nil {
		t.item("", fmt.Sprintf("Too much, the core saturates: next thicker stack %s (%s) gives %s.",
			report.Three(g.Thicker.Shim), stackText(g.Thicker), report.Three(g.Thicker.Inductance)))
	}
}

// gapFigures lists ground gap and films.
func gapFigures(s *Sheet) string {
	text := ""
	if g := s.Build.Gap.Ground; g != 0 {
		text += ", ground " + report.Three(g)
	}
	for _, l := range s.Build.Gap.Layers {
		text += fmt.Sprintf(", %d x %s of %s, lot %s", l.Count, plain(l.Designation),
			report.Three(l.Thickness), report.LotOf(l.Lot))
	}
	return text
}

func (s *Sheet) textNetworks(t *typed) {
	t.head("Marks of the circuit")
	for _, m := range markLines(s.Build) {
		t.item(fmt.Sprintf("%-5s ", m.Mark), m.Role.String()+": "+plain(m.What))
	}
}

func (s *Sheet) textSetUp(t *typed) {
	t.head("Set-up")
	for _, step := range s.steps() {
		t.item("", step.Title)
		for _, r := range step.Readings {
			t.item("[ ] ", fmt.Sprintf("%s: %s; %s", r.Point, r.Text(), r.What))
		}
	}
	for _, u := range s.Trimmers {
		t.item("- ", fmt.Sprintf("%s %s, %s: %s; start at %s of its track; %s is %s", u.Role.Mark(),
			u.Role, report.Three(u.Track), u.When,
			report.Three(u.Position), u.Step, report.Three(u.Ohm)))
	}
	for _, l := range ledMeanings(s.Build) {
		t.item("- ", l)
	}
	t.head("When a reading is off")
	for _, r := range remedies(s.Build) {
		t.item("- ", r[0]+": "+r[1])
	}
	t.head("Single faults, worked out for this build")
	t.item("", s.ceilingText())
	for _, f := range s.Faults {
		lead := "  "
		if f.Dangerous {
			lead = "! "
		}
		t.item(lead, fmt.Sprintf("%s %s: OUT %s, %s; pack %s at most; %s, %s. Who stops it: %s",
			f.Part, f.Kind, report.Four(f.Output), f.Voltage,
			report.Four(f.Pack), report.Three(f.Limit),
			f.Current, f.Stops))
	}
}

func (s *Sheet) textMargin(t *typed) {
	t.head("Margin to every limit")
	for _, c := range s.Build.Checks {
		value, limit := report.Apart(c.Value, c.Limit, c.Unit)
		t.item("  ", fmt.Sprintf("%s: %s, %s %s, margin %s", report.Middling(c.Name), value,
			c.Sense, limit, report.Margin(c.Margin)))
	}
	if s.Build.Kind == substitute.DonorAdapter {
		t.head("Losses")
		t.item("", report.Three(report.LossOf(s.Build))+
			" reckoned with 80 % efficiency; nothing inside the adapter is computed")
		return
	}
	l := s.Build.Losses
	t.head("Losses")
	t.item("", fmt.Sprintf("switcher %s, core %s, copper %s, clamp %s, rectifier %s, shunt %s, "+
		"bridge %s, other %s; "+
		"together %s, efficiency %s",
		report.Three(l.Switch), report.Three(l.Core), report.Three(l.Copper), report.Three(l.Clamp),
		report.Three(l.Rectifier), report.Three(l.Shunt), report.Three(l.Bridge),
		report.Three(l.Other), report.Three(report.AllLosses(l)),
		si.Percent(si.Ratio(s.Build.Efficiency), 3)))
}
