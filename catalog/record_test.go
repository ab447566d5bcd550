package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// anyRecord draws a record of any kind whose single figures are possible; it may still contradict
// itself.
func anyRecord(r *rapid.T) catalog.Record {
	k := rapid.SampledFrom(catalog.Kinds()).Draw(r, "kind")
	rec := catalog.Record{Kind: k, Designation: rapid.StringMatching(
		`[A-Za-z0-9][A-Za-z0-9 /.+-]{0,20}[A-Za-z0-9]`).Draw(r, "name")}
	for _, f := range catalog.Schema(k) {
		if !f.Required && rapid.Bool().Draw(r, f.Name+" left out") {
			continue
		}
		switch {
		case f.Numeric:
			v := rapid.Float64Range(f.Low, f.High).Draw(r, f.Name)
			b := rapid.SampledFrom([]catalog.Basis{catalog.Assumed, catalog.Estimated,
				catalog.Published,
				catalog.Measured}).Draw(r, "basis")
			rec.Values = append(rec.Values,
				catalog.Value{Field: f.Name, Number: v, Numeric: true, Basis: b})
		case len(f.Words) > 0:
			rec.Values = append(rec.Values,
				catalog.Value{Field: f.Name, Text: rapid.SampledFrom(f.Words).Draw(r, f.Name),
					Basis: catalog.Published})
		default:
			rec.Values = append(rec.Values, catalog.Value{Field: f.Name,
				Text: rapid.StringMatching(`[a-z0-9/]{1,12}`).Draw(r,
					f.Name), Basis: catalog.Published})
		}
	}
	return rec
}

// Build and Describe are inverses, and what Describe writes is read back by ParseFields as the very
// same part. A record that contradicts itself is refused by all three alike.
func TestBuildAndDescribeAreInverses(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		rec := anyRecord(r)
		p, err := catalog.Build(rec)
		described := catalog.Describe(p)
		for i, v := range described.Values {
			if v.Numeric {
				rec.Values[i].Text = v.Text
			}
		}
		require.Equal(r, rec, described)
		again, err2 := catalog.Build(described)
		require.Equal(r, p, again)
		require.Equal(r, err, err2)
		var entries []catalog.Entry
		for _, v := range described.Values {
			entries = append(entries, catalog.Entry{Field: v.Field, Text: v.Text})
		}
		typed, err3 := catalog.ParseFields(rec.Kind, rec.Designation, entries)
		require.Equal(r, p, typed)
		require.Equal(r, err == nil, err3 == nil, "%v / %v", err, err3)
		require.Equal(r, err == nil, p.Validate() == nil)
	})
}

func TestBuildRefusals(t *testing.T) {
	_, err := catalog.Build(catalog.Record{Kind: "banana", Designation: "x"})
	require.ErrorContains(t, err, "no such kind")
	for says, rec := range map[string]catalog.Record{
		"has no such figure; did you mean resistance?": {Kind: catalog.KindResistor,
			Designation: "x",
			Values: []catalog.Value{{Field: "resistence", Number: 1, Numeric: true,
				Basis: catalog.Published}}},
		"given twice": {Kind: catalog.KindResistor, Designation: "x", Values: []catalog.Value{
			{Field: "resistance", Number: 1, Numeric: true, Basis: catalog.Published},
			{Field: "resistance", Number: 1, Numeric: true, Basis: catalog.Published}}},
		"how the figure is known": {Kind: catalog.KindResistor, Designation: "x",
			Values: []catalog.Value{{Field: "resistance", Number: 1, Numeric: true, Basis: 9}}},
		"resistance: missing": {Kind: catalog.KindResistor, Designation: "x"},
		"no such word; did you mean film?": {Kind: catalog.KindResistor, Designation: "x",
			Values: []catalog.Value{
				{Field: "resistance", Number: 1, Numeric: true,
					Basis: catalog.Published}, {Field: "type", Text: "flim"}}},
	} {
		_, err := catalog.Build(rec)
		require.ErrorContains(t, err, says)
	}
}

// All faults are collected, each with its field, in one error.
func TestParseFieldsCollectsFaults(t *testing.T) {
	_, err := catalog.ParseFields(catalog.KindResistor, "", []catalog.Entry{
		{Field: "resistance", Text: "4,7k"}, {Field: "tolerance", Text: "5V"},
		{Field: "powr", Text: "1W"},
		{Field: "volts", Text: "1V"},
		{Field: "type", Text: "carbom"}, {Field: "drift", Text: "100ppm"},
		{Field: "Drift", Text: "50ppm"},
	})
	faults, ok := err.(catalog.Faults)
	require.True(t, ok)
	var lines []string
	for _, f := range faults {
		lines = append(lines, f.Error())
	}
	require.Equal(t, []string{
		`resistance "4,7k": decimal comma; write 4.7k`,
		`tolerance "5V": a voltage does not fit where a number is wanted; write it like 0.05 or 5%`,
		`powr "1W": a resistor has no such figure; did you mean power?`,
		`drift "50ppm": given twice; keep one`,
		`designation: the part has no name; give its designation`,
		`volts "1V": 1 V is outside the possible range; it must be 10 V to 10 kV`,
		`type "carbom": no such word; did you mean carbon?`,
	}, lines)
}

