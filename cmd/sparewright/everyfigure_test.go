package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/inventory/exchange"
)

// notation is a text and the number it must be where it is taken; NaN where the trade leaves it
// open.
type notation struct {
	text string
	want float64
	bad  bool // must be refused
}

// powers are the prefixes of the SI.
var powers = map[string]float64{"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1, "k": 1e3,
	"M": 1e6, "G": 1e9}

// notationOf draws a number of a figure in one of the ways people write it.
func notationOf(t *rapid.T, f catalog.Field) notation {
	whole := rapid.StringMatching(`[1-9][0-9]{0,3}|0`).Draw(t, "whole")
	behind := rapid.StringMatching(`[0-9]{1,3}`).Draw(t, "behind")
	prefix := rapid.SampledFrom([]string{"p", "n", "u", "m", "", "k", "M", "G"}).Draw(t, "prefix")
	unit := f.Dimension().ASCII
	var number float64
	fmt.Sscan(whole+"."+behind, &number)
	length := f.Quantity == "length" // m is the unit and the prefix
	linear := unit != "" && !strings.ContainsAny(unit, "23/") && f.Quantity != "temperature" &&
		f.Quantity != "mass"
	switch rapid.IntRange(0, 8).Draw(t, "way") {
	case 0:
		return notation{text: whole, want: math.NaN()}
	case 1:
		return notation{text: whole + "." + behind, want: math.NaN()}
	case 2:
		return notation{text: whole + "," + behind +
			rapid.SampledFrom([]string{"", unit}).Draw(t, "unit"), bad: true}
	case 3:
		return notation{text: whole + " " + behind, bad: true}
	case 4:
		return notation{text: whole + "." + behind + "%", want: number / 100}
	case 5:
		if linear {
			return notation{text: whole + "." + behind + prefix + unit,
				want: number * powers[prefix]}
		}
	case 6:
		if f.Quantity == "capacitance" && prefix == "G" { // 0G is a voltage code, 4 V (JIS C 5101)
			break
		}
		if linear && !length && prefix != "" {
			return notation{text: whole + prefix + behind, want: number * powers[prefix]}
		}
	case 7:
		// tolerance letters of IEC 60062
		if f.Quantity == "capacitance" && (prefix == "M" || prefix == "G") {
			return notation{text: whole + "." + behind + prefix, want: math.NaN()}
		}
		if linear && !length && prefix != "" {
			return notation{text: whole + "." + behind + prefix, want: number * powers[prefix]}
		}
	}
	text :=
		rapid.StringMatching(
			`[0-9]{1,3}[pnumkMKRrEeGL]?[0-9]{0,3}(ohm|uF|nF|mH|uH|mm|um|cm|V|A|W|%|g|kHz|s|ns|C|K|T|J|F)?`).Draw(t, "text")
	return notation{text: text, want: math.NaN()}
}

// besides gives a kind the figures it must have beside one.
func besides(k catalog.Kind, but string) []string {
	var out []string
	for _, f := range catalog.Schema(k) {
		switch {
		case !f.Required || f.Name == but:
		case !f.Numeric:
			out = append(out, f.Name+"="+f.Words[0])
		default:
			out = append(out, f.Name+"="+
				strings.ReplaceAll(typed.Exact(f.Dimension(), math.Sqrt(f.Low*f.High)), " ", ""))
		}
	}
	return out
}

// optionLike reads a text as the options that ask for such a figure do: --meter, --leakage, --film,
// --diameter, --knee, --ohms and more of identify and tune, --tolerance and the value of network.
var optionLike = map[string]func(string) (float64, error){
	"film thickness":          asOption[si.Length](typed.Thickness),
	"wire diameter":           asOption[si.Length](typed.Millimetres),
	"core gap":                asOption[si.Length](typed.Millimetres),
	"core area":               asOption[si.Area](typed.SquareMillimetres),
	"core al":                 asOption[si.InductanceFactor](typed.Nanohenries),
	"core a":                  asOption[si.Length](typed.Millimetres),
	"resistor tolerance":      asOption[si.Ratio](typed.Error),
	"resistor resistance":     asOption[si.Resistance](typed.Ohms),
	"trimmer resistance":      asOption[si.Resistance](typed.Ohms),
	"transformer meter":       asOption[si.Ratio](typed.Error),
	"transformer leakage":     asOption[si.Inductance](typed.Henries),
	"transformer inductance":  asOption[si.Inductance](typed.Henries),
	"transformer saturation":  asOption[si.Current](typed.Base),
	"transformer primary_ohm": asOption[si.Resistance](typed.Base),
	"choke inductance":        asOption[si.Inductance](typed.Henries),
	"reference vref":          asOption[si.Voltage](typed.Base),
	"capacitor capacitance":   asOption[si.Capacitance](typed.Farads),
	"adapter volts":           asOption[si.Voltage](typed.Base),
}

