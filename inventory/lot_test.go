package inventory_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

func TestSnapshot(t *testing.T) {
	broken := lot(resistor(10), 5)
	broken.ID, broken.Condition = 4, inventory.Damaged
	held := lot(resistor(22), 2)
	held.ID, held.SetAside = 3, 2
	free := lot(resistor(47), 2)
	free.ID, free.SetAside = 2, 1
	spool := lot(wire("hank"), 12.5)
	spool.ID = 1
	s := inventory.Snapshot{Lots: []inventory.Lot{broken, held, free, spool}}

	require.Equal(t, []inventory.Lot{spool, free, held, broken}, s.Sorted().Lots)
	require.Equal(t, broken, s.Lots[0], "Sorted leaves the receiver alone")
	require.Equal(t, []inventory.Lot{broken, held, free}, s.ByKind(catalog.KindResistor))
	require.Equal(t, []inventory.Lot{free, spool}, s.Usable().Lots)
	got, ok := s.Lot(3)
	require.True(t, ok)
	require.Equal(t, held, got)
	_, ok = s.Lot(9)
	require.False(t, ok)
	require.Equal(t, inventory.Metres, spool.Unit())
	require.Equal(t, 1.0, free.Available())
}

func TestEffectiveTakesMeterErrorForTolerance(t *testing.T) {
	l := lot(resistor(4700), 3)
	l.Measured = []inventory.Measurement{{Field: "resistance", Value: 4683, Error: 0.002}}
	r := inventory.Effective(l).(catalog.Resistor)
	require.Equal(t, catalog.Datum[si.Resistance]{Value: 4683, Basis: catalog.Measured},
		r.Resistance)
	require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.002, Basis: catalog.Measured}, r.Tolerance)
	require.Equal(t, resistor(4700), l.Part, "the lot itself is left alone")

	l.Measured = []inventory.Measurement{{Field: "power", Value: 0.25, Error: 0.1}}
	r = inventory.Effective(l).(catalog.Resistor)
	require.Equal(t, catalog.Of(si.Ratio(0.05)), r.Tolerance,
		"another figure's meter error is no tolerance")

	l.Measured = []inventory.Measurement{{Field: "colour", Value: 1, Error: 0.1}}
	require.Equal(t, l.Part, inventory.Effective(l), "a reading that does not fit is left out")
}

func TestEffectiveSpreads(t *testing.T) {
	film := catalog.Film{Named: catalog.Named{Name: "tape"}, Form: "tape",
		Thickness:    catalog.Of(si.Length(55e-6)),
		ThicknessMax: catalog.Of(si.Length(65e-6))}
	reference := catalog.Reference{Named: catalog.Named{Name: "TL431"},
		Vref: catalog.Of(si.Voltage(2.495))}
	amplifier := catalog.Amplifier{Named: catalog.Named{Name: "pair"}, Function: "combined",
		SupplyMin: catalog.Of(si.Voltage(3)), SupplyMax: catalog.Of(si.Voltage(30)),
		Vref: catalog.Of(si.Voltage(2.5))}
	for _, c := range []struct {
		part      catalog.Part
		field     string
		value     float64
		low, high func(catalog.Part) float64
	}{
		{film, "thickness", 60e-6,
			func(p catalog.Part) float64 { return float64(p.(catalog.Film).ThicknessMin.Value) },
			func(p catalog.Part) float64 { return float64(p.(catalog.Film).ThicknessMax.Value) }},
		{reference, "vref", 2.49,
			func(p catalog.Part) float64 { return float64(p.(catalog.Reference).VrefMin.Value) },
			func(p catalog.Part) float64 { return float64(p.(catalog.Reference).VrefMax.Value) }},
		{amplifier, "vref", 2.51,
			func(p catalog.Part) float64 { return float64(p.(catalog.Amplifier).VrefMin.Value) },
			func(p catalog.Part) float64 { return float64(p.(catalog.Amplifier).VrefMax.Value) }},
	} {
		l := lot(c.part, 1)
		l.Measured = []inventory.Measurement{{Field: c.field, Value: c.value, Error: 0.01}}
		p := inventory.Effective(l)
		near(t, c.low(p), c.value*0.99, 1e-12)
		near(t, c.high(p), c.value*1.01, 1e-12)
	}
	for _, c := range []struct {
		part  catalog.Part
		field string
		value float64
		tol   func(catalog.Part) catalog.Datum[si.Ratio]
	}{
		{catalog.Trimmer{Named: catalog.Named{Name: "t"},
			Resistance: catalog.Of(si.Resistance(1000))}, "resistance", 980,
			func(p catalog.Part) catalog.Datum[si.Ratio] { return p.(catalog.Trimmer).Tolerance }},
		{catalog.Capacitor{Named: catalog.Named{Name: "c"}, Dielectric: "film",
			Capacitance: catalog.Of(si.Capacitance(1e-7)),
			Volts:       catalog.Of(si.Voltage(63))}, "capacitance", 98e-9,
			func(p catalog.Part) catalog.Datum[si.Ratio] {
				return p.(catalog.Capacitor).Tolerance
			}},
		{catalog.Clamp{Named: catalog.Named{Name: "k"}, Breakdown: catalog.Of(si.Voltage(200))},
			"breakdown", 204,
			func(p catalog.Part) catalog.Datum[si.Ratio] { return p.(catalog.Clamp).Tolerance }},
	} {
		l := lot(c.part, 1)
		l.Measured = []inventory.Measurement{{Field: c.field, Value: c.value, Error: 0.02}}
		require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.02, Basis: catalog.Measured},
			c.tol(inventory.Effective(l)))
	}
}

