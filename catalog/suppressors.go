package catalog

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"sparewright/catalog/si"
)

// SuppressorFamily says what the number in the designation of a suppressor means. It is no part:
// its members are.
type SuppressorFamily struct {
	// Prefix stands before the number: P6KE, SMBJ.
	Prefix string
	// Number is what the number tells: "breakdown" or "stand-off" voltage.
	Number string
	// Like is the family whose printed rows have the same numbers.
	Like string
	// Pulse is the 10/1000 us pulse power.
	Pulse Datum[si.Power]
	// JunctionAir is the thermal resistance junction to air on a small board.
	JunctionAir Datum[si.ThermalResistance]
	// JunctionMax is the highest junction temperature.
	JunctionMax Datum[si.Celsius]
	// Source is where the row was read.
	Source Source
	// Note is the remark of the row.
	Note string
}

var suppressorFamilies = sync.OnceValue(func() []SuppressorFamily {
	var out []SuppressorFamily
	for _, c := range readTable("suppressorfamilies.tsv") {
		out = append(out, SuppressorFamily{Prefix: c.text("designation"), Number: c.text("number"),
			Like: c.text("like"), Pulse: datum[si.Power](c, "pulse"),
			JunctionAir: datum[si.ThermalResistance](c, "junction_air"),
			JunctionMax: datum[si.Celsius](c,
				"junction_max"), Source: c.source(), Note: c.text("note")})
	}
	slices.SortStableFunc(out, func(a, b SuppressorFamily) int {
		return cmp.Compare(len(b.Prefix), len(a.Prefix))
	})
	return out
})

// loadSuppressors is the table of suppressors: the rows read type by type, and what follows from
// them for the types of 10 % and for the families with the same numbers.
func loadSuppressors() *table {
	t := loadTable(KindClamp, []string{"suppressors.tsv"})
	read := len(t.rows)
	for i := range read {
		if f, ok := familyOf(t.rows[i].part.Designation()); ok {
			t.rows[i].part = f.fill(t.rows[i].part.(Clamp))
		}
	}
	for _, f := range suppressorFamilies() {
		for _, r := range t.rows[:read] {
			if number, ok := strings.CutPrefix(r.part.Designation(), f.Like); ok {
				t.addMembers(f, r, strings.TrimSuffix(number, "A"))
			}
		}
	}
	for i, r := range t.rows {
		for _, name := range otherNames(r.part.Designation()) {
			t.alias(KindClamp, name, i)
		}
	}
	return t
}

// addMembers adds the 5 % and the 10 % type of a family that have the number of a printed row.
func (t *table) addMembers(f SuppressorFamily, from row, number string) {
	sister := from.part.(Clamp)
	for _, wide := range []bool{false, true} {
		name := f.Prefix + number
		if !wide {
			name += "A"
		}
		if _, listed := t.named[rowKey(KindClamp, name)]; listed {
			continue
		}
		r := row{part: member(f, sister, name, wide), bare: bareKey(KindClamp, name), note: f.Note,
			source: f.Source}
		if r.source.Where != "" {
			r.source.Where += "; "
		}
		r.source.Where += "voltages after " + sister.Name
		t.add(KindClamp, r)
	}
}

// member is the suppressor of a family with the number of a sister: the same breakdown, 10 % wide
// without the letter A, and the same clamping ratio. Its figures are estimated at best.
func member(f SuppressorFamily, sister Clamp, name string, wide bool) Clamp {
	p := Clamp{Named: Named{name}, Standoff: Guess(sister.Standoff.Value),
		Breakdown: Guess(sister.Breakdown.Value), Tolerance: Guess(sister.Tolerance.Value)}
	p.Drift.Derive(sister.Drift.Value, sister.Drift.Basis)
	if wide {
		low := float64(sister.Breakdown.Value) * (1 - float64(sister.Tolerance.Value))
		if f.Number == "breakdown" {
			p.Standoff = Guess(tidy(0.81 * sister.Breakdown.Value)) // from memory of the 10 % types
		} else {
			// the stand-off voltage holds for both, so they share the lowest breakdown voltage
			p.Breakdown = Guess(tidy(si.Voltage(low / 0.9)))
		}
		p.Tolerance = Guess(si.Ratio(0.10))
	}
	p.Clamping = Guess(tidy(si.Voltage(float64(p.Highest()) * float64(sister.ClampRatio()))))
	return f.fill(p)
}

