package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/ui"
)

// decodeCommand says what a code printed on a part can mean.
func decodeCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "TEXT",
		Description: "Reads colour bands (typed in either direction), codes of chip resistors, " +
			"value codes, " +
			"capacitor codes, temperature characteristics, names of suppressors and zener " +
			"diodes, core shapes " +
			"and the names of listed parts, and prints every plausible meaning, the likeliest " +
			"first. m is " +
			"milli and M is mega. Several words are taken as one code.",
		UsageText: "sparewright decode brown-black-orange-gold\nsparewright decode 104K\n" +
			"sparewright decode 22R\nsparewright decode UF4007",
		Flags:  []cli.Flag{jsonFlag(), headerFlag(), colourFlag()},
		Action: env.action(1, -1, func(c *cli.Context) error { return decode(env, c) }),
	}
}

// decodedJSON is the document of decode.
type decodedJSON struct {
	Text     string    `json:"text"`
	Meanings []meaning `json:"meanings"`
}

// meaning is one thing a code can mean. Of the figures those are given that the code tells.
type meaning struct {
	Kind         string   `json:"kind"`
	Meaning      string   `json:"meaning"`
	Ohm          float64  `json:"ohm,omitempty" figures:"entered"`
	Farad        float64  `json:"capacitance_f,omitempty" figures:"entered"`
	ToleranceLow *float64 `json:"tolerance_below,omitempty"`
	ToleranceUp  *float64 `json:"tolerance_above,omitempty"`
	Volts        float64  `json:"volts_v,omitempty" figures:"entered"`
	Zener        float64  `json:"zener_v,omitempty" figures:"entered"`
	Breakdown    float64  `json:"breakdown_v,omitempty" figures:"entered"`
	Standoff     float64  `json:"standoff_v,omitempty" figures:"entered"`
	Drift        float64  `json:"drift_per_k,omitempty"`
	Series       string   `json:"series,omitempty"`
	Standard     string   `json:"standard"`
	How          string   `json:"how"`
}

func decode(env *environment, c *cli.Context) error {
	text := strings.Join(c.Args().Slice(), " ")
	found, why := meanings(text)
	if len(found) == 0 {
		return wrongCall("decode", text, why)
	}
	if c.Bool("json") {
		return env.json(decodedJSON{text, found})
	}
	return sayMeanings(env, c, found)
}

// sayMeanings lists the meanings. A terminal has no space for how each was read beside it, so it
// stands below.
func sayMeanings(env *environment, c *cli.Context, found []meaning) error {
	screen := env.screen(c)
	t := ui.Table{
		Columns: []ui.Column{
			{Title: "KIND"},
			{Title: "MEANING", Shrink: 1},
			{Title: "STANDARD", Shrink: 2},
		},
	}
	if !screen.Terminal {
		t.Columns = append(t.Columns, ui.Column{Title: "HOW"})
	}
	for _, m := range found {
		t.Rows = append(t.Rows, []string{m.Kind, m.Meaning, m.Standard, m.How}[:len(t.Columns)])
	}
	if err := t.Write(&env.out, screen, c.Bool("header")); err != nil || !screen.Terminal {
		return err
	}
	fmt.Fprintln(&env.out)
	for _, m := range found {
		fmt.Fprintf(&env.out, "%s: %s\n", ui.Safe(m.Meaning), ui.Safe(m.How))
	}
	return nil
}

// meanings runs every reader over the text, listed parts first, for their names are the whole of
// what is printed. why is the reason when there is none.
func meanings(text string) (found []meaning, why string) {
	one := strings.TrimSpace(text)
	if codes.LooksLikeBands(one) {
		if _, err := codes.ReadBands(one); err != nil {
			return nil, err.Error()
		}
	}
	found = listedMeanings(one)
	for _, r := range codes.ReadAny(one) {
		found = append(found, readMeaning(r))
	}
	if len(found) == 0 {
		return nil, "no reader knows it" + nearListed(one)
	}
	return found, ""
}

// readMeaning turns a reading of a code into a meaning.
func readMeaning(r codes.Reading) meaning {
	m := meaning{
		Kind:     string(r.Kind),
		Ohm:      float64(r.Resistance),
		Farad:    float64(r.Capacitance),
		Drift:    float64(r.Drift),
		Series:   r.Series,
		Standard: r.Standard,
		How:      r.How,
	}
	switch r.Kind {
	case catalog.KindResistor, catalog.KindTrimmer:
		m.Meaning = resistanceText(r)
	case catalog.KindZener:
		m.Zener, m.Meaning = float64(r.Volts), si.Text(r.Volts)+toleranceText(r)
	case catalog.KindClamp:
		m.Breakdown, m.Standoff, m.Meaning = float64(r.Volts), float64(r.Standoff),
			suppressorText(r)
	default:
		m.Volts, m.Meaning = float64(r.Volts), capacitorText(r)
	}
	if r.Tolerance.Known() {
		below, above := float64(r.Tolerance.Below), float64(r.Tolerance.Above)
		if r.Tolerance.Absolute > 0 {
			below = float64(r.Tolerance.Of(r.Capacitance))
			above = below
		}
		m.ToleranceLow, m.ToleranceUp = &below, &above
	}
	return m
}

