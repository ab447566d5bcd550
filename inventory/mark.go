package inventory

import (
	"errors"
	"math"
	"strconv"
	"strings"
)

// The mark of a lot is what its label shows to people and scanners alike: these letters, the number
// of the lot and a check character. It uses only the 45 characters of the alphanumeric mode of
// ISO/IEC 18004, so that the smallest symbol holds it.
const (
	markLead = "SW"
	markHead = markLead + ":"
	markTail = "-"
)

// What is wrong with a text that would be a mark.
var (
	ErrNoMark = errors.New("not the mark of a lot")
	// ErrWrongMark: a character was misread or mistyped, or the check character is missing.
	ErrWrongMark = errors.New("its check character does not fit")
)

// Mark returns the mark of the lot of that number, such as SW:12-K.
func Mark(lot int64) string {
	n := strconv.FormatInt(lot, 10)
	return markHead + n + markTail + string(checkCharacter(markLead+n))
}

// ReadMark returns the number of the lot a mark names. Case and blanks around it do not matter.
// Errors: ErrNoMark for a text of another form, ErrWrongMark for one whose check character is
// missing or does not fit.
func ReadMark(text string) (int64, error) {
	text = strings.ToUpper(strings.TrimSpace(text))
	rest, found := strings.CutPrefix(text, markHead)
	if !found {
		return 0, ErrNoMark
	}
	number, _, found := strings.Cut(rest, markTail)
	n, err := strconv.ParseInt(number, 10, 64)
	if !found || err != nil || n < 1 || n > math.MaxInt32 || text != Mark(n) {
		return 0, ErrWrongMark
	}
	return n, nil
}

// checkAlphabet gives every character its value by its place.
const checkAlphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// checkCharacter is that of ISO/IEC 7064, hybrid system MOD 37,36, over letters and digits: any one
// wrong character is noticed, and nearly every exchange of two neighbours.
func checkCharacter(text string) byte {
	const m = len(checkAlphabet)
	p := m
	for i := range len(text) {
		s := (p + strings.IndexByte(checkAlphabet, text[i])) % m
		if s == 0 {
			s = m
		}
		p = 2 * s % (m + 1)
	}
	return checkAlphabet[(m+1-p)%m]
}
