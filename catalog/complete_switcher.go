package catalog

import (
	"strings"

	"sparewright/catalog/si"
)

// completeSwitcher assumes what a sheet left out. Common practice, no source, unless another stands beside a figure.
func completeSwitcher(p Switcher) Switcher {
	spread(&p.FrequencyMin, &p.Frequency, &p.FrequencyMax, 0.10)
	spread(&p.LimitMin, &p.Limit, &p.LimitMax, 0.12)
	spread(&p.SenseMin, &p.Sense, &p.SenseMax, 0.08)
	assume(&p.DutyMax, 0.6)
	assume(&p.Breakdown, 600) // below the lowest of the table, 620 V
	derive(&p.OnHot, 1.8*p.OnResistance.Value, p.OnResistance.Basis)
	assume(&p.Coss, 50e-12)
	if p.SelfSupply == "yes" {
		assume(&p.SupplyCurrent, 1.2e-3) // self-supplied chips take 0.3 to 1.1 mA (from memory); more would burn them
	} else {
		assume(&p.SupplyCurrent, 4e-3)
	}
	assume(&p.JunctionAir, mounted(p.Package))
	assume(&p.JunctionMax, 125)
	assume(&p.Delay, 300e-9) // the NCP1050 sheet prints 135 and 160 ns
	if p.Start == "" && p.SelfSupply == "yes" {
		p.Start = "inside"
	}
	if p.Start == "resistor" {
		assume(&p.StartCurrent, 0.5e-3)
	}
	if p.Setting == "" {
		p.Setting = "internal"
	}
	if p.SelfSupply == "" {
		p.SelfSupply = "no"
	}
	switch p.Feedback {
	case "pulls-enable":
		assume(&p.FeedbackStop, 0.5e-3)
	case "feeds-control":
		assume(&p.FeedbackStop, 7e-3)
	default:
		assume(&p.FeedbackStop, 1.5e-3)
	}
	return p
}

// listedSwitcher fills a switcher from the table. The same number in two packages is two parts: one of the named package is
// taken before the row of the bare number, which has the worse figures of all.
func listedSwitcher(p Switcher) Switcher {
	key, pack := bareKey(KindSwitcher, p.Name), packageKey(p.Package)
	if key == "" || pack == "" {
		return listed(p)
	}
	for _, r := range rowsOf(KindSwitcher).rows {
		row := r.part.(Switcher)
		if r.bare != key && strings.HasPrefix(r.bare, key) && packageKey(row.Package) == pack && !disagrees(p, row) {
			return fill(p, row)
		}
	}
	return listed(p)
}

// packageKey is a package as squeezed letters, then its pins: DIP-8 and 8-DIP are the same.
func packageKey(pack string) string {
	pins := strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, pack)
	letters := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return -1
		}
		return r
	}, squeeze(pack))
	return letters + pins
}

// mounted is the thermal resistance to air of a package as builders mount it: a TO-220 body on aluminium of 20 K/W (4 + 1 +
// 20 K/W, from memory), anything else on copper of 200 mm2; the table has 45, 55 and 75 K/W for such mountings.
func mounted(pack string) si.ThermalResistance {
	if strings.Contains(strings.ReplaceAll(pack, "-", ""), "TO220") {
		return 25
	}
	return 70
}
