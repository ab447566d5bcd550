package magnetics

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// Shape is a listed outline under its name. Dimensions that are not listed are 0.
type Shape struct {
	Name    string
	Outline Outline
}

// Mismatch is one dimension as read and as listed.
type Mismatch struct {
	Letter       string // a to f
	Read, Listed si.Length
}

// Match is a listed shape beside what was read. Score is the root of the mean squared deviation in
// units of what caliper and sintering allow: below 1 the shape fits, above 2 it does not.
type Match struct {
	Name     string
	Score    si.Ratio
	Mismatch []Mismatch
}

// sintering is the tolerance of fired ferrite dimensions that makers print, about +-2 %; one
// standard deviation.
const sintering = 0.01

// fewest is how many dimensions must be read and listed for a comparison.
const fewest = 3

// MatchShapes sorts listed shapes by how well the caliper readings fit, best first; caliper is the
// error of one reading, one standard deviation. A family that is given narrows the list. A
// dimension that was read and is not listed counts as one deviation. Error: fewer than three
// dimensions read.
func MatchShapes(read Outline, shapes []Shape, caliper si.Length) ([]Match, error) {
	if n := len(dimensions(read)); n < fewest {
		return nil, errors.New("outline: fewer than three dimensions read; measure a, b, c " +
			"and f at least")
	}
	var out []Match
	for _, s := range shapes {
		if read.Family != "" && sameFamily(read.Family) != sameFamily(s.Outline.Family) {
			continue
		}
		if m, ok := compare(read, s, caliper); ok {
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b Match) int { return cmp.Compare(a.Score, b.Score) })
	return out, nil
}

// sameFamily takes the trade's variants of a family together.
func sameFamily(f string) string {
	switch f {
	case "EE", "EF":
		return "E"
	case "EER":
		return "ER"
	}
	return f
}

// dimensions lists the letters that were read.
func dimensions(o Outline) []Mismatch {
	var out []Mismatch
	for i, d := range []si.Length{o.A, o.B, o.C, o.D, o.E, o.F} {
		if d > 0 {
			out = append(out, Mismatch{Letter: string(rune('a' + i)), Read: d})
		}
	}
	return out
}

func compare(read Outline, s Shape, caliper si.Length) (Match, bool) {
	m := Match{Name: s.Name}
	var sum float64
	shared := 0
	listed := map[string]si.Length{}
	for _, d := range dimensions(s.Outline) {
		listed[d.Letter] = d.Read
	}
	all := dimensions(read)
	for _, d := range all {
		d.Listed = listed[d.Letter]
		m.Mismatch = append(m.Mismatch, d)
		if d.Listed == 0 {
			sum++
			continue
		}
		shared++
		allowed := math.Hypot(float64(caliper), sintering*float64(d.Listed))
		off := float64(d.Read-d.Listed) / allowed
		sum += off * off
	}
	m.Score = si.Ratio(math.Sqrt(sum / float64(len(all))))
	return m, shared >= fewest
}

// Parameters are effective area and path of a pair computed from caliper readings.
type Parameters struct {
	Area Estimate[si.Area]
	Path Estimate[si.Length]
}

// IdentifyParameters computes area and path from a measured outline by the rules of IEC 60205;
// caliper is the error every reading keeps to 19 times out of 20. The rule itself is good for 3 %
// of the path and 6 % of the area (see FromOutline), which is in the band. Errors as FromOutline.
func IdentifyParameters(o Outline, caliper si.Length) (Parameters, error) {
	if _, err := FromOutline(o); err != nil {
		return Parameters{}, err
	}
	inputs := make([]input, 0, 9)
	sides := []si.Length{o.A, o.B, o.C, o.D, o.E, o.F, o.I, o.K}
	for i, d := range sides {
		side := Give(d, caliper)
		if d == 0 {
			side = Give(d, 0)
		}
		inputs = append(inputs, from(side, "dimension "+string("abcdefik"[i]),
			"measure it three times and take the mean"))
	}
	at := func(x []float64) Effective {
		p := Outline{Family: o.Family, A: si.Length(x[0]), B: si.Length(x[1]), C: si.Length(x[2]),
			D: si.Length(x[3]),
			E: si.Length(x[4]), F: si.Length(x[5]), I: si.Length(x[6]), K: si.Length(x[7])}
		e, err := FromOutline(p)
		if err != nil {
			e, _ = FromOutline(o)
		}
		return e
	}
	rule := func(e si.Ratio) input {
		return from(Within[si.Ratio](1, e), "rule", "name the shape, whose maker prints the figure")
	}
	return Parameters{
		Area: propagate[si.Area](func(x []float64) float64 { return float64(at(x).Area) * x[8] },
			append(inputs, rule(0.06))...),
		Path: propagate[si.Length](func(x []float64) float64 { return float64(at(x).Path) * x[8] },
			append(inputs, rule(0.03))...),
	}, nil
}