// A mix-up of mega and milli is named when the other reading would be possible.
func TestMegaAndMilli(t *testing.T) {
	for _, c := range []struct {
		kind    catalog.Kind
		entries []catalog.Entry
		says    string
	}{
		{catalog.KindResistor, []catalog.Entry{{Field: "resistance", Text: "4M7"},
			{Field: "type", Text: "shunt"}},
			`resistance "4M7": 4.7 M` + "\u03a9" +
				` is too much for a shunt, M is mega; did you mean 4m7?`},
		{catalog.KindTrimmer, []catalog.Entry{{Field: "resistance", Text: "~1m"}},
			"m is milli; did you mean ~1M?"},
		{catalog.KindChoke, []catalog.Entry{{Field: "use", Text: "output"},
			{Field: "current", Text: "1A"},
			{Field: "inductance", Text: "2.2 MH"}},
			"M is mega; did you mean 2.2 mH?"},
	} {
		_, err := catalog.ParseFields(c.kind, "x", c.entries)
		require.ErrorContains(t, err, c.says)
	}
}

func TestMarksTellTheBasis(t *testing.T) {
	p, err := catalog.ParseFields(catalog.KindResistor, "r", []catalog.Entry{
		{Field: "RESISTANCE", Text: "10k"}, {Field: "tolerance", Text: "~1%"},
		{Field: "power", Text: "? 0.25 W"},
		{Field: "volts", Text: "!350V"},
		{Field: "type", Text: "FILM"},
	})
	require.NoError(t, err)
	r := p.(catalog.Resistor)
	require.Equal(t, catalog.Published, r.Resistance.Basis)
	require.Equal(t, catalog.Estimated, r.Tolerance.Basis)
	require.Equal(t, catalog.Assumed, r.Rating.Basis)
	require.Equal(t, catalog.Measured, r.Volts.Basis)
	require.Equal(t, "film", r.Type)
	var texts []string
	for _, v := range catalog.Describe(p).Values {
		texts = append(texts, v.Text)
	}
	require.Equal(t, []string{"10 kohm", "~0.01", "?250 mW", "!350 V", "film"}, texts)
}

// The bare name of a listed part is enough; what is typed wins over the table.
func TestBareNameOfAListedPart(t *testing.T) {
	p, err := catalog.ParseFields(catalog.KindOptocoupler, "PC817C", nil)
	require.NoError(t, err)
	// 200 %, Sharp PC817 rank table
	require.Equal(t, catalog.Of[si.Ratio](2), p.(catalog.Optocoupler).RatioMin)
	p, err = catalog.ParseFields(catalog.KindOptocoupler, "PC817C",
		[]catalog.Entry{{Field: "ratio_min", Text: "180%"}})
	require.NoError(t, err)
	near(t, float64(p.(catalog.Optocoupler).RatioMin.Value), 1.8, 1e-12, "typed ratio")
	_, err = catalog.ParseFields(catalog.KindSwitcher, "AP8012", nil)
	require.ErrorContains(t, err, "did you mean AP8012 (Chipown) or AP8012 (Chipown) DIP8 or "+
		"AP8012 (AiT)")
	_, err = catalog.ParseFields(catalog.KindSwitcher, "QX9999", nil)
	require.ErrorContains(t, err, "control: missing; use one of")
}

func TestWithMeasured(t *testing.T) {
	r := catalog.Resistor{Named: catalog.Named{Name: "r"},
		Resistance: catalog.Of[si.Resistance](10e3)}
	p, err := catalog.WithMeasured(r, "resistance", 9980)
	require.NoError(t, err)
	require.Equal(t, catalog.Datum[si.Resistance]{Value: 9980, Basis: catalog.Measured},
		p.(catalog.Resistor).Resistance)
	require.Equal(t, catalog.Of[si.Resistance](10e3), r.Resistance, "the argument is not changed")
	for field, says := range map[string]string{"type": "cannot be measured",
		"banana": "no such figure"} {
		_, err = catalog.WithMeasured(r, field, 1)
		require.ErrorContains(t, err, says)
	}
	for _, v := range []float64{-1, 1e12, nan, inf} {
		_, err = catalog.WithMeasured(r, "resistance", v)
		require.ErrorContains(t, err, "outside the possible range")
	}
	core := catalog.Core{Named: catalog.Named{Name: "pair"}}
	for _, denormal := range []float64{5e-324, 1.1125369292536007e-308} {
		_, err = catalog.WithMeasured(core, "gap", denormal)
		require.ErrorContains(t, err, "outside the possible range")
	}
	_, err = catalog.WithMeasured(core, "gap", 0)
	require.NoError(t, err)
}

// A damaged file may name a kind that people may type but no record holds; it is refused, not
// guessed.
func TestKindOfARecordIsExact(t *testing.T) {
	for _, kind := range []catalog.Kind{"rEsistor", " resistor", "valve", ""} {
		_, err := catalog.Build(catalog.Record{Kind: kind, Designation: "x"})
		require.ErrorContains(t, err, "no such kind")
		_, err = catalog.ParseFields(kind, "x", nil)
		require.ErrorContains(t, err, "no such kind")
	}
}
