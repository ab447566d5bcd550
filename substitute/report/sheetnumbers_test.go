package report_test

import (
	"encoding/json"
	"fmt"
	"html"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute"
	"sparewright/substitute/report/sheet"
)

// figures is every number of a JSON document by unit, and every text.
type figures struct {
	numbers map[string][]float64
	texts   []string
}

// unitOfName reads the unit off the end of a field name, as the contract promises it.
func unitOfName(name string) string {
	ends := map[string]string{
		"v": "V", "a": "A", "ohm": "Ω", "h": "H", "m": "m", "s": "s", "f": "F", "w": "W", "c": "°C",
		"hz": "Hz", "t": "T",
	}
	return ends[name[strings.LastIndex(name, "_")+1:]]
}

func (f *figures) collect(name string, v any) {
	switch x := v.(type) {
	case map[string]any:
		unit, stated := x["unit"].(string)
		for k, e := range x {
			if n, is := e.(float64); is && stated &&
				slices.Contains([]string{"value", "limit", "low", "high"}, k) {
				f.take(map[string]string{"C": "°C", "1": "", "A/m2": "A/mm²", "ohm": "Ω",
					"A2s": "A²s"}[unit], unit, n)
				continue
			}
			switch {
			case k == "points" || k == "switcher_limit":
				continue // drawn, not written
			case name == "losses_w":
				k += "_w"
			case k == "quantity" && unit == "metre":
				k = "quantity_m"
			}
			f.collect(k, e)
		}
	case []any:
		for _, e := range x {
			f.collect(name, e)
		}
	case float64:
		f.numbers[unitOfName(name)] = append(f.numbers[unitOfName(name)], x)
		if unitOfName(name) == "s" {
			f.numbers["h"] = append(f.numbers["h"], x/3600)
		}
	case string:
		f.texts = append(f.texts, x)
	}
}

// take enters a number that stands beside its unit.
func (f *figures) take(shown, unit string, n float64) {
	if shown == "" && unit != "1" {
		shown = unit
	}
	if unit == "A/m2" {
		n /= 1e6
	}
	f.numbers[shown] = append(f.numbers[shown], n)
}

func figuresOf(t *testing.T, s *sheet.Sheet) *figures {
	t.Helper()
	raw, err := json.Marshal(s)
	require.NoError(t, err)
	var v any
	require.NoError(t, json.Unmarshal(raw, &v))
	f := &figures{numbers: map[string][]float64{}}
	f.collect("", v)
	l := s.Build.Losses
	f.numbers["W"] = append(f.numbers["W"],
		float64(l.Switch+l.Core+l.Copper+l.Clamp+l.Rectifier+l.Shunt+l.Bridge+l.Other))
	return f
}

var (
	tagged    = regexp.MustCompile(`(?s)<style>.*?</style>|<title>.*?</title>|<text [^>]*class="a".*?</text>|<[^>]*>`)
	quantity  = regexp.MustCompile(`(^|[^\w.~])(-?\d+(?:\.\d+)?)((?: ?(?:A/mm²|A²s|[kMmµnp]?(?:V|A|Ω|H|m|s|F|W|T|J|Hz)|°C|%|h))?)($|[^\w²])`)
	wrapped   = regexp.MustCompile(`\n +`)
	rangeDash = regexp.MustCompile(`(\d)-(\d+ V)`)
	resistant = regexp.MustCompile(`(^|[^\w])(\d+[RkM]\d*)($|[^\w])`)
)

// visible is what a page shows, tags gone, marks of axes too.
func visible(page string) string {
	return html.UnescapeString(tagged.ReplaceAllString(page, "\n"))
}

var prefixes = map[string]float64{"k": 1e3, "M": 1e6, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12}

// holds reports whether a number as written, such as "291" with "µH", is a number of the document
// rounded to its digits.
func (f *figures) holds(number, unit string) bool {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return false
	}
	scale, roundedTo := 1.0, 4.0
	switch {
	case unit == "%":
		unit, scale, roundedTo = "", 0.01, 2
	case len([]rune(unit)) > 1 && !slices.Contains([]string{"Hz", "°C", "A/mm²", "A²s"}, unit):
		r := []rune(unit)
		scale, unit = prefixes[string(r[0])], string(r[1:])
	}
	_, decimals, _ := strings.Cut(number, ".")
	half := 0.5000001 * math.Pow(10, -float64(len(decimals)))
	if len(decimals) == 0 { // trailing zeros are not written, and 1.70 shows as 1.7
		half = 0.5000001 * math.Pow(10, max(0,
			float64(len(strings.TrimLeft(number, "-")))-roundedTo))
	}
	return slices.ContainsFunc(f.numbers[unit],
		func(n float64) bool { return math.Abs(n/scale-v) <= half })
}

