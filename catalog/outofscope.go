package catalog

import (
	"strings"
	"sync"
)

// Stranger is a family of parts that come out of adapters and have no place in a build.
type Stranger struct {
	What string // what it is, with its article: "a linear regulator"
	Why  string // why it is of no use here
}

// strangerStem is a stem of names: # is one digit, * at the end lets further digits follow.
type strangerStem struct {
	stem string
	open bool
	of   Stranger
}

var strangers = sync.OnceValue(func() []strangerStem {
	var out []strangerStem
	for _, c := range readTable("outofscope.tsv") {
		names := []string{c.text("designation")}
		if also := c.text("also"); also != "" {
			names = append(names, strings.Split(also, "|")...)
		}
		for _, name := range names {
			stem, open := strings.CutSuffix(name, "*")
			out = append(out, strangerStem{squeeze(stem), open,
				Stranger{c.text("what"), c.text("why")}})
		}
	}
	return out
})

// OutOfScope finds out whether a name is that of a part which has no place in a build, by the
// longest stem. A name that a table lists is in scope, whatever it looks like.
func OutOfScope(name string) (Stranger, bool) {
	key := squeeze(name)
	best, found := strangerStem{}, false
	for _, s := range strangers() {
		if len(s.stem) > len(best.stem) && s.names(key) {
			best, found = s, true
		}
	}
	if !found {
		return Stranger{}, false
	}
	for _, k := range Kinds() {
		if _, _, listed := Lookup(k, name); listed {
			return Stranger{}, false
		}
	}
	return best.of, true
}

// names tells whether a squeezed name begins with the stem and goes on as a type name may: letters
// of package and reel, and digits only where the stem says so.
func (s strangerStem) names(key string) bool {
	if len(key) < len(s.stem) || len(key) > len(s.stem)+longestSuffix {
		return false
	}
	for i := range len(s.stem) {
		digit := key[i] >= '0' && key[i] <= '9'
		if s.stem[i] == '#' && !digit || s.stem[i] != '#' && s.stem[i] != key[i] {
			return false
		}
	}
	rest := key[len(s.stem):]
	return rest == "" || s.open || rest[0] < '0' || rest[0] > '9'
}