// resistanceText writes a resistor or trimmer in a few words.
func resistanceText(r codes.Reading) string {
	if r.Kind == catalog.KindTrimmer {
		return si.Text(r.Resistance)
	}
	return resistorText(
		codes.Resistor{Resistance: r.Resistance, Tolerance: r.Tolerance.Above,
			Customary: r.Customary,
			Drift:     r.Drift, Series: r.Series},
	)
}

// resistorText writes one reading of a resistor in a few words.
func resistorText(r codes.Resistor) string {
	text := si.Text(r.Resistance)
	switch {
	case r.Resistance == 0:
		return "link, 0 ohm"
	case r.Customary:
		text += ", usually " + si.Percent(r.Tolerance, 3)
	case r.Tolerance > 0:
		text += " " + si.Percent(r.Tolerance, 3)
	}
	if r.Drift > 0 {
		text += ", " + si.ASCII(r.Drift)
	}
	if r.Series == "" {
		return text + ", no preferred value"
	}
	return text + ", " + r.Series
}

// suppressorText says which voltage is printed and which follows from it.
func suppressorText(r codes.Reading) string {
	both := ""
	if r.Both {
		both = ", both directions"
	}
	return fmt.Sprintf(
		"suppressor, breakdown %s%s, stand-off %s, %s for 10/1000 us%s",
		si.Format(r.Volts, 3),
		toleranceText(r),
		si.Format(r.Standoff, 3),
		si.Text(r.Power),
		both,
	)
}

func capacitorText(r codes.Reading) string {
	if r.Says != "" {
		return r.Says
	}
	text := si.Text(r.Capacitance) + toleranceText(r)
	if r.Volts > 0 {
		text += ", " + si.Text(r.Volts)
	}
	return text
}

// toleranceText writes a tolerance with a blank before it, or nothing.
func toleranceText(r codes.Reading) string {
	switch t := r.Tolerance; {
	case t.Absolute > 0:
		return fmt.Sprintf(" +-%.3g pF", float64(t.Absolute)*1e12)
	case !t.Known():
		return ""
	case t.Below == t.Above:
		return " " + si.Percent(t.Above, 3)
	default:
		return fmt.Sprintf(" -%s +%s", si.Percent(t.Below, 3), si.Percent(t.Above, 3))
	}
}

// listedKinds are the kinds that have tables of names.
var listedKinds = []catalog.Kind{
	catalog.KindSwitcher,
	catalog.KindRectifier,
	catalog.KindBridge,
	catalog.KindOptocoupler,
	catalog.KindAmplifier,
	catalog.KindReference,
	catalog.KindCore,
}

// listedMeanings finds the name among the listed parts.
func listedMeanings(name string) []meaning {
	var out []meaning
	for _, k := range listedKinds {
		if k == catalog.KindCore {
			out = append(out, shapeMeanings(name)...)
		} else if p, source, ok := catalog.Lookup(k, name); ok {
			out = append(
				out,
				meaning{Kind: string(k), Meaning: listedText(p), Standard: "listed part",
					How: source.Document},
			)
		}
	}
	return out
}

// shapeMeanings lists every row of a core shape: the makers print different figures for one name.
func shapeMeanings(name string) []meaning {
	var out []meaning
	for _, c := range catalog.ShapesNamed(name) {
		text := c.Designation()
		for _, v := range catalog.Describe(c).Values {
			if slices.Contains([]string{"ferrite", "area", "path", "al"}, v.Field) {
				text += ", " + v.Field + " " + figureText(catalog.KindCore, v)
			}
		}
		out = append(out, meaning{Kind: string(catalog.KindCore), Meaning: text,
			Standard: "listed part",
			How:      catalog.SourceOf(catalog.KindCore, c.Designation()).Document})
	}
	return out
}

// listedText names a listed part with its first three figures.
func listedText(p catalog.Part) string {
	text := p.Designation()
	for i, v := range catalog.Describe(p).Values {
		if i == 3 {
			break
		}
		text += ", " + strings.ReplaceAll(v.Field, "_", " ") + " " + figureText(p.Kind(), v)
	}
	return text
}

// nearListed suggests listed names as the tail of an error.
func nearListed(name string) string {
	var near []string
	for _, k := range listedKinds {
		near = append(near, catalog.Suggest(k, name)...)
	}
	if len(near) == 0 {
		return "; type it as printed, such as 104K, 4k7, 01C or brown-black-red-gold"
	}
	return "; did you mean " + strings.Join(near[:min(3, len(near))], " or ") + "?"
}
