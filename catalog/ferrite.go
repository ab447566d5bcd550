package catalog

import (
	"slices"
	"strings"
	"sync"

	"sparewright/catalog/si"
)

// Ferrite is a grade with what its table row knows. Core loss in W/m3 is K f^Alpha B^Beta (CT0 -
// CT1 T + CT2 T^2) with f in Hz, B in T (peak of a sine, half the swing) and T in degrees Celsius;
// where only one temperature is known, CT is 1, 0, 0 and the loss holds at LossTemp. A K of zero
// means that no loss is published.
type Ferrite struct {
	Name, Maker     string
	Class           string // power or filter
	Permeability    Datum[si.Ratio]
	PermeabilityTol Datum[si.Ratio]
	Sat25, Sat100   Datum[si.FluxDensity] // at SatField
	SatField        float64               // A/m; 0 when not stated
	Curie           Datum[si.Celsius]
	K, Alpha, Beta  float64
	LossBasis       Basis
	LossTemp        si.Celsius
	CT0, CT1, CT2   float64
	FrequencyMin    si.Frequency // where the loss was fitted
	FrequencyMax    si.Frequency
	// half the swing, where the loss was fitted; 0 where the source does not say
	FluxMin  si.FluxDensity
	FluxMax  si.FluxDensity
	Fit      string // where the loss figures come from, in words
	LossKind string // typical, limit or envelope
	Note     string
	Source   Source
}

// Reckoned is the grade with stand-ins for what its row lacks of permeability and tolerance: 2200,
// that of the usual power grades (2000 to 2500: N27, N87, PC40, 3C90), within 25 % (the tolerance
// most makers print).
func (f Ferrite) Reckoned() Ferrite {
	f.Permeability.Assume(2200)
	f.PermeabilityTol.Assume(0.25)
	return f
}

// Names of the rows that stand in for a salvaged core of unknown grade.
const (
	UnknownPower  = "unknown-power"
	UnknownFilter = "unknown-filter"
)

// FilterPermeability is the permeability above which an unknown core is taken for a filter grade:
// the upper tolerance of the highest power grade of the table, PC95 with 3300 + 25 %.
const FilterPermeability = 4200

var ferrites = sync.OnceValue(func() []Ferrite {
	rows := readTable("ferrites.tsv")
	out := make([]Ferrite, len(rows))
	for i, c := range rows {
		out[i] = readFerrite(c)
	}
	return out
})

func readFerrite(c cells) Ferrite {
	k := datum[si.Ratio](c, "k")
	return Ferrite{
		Name: c.text("designation"), Maker: c.text("maker"), Class: c.text("class"),
		Permeability: datum[si.Ratio](c,
			"permeability"), PermeabilityTol: datum[si.Ratio](c, "tolerance"),
		Sat25: datum[si.FluxDensity](c, "sat25"), Sat100: datum[si.FluxDensity](c, "sat100"),
		SatField: float64(datum[si.Ratio](c, "sat_field").Value), Curie: datum[si.Celsius](c,
			"curie"),
		K: float64(k.Value), Alpha: float64(datum[si.Ratio](c, "alpha").Value),
		Beta:      float64(datum[si.Ratio](c, "beta").Value),
		LossBasis: k.Basis, LossTemp: datum[si.Celsius](c, "loss_temp").Value,
		CT0:          float64(datum[si.Ratio](c, "ct0").Value),
		CT1:          float64(datum[si.Ratio](c, "ct1").Value),
		CT2:          float64(datum[si.Ratio](c, "ct2").Value),
		FrequencyMin: datum[si.Frequency](c, "f_min").Value, FrequencyMax: datum[si.Frequency](c,
			"f_max").Value,
		FluxMin: datum[si.FluxDensity](c, "flux_min").Value, FluxMax: datum[si.FluxDensity](c,
			"flux_max").Value,
		Fit: c.text("fit"), LossKind: c.text("loss_kind"), Note: c.text("note"), Source: c.source(),
	}
}

// Ferrites returns the grades of the table. The slice is the caller's own.
func Ferrites() []Ferrite { return slices.Clone(ferrites()) }

// FerriteNamed finds a grade. An empty name, "unknown" or a grade that is not in the table gives
// the unknown-power row, whose figures are a cautious envelope of the power grades; the second
// result tells whether the named grade itself was found.
func FerriteNamed(name string) (Ferrite, bool) {
	key := squeeze(name)
	for _, prefix := range []string{"", "ferrite", "tdk", "epcos", "ferroxcube", "magnetics"} {
		rest, ok := strings.CutPrefix(key, prefix)
		if !ok || rest == "" {
			continue
		}
		if i, ok := ferriteIndex()[strings.TrimSuffix(rest, "material")]; ok {
			return ferrites()[i], true
		}
	}
	return FerriteExactly(UnknownPower), false
}

// ferriteIndex finds a grade by its squeezed name.
var ferriteIndex = sync.OnceValue(func() map[string]int {
	m := make(map[string]int, len(ferrites()))
	for i, f := range ferrites() {
		m[squeeze(f.Name)] = i
	}
	return m
})

// FerriteExactly returns a row the program relies on; that it is missing is a programming error.
func FerriteExactly(name string) Ferrite {
	i, ok := ferriteIndex()[squeeze(name)]
	if !ok {
		panic("catalog: ferrites.tsv has no row " + name)
	}
	return ferrites()[i]
}
