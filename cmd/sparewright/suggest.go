package main

import "strings"

// closest returns the candidate a mistyped word most likely meant, or "". At most a third of the
// letters may differ; a candidate that begins with the word counts too when it is the only one.
func closest(word string, candidates []string) string {
	word = strings.ToLower(word)
	best, bestDistance := "", len([]rune(word))/3+1
	var starting []string
	for _, c := range candidates {
		if d := editDistance(word, strings.ToLower(c)); d < bestDistance {
			best, bestDistance = c, d
		}
		if len(word) > 1 && strings.HasPrefix(strings.ToLower(c), word) {
			starting = append(starting, c)
		}
	}
	if best == "" && len(starting) == 1 {
		return starting[0]
	}
	return best
}

// didYouMean words a suggestion as the tail of an error, or returns "".
func didYouMean(prefix, word string, candidates []string) string {
	if c := closest(word, candidates); c != "" {
		return "; did you mean " + prefix + c + "?"
	}
	return ""
}

// editDistance counts the letters to insert, drop, change or swap with the neighbour (optimal
// string alignment distance).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, prev, cur := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := range x {
		cur[0] = i + 1
		for j := range y {
			change := prev[j]
			if x[i] != y[j] {
				change++
			}
			cur[j+1] = min(change, prev[j+1]+1, cur[j]+1)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				cur[j+1] = min(cur[j+1], before[j-1]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(y)]
}
