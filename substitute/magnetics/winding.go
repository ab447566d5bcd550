package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// Former is the space for a winding: Width between the cheeks (of one chamber when Split), Height
// radially, CoreAround the length of a turn without thickness lying on the former. Split means two
// chambers side by side.
type Former struct {
	Width, Height si.Length
	CoreAround    si.Length
	Split         bool
}

// Section is one winding, or part of one, laid in one go. Strands lie side by side, Overall is the
// diameter over the insulation, TapeAfter the film laid over the finished section, TapeBetween the
// film between its layers, Margin what stays free at each side, Tails the length of both ends
// together. Chamber (0 or 1) says where it lies on a split former. LeadIn is how many turns' width
// of every layer stays empty: a helix of n turns takes the width of n + 1.
type Section struct {
	Turns, Strands         int
	Overall                si.Length
	TapeAfter, TapeBetween si.Length
	Margin, Tails          si.Length
	Chamber                int
	LeadIn                 int
}

// Layering is a section as it lies: turns in a full layer, number of layers, build height without
// the tape after it, width of its widest layer, mean turn and wire length (of each strand) with
// tails.
type Layering struct {
	TurnsPerLayer, Layers int
	Build, Width          si.Length
	MeanTurn, Length      si.Length
}

// Wind lays the sections in their order from the core outward. Every layer but the last of a
// section is full; a layer lies on what is below it without nesting; a turn at height h above the
// former is CoreAround + 2 pi h long (straight sides keep their length, corners go round). The
// build is what lies on the former with all tape, the higher chamber of a split former. ok is false
// when a section has no wire, does not fit one turn across, names a chamber the former has not, or
// when the build exceeds Height; the layerings up to there are returned.
func Wind(f Former, sections []Section) (ls []Layering, build si.Length, ok bool) {
	ls = make([]Layering, 0, len(sections))
	var heights [2]si.Length
	for _, s := range sections {
		chamber := 0
		if f.Split {
			chamber = s.Chamber
		}
		if chamber < 0 || chamber > 1 {
			return ls, max(heights[0], heights[1]), false
		}
		l, fits := layer(f, s, heights[chamber])
		if !fits {
			return ls, max(heights[0], heights[1]), false
		}
		ls = append(ls, l)
		heights[chamber] += l.Build + s.TapeAfter
	}
	build = max(heights[0], heights[1])
	return ls, build, build <= f.Height*(1+rounding)
}

// rounding keeps a stack that fits exactly from being refused for the last bit.
const rounding = 1e-9

// layer lays one section from height start upward.
func layer(f Former, s Section, start si.Length) (Layering, bool) {
	if s.Turns < 1 || s.Strands < 1 || !(s.Overall > 0) {
		return Layering{}, false
	}
	turn := s.Overall * si.Length(s.Strands)
	across := int(math.Floor(float64((f.Width-2*s.Margin)/turn)+rounding)) - s.LeadIn
	if across < 1 {
		return Layering{}, false
	}
	l := Layering{
		TurnsPerLayer: across,
		Layers:        (s.Turns + across - 1) / across,
		Width:         turn * si.Length(min(s.Turns, across)),
	}
	l.Build = s.Overall*si.Length(l.Layers) + s.TapeBetween*si.Length(l.Layers-1)
	left, wire := s.Turns, si.Length(0)
	for i := range l.Layers {
		n := min(left, across)
		height := start + s.Overall/2 + (s.Overall+s.TapeBetween)*si.Length(i)
		wire += si.Length(n) * (f.CoreAround + 2*math.Pi*height)
		left -= n
	}
	l.MeanTurn = wire / si.Length(s.Turns)
	l.Length = wire + s.Tails
	return l, true
}
