package catalog

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// ratioSlack is how far two readings of one ratio of turns may lie apart before one of them is a
// slip, more than any meter's error.
const ratioSlack = 0.2

// contradictions of a transformer: its inductances are as the squares of its voltages; leakage is a
// part of the inductance.
func (p Transformer) contradictions() Faults {
	var faults Faults
	slip := func(field string, winding Datum[si.Inductance], ratio Datum[si.Ratio]) {
		if !winding.Known() || !ratio.Known() {
			return
		}
		n := math.Sqrt(float64(p.Inductance.Value / winding.Value))
		if off := n / float64(ratio.Value); off > 1+ratioSlack || off < 1-ratioSlack {
			faults = append(faults, Fault{Field: field,
				Why: fmt.Sprintf("the inductances give %.3g, the voltages %.3g", n,
					float64(ratio.Value)),
				Cure: "the inductance goes with the square of the turns; " +
					"read both again"})
		}
	}
	slip("ratio", p.Secondary, p.Ratio)
	slip("bias_ratio", p.Bias, p.BiasRatio)
	if p.Leakage.Known() && p.Leakage.Value >= p.Inductance.Value/2 {
		faults = append(faults, Fault{Field: "leakage",
			Why:  "half of the inductance or more is no leakage",
			Cure: "short the secondary at its pins with thick wire and read again"})
	}
	return faults
}

// contradictions of an adapter: what stands the output lies above it; the divider gives about the
// plate's voltage; mains in order.
func (p Adapter) contradictions() Faults {
	faults := rising([]string{"volts", "capacitor_volts"}, p.Volts, p.CapacitorVolts)
	faults = append(faults, rising([]string{"volts", "zener"}, p.Volts, p.Zener)...)
	faults = append(faults, rising([]string{"volts", "rectifier_reverse"}, p.Volts,
		p.RectifierReverse)...)
	faults = append(faults, rising([]string{"mains_min", "mains_max"}, p.MainsMin, p.MainsMax)...)
	if p.Regulation != "primary" && p.Top.Known() && p.Bottom.Known() && p.Vref.Known() {
		out := float64(p.Vref.Value) * (1 + float64(p.Top.Value/p.Bottom.Value))
		if off := out/float64(p.Volts.Value) - 1; math.Abs(off) > ratioSlack {
			faults = append(faults, Fault{Field: "top",
				Why:  fmt.Sprintf("with this divider the output would be %.3g V", out),
				Cure: "read both legs out of circuit, and the voltage at their joint"})
		}
	}
	if p.Protection == "none" && p.Zener.Known() {
		faults = append(faults, Fault{Field: "protection", Input: p.Protection,
			Why:  "a zener voltage is given",
			Cure: "use protection=zener, or leave zener out"})
	}
	return faults
}
