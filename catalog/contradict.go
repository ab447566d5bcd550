package catalog

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// volumeSlack is how far the volume may lie from area times path. The three are printed with three
// figures and IEC 60205 defines Ve = Ae le exactly; 3 % covers rounding and the makers' own slips.
const volumeSlack = 0.03

// contradictions of a core: the outline letters nest, the volume is area times path, the window
// height is that of the halves, the smallest section is no larger than the effective one (1.25
// allows for rounding of small cores), and the former fits the window.
func (p Core) contradictions() Faults {
	var faults Faults
	faults = append(faults, rising([]string{"f", "e", "a"}, printed(p.F, p.E, p.A)...)...)
	faults = append(faults, rising([]string{"d", "b"}, printed(p.D, p.B)...)...)
	if p.Area.Basis == Published && p.Path.Basis == Published && p.Volume.Basis == Published {
		product := float64(p.Area.Value) * float64(p.Path.Value)
		if off := product/float64(p.Volume.Value) - 1; math.Abs(off) > volumeSlack {
			faults = append(faults, Fault{Field: "volume",
				Why: fmt.Sprintf("area times path gives %s, %s off",
					si.Text(si.Volume(product)), si.Percent(si.Ratio(off), 2)),
				Cure: "read the three figures again"})
		}
	}
	if p.D.Basis == Published && p.WindowHeight.Basis == Published {
		want := 2 * p.D.Value
		if p.Family == "EI" {
			want = p.D.Value
		}
		if off := math.Abs(float64(p.WindowHeight.Value/want) - 1); off > 0.1 {
			faults = append(faults, Fault{Field: "window_height",
				Why:  "the halves give " + si.Text(want),
				Cure: "give the axial height of both halves together"})
		}
	}
	if p.AreaMin.Firm() && p.Area.Firm() && p.AreaMin.Value > 1.25*p.Area.Value {
		faults = append(faults, Fault{Field: "area_min",
			Why: "the smallest section is larger than the effective area of " +
				si.Text(p.Area.Value), Cure: "read the two figures again"})
	}
	faults = append(faults, rising([]string{"former_width", "window_height"},
		printed(p.FormerWidth, p.WindowHeight)...)...)
	faults = append(faults, rising([]string{"former_height", "window_width"},
		printed(p.FormerHeight, p.WindowWidth)...)...)
	return faults
}

// contradictions of a wire: the insulation lies outside the copper, and the resistance is that of
// copper of the stated diameter within 25 %, more than the tolerance of any conductor (a ten times
// slip is what it finds).
func (p Wire) contradictions() Faults {
	faults := rising([]string{"diameter", "overall"}, printed(p.Diameter, p.Overall)...)
	if p.Resistance.Known() && p.Diameter.Value >= 1e-4 {
		want := CopperPerMetre(p.Diameter.Value)
		if off := float64(p.Resistance.Value / want); off < 0.75 || off > 1.35 {
			faults = append(faults, Fault{Field: "resistance",
				Why:  "copper of that diameter has " + si.Text(want),
				Cure: "check the diameter and the unit"})
		}
	}
	return faults
}

// CopperPerMetre is the resistance per metre of round copper at 20 C, in ohm per metre.
func CopperPerMetre(d si.Length) si.LineResistance {
	return si.LineResistance(si.CopperResistivity20 / (math.Pi / 4 * float64(d) * float64(d)))
}

// contradictions of a film: thinnest, nominal and thickest in order; a tape that stands between
// windings must insulate.
func (p Film) contradictions() Faults {
	return rising([]string{"thickness_min", "thickness", "thickness_max"},
		printed(p.ThicknessMin, p.Thickness, p.ThicknessMax)...)
}