func asOption[Q si.Quantity](unit typed.Unit) func(string) (float64, error) {
	return func(text string) (float64, error) {
		v, _, err := typed.Option[Q]("value", text, unit)
		return float64(v), err
	}
}

// sought adds how list --between and swap --need read a text, alone and as both ends of a range.
func sought(got map[string]float64, k catalog.Kind, f catalog.Field, text string) {
	take := func(reader string, v float64, err error) {
		if err == nil && f.Within(v) {
			got[reader] = v
		}
	}
	low, high, _, err := figureRange(k, f, text, "")
	take("list", low, err)
	take("list, upper end", high, err)
	if !strings.Contains(text, "-") {
		low, high, _, err = figureRange(k, f, text+"-"+text, "")
		take("list, from", low, err)
		take("list, to", high, err)
	}
	w, _, err := parseWanted(k, f.Name+">="+text, "")
	if err == nil {
		take("swap", *w.Low, nil)
	}
}

// One text has one meaning for every figure of every kind, whoever reads it, in whatever notation;
// a comma and two numbers have none.
func TestEveryFigureReadsTheSameEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(catalog.Kinds()).Draw(t, "kind")
		var fields []catalog.Field
		for _, f := range catalog.Schema(kind) {
			if f.Numeric {
				fields = append(fields, f)
			}
		}
		f := rapid.SampledFrom(fields).Draw(t, "figure")
		n := notationOf(t, f)
		got := map[string]float64{}
		take := func(reader string, p catalog.Part, ok bool) {
			if v, known := figureOf(p, f.Name, ok); known {
				got[reader] = v
			}
		}
		pairs := append(besides(kind, f.Name), f.Name+"="+n.text)
		lot, _, faults := exchange.ParseLot(string(kind), "x", pairs)
		take("put", lot.Part, len(faults) == 0)
		row := "kind,designation,count,figures\n" + string(kind) + ",x,1,\"" +
			strings.Join(pairs, ";") + "\"\n"
		whole, faults := exchange.Read(strings.NewReader(row), "x.csv")
		lots := whole.Lots
		if len(faults) == 0 {
			take("import", lots[0].Part, true)
		}
		quotedPairs := make([]string, len(pairs))
		for i, p := range pairs {
			name, value, _ := strings.Cut(p, "=")
			quotedPairs[i] = name + "=\"" + value + "\""
		}
		a, err := parseBenchLine("put "+string(kind)+" x "+strings.Join(quotedPairs, " ")+" "+
			map[bool]string{true: "x1", false: "1m"}[lot.Part == nil ||
				lot.Unit() == "piece"], benchSetting{})
		take("bench", a.lot.Part, err == nil)
		if m, err := exchange.ParseReading(kind, f.Name+"="+n.text); err == nil &&
			f.Within(m.Value) {
			got["change"] = m.Value
		}
		if read, ok := optionLike[string(kind)+" "+f.Name]; ok {
			if v, err := read(n.text); err == nil && f.Within(v) {
				got["option"] = v
			}
		}
		sought(got, kind, f, n.text)
		for reader, v := range got {
			if n.bad {
				t.Fatalf("%s %s %q: %s reads %v", kind, f.Name, n.text, reader, v)
			}
			if !math.IsNaN(n.want) && math.Abs(v-n.want) > 1e-9*math.Abs(n.want) {
				t.Fatalf("%s %s %q: %s reads %v, not %v", kind, f.Name, n.text, reader, v, n.want)
			}
			for other, w := range got {
				if math.Abs(v-w) > 1e-9*math.Abs(w) {
					t.Fatalf("%s %s %q: %s reads %v, %s reads %v", kind, f.Name, n.text,
						reader, v, other, w)
				}
			}
		}
	})
}

func figureOf(p catalog.Part, name string, ok bool) (float64, bool) {
	if !ok || p == nil {
		return 0, false
	}
	v, known := figureNamed(p, name)
	return v.Number, known
}