func TestIdentity(t *testing.T) {
	a := lot(resistor(10), 1)
	b := a
	b.ID, b.Count, b.SetAside = 9, 7, 2
	require.Equal(t, a.Identity(), b.Identity(),
		"number, count and set-asides do not tell lots apart")
	ohm, watt := inventory.Measurement{Field: "resistance", Value: 10, Error: 0.01, Text: "10"},
		inventory.Measurement{Field: "power", Value: 1, Error: 0.01}
	a.Measured = []inventory.Measurement{ohm, watt}
	ohm.Text = "10 ohm"
	b.Measured = []inventory.Measurement{watt, ohm}
	require.Equal(t, a.Identity(), b.Identity(),
		"order and spelling of readings do not tell lots apart")

	for name, change := range map[string]func(*inventory.Lot){
		"part":      func(l *inventory.Lot) { l.Part = resistor(11) },
		"bin":       func(l *inventory.Lot) { l.Bin = "B" },
		"donor":     func(l *inventory.Lot) { l.Donor = "B" },
		"condition": func(l *inventory.Lot) { l.Condition = inventory.New },
		"note":      func(l *inventory.Lot) { l.Note = "B" },
		"reading": func(l *inventory.Lot) {
			l.Measured = []inventory.Measurement{{Field: "resistance", Value: 10, Error: 0.02}}
		},
	} {
		c := a
		change(&c)
		require.NotEqual(t, a.Identity(), c.Identity(), name)
	}
}

func TestCoalesce(t *testing.T) {
	a, b := lot(resistor(10), 1), lot(resistor(22), 4)
	a.ID = 7
	again := a
	again.ID, again.Count = 8, 2
	got := inventory.Coalesce([]inventory.Lot{a, b, again})
	require.Len(t, got, 2)
	require.Equal(t, 3.0, got[0].Count)
	require.Equal(t, int64(7), got[0].ID)
	require.Equal(t, 1.0, a.Count)
}

func TestQuery(t *testing.T) {
	l := lot(catalog.Resistor{Named: catalog.Named{Name: "10k 1%"},
		Resistance: catalog.Of(si.Resistance(10e3)), Type: "film"}, 4)
	l.Bin, l.Donor, l.Note = "B4", "Router brick no. 7", "long leads"
	for _, c := range []struct {
		q    inventory.Query
		want bool
	}{
		{inventory.Query{}, true},
		{inventory.Query{Kind: "Resistor"}, true},
		{inventory.Query{Kind: "core"}, false},
		{inventory.Query{Bin: "b4"}, true},
		{inventory.Query{Bin: "b"}, false},
		{inventory.Query{Donor: "ROUTER"}, true},
		{inventory.Query{Donor: "printer"}, false},
		{inventory.Query{Text: "10K"}, true},
		{inventory.Query{Text: "leads"}, true},
		{inventory.Query{Text: "film"}, true},
		{inventory.Query{Text: "wound"}, false},
		{inventory.Query{Low: 10e3, High: 10e3}, true},
		{inventory.Query{Low: 1e3, High: 9e3}, false},
		{inventory.Query{Low: 11e3, High: 90e3}, false},
		{inventory.Query{Field: "power", Low: 0.1, High: 1}, false},
		{inventory.Query{Field: "resistance"}, true},
		{inventory.Query{Field: "power"}, false},
		{inventory.Query{Field: "type", Low: 0, High: 1}, false},
	} {
		require.Equal(t, c.want, c.q.Match(l), "%+v", c.q)
	}
	l.Measured = []inventory.Measurement{{Field: "resistance", Value: 9.9e3, Error: 0.01}}
	require.False(t, inventory.Query{Low: 10e3, High: 11e3}.Match(l), "the reading counts")
	require.Equal(t, []inventory.Lot{l},
		inventory.Snapshot{Lots: []inventory.Lot{l}}.Select(inventory.Query{Text: "10k"}))
}

func TestMainFigureIsAFigureOfEachKind(t *testing.T) {
	for _, k := range catalog.Kinds() {
		f, ok := catalog.FieldNamed(k, inventory.MainFigure(k))
		require.True(t, ok && f.Numeric, "%s: %q", k, inventory.MainFigure(k))
	}
	require.Equal(t, "resistance", inventory.MainFigure(catalog.KindResistor))
	require.Empty(t, inventory.MainFigure("valve"))
}

