package report

import (
	"fmt"
	"strings"

	"sparewright/substitute"
)

// donorFacts tells what is known of a transformer that is used unopened.
func donorFacts(b *substitute.Build) Table {
	d, x := b.Donor, b.Transformer
	var sets []string
	for _, t := range d.Turns {
		set := fmt.Sprintf("%d:%d", t.Primary, t.Secondary)
		if t.Bias > 0 {
			set += fmt.Sprintf(":%d", t.Bias)
		}
		sets = append(sets, set)
	}
	return facts(
		[2]string{"transformer", fmt.Sprintf("%s, lot %s", d.Designation, lotOf(d.Lot))},
		[2]string{"former", d.Former},
		[2]string{"barrier", x.Barrier},
		[2]string{"turns, likeliest", fmt.Sprintf("%s (%s)", strings.Join(sets, ", "), plural(d.Candidates, "set agrees", "sets agree"))},
		[2]string{"primary to secondary", between(d.RatioLow, d.RatioHigh, 3)},
		[2]string{"primary inductance", between(x.InductanceLow, x.InductanceHigh, 3) + ", as measured"},
		[2]string{"accept when measured", between(x.WallPower, x.WallSaturation, 3)},
		[2]string{"largest safe current", three(d.SafeCurrent)},
		[2]string{"that from", d.SafeBasis},
		[2]string{"leakage", three(d.Leakage)},
		[2]string{"resistance", three(d.PrimaryOhm) + " primary, " + three(d.SecondaryOhm) + " secondary"},
		[2]string{"reflected voltage", three(x.Reflected)},
	)
}

// adapterBlocks tell what the adapter is and what is done to it.
func adapterBlocks(b *substitute.Build) []Block {
	return []Block{{Word: "adapter", Title: "adapter, whole", Table: adapterFacts(b.Adapter)},
		{Word: "step", Title: "what is done to it, in order", Lines: lines(2, numbered(b.Adapter.Steps))}}
}

func numbered(steps []string) []string {
	var out []string
	for i, s := range steps {
		out = append(out, fmt.Sprintf("%d %s", i+1, s))
	}
	return out
}

func adapterFacts(a *substitute.AdapterUse) Table {
	supply := ""
	if a.SupplyMax > 0 {
		supply = between(a.SupplyMin, a.SupplyMax, 3)
	}
	rows := [][2]string{
		{"adapter", fmt.Sprintf("%s, lot %s", a.Designation, lotOf(a.Lot))},
		{"plate", three(a.PlateVolts) + ", " + three(a.PlateAmps) + ", " + three(a.PlateWatts)},
		{"taken from it", three(a.Power) + ", " + three(a.Current)},
		{"turns, primary to secondary", three(a.Ratio)},
		{"reflected voltage", three(a.Reflected)},
		{"drain at highest mains", three(a.DrainPeak) + " peak"},
		{"rectifier, reverse", three(a.Reverse)},
		{"chip supply", supply},
	}
	for _, s := range a.Swaps {
		rows = append(rows, [2]string{"exchange " + s.Role, fmt.Sprintf("%d x %s, lot %s", s.Quantity, s.Designation, lotOf(s.Lot))})
	}
	return facts(rows...)
}