// contradictions of a switcher: lowest, typical and highest in order for frequency, limit and sense
// threshold; hot on-resistance not below cold; power classes open not below sealed, narrow mains
// not below wide; supply range in order.
func (p Switcher) contradictions() Faults {
	var faults Faults
	add := func(more Faults) { faults = append(faults, more...) }
	add(rising([]string{"frequency_min", "frequency", "frequency_max"},
		printed(p.FrequencyMin, p.Frequency, p.FrequencyMax)...))
	add(rising([]string{"limit_min", "limit", "limit_max"},
		printed(p.LimitMin, p.Limit, p.LimitMax)...))
	add(rising([]string{"sense_min", "sense", "sense_max"},
		printed(p.SenseMin, p.Sense, p.SenseMax)...))
	add(rising([]string{"on_resistance", "on_hot"}, printed(p.OnResistance, p.OnHot)...))
	add(rising([]string{"supply_min", "supply_max"}, printed(p.SupplyMin, p.SupplyMax)...))
	add(rising([]string{"sealed_230v", "open_230v"}, p.SealedNarrow, p.OpenNarrow))
	add(rising([]string{"sealed_wide", "open_wide"}, p.SealedWide, p.OpenWide))
	add(rising([]string{"sealed_wide", "sealed_230v"}, p.SealedWide, p.SealedNarrow))
	add(rising([]string{"open_wide", "open_230v"}, p.OpenWide, p.OpenNarrow))
	if p.Setting == "internal" && p.Sense.Known() && !p.Limit.Known() && !p.LimitMin.Known() {
		faults = append(faults, Fault{Field: "setting", Input: p.Setting,
			Why:  "a sense threshold but no limit is given",
			Cure: "use setting=external, or give the limit"})
	}
	return faults
}

// contradictions of a rectifier: a forward voltage needs its current; one or two legs.
func (p Rectifier) contradictions() Faults {
	var faults Faults
	if p.Legs.Known() && p.Legs.Value != 1 && p.Legs.Value != 2 {
		faults = append(faults, Fault{Field: "legs", Why: "a rectifier has one leg or two",
			Cure: "give 1 or 2"})
	}
	if p.Surge.Known() && p.Surge.Value < p.Average.Value {
		faults = append(faults, Fault{Field: "surge",
			Why:  "below the average current of " + si.Text(p.Average.Value),
			Cure: "correct one of the two"})
	}
	return faults
}

// contradictions of a clamp: stand-off, breakdown and clamping voltage rise in this order.
func (p Clamp) contradictions() Faults {
	return rising([]string{"standoff", "breakdown", "clamping"},
		printed(p.Standoff, p.Breakdown, p.Clamping)...)
}

// contradictions of an optocoupler: the lowest transfer ratio is not above the highest.
func (p Optocoupler) contradictions() Faults {
	return rising([]string{"ratio_min", "ratio_max"}, printed(p.RatioMin, p.RatioMax)...)
}

// contradictions of an amplifier: supply range in order; a combined chip has a reference, a plain
// amplifier has none.
func (p Amplifier) contradictions() Faults {
	faults := rising([]string{"supply_min", "supply_max"}, printed(p.SupplyMin, p.SupplyMax)...)
	faults = append(faults, rising([]string{"vref_min", "vref", "vref_max"},
		printed(p.VrefMin, p.Vref, p.VrefMax)...)...)
	faults = append(faults, rising([]string{"cathode_min", "cathode_max"},
		printed(p.CathodeMin, p.CathodeMax)...)...)
	switch {
	case p.Function == "combined" && !p.Vref.Known():
		faults = append(faults, Fault{Field: "vref", Why: "a combined chip has a reference",
			Cure: "give its voltage, such as vref=2.5V"})
	case (p.Function == "dual" || p.Function == "single" || p.Function == "comparator") &&
		p.Vref.Known():
		faults = append(faults, Fault{Field: "function", Input: p.Function,
			Why:  "an amplifier with a reference is a combined one",
			Cure: "use function=combined, or leave vref out"})
	}
	return faults
}