func TestValidate(t *testing.T) {
	good := lot(resistor(10), 1)
	require.NoError(t, good.Validate())
	for says, change := range map[string]func(*inventory.Lot){
		"no part": func(l *inventory.Lot) { l.Part = nil },
		"designation": func(l *inventory.Lot) {
			l.Part = catalog.Resistor{Resistance: catalog.Of(si.Resistance(10))}
		},
		"count \"0\"":     func(l *inventory.Lot) { l.Count = 0 },
		"count \"NaN\"":   func(l *inventory.Lot) { l.Count = math.NaN() },
		"fraction":        func(l *inventory.Lot) { l.Count = 1.5 },
		"bin":             func(l *inventory.Lot) { l.Bin = "a\nb" },
		"U+001B":          func(l *inventory.Lot) { l.Donor = "a\x1b[2J" },
		"U+202E":          func(l *inventory.Lot) { l.Note = "\u202eevil" },
		"not valid UTF-8": func(l *inventory.Lot) { l.Note = "\xff" },
		"at most 64":      func(l *inventory.Lot) { l.Bin = strings.Repeat("b", 65) },
		"at most 1000":    func(l *inventory.Lot) { l.Note = strings.Repeat("b", 1001) },
		"missing":         func(l *inventory.Lot) { l.Condition = "" },
		"unknown":         func(l *inventory.Lot) { l.Condition = "shiny" },
		"no such figure": func(l *inventory.Lot) {
			l.Measured = []inventory.Measurement{{Field: "colour", Error: 0.01}}
		},
		"range": func(l *inventory.Lot) {
			l.Measured = []inventory.Measurement{{Field: "resistance", Value: -1, Error: 0.01}}
		},
		"not a number": func(l *inventory.Lot) {
			l.Measured = []inventory.Measurement{
				{Field: "resistance", Value: math.NaN(), Error: 0.01}}
		},
		"meter error": func(l *inventory.Lot) {
			l.Measured = []inventory.Measurement{{Field: "resistance", Value: 10}}
		},
		"read twice": func(l *inventory.Lot) {
			m := inventory.Measurement{Field: "resistance", Value: 10, Error: 0.01}
			l.Measured = []inventory.Measurement{m, m}
		},
	} {
		l := good
		change(&l)
		err := l.Validate()
		var data inventory.DataError
		require.ErrorAs(t, err, &data, says)
		require.ErrorContains(t, err, says)
	}
	note := good
	note.Note = "two\n\tlines"
	require.NoError(t, note.Validate())
}

func TestParseCondition(t *testing.T) {
	for text, want := range map[string]inventory.Condition{"": inventory.Untested,
		" New ": inventory.New, "TESTED": inventory.Tested,
		"damaged": inventory.Damaged} {
		got, err := inventory.ParseCondition(text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	_, err := inventory.ParseCondition("used")
	require.ErrorContains(t, err, `condition "used": unknown; write new`)
}

func TestErrorsRead(t *testing.T) {
	require.Equal(t, "parts.csv:17:4: why",
		inventory.DataError{File: "parts.csv", Line: 17, Column: 4, Msg: "why"}.Error())
	require.Equal(t, "parts.csv:17: why",
		inventory.DataError{File: "parts.csv", Line: 17, Msg: "why"}.Error())
	require.Equal(t, "why", inventory.DataError{Msg: "why"}.Error())
	require.ErrorIs(t, inventory.NoLot{Lot: 7}, inventory.ErrNoLot)
	require.ErrorIs(t, inventory.NoPurpose{Purpose: "p"}, inventory.ErrNoPurpose)
	require.Equal(t, `lot "7": no such lot; list shows the numbers in use`,
		inventory.NoLot{Lot: 7}.Error())
	require.Contains(t, inventory.NoPurpose{Purpose: "p"}.Error(), `purpose "p"`)
	require.Equal(t,
		`lot "7": 5 asked, 3 available (2 more set aside); ask for less or put more in`,
		inventory.Overdraw{Lot: 7, Asked: 5, Available: 3, SetAside: 2}.Error())
	require.Equal(t, `lot "7": 5.5 m asked, 3 m available; ask for less or put more in`,
		inventory.Overdraw{Lot: 7, Asked: 5.5, Available: 3, Unit: inventory.Metres}.Error())
	cause := errors.New("cause")
	open := inventory.OpenError{Path: "/x", Msg: "is damaged", Err: cause}
	require.Equal(t, `drawer file "/x": is damaged`, open.Error())
	require.ErrorIs(t, open, cause)
}

func TestDonorValidate(t *testing.T) {
	require.NoError(t, inventory.Donor{Name: "router", Plate: "12 V\n1 A"}.Validate())
	require.ErrorContains(t, inventory.Donor{}.Validate(), "no name")
	require.ErrorContains(t, inventory.Donor{Name: "a\x00"}.Validate(), "U+0000")
	require.ErrorContains(t, inventory.Donor{Name: "a", State: "\u2066"}.Validate(), "state")
}
