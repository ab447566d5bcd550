package catalog

import (
	"reflect"
	"slices"
	"strings"
)

// Lookup finds the table row of a part by the name printed on it. Case, blanks, hyphens, dots and
// slashes do not count. A name with letters behind the one in the table, as a maker's suffix for
// package or reel, is found too; unless the suffix is known to name only the case, its figures are
// then marked as estimated, since a suffix may stand for another version. A name that several
// makers use for different parts is not found: Suggest names the candidates.
func Lookup(k Kind, name string) (Part, Source, bool) {
	t := rowsOf(k)
	i, suffix, ok := t.find(k, name)
	if !ok {
		return nil, Source{}, false
	}
	p := t.rows[i].part
	if suffix != "" && !packageCode(k, suffix) {
		p = weakened(p, Estimated)
	}
	return p, t.rows[i].source, true
}

// Suggest returns the table names of kind k that name may have meant, nearest first, at most five.
func Suggest(k Kind, name string) []string {
	t := rowsOf(k)
	var starts, all []string
	key := bareKey(k, name)
	for _, r := range t.rows {
		d := r.part.Designation()
		all = append(all, d)
		if len(key) >= 3 && strings.HasPrefix(r.bare, key) {
			starts = append(starts, d)
		}
	}
	for _, n := range nearest(name, all, 5) {
		if !slices.Contains(starts, n) {
			starts = append(starts, n)
		}
	}
	return starts[:min(len(starts), 5)]
}

// SourceOf names the publication behind the table row of a designation; the zero Source when there
// is none.
func SourceOf(k Kind, designation string) Source {
	_, s, _ := Lookup(k, designation)
	return s
}

// shapeAlone is the name of a shape without the maker behind it.
func shapeAlone(name string) string {
	shape, _, _ := strings.Cut(name, " ")
	return shape
}

var brackets = strings.NewReplacer("(", "", ")", "")

// bareKey is the squeezed name without brackets.
func bareKey(k Kind, name string) string { return brackets.Replace(rowKey(k, name)) }

// rowKey is the squeezed name under which a table of a kind knows a part. In the names of
// suppressors the decimal point counts: P6KE6.8A is not P6KE68A.
func rowKey(k Kind, name string) string {
	if k == KindClamp {
		name = strings.ReplaceAll(name, ".", "\x00")
	}
	return squeeze(name)
}

// shortestStem is the shortest table name that may be followed by a suffix. Shorter ones would
// catch other parts.
const shortestStem = 4

// longestSuffix is the longest suffix that is tolerated.
const longestSuffix = 8

// suffixed lists the kinds whose names carry package and reel suffixes. Shapes, wires and films
// have none.
var suffixed = map[Kind]bool{
	KindSwitcher: true, KindRectifier: true, KindBridge: true, KindOptocoupler: true,
	KindAmplifier: true, KindReference: true,
	KindClamp: true, KindController: true, KindTransistor: true,
}

// find returns the row of a name, the suffix behind the table's name, and whether there is such a
// row.
func (t *table) find(k Kind, name string) (index int, suffix string, ok bool) {
	if i, ok := t.named[rowKey(k, name)]; ok {
		return i, "", true
	}
	bare := bareKey(k, name)
	found, longest := -1, 0
	for _, s := range t.stems {
		if s.key == bare {
			return s.row, "", true
		}
		if !suffixed[k] || len(s.key) < shortestStem || len(s.key) <= longest {
			continue
		}
		if rest, ok := strings.CutPrefix(bare, s.key); ok && toleratedSuffix(k, s.key, rest) {
			found, longest, suffix = s.row, len(s.key), rest
		}
	}
	return found, suffix, found >= 0
}

// toleratedSuffix reports whether the letters behind a table name may be a package code. A digit
// first would be another type number. Behind a centre-tap rectifier R, D and S mean common anode,
// doubler and series, which are other parts (a ThinkiSemi data sheet of MBR10100CTR to MBR10200CTR
// says so).
func toleratedSuffix(k Kind, stem, rest string) bool {
	if rest == "" || len(rest) > longestSuffix || rest[0] >= '0' && rest[0] <= '9' {
		return false
	}
	if k == KindRectifier && strings.HasSuffix(stem, "ct") &&
		strings.ContainsRune("rds", rune(rest[0])) {
		return false
	}
	return true
}

// packageCodes are suffixes of amplifiers and shunt references that name the case, the reel or the
// temperature grade and leave the figures alone (makers' ordering tables, from memory).
var packageCodes = []string{"n", "p", "d", "dr", "dt", "dg", "ng", "g", "t", "tr", "lp", "c", "cd",
	"clp", "cz", "i",
	"id", "ilp", "iz"}

// packageCode reports whether a suffix names only the case.
func packageCode(k Kind, suffix string) bool {
	return (k == KindAmplifier || k == KindReference) && slices.Contains(packageCodes, suffix)
}

// weakened returns p with no figure better known than b.
func weakened(p Part, b Basis) Part {
	v := reflect.New(reflect.TypeOf(p)).Elem()
	v.Set(reflect.ValueOf(p))
	for _, f := range Schema(p.Kind()) {
		if !f.Numeric {
			continue
		}
		if number, basis := figure(v, &f); basis > b {
			setFigure(v, &f, number, b)
		}
	}
	return v.Interface().(Part)
}

// named finds a row and gives it as its own type.
func named[P Part](k Kind, name string) (P, bool) {
	p, _, ok := Lookup(k, name)
	if !ok {
		var none P
		return none, false
	}
	return p.(P), true
}

// ShapeNamed finds a core shape by its standard or trade name, such as E25/13/7, EF25, EE25, ETD 29
// or PQ2016.
func ShapeNamed(name string) (Core, bool) { return named[Core](KindCore, name) }

// SwitcherNamed finds a switcher of the table; see Lookup for suffixes.
func SwitcherNamed(name string) (Switcher, bool) { return named[Switcher](KindSwitcher, name) }

// RectifierNamed finds a rectifier of the table; see Lookup for suffixes.
func RectifierNamed(name string) (Rectifier, bool) { return named[Rectifier](KindRectifier, name) }

// SuppressorNamed finds a transient suppressor of the table; see Lookup for suffixes.
func SuppressorNamed(name string) (Clamp, bool) { return named[Clamp](KindClamp, name) }
