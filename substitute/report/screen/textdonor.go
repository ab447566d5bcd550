package screen

import (
	"fmt"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/report"
)

// donorFacts tells what is known of a transformer that is used unopened.
func donorFacts(b *substitute.Build) report.Table {
	d, x := b.Donor, b.Transformer
	var sets []string
	for _, t := range d.Turns {
		set := fmt.Sprintf("%d:%d", t.Primary, t.Secondary)
		if t.Bias > 0 {
			set += fmt.Sprintf(":%d", t.Bias)
		}
		sets = append(sets, set)
	}
	return report.Facts(
		[2]string{"transformer", fmt.Sprintf("%s, lot %s", d.Designation, report.LotOf(d.Lot))},
		[2]string{"former", d.Former},
		[2]string{"barrier", x.Barrier},
		[2]string{"turns, likeliest", fmt.Sprintf("%s (%s)", strings.Join(sets, ", "),
			report.Plural(d.Candidates, "set agrees", "sets agree"))},
		[2]string{"primary to secondary", report.Between(d.RatioLow, d.RatioHigh, 3)},
		[2]string{"primary inductance", report.Between(x.InductanceLow, x.InductanceHigh, 3) +
			", as measured"},
		[2]string{"accept when measured", report.Between(x.WallPower, x.WallSaturation, 3)},
		[2]string{"largest safe current", report.Three(d.SafeCurrent)},
		[2]string{"that from", d.SafeBasis},
		[2]string{"leakage", report.Three(d.Leakage)},
		[2]string{"resistance", report.Three(d.PrimaryOhm) + " primary, " +
			report.Three(d.SecondaryOhm) + " secondary"},
		[2]string{"reflected voltage", report.Three(x.Reflected)},
	)
}

// adapterBlocks tell what the adapter is and what is done to it.
func adapterBlocks(b *substitute.Build) []report.Block {
	return []report.Block{{Word: "adapter", Title: "adapter, whole",
		Table: adapterFacts(b.Adapter)},
		{Word: "step", Title: "what is done to it, in order",
			Lines: report.Lines(2, numbered(b.Adapter.Steps))}}
}

func numbered(steps []string) []string {
	var out []string
	for i, s := range steps {
		out = append(out, fmt.Sprintf("%d %s", i+1, s))
	}
	return out
}

func adapterFacts(a *substitute.AdapterUse) report.Table {
	supply := ""
	if a.SupplyMax > 0 {
		supply = report.Between(a.SupplyMin, a.SupplyMax, 3)
	}
	rows := [][2]string{
		{"adapter", fmt.Sprintf("%s, lot %s", a.Designation, report.LotOf(a.Lot))},
		{"plate", report.Three(a.PlateVolts) + ", " + report.Three(a.PlateAmps) + ", " +
			report.Three(a.PlateWatts)},
		{"taken from it", report.Three(a.Power) + ", " + report.Three(a.Current)},
		{"turns, primary to secondary", report.Three(a.Ratio)},
		{"reflected voltage", report.Three(a.Reflected)},
		{"drain at highest mains", report.Three(a.DrainPeak) + " peak"},
		{"rectifier, reverse", report.Three(a.Reverse)},
		{"chip supply", supply},
	}
	for _, s := range a.Swaps {
		rows = append(rows, [2]string{"exchange " + s.Role.String(),
			fmt.Sprintf("%d x %s, lot %s", s.Quantity, s.Designation, report.LotOf(s.Lot))})
	}
	return report.Facts(rows...)
}
