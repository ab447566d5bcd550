package exchange

import "strings"

// formulaStart holds the characters with which a spreadsheet takes a text for a formula or drops
// it: OWASP ASVS 5.0, requirement 1.2.10 (= + - @, tab, NUL) and CWE-1236, which adds the carriage
// return.
const formulaStart = "=+-@\t\r\x00"

// neutralised puts a single quote before a text that a spreadsheet would compute. A text that is
// already quotes followed by such a character gets one more, so that plain undoes exactly this and
// nothing else.
func neutralised(text string) string {
	if wouldCompute(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// plain takes off the one quote that neutralised put on. Other leading quotes belong to the text
// and stay.
func plain(text string) string {
	if strings.HasPrefix(text, "'") && wouldCompute(strings.TrimLeft(text, "'")) {
		return text[1:]
	}
	return text
}

func wouldCompute(text string) bool {
	return text != "" && strings.IndexByte(formulaStart, text[0]) >= 0
}
