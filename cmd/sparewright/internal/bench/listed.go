package bench

import (
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/frame"
)

// longestListed is how many words a listed designation may have, as "polyester film 50 um".
const longestListed = 5

// listedLine finds the form of a line that begins with a designation instead of a kind: LM358 x3.
// The fewest words that are a designation of the tables count; where parts of several kinds are
// called so, none is taken.
func listedLine(words []benchWord) (benchForm, error) {
	for n := 1; n <= min(len(words), longestListed); n++ {
		name := joined(words[:n])
		switch kinds := kindsCalled(name); len(kinds) {
		case 0:
		case 1:
			return formFor(kinds[0]), nil
		default:
			return benchForm{}, frame.WrongCall("first word", name,
				"may be a "+strings.Join(kindWords(kinds), " or a ")+
					"; write its kind before it, such as "+formWord(kinds[0])+" "+name)
		}
	}
	return benchForm{}, unknownFirst(words[0].text)
}

func joined(words []benchWord) string {
	var out []string
	for _, w := range words {
		out = append(out, w.text)
	}
	return strings.Join(out, " ")
}

// kindsCalled lists the kinds that have a part of that designation: one in a table, or a type name
// that says its figures.
func kindsCalled(name string) []catalog.Kind {
	var out []catalog.Kind
	for _, k := range catalog.Kinds() {
		if _, _, ok := catalog.Lookup(k, name); ok || typeName(k, name) {
			out = append(out, k)
		}
	}
	return out
}

// typeName tells whether a name is the type of a zener or suppressor, which says its voltage.
func typeName(k catalog.Kind, name string) bool {
	if k != catalog.KindZener && k != catalog.KindClamp {
		return false
	}
	all, err := codes.ReadMark(k, name)
	return err == nil && (all[0].Standard == codes.TypeKey || all[0].Standard == codes.JEDECList)
}

// formFor is the form of the lines of a kind.
func formFor(k catalog.Kind) benchForm {
	return benchOrder[formAt(k)].form
}

// formWord is the shortest first word of a kind.
func formWord(k catalog.Kind) string {
	return strings.Fields(benchOrder[formAt(k)].words)[0]
}

func formAt(k catalog.Kind) int {
	for i, f := range benchOrder {
		if f.form.kind == k {
			return i
		}
	}
	return len(benchOrder) - 1 // put KIND
}

func kindWords(kinds []catalog.Kind) []string {
	var out []string
	for _, k := range kinds {
		out = append(out, string(k))
	}
	return out
}

// unknownFirst refuses the first word of a line with the nearest cure: the kinds whose code it may
// be, else the nearest word.
func unknownFirst(word string) error {
	if _, stranger := catalog.OutOfScope(word); stranger {
		return frame.AsCallError(typed.NotListed(word, nil))
	}
	var lines []string
	for _, r := range codes.ReadAny(word) {
		if line := formWord(r.Kind) + " " + word; !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	if len(lines) > 0 {
		return frame.WrongCall("first word", word,
			"no kind of part; write "+strings.Join(lines, " or "))
	}
	if near := frame.DidYouMean("", word, benchFirstWords()); near != "" {
		return frame.WrongCall("first word", word, "no kind of part and no listed one"+near)
	}
	fault := typed.NotListed(word, chipKinds)
	_, cure, _ := strings.Cut(fault.Error(), "; ")
	return frame.WrongCall("first word", word,
		"no kind of part and no listed one; "+cure+"; help lists the kinds")
}
