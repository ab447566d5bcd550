package catalog_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
)

// leftUnknown are the figures that Complete may leave unknown, with the reason.
var leftUnknown = map[string]string{
	"adapter bottom":            readOffTheBoard,
	"adapter breakdown":         readOffTheBoard,
	"adapter bulk":              readOffTheBoard,
	"adapter bulk_volts":        readOffTheBoard,
	"adapter capacitance":       readOffTheBoard,
	"adapter capacitor_volts":   readOffTheBoard,
	"adapter chip_supply":       readOffTheBoard,
	"adapter clamp_ohm":         readOffTheBoard,
	"adapter clamp_pulse":       readOffTheBoard,
	"adapter clamp_volts":       readOffTheBoard,
	"adapter led_resistor":      readOffTheBoard,
	"adapter leakage":           readOffTheBoard,
	"adapter mains_max":         readOffTheBoard,
	"adapter mains_min":         readOffTheBoard,
	"adapter ratio":             readOffTheBoard,
	"adapter rectifier_average": readOffTheBoard,
	"adapter rectifier_reverse": readOffTheBoard,
	"adapter reflected":         readOffTheBoard,
	"adapter top":               readOffTheBoard,
	"adapter vref":              readOffTheBoard,
	"adapter y_capacitor":       readOffTheBoard,
	"adapter zener":             readOffTheBoard,
	"amplifier cathode_max":     "of the reference inside; most have none",
	"amplifier cathode_min":     "of the reference inside; most have none",
	"amplifier vref":            "of the reference inside; most have none",
	"amplifier vref_max":        "of the reference inside; most have none",
	"amplifier vref_min":        "of the reference inside; most have none",
	"core al":                   "a reading; without it the gap is worked out",
	"core gap":                  "a reading; none where nothing was ground off",
	"core i":                    "thickness of a bar, which an E pair has not",
	"core k":                    "of round legs only",
	"core pin_creepage": "read with a caliper; without it the creepage is not " +
		"taken for kept",
	"film strength":               "printed by makers; the layers are counted without",
	"film width":                  "a tape that has none is taken for no margin tape",
	"rectifier forward_hot":       "of listed parts; the cold figure is higher",
	"switcher feedback_capacitor": "of chips that time an overload only",
	"switcher feedback_span": "follows from the stop current where the kind of pin " +
		"is not known",
	"switcher frequency":       refusedWithout,
	"switcher frequency_max":   refusedWithout,
	"switcher frequency_min":   refusedWithout,
	"transistor avalanche":     onlyKept,
	"transistor coss":          onlyKept,
	"transistor current":       onlyKept,
	"transistor current_hot":   onlyKept,
	"transistor gate_charge":   onlyKept,
	"transistor junction_air":  onlyKept,
	"transistor junction_case": onlyKept,
	"transistor on_hot":        "without it no build takes it as a pack switch",
	"transistor on_resistance": "without it no build takes it as a pack switch",
	"transistor threshold":     onlyKept,
	"transistor threshold_min": onlyKept,
	"switcher junction_copper": "the area its sheet reckons with, said in the build where known",
	"switcher least_on": "printed for some; else reckoned from delay and blanking, or " +
		"from the period",
	"switcher limit":            refusedWithout,
	"switcher limit_max":        refusedWithout,
	"switcher limit_min":        refusedWithout,
	"switcher on_hot":           refusedWithout,
	"switcher on_resistance":    refusedWithout,
	"switcher open_230v":        makersClass,
	"switcher open_wide":        makersClass,
	"switcher overvoltage":      "a protection that not every chip has",
	"switcher sealed_230v":      makersClass,
	"switcher sealed_wide":      makersClass,
	"switcher self_230v":        makersClass,
	"switcher self_wide":        makersClass,
	"switcher sense":            "of external limits; a switcher with one is refused without",
	"switcher sense_max":        "of external limits; a switcher with one is refused without",
	"switcher sense_min":        "of external limits; a switcher with one is refused without",
	"switcher soft_start":       "not every chip has one",
	"switcher start_current":    "of chips that a resistor starts",
	"switcher supply_start":     "told on the sheet of a build where known",
	"transformer bias":          readAtThePins,
	"transformer bias_ratio":    readAtThePins,
	"transformer leakage":       readAtThePins,
	"transformer passed":        readAtThePins,
	"transformer passed_at":     readAtThePins,
	"transformer passed_limit":  readAtThePins,
	"transformer primary_ohm":   readAtThePins,
	"transformer primary_turns": readAtThePins,
	"transformer ratio":         readAtThePins,
	"transformer saturation":    readAtThePins,
	"transformer secondary":     readAtThePins,
	"transformer secondary_ohm": readAtThePins,
}

