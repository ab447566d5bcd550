package seats

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// What the overvoltage protection of the output may be made of. Common practice, no source, where
// nothing else is said.
const (
	// across the LED; the reference gets its least current through it
	BypassLow    si.Resistance = 470
	BypassHigh   si.Resistance = 1000 // 1 V over 1 kohm are the 1 mA of a TL431 (TI SLVS543S)
	GateLow      si.Resistance = 68e3
	GateHigh     si.Resistance = 220e3
	GateOver     si.Voltage    = 2   // above the highest threshold a transistor counts as closed
	ReverseSpare               = 0.8 // of the rating of a transistor
	// x the drain current with the case at 25 C, which a MOSFET and its body diode bear as a pulse
	// (usual of data sheets, from memory)
	SwitchPulsed = 4
)

// guardReference stands the whole output at its cathode while the protection waits.
func guardReference(c *Circuit, _ Figures) []Need {
	return []Need{
		AtMost("vref", si.Voltage(3)),
		AtMost("cathode_min", si.Current(1e-3)).OfSearch(),
		AtMost("cathode_min", si.Current(c.Now.Figure("cathode_min"))).OfSwap(),
		AtLeast("cathode_volts", c.Absolute),
	}
}

// guardOptocoupler has no barrier to hold: both its sides lie at the output.
func guardOptocoupler(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("output", "", "phototransistor"),
		AtLeast("ratio_min", c.GuardRatio).OfSearch(),
		AtLeast("ratio_min", si.Ratio(c.Now.Figure("ratio_min"))).OfSwap(),
	}
}

// guardLEDResistor carries the LED for as long as a fault lasts, with the output at its ceiling. Of
// several the network is worked out anew.
func guardLEDResistor(c *Circuit, p Figures) []Need {
	if c.GuardPieces > 1 {
		return legResistor(c, p)
	}
	volts := float64(c.Ceiling)
	heat := si.Power(volts * volts / p.Figure("resistance"))
	return []Need{
		Within("resistance", c.GuardLow, c.GuardHigh),
		OneOf("type", keeping...),
		AtLeast("power", heat),
	}
}

func guardBypass(*Circuit, Figures) []Need {
	return small(Within("resistance", BypassLow, BypassHigh))
}

func gateResistor(*Circuit, Figures) []Need {
	return small(Within("resistance", GateLow, GateHigh))
}

// gateDivider halves the voltage at the gate.
func gateDivider(c *Circuit, _ Figures) []Need {
	return small(Within("resistance", 0.8*c.GateOhm, 1.25*c.GateOhm))
}

// packSwitch lies in the lead to the pack's minus.
func packSwitch(c *Circuit, _ Figures) []Need {
	return []Need{
		AtLeast("drain", c.SwitchVolts),
		AtMost("on_hot", c.SwitchOhm),
		AtLeast("current", c.SwitchSurge/SwitchPulsed),
		AtMost("threshold_max", c.GateOn-GateOver),
		AtLeast("gate_max", c.GatePeak),
	}
}

func guardLegBought(c *Circuit) string { return "resistor " + si.RKM(c.Ohm) + " 0.1 %" }

func guardLEDBought(c *Circuit) string {
	ohm := float64(c.Ohm)
	heat := float64(c.Ceiling) * float64(c.Ceiling) / ohm
	for _, w := range []float64{0.25, 0.5, 1, 2, 3, 5} {
		if heat <= w {
			return fmt.Sprintf("resistor %s %g W", si.RKM(c.Ohm), w)
		}
	}
	return fmt.Sprintf("resistor %s %.0f W", si.RKM(c.Ohm), math.Ceil(heat))
}

func gateDividerBought(c *Circuit) string { return "resistor " + si.RKM(c.GateOhm) + " 0.25 W" }

func packSwitchBought(c *Circuit) string {
	volts := math.Ceil(float64(c.SwitchVolts)/10) * 10
	kind := "n-channel MOSFET"
	if c.GateOn-GateOver < 4 {
		kind = "n-channel MOSFET, logic level"
	}
	return fmt.Sprintf("%s %.0f V, %.0f A, %.0f mohm or less", kind, volts,
		math.Ceil(float64(c.SwitchSurge)/SwitchPulsed), math.Floor(1e3*float64(c.SwitchOhm)/1.8))
}