// Fill adds what holds for every member of the family.
func (f SuppressorFamily) fill(p Clamp) Clamp {
	p.Pulse, p.JunctionAir, p.JunctionMax = f.Pulse, f.JunctionAir, f.JunctionMax
	rated := si.Current(float64(p.Pulse.Value) / float64(p.Clamping.Value))
	p.ClampingAt.Derive(rated, p.Pulse.Basis, p.Clamping.Basis)
	p.Resistance.Derive(p.Dynamic(), p.Clamping.Basis, p.ClampingAt.Basis)
	return p
}

// familyOf finds the family whose prefix a designation carries, a digit behind it.
func familyOf(name string) (SuppressorFamily, bool) {
	key := rowKey(KindClamp, name)
	for _, f := range suppressorFamilies() {
		rest, ok := strings.CutPrefix(key, rowKey(KindClamp, f.Prefix))
		if ok && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
			return f, true
		}
	}
	return SuppressorFamily{}, false
}

// standoffTyped finds the stand-off voltage of a listed suppressor typed as its breakdown voltage,
// which lies a sixth or so above. A measured voltage is never doubted.
func standoffTyped(p Clamp, entries []Entry) error {
	row, ok := SuppressorNamed(p.Name)
	f, family := familyOf(p.Name)
	if !ok || !family || f.Number != "stand-off" || p.Breakdown.Basis == Measured ||
		math.Abs(float64(p.Breakdown.Value/row.Standoff.Value)-1) > 0.02 {
		return nil
	}
	text := ""
	for _, e := range entries {
		if strings.EqualFold(strings.TrimSpace(e.Field), "breakdown") {
			text = e.Text
		}
	}
	why := fmt.Sprintf("the number of %s is its stand-off voltage; it breaks down at %s", f.Prefix,
		si.Text(row.Breakdown.Value))
	return Faults{{Field: "breakdown", Input: text, Why: why,
		Cure: "leave breakdown out, or mark what was measured with !"}}
}

// otherNames of a suppressor: those for both directions, CA of 5 % and C of 10 %, the voltage with
// V for the point, and without a nought behind the point.
func otherNames(name string) []string {
	stem, narrow := strings.CutSuffix(name, "A")
	letters := map[bool]string{true: "A", false: ""}[narrow]
	stems := []string{stem}
	if i := strings.LastIndexByte(stem, '.'); i > 0 && i > len(stem)-3 {
		stems = append(stems, stem[:i]+"V"+stem[i+1:], strings.TrimSuffix(stem, ".0"))
	}
	var out []string
	for i, s := range stems {
		if i > 0 {
			out = append(out, s+letters)
		}
		out = append(out, s+"C"+letters)
	}
	return out
}

// ClampRatio is the largest voltage at the rated pulse current over the highest breakdown voltage;
// 0 where it is not known.
func (p Clamp) ClampRatio() si.Ratio {
	if !p.Clamping.Known() || p.Highest() <= 0 {
		return 0
	}
	return si.Ratio(p.Clamping.Value / p.Highest())
}

// Highest is the highest breakdown voltage at 25 C, in volts.
func (p Clamp) Highest() si.Voltage {
	return p.Breakdown.Value * (1 + si.Voltage(p.Tolerance.Value))
}

// Lowest is the lowest breakdown voltage at 25 C, in volts.
func (p Clamp) Lowest() si.Voltage {
	return p.Breakdown.Value * (1 - si.Voltage(p.Tolerance.Value))
}

// Dynamic is the resistance between the highest breakdown voltage and the clamping voltage, in
// ohms. The pulse it is read from heats the part, so for spikes of a microsecond it is an upper
// bound.
func (p Clamp) Dynamic() si.Resistance {
	if p.ClampingAt.Value <= 0 {
		return 0
	}
	return si.Resistance(float64(p.Clamping.Value-p.Highest()) / float64(p.ClampingAt.Value))
}