// within reports whether the words hold the number as it is written.
func (f *figures) inTexts(token string) bool {
	is := regexp.MustCompile(`(^|[^\w.])` + regexp.QuoteMeta(token) + `($|[^\w])`)
	return slices.ContainsFunc(f.texts, is.MatchString)
}

// fixedNumbers stand in the wording of every sheet and belong to no build; the bare ones number its
// steps.
var fixedNumbers = []string{
	"6 mm", "1 layer", "2nd", "1st", "0 V", "1 Mohm", "1 mA", "5 mA", "10 mA", "2 mA", "1", "2",
	"3", "4", "5", "6", "7", ">999 %", "999 %", "0 %",
}

// strangers lists the numbers of a page that are in no field of the document.
func strangers(f *figures, text string) []string {
	var out []string
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		rest := rangeDash.ReplaceAllString(line, "$1 V to $2")
		for {
			m := quantity.FindStringSubmatchIndex(rest)
			if m == nil {
				break
			}
			number, unit := rest[m[4]:m[5]], strings.TrimSpace(rest[m[6]:m[7]])
			token := strings.TrimSpace(number + rest[m[6]:m[7]])
			rest = rest[m[7]:]
			if f.holds(number, unit) || slices.Contains(fixedNumbers, token) || f.inTexts(token) ||
				f.inTexts(number) {
				continue
			}
			out = append(out, fmt.Sprintf("%s in %q", token, line))
		}
		for _, m := range resistant.FindAllStringSubmatch(line, -1) {
			if !f.code(m[2]) && !f.inTexts(m[2]) {
				out = append(out, fmt.Sprintf("%s in %q", m[2], line))
			}
		}
	}
	return out
}

// code reports whether a value code of IEC 60062 stands for a resistance of the document.
func (f *figures) code(code string) bool {
	at := strings.IndexAny(code, "RkM")
	digits := strings.Trim(code[:at]+"."+code[at+1:], ".")
	return f.holds(digits, map[byte]string{'R': "Ω", 'k': "kΩ", 'M': "MΩ"}[code[at]])
}

// Every number of the page and of the text is a number of the JSON document of the same sheet,
// rounded to the digits shown.
func TestSheetNumbersAreThoseOfTheDocument(t *testing.T) {
	for _, k := range sheetCases(t) {
		f := figuresOf(t, k.sheet)
		require.Empty(t, strangers(f, visible(string(k.page))), k.name)
		require.Empty(t, strangers(f, wrapped.ReplaceAllString(k.sheet.Text(), " ")), k.name)
	}
}

// The test above finds a number that is wrong: a build that differs in one figure is told apart.
func TestSheetNumbersWrongOneIsFound(t *testing.T) {
	k := sheetCases(t)[0]
	f := figuresOf(t, k.sheet)
	change := []func(b *substitute.Build){
		func(b *substitute.Build) { b.Transformer.WallSaturation *= 1.31 },
		func(b *substitute.Build) {
			b.Windings = slices.Clone(b.Windings)
			for i := range b.Windings { // one alone may come out as another figure of the sheet
				b.Windings[i].Length *= 1.17
			}
		},
		func(b *substitute.Build) { b.Regulation.SetLow *= 0.93 },
		func(b *substitute.Build) { b.Losses.Clamp *= 1.37 },
		func(b *substitute.Build) { b.Stage.BusMax *= 1.19 },
		func(b *substitute.Build) { b.Gap.Shim *= 1.23 },
	}
	for i, c := range change {
		b := *k.sheet.Build
		c(&b)
		wrong := *k.sheet
		wrong.Build = &b
		wrong.Gap.WallSaturation = b.Transformer.WallSaturation
		wrong.Bleed.From = b.Stage.BusMax
		wrong.Readings = sheet.Readings(k.sheet.Target, &b)
		page, err := wrong.HTML()
		require.NoError(t, err)
		require.NotEmpty(t, strangers(f, visible(string(page))), "change %d went unseen", i)
	}
}