// contradictions of a reference: lowest, nominal and highest in order; cathode currents in order.
func (p Reference) contradictions() Faults {
	faults := rising([]string{"vref_min", "vref", "vref_max"},
		printed(p.VrefMin, p.Vref, p.VrefMax)...)
	return append(faults, rising([]string{"cathode_min", "cathode_max"},
		printed(p.CathodeMin, p.CathodeMax)...)...)
}

// largestShunt is the largest resistance that is taken for a current shunt. Common practice, no
// source: at the 20 mA of the smallest charge current such a shunt already drops 0.2 V.
const largestShunt = 10

// contradictions of a resistor: a shunt is small.
func (p Resistor) contradictions() Faults {
	if p.Type == "shunt" && p.Resistance.Value > largestShunt {
		return Faults{{Field: "resistance",
			Why:  fmt.Sprintf("%s is too much for a shunt", si.Text(p.Resistance.Value)),
			Cure: "give ohms or milliohms, such as 0R22 or 47m"}}
	}
	return nil
}

// contradictions of a trimmer: what is left at the end stop is less than the whole.
func (p Trimmer) contradictions() Faults {
	return rising([]string{"end", "resistance"}, printed(p.End, p.Resistance)...)
}

// largestSafety is the largest capacitance of safety class Y that is taken for real. Common
// practice, no source.
const largestSafety = 100e-9

// contradictions of a capacitor: safety classes belong to film and ceramic parts, and class Y parts
// are small.
func (p Capacitor) contradictions() Faults {
	if p.Safety == "" {
		return nil
	}
	var faults Faults
	if p.Dielectric != "film" && p.Dielectric != "ceramic" && p.Dielectric != "ceramic-class1" {
		faults = append(faults, Fault{Field: "safety", Input: p.Safety,
			Why:  "safety classes exist for film and ceramic only",
			Cure: "correct the dielectric, or leave the class out"})
	}
	if p.Safety[0] == 'Y' && p.Capacitance.Value > largestSafety {
		faults = append(faults, Fault{Field: "capacitance",
			Why:  si.Text(p.Capacitance.Value) + " is too much for class " + p.Safety,
			Cure: "check the unit: Y capacitors are nanofarads"})
	}
	return faults
}

// contradictions of a zener: at its test current it stays below its power.
func (p Zener) contradictions() Faults {
	if !p.At.Known() || !p.Rating.Known() {
		return nil
	}
	if at := si.Power(float64(p.Voltage.Value) * float64(p.At.Value)); at > p.Rating.Value {
		return Faults{{Field: "at", Why: fmt.Sprintf(
			"at the test current it burns %s, more than its %s", si.Text(at),
			si.Text(p.Rating.Value)), Cure: "correct one of the two"}}
	}
	return nil
}

// contradictions of a controller: lowest, typical and highest in order for frequency and sense
// threshold; it stops below the voltage at which it starts.
func (p Controller) contradictions() Faults {
	faults := rising([]string{"frequency_min", "frequency", "frequency_max"},
		printed(p.FrequencyMin, p.Frequency, p.FrequencyMax)...)
	faults = append(faults, rising([]string{"sense_min", "sense", "sense_max"},
		printed(p.SenseMin, p.Sense, p.SenseMax)...)...)
	return append(faults, rising([]string{"supply_min", "supply_start"},
		printed(p.SupplyMin, p.SupplyStart)...)...)
}

// contradictions of a transistor: it carries no more hot than cold, and its on-resistance is not
// smaller hot.
func (p Transistor) contradictions() Faults {
	faults := rising([]string{"current_hot", "current"}, printed(p.CurrentHot, p.Current)...)
	faults = append(faults, rising([]string{"on_resistance", "on_hot"},
		printed(p.OnResistance, p.OnHot)...)...)
	return append(faults, rising([]string{"threshold_min", "threshold", "threshold_max"},
		printed(p.ThresholdMin, p.Threshold, p.ThresholdMax)...)...)
}