// Reasons of several.
const (
	onlyKept        = "kept and listed; no build asks for it"
	readOffTheBoard = "read off its board; an adapter of which it was not read cannot be " +
		"called feasible"
	readAtThePins  = "read at its pins; what is missing is asked for"
	refusedWithout = "a switcher without it is refused"
	makersClass    = "the maker's power class, nobody else's; a build says where there is none"
)

// barePart is a part with the figures it must have and no other. A core is an unlisted E core read
// with a caliper: without letters nothing can be said about one.
func barePart(t *testing.T, k catalog.Kind) catalog.Part {
	t.Helper()
	var entries []catalog.Entry
	for _, f := range catalog.Schema(k) {
		switch {
		case !f.Required:
		case f.Numeric:
			entries = append(entries, catalog.Entry{Field: f.Name,
				Text: strconv.FormatFloat(math.Sqrt(f.Low*f.High), 'e', 6, 64)})
		default:
			entries = append(entries, catalog.Entry{Field: f.Name, Text: f.Words[0]})
		}
	}
	if k == catalog.KindCore {
		for letter, mm := range map[string]string{"a": "25.1mm", "b": "12.5mm", "c": "7.2mm",
			"d": "8.7mm", "e": "17.5mm", "f": "7.3mm"} {
			entries = append(entries, catalog.Entry{Field: letter, Text: mm})
		}
		entries = append(entries, catalog.Entry{Field: "family", Text: "E"})
	}
	p, err := catalog.ParseFields(k, "nobody's part", entries)
	require.NoError(t, err, k)
	return p
}

// Every figure of a kind that builds use is known after Complete, or it is said why it may stay
// unknown: nobody else assumes anything.
func TestCompleteLeavesNothingToAssume(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range catalog.Kinds() {
		if k.Unused() {
			continue
		}
		known := map[string]bool{}
		for _, v := range catalog.Describe(complete.Part(barePart(t, k))).Values {
			known[v.Field] = true
		}
		for _, f := range catalog.Schema(k) {
			name := string(k) + " " + f.Name
			if !f.Numeric || known[f.Name] {
				continue
			}
			seen[name] = true
			if leftUnknown[name] == "" {
				t.Errorf("%q: \"\",", name)
			}
		}
	}
	for name := range leftUnknown {
		require.True(t, seen[name], "%s is known by now; take it off the list", name)
	}
}

// A suppressor of which only the voltage was read is reckoned no better than the sheets print:
// Littelfuse P6KE series, table of ratings: P6KE200A 190 to 210 V, clamps at 274 V; P6KE120A 114 to
// 126 V, 165 V; P6KE150A 143 to 158 V, 207 V.
func TestDrainSuppressor(t *testing.T) {
	for v, printed := range map[float64][3]float64{200: {190, 210, 274}, 120: {114, 126, 165},
		150: {143, 158, 207}} {
		p := complete.DrainSuppressor(catalog.Of(si.Voltage(v)), catalog.Datum[si.Power]{})
		require.LessOrEqual(t, v*(1-float64(p.Tolerance.Value)), printed[0])
		require.InDelta(t, printed[1], v*(1+float64(p.Tolerance.Value)), 0.5)
		require.GreaterOrEqual(t, float64(p.Clamping.Value), printed[2])
		require.Equal(t, catalog.Assumed, p.Tolerance.Basis)
	}
}
