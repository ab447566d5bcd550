package catalog

import (
	"cmp"
	"slices"
	"strings"
)

// suggestion is the cure for a word that is not known: the nearest known words, or the whole list
// when none is near.
func suggestion(word string, known []string) string {
	near := nearest(word, known, 3)
	if len(near) == 0 {
		return "use one of " + strings.Join(known, ", ")
	}
	return "did you mean " + strings.Join(near, " or ") + "?"
}

// nearest returns up to n of the known words that a slip of the pen may have meant, nearest first.
func nearest(word string, known []string, n int) []string {
	type scored struct {
		word     string
		distance int
	}
	plain := squeeze(word)
	if plain == "" || len(plain) > 64 {
		return nil
	}
	var close []scored
	for _, k := range known {
		other := squeeze(k)
		d := editDistance(plain, other)
		if len(plain) >= 3 && strings.Contains(other, plain) {
			d = min(d, 1)
		}
		if d <= max(1, min(len(plain), len(other))/3) {
			close = append(close, scored{k, d})
		}
	}
	slices.SortStableFunc(close, func(a, b scored) int {
		return cmp.Compare(a.distance, b.distance)
	})
	out := make([]string, 0, n)
	for _, c := range close {
		if len(out) < n && !slices.Contains(out, c.word) {
			out = append(out, c.word)
		}
	}
	return out
}

// squeeze lowers a name and drops what people write differently: blanks, hyphens, underscores, dots
// and slashes.
func squeeze(name string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '_', '.', '/', '\u00a0', '\u2011', '\u2013':
			return -1
		}
		return r
	}, strings.ToLower(name))
}

// editDistance counts insertions, deletions, replacements and swaps of neighbours between two short
// words (bytes).
func editDistance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
