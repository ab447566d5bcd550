package typed

import (
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
)

// Words of a designation that say a figure beyond doubt. What begins with a letter may be a name or
// a place on a board (R47) and claims nothing.
var (
	ohmClaim   = pattern.OnFirstUse(`^[0-9]+\.?[0-9]*(?:[kmMG]?(?:ohms?|Ohms?|OHM|\x{3a9}|\x{2126})|[kKMR][0-9]*)$`)
	ohmLetter  = pattern.OnFirstUse(`^[0-9]+[kKMR][0-9]*[FGJKM]$`)
	faradClaim = pattern.OnFirstUse(`^[0-9]+\.?[0-9]*(?:[pnum\x{b5}\x{3bc}]F|[pnu\x{b5}\x{3bc}][0-9]*)$`)
	voltClaim  = pattern.OnFirstUse(`^[0-9]+\.?[0-9]*k?V(?:ac|dc|AC|DC|[0-9]+)?$`)
	ampClaim   = pattern.OnFirstUse(`^([TF]?)([0-9]+\.?[0-9]*m?A)[LHE]?$`)
	henryClaim = pattern.OnFirstUse(`^[0-9]+\.?[0-9]*[um\x{b5}\x{3bc}]?H$`)
	mmClaim    = pattern.OnFirstUse(`^[0-9]*\.?[0-9]+mm$`)
)

// claimed is what one word of a designation says of a figure, written for the parser; false when it
// says nothing of it.
func claimed(k catalog.Kind, field, word string) (string, bool) {
	switch field {
	case "resistance", "cold":
		if k == catalog.KindResistor || k == catalog.KindTrimmer || k == catalog.KindThermistor {
			if ohmLetter().MatchString(word) {
				return codeSays(word)
			}
			return word, ohmClaim().MatchString(word)
		}
	case "tolerance":
		return strings.TrimLeft(word, "+-/\u00b1"),
			percentWord().MatchString(word) && k != catalog.KindClamp
	case "power":
		watts, ok := wattsOf(word)
		return watts, ok
	case "capacitance":
		return word, k == catalog.KindCapacitor && faradClaim().MatchString(word)
	case "volts", "voltage":
		return word, (k == catalog.KindCapacitor || k == catalog.KindZener ||
			k == catalog.KindFuse) && voltClaim().MatchString(word)
	case "safety":
		class := strings.ToUpper(word)
		return class, class == "X1" || class == "X2" || class == "Y1" || class == "Y2"
	case "inductance":
		return word, k == catalog.KindChoke && henryClaim().MatchString(word)
	case "current":
		if m := ampClaim().FindStringSubmatch(word); m != nil &&
			(k == catalog.KindFuse || k == catalog.KindChoke || k == catalog.KindThermistor) {
			return m[2], true
		}
	case "speed":
		if m := ampClaim().FindStringSubmatch(word); m != nil && m[1] != "" {
			return map[string]string{"T": "time-lag", "F": "fast"}[m[1]], true
		}
	case "insulation":
		kind, ok := insulations[strings.ToLower(word)]
		return kind, ok
	case "diameter":
		return word, mmClaim().MatchString(word)
	case "shape":
		c, ok := catalog.ShapeNamed(word)
		return c.Name, ok && k == catalog.KindCore
	case "ferrite":
		f, ok := catalog.FerriteNamed(word)
		return f.Name, ok
	case "colour":
		f, _ := catalog.FieldNamed(k, field)
		for _, w := range f.Words {
			if strings.EqualFold(w, word) {
				return w, true
			}
		}
	}
	return "", false
}
