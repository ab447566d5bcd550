package main

import (
	"fmt"
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
		Description: "Reads colour bands (typed in either direction), codes of chip resistors, value codes, capacitor codes, " +
			"ceramic classes and the names of listed parts, and prints every meaning, the likeliest first. Several words are " +
			"taken as one code.",
		UsageText: "sparewright decode brown-black-orange-gold\nsparewright decode 104K\nsparewright decode 22R\n" +
			"sparewright decode UF4007",
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
	Kind         string  `json:"kind"`
	Meaning      string  `json:"meaning"`
	Ohm          float64 `json:"ohm,omitempty" figures:"entered"`
	Farad        float64 `json:"capacitance_f,omitempty" figures:"entered"`
	ToleranceLow float64 `json:"tolerance_below,omitempty"`
	ToleranceUp  float64 `json:"tolerance_above,omitempty"`
	Volts        float64 `json:"volts_v,omitempty" figures:"entered"`
	Drift        float64 `json:"drift_per_k,omitempty"`
	Series       string  `json:"series,omitempty"`
	Standard     string  `json:"standard"`
	How          string  `json:"how"`
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

// sayMeanings lists the meanings. A terminal has no room for how each was read beside it, so it stands below.
func sayMeanings(env *environment, c *cli.Context, found []meaning) error {
	screen := env.screen(c)
	t := ui.Table{Columns: []ui.Column{{Title: "KIND"}, {Title: "MEANING", Shrink: 1}, {Title: "STANDARD", Shrink: 2}}}
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

// meanings runs every reader over the text. why is the reason of the likeliest reader when there is none.
func meanings(text string) (found []meaning, why string) {
	if codes.LooksLikeBands(text) {
		all, err := codes.ReadBands(text)
		if err != nil {
			return nil, err.Error()
		}
		return resistorMeanings(all), ""
	}
	one := strings.TrimSpace(text)
	found = append(found, resistorMeanings(chipOrValue(one))...)
	var capacitors []meaning
	all, _ := codes.ReadCapacitor(one)
	for _, c := range all {
		capacitors = append(capacitors, capacitorMeaning(c))
	}
	if len(found) > 0 && (found[0].Series == "" || found[0].Series == "E192") && found[0].Standard == codes.IEC60062 {
		found = append(capacitors, found...) // 104K is rather 100 nF of 10 % than a resistor of 104 kohm
	} else {
		found = append(found, capacitors...)
	}
	if c, ok := codes.ReadCeramic(one); ok {
		found = append(found, meaning{Kind: "capacitor", Standard: "EIA RS-198", How: "class 2 ceramic",
			Meaning: fmt.Sprintf("%s to %s, -%s +%s over that range", si.ASCII(c.Low), si.ASCII(c.High), si.Percent(c.Below, 3),
				si.Percent(c.Above, 3))})
	}
	if v, ok := codes.VoltageCode(one); ok {
		found = append(found, meaning{Kind: "capacitor", Meaning: "rated " + si.Text(v), Volts: float64(v),
			Standard: "EIA voltage code", How: "figure and letter"})
	}
	found = append(found, listedMeanings(one)...)
	if len(found) == 0 {
		return nil, "no reader knows it" + nearListed(one)
	}
	return found, ""
}

// chipOrValue lists the resistor readings of one word, value code and chip code together, without doubles.
func chipOrValue(word string) []codes.Resistor {
	var out []codes.Resistor
	if r, err := codes.ReadValueCode(word); err == nil {
		out = append(out, r)
	}
	all, _ := codes.ReadSMD(word)
	for _, r := range all {
		if len(out) == 0 || r.Standard != codes.IEC60062 || r.Resistance != out[0].Resistance {
			out = append(out, r)
		}
	}
	return out
}

func resistorMeanings(all []codes.Resistor) []meaning {
	var out []meaning
	for _, r := range all {
		m := meaning{Kind: "resistor", Meaning: resistorText(r), Ohm: float64(r.Resistance), ToleranceLow: float64(r.Tolerance),
			ToleranceUp: float64(r.Tolerance), Drift: float64(r.Drift), Series: r.Series, Standard: r.Standard, How: r.How}
		out = append(out, m)
	}
	return out
}

// resistorText writes one reading in a few words.
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

func capacitorMeaning(c codes.Capacitor) meaning {
	m := meaning{Kind: "capacitor", Meaning: si.Text(c.Capacitance), Farad: float64(c.Capacitance), Volts: float64(c.Volts),
		Standard: c.Standard, How: c.How}
	switch t := c.Tolerance; {
	case t.Absolute > 0:
		m.Meaning += fmt.Sprintf(" +-%.3g pF", float64(t.Absolute)*1e12)
		m.ToleranceLow, m.ToleranceUp = float64(t.Of(c.Capacitance)), float64(t.Of(c.Capacitance))
	case t.Known() && t.Below == t.Above:
		m.Meaning += " " + si.Percent(t.Above, 3)
		m.ToleranceLow, m.ToleranceUp = float64(t.Below), float64(t.Above)
	case t.Known():
		m.Meaning += fmt.Sprintf(" -%s +%s", si.Percent(t.Below, 3), si.Percent(t.Above, 3))
		m.ToleranceLow, m.ToleranceUp = float64(t.Below), float64(t.Above)
	}
	if c.Volts > 0 {
		m.Meaning += ", " + si.Text(c.Volts)
	}
	return m
}

// listedKinds are the kinds that have tables of names.
var listedKinds = []catalog.Kind{catalog.KindSwitcher, catalog.KindRectifier, catalog.KindBridge, catalog.KindOptocoupler,
	catalog.KindAmplifier, catalog.KindReference, catalog.KindCore}

// listedMeanings finds the name among the listed parts.
func listedMeanings(name string) []meaning {
	var out []meaning
	for _, k := range listedKinds {
		if p, source, ok := catalog.Lookup(k, name); ok {
			out = append(out, meaning{Kind: string(k), Meaning: listedText(p), Standard: "listed part", How: source.Document})
		}
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
