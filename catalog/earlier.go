package catalog

import "strings"

// Words that earlier versions used for kinds and figures. Files and typed lines that hold them are
// still read; nothing is written with them.

// EarlierKinds are the kinds that once had another word, by that word.
var EarlierKinds = map[string]Kind{"lamp": KindLED}

var earlierFigures = map[string]string{"lamp_resistor": "led_resistor"}

// PresentFigure is the name of a figure today, for a name in lower case that was typed or exported
// at any time.
func PresentFigure(name string) string {
	if now, ok := earlierFigures[name]; ok {
		return now
	}
	return name
}

// WithArticle writes the kind with its indefinite article: a core, an adapter.
func (k Kind) WithArticle() string {
	if k == KindLED || k != "" && strings.ContainsRune("aeiou", rune(k[0])) {
		return "an " + string(k)
	}
	return "a " + string(k)
}
