package exchange

import "strings"

// nearestCure is the cure for a wrong word: the known word a slip of the pen may have meant, or all
// of them.
func nearestCure(word string, known []string) string {
	best, least := "", 3 // more than two slips are another word
	for _, k := range known {
		if d := slips(strings.ToLower(word), k); d < least && d < len(k) {
			best, least = k, d
		}
	}
	if best == "" {
		return "use one of " + strings.Join(known, ", ")
	}
	return "did you mean " + best + "?"
}

// slips counts the letters to insert, drop or replace to turn a into b (Levenshtein's distance, on
// bytes).
func slips(a, b string) int {
	if len(a) > 64 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			next := min(row[j+1]+1, row[j]+1, diagonal+cost)
			diagonal, row[j+1] = row[j+1], next
		}
	}
	return row[len(b)]
}
