// Package netlist writes a build for a general-purpose circuit simulator.
package netlist

import (
	"fmt"
	"strconv"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
)

// Trimmer is where both trimmers of a netlist stand.
type Trimmer uint8

// At the position that gives the set point with nominal parts, at the end with the lowest output,
// at the end with the highest.
const (
	TrimmerSet Trimmer = iota
	TrimmerLow
	TrimmerHigh
)

// String is the word of the command line.
func (p Trimmer) String() string { return [...]string{"set", "low", "high"}[p] }

// Deck collects the lines of a netlist. Node and element names come from this package alone.
type Deck struct{ strings.Builder }

func (d *Deck) Line(format string, args ...any) { fmt.Fprintf(d, format+"\n", args...) }

func (d *Deck) comment(label, text string) { d.WriteString(Comment(label, text)) }

// Num writes a number so that no simulator reads a letter behind it as a scale factor.
func Num(x float64) string { return strconv.FormatFloat(x, 'g', 10, 64) }

// heading says what the deck is of. The first line of a deck is its title, whatever it says.
func (d *Deck) heading(title string, t substitute.Target, b *substitute.Build) {
	d.Line("* sparewright netlist: %s", title)
	d.comment("target", fmt.Sprintf("%s, %s A, mains %s to %s V", t.Name, Num(float64(t.Current)),
		Num(float64(t.MainsMin)),
		Num(float64(t.MainsMax))))
	d.comment("build", fmt.Sprintf("%d, %s", b.Rank, b.Verdict))
	d.comment("switcher", b.ChipName())
	d.comment(carrierWord(b), b.Carrier())
	for _, p := range b.Parts {
		place := ""
		if p.Bin != "" {
			place = ", bin " + p.Bin
		}
		d.comment("part", fmt.Sprintf("%s: %s, %s%s", p.Role, p.Designation, p.Source, place))
	}
}

// carrierWord says what carries the power of a build.
func carrierWord(b *substitute.Build) string {
	switch b.Kind {
	case substitute.DonorTransformer:
		return "transformer"
	case substitute.DonorAdapter:
		return "adapter"
	}
	return "core"
}

// Leg writes the resistors of a network between two nodes. Every one gets its high tolerance end as
// a second value in list, for the questions that are asked in the worst corner.
func (d *Deck) Leg(name, from, to string, n resistors.Network) (list []part) {
	add := func(i int, a, b string) {
		element := fmt.Sprintf("r%s%d", name, i+1)
		d.Line("%s %s %s %s", element, a, b, Num(float64(n.Values[i])))
		list = append(list, part{element, float64(n.Values[i]) * (1 + float64(n.Tolerances[i]))})
	}
	one, two := name+"1", name+"2"
	switch n.Wiring {
	case resistors.Series2:
		add(0, from, one)
		add(1, one, to)
	case resistors.Series3:
		add(0, from, one)
		add(1, one, two)
		add(2, two, to)
	case resistors.SeriesParallel:
		add(0, from, one)
		add(1, one, to)
		add(2, one, to)
	case resistors.ParallelSeries:
		add(0, from, to)
		add(1, from, one)
		add(2, one, to)
	default: // one part, or all in parallel
		for i := range n.N {
			add(i, from, to)
		}
	}
	return list
}

// part is an element with its resistance in ohm at the high end of its tolerance.
type part struct {
	element string
	high    float64
}

// Network finds a leg of the build by its role.
func Network(b *substitute.Build, role seats.ID) resistors.Network {
	for _, n := range b.Regulation.Networks {
		if n.Role == role {
			return n.Network
		}
	}
	return resistors.Network{}
}

// rheostat writes the part of a trimmer's track that is in circuit; with nothing of it in circuit a
// link of 1 micro-ohm keeps the nodes apart, and without trimmer likewise.
func (d *Deck) rheostat(name, from, to string, ohm float64) {
	d.Line("r%s %s %s %s", name, from, to, Num(max(ohm, 1e-6)))
}

// VoltageTrack is how much in ohm of the voltage trimmer's track is in circuit. It lies in the
// lower leg: at the set point Vref (1 + top/(bottom + x)) = Set, and the whole track gives the
// lowest voltage.
func VoltageTrack(t substitute.Target, b *substitute.Build, at Trimmer) float64 {
	r := b.Regulation
	track := float64(r.Trimmer)
	switch at {
	case TrimmerLow:
		return track
	case TrimmerHigh:
		return 0
	}
	return inTrack(float64(r.Reference)*float64(r.Top)/float64(t.Set-r.Reference)-float64(r.Bottom),
		track)
}

// CurrentTrack is the same of the current trimmer. It lies in the upper leg: at the set point
// Vref bottom/(bottom + top + x) = I Rshunt, and the whole track gives the lowest current.
func CurrentTrack(t substitute.Target, b *substitute.Build, at Trimmer) float64 {
	r := b.Regulation
	track := float64(r.SenseTrimmer)
	switch at {
	case TrimmerLow:
		return track
	case TrimmerHigh:
		return 0
	}
	level := float64(t.Current) * float64(r.Shunt) // V
	return inTrack(float64(r.SenseBottom)*(float64(r.Reference)/level-1)-float64(r.SenseTop), track)
}

func inTrack(ohm, track float64) float64 { return min(track, max(0, ohm)) }

// half is the battery voltage half way between empty and full, at which the set current is asked.
func half(t substitute.Target) si.Voltage { return (t.Empty + t.Set) / 2 }
