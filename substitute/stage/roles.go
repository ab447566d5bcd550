package stage

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// OutputFault is the factor on the output voltage a capacitor must stand because a single fault may
// raise it (from memory).
const OutputFault = 1.2

// chooseOutput picks the smallest set that stands the voltage and about the ripple of a
// discontinuous flyback at highest mains, up to 2.5 times the output current, else the one with the
// highest ripple rating.
func (j *Frame) chooseOutput(d *stock.Drawer) stock.CapacitorSet {
	need := 2.5 * float64(j.Target.Current)
	asked := Asked(j.Target, j.BusMax)
	return stock.ChooseSet(d.Capacitors,
		stock.Suits[catalog.Capacitor](seats.OutputCapacitor,
			&asked), func(s stock.CapacitorSet) float64 { return float64(s.Rms) }, need,
		func() stock.CapacitorSet {
			farad := soldOutput(j.Target.Current)
			for _, volts := range []si.Voltage{10, 16, 25, 35, 50, 63, 100, 160, 250} {
				if volts >= j.Target.Absolute*OutputFault {
					return stock.CapacitorSet{N: 1, Volts: volts, Rms: si.Current(need), Parts: 1,
						Least: 0.8 * farad,
						Text: fmt.Sprintf("low-impedance electrolytic(s), %g V, together %.0f "+
							"uF and %.1f A "+
							"ripple at 100 kHz", float64(volts), float64(farad)/si.Micro, need)}
				}
			}
			return stock.CapacitorSet{}
		})
}

// soldOutput is the output capacitance to buy: 1000 uF for each ampere, 470 uF at least (common
// practice, no source), as a value of E6.
func soldOutput(i si.Current) si.Capacitance {
	for _, farad := range []si.Capacitance{470e-6, 680e-6, 1000e-6, 1500e-6, 2200e-6, 3300e-6,
		4700e-6} {
		if farad >= 1000e-6*si.Capacitance(i) {
			return farad
		}
	}
	return 6800e-6
}

// ForwardAt scales the stated forward voltage to another current: 60 mV a factor of ten for the
// junction, and a resistive part of 30 % of the stated drop; from memory, good to about 0.1 V.
func ForwardAt(p catalog.Rectifier, i si.Current) si.Voltage {
	stated := p.Forward.Value
	if p.Technology == "schottky" {
		stated = p.Forward.Value
	}
	at := p.ForwardAt.Value
	if i <= 0 || at <= 0 {
		return stated
	}
	x := float64(i) / float64(at)
	v := float64(stated) * (0.7 + 0.3*x)
	v += 0.060 * math.Log10(x)
	return si.Voltage(max(0.2, v))
}

// TouchLimit is the touch current of class II equipment (IEC 60335-1, from memory).
const TouchLimit si.Current = 0.25e-3

// highestLine is the highest frequency of public networks (IEC 60038, from memory). A target says
// the lowest only, which is what the bulk capacitor is sized for; nothing keeps the charger off a
// 60 Hz socket.
const highestLine si.Frequency = 60

// TouchCurrent is the most in A that a Y capacitor lets through to somebody who touches the output:
// at the highest mains and line frequency, at its upper tolerance, 20 % where none is stated
// (tolerance code M, usual of safety capacitors, from memory).
func TouchCurrent(t substitute.Target, c si.Capacitance,
	tolerance catalog.Datum[si.Ratio]) si.Current {
	return flyback.TouchCurrent(c*si.Capacitance(1+tolerance.Or(0.2)), t.MainsMax,
		max(t.Line, highestLine))
}

// Bleed: 60 V, the touchable limit, within a minute of unplugging.
const (
	bleedSeconds = 60.0
	BleedVolts   = 60.0
	bleedHighest = 2e6 // ohm, above it leakage and dirt share the work
)

// MostBleed is the most both resistors may have together across a bulk capacitor of at most that
// value.
func MostBleed(most si.Capacitance, bus si.Voltage) si.Resistance {
	return min(bleedHighest, flyback.BleedResistance(most, bus, BleedVolts, bleedSeconds))
}

// chooseBleed picks two equal resistors in series across the bulk capacitor: the largest that empty
// it in time. Each stands half the bus voltage (350 V for the 0207 body, 200 V where nothing is
// said) and twice its power.
func (j *Frame) chooseBleed(d *stock.Drawer) {
	asked := j.Circuit()
	sought := seats.BulkBleed.In(&asked)
	suits := stock.Suits[catalog.Resistor](seats.BulkBleed, &asked)
	for i := range d.Resistors {
		s := &d.Resistors[i]
		if s.Buy || s.Count < float64(seats.BulkBleed.Pieces()) || !suits(s) {
			continue
		}
		if j.BleedStock == nil ||
			sought.Prefers(s.Figures) < sought.Prefers(j.BleedStock.Figures) {
			j.BleedStock = s
		}
	}
	j.Bleed = 2 * asked.BleedMost
	if j.BleedStock != nil {
		j.Bleed = 2 * j.BleedStock.Part.Resistance.Value
	}
}

// MostStart is the most each of the two may have at the crest of the lowest mains.
func MostStart(crest si.Voltage, taken si.Current) si.Resistance {
	return si.Resistance(float64(crest-startVolts) / (2 * startSpare * float64(taken)))
}

// Practice of starting from the bulk voltage; common practice, no source.
const (
	// V at the supply pin when the usual chip starts (KA5 family 15 V, from memory)
	startVolts = 16.0
	startSpare = 1.25 // x the highest current before the start, the rest charges the capacitor
)

// SortedUses orders the parts list by where a builder looks first: role order as entered, drawer
// before shop.
func SortedUses(uses []substitute.PartUse) []substitute.PartUse {
	sort.SliceStable(uses, func(i, j int) bool {
		return uses[i].Source == "drawer" && uses[j].Source == "buy"
	})
	return uses
}
