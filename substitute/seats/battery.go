package seats

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// What may be a part of the control circuit and its loops. Common practice, no source.
const (
	IsolationLeast si.Voltage    = 3750 // rms, reinforced; 5000 V preferred
	IndicatorDrop  si.Voltage    = 2.1  // highest of an indicator LED that says nothing
	LoopInputLow   si.Resistance = 1000
	// the largest input current of an LM358 drops 1.2 mV there
	LoopInputHigh    si.Resistance  = 4700
	DampingLeast     si.Resistance  = 470
	DampingMost      si.Resistance  = 100e3
	LoopCapacityHigh si.Capacitance = 1e-6
	LeadLow          si.Capacitance = 470e-12
	LeadHigh         si.Capacitance = 47e-9
	BypassFarad      si.Capacitance = 100e-9 // at the supply of the amplifier
)

// Diodes that outlast a fuse.
const (
	HalfWave = 8.3e-3 // s, for which diode surges are stated
)

// nearNow is half to twice the resistance in place, which only explains: the networks are worked
// out anew.
func nearNow(c *Circuit) Need {
	r := si.Resistance(c.Now.Figure("resistance"))
	return Within("resistance", r/2, 2*r).AsGuide()
}

// small are the two other needs of resistors of the control circuit: power types are kept for clamp
// and bleed.
func small(resistance Need) []Need {
	return []Need{resistance, OneOf("type", keeping...), AtMost("power", si.Power(0.999))}
}

// legResistor is a part of a leg of the networks, which the search makes of all resistors on hand.
func legResistor(c *Circuit, _ Figures) []Need { return small(nearNow(c)) }

func loopInput(*Circuit, Figures) []Need {
	return small(Within("resistance", LoopInputLow, LoopInputHigh))
}

func damping(*Circuit, Figures) []Need {
	return small(Within("resistance", DampingLeast, DampingMost))
}

func pinSeries(*Circuit, Figures) []Need {
	n := small(Within("resistance", si.Resistance(4.7), 15))
	n[2] = n[2].OfSwap()
	return n
}

func shunt(c *Circuit, _ Figures) []Need {
	return []Need{
		Within("resistance", c.SenseLow, c.SenseHigh).OfSwap(),
		AtLeast("power", c.ShuntPower).OfSwap(),
	}
}

func trimmer(c *Circuit, _ Figures) []Need {
	r := si.Resistance(c.Now.Figure("resistance"))
	return []Need{
		OneOf("track", "", "cermet", "wirewound"),
		Within("resistance", r/2, 2*r).OfSwap(),
	}
}

// amplifier has its inputs at ground, where the shunt is, and lives on the output.
func amplifier(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("function", "dual", "combined"),
		AtMost("input_low", si.Voltage(0)),
		AtLeast("supply_max", c.Absolute),
		AtMost("supply_min", c.Empty).OfSwap(),
		AtMost("offset", c.OffsetMost).OfSwap(),
	}
}

func reference(c *Circuit, p Figures) []Need {
	return []Need{
		AtMost("vref", si.Voltage(3)),
		AtMost("cathode_min", si.Current(c.Now.Figure("cathode_min"))).OfSwap(),
		AtLeast("cathode_volts", si.Voltage(p.Figure("vref"))).OfSearch(),
	}
}

func optocoupler(c *Circuit, _ Figures) []Need {
	return []Need{
		AtLeast("isolation", IsolationLeast).Always(),
		OneOf("output", "", "phototransistor"),
		AtLeast("ratio_min", si.Ratio(c.Now.Figure("ratio_min"))).OfSwap(),
	}
}

func led(c *Circuit, _ Figures) []Need {
	return []Need{AtMost("forward", IndicatorDrop), AtLeast("current", c.LEDLeast)}
}

// ofColour prefers a colour.
func ofColour(colour string) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 {
		if p.Word("colour") == colour {
			return 0
		}
		return 1
	}
}

// smallJunction is what the search takes for a small-signal diode: the leakage of a Schottky one
// would move what it is joined to.
func smallJunction() []Need {
	return []Need{
		OneOf("technology", "ultrafast", "fast").OfSearch(),
		OneOf("technology", notMains...).OfSwap(),
	}
}

func joiningDiode(c *Circuit, _ Figures) []Need {
	return append(smallJunction(), AtLeast("reverse", c.Absolute), AtMost("average", si.Current(1)))
}

func senseClamp(c *Circuit, _ Figures) []Need {
	return append(smallJunction(),
		AtLeast("reverse", c.Absolute).OfSwap(), AtMost("average", si.Current(1)))
}

// packDiode outlasts the output fuse: half its surge squared over a half wave is what it bears
// once.
func packDiode(c *Circuit, p Figures) []Need {
	surge := math.Sqrt(2 * c.FuseThrough / HalfWave)
	return []Need{
		AtLeast("reverse", 1.2*c.Absolute),
		AtLeast("surge", si.Current(surge)),
	}
}

// steady are the dielectrics that may bridge an amplifier.
var steady = []string{"polymer", "film", "ceramic", "ceramic-class1"}

// smallCapacitor is what may bridge an amplifier.
func smallCapacitor(*Circuit, Figures) []Need {
	return []Need{
		OneOf("dielectric", steady...),
		OneOf("safety", ""),
		AtLeast("volts", si.Voltage(25)),
		Within("capacitance", si.Capacitance(10e-9), LoopCapacityHigh),
	}
}

// feedForward bridges the upper leg of the voltage divider; where one is worked out, by just that
// value.
func feedForward(c *Circuit, _ Figures) []Need {
	low, high := LeadLow, LeadHigh
	if c.Farad > 0 {
		low, high = c.Farad, c.Farad
	}
	return []Need{
		OneOf("dielectric", steady...),
		OneOf("safety", ""),
		AtLeast("volts", 1.2*c.Absolute),
		Within("capacitance", low, high),
	}
}

// outputRectifier is Schottky, or ultrafast up to 75 ns; what it must block depends on the turns,
// and the search weighs it then.
func outputRectifier(c *Circuit, p Figures) []Need {
	out := []Need{
		OneOf("technology", "schottky", "ultrafast"),
		AtLeast("reverse", c.RectifierReverse).OfSwap(),
		AtLeast("average", c.RectifierLeast/si.Current(p.Figure("legs"))),
		AtMost("forward", si.Voltage(c.Now.Figure("forward"))).OfSwap(),
	}
	if p.Word("technology") != "schottky" { // which has none; what its sheet gives is charge
		out = append(out, AtMost("recovery", si.Time(75e-9)))
	}
	return out
}

func outputCapacitor(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("dielectric", "electrolytic", "polymer"), Within("volts", c.OutputLeast, 200).Below(),
		AtLeast("capacitance", si.Capacitance(80e-6)), AtLeast("ripple", c.Ripple).OfSwap(),
	}
}

func outputChoke(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("use", "output"),
		AtMost("inductance", si.Inductance(47e-6)),
		AtLeast("current", 1.3*c.Current),
	}
}

func behindChoke(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("dielectric", "electrolytic"),
		Within("volts", c.OutputLeast, 200).Below(),
		Within("capacitance", si.Capacitance(4.7e-6), 47e-6),
	}
}

func behindBought(c *Circuit) string {
	return fmt.Sprintf("electrolytic 10 uF %.0f V", float64(c.OutputLeast))
}

// outputFuse carries the charging current with a quarter to spare.
func outputFuse(c *Circuit, _ Figures) []Need {
	return []Need{Within("current", 1.25*c.Current, max(1, 4*c.Current))}
}

// outputStop leaves the pack alone and holds what the parts across the output bear.
func outputStop(c *Circuit, p Figures) []Need {
	tolerance := si.Voltage(p.Figure("tolerance"))
	return []Need{Within("breakdown", c.StopLow/(1-tolerance), c.StopHigh/(1+tolerance))}
}

func tape(*Circuit, Figures) []Need {
	return []Need{
		OneOf("form", "tape"),
		OneOf("insulates", "yes"),
	}
}

func shim(c *Circuit, _ Figures) []Need {
	return []Need{OneOf("shim", "yes"), AtLeast("class", c.ShimHeat).OfSwap()}
}

func wire(c *Circuit, _ Figures) []Need {
	d := si.Length(c.Now.Figure("diameter"))
	return []Need{
		OneOf("insulation", "triple-insulated", c.Now.Word("insulation")).OfSwap(),
		Within("diameter", 0.8*d, 1.25*d).OfSwap(),
	}
}

func outputFuseBought(c *Circuit) string {
	return fmt.Sprintf("fuse %s A", fuseFor(1.25*c.Current))
}

func stopBought(c *Circuit) string {
	return fmt.Sprintf("suppressor, conducts above %.1f V, holds %.1f V",
		float64(c.StopLow), float64(c.StopHolds))
}

func ceramicBought(c *Circuit) string { return "ceramic " + si.Format(c.Farad, 2) + " 50 V" }

func feedbackBought(c *Circuit) string {
	return fmt.Sprintf("ceramic %.0f nF 50 V", float64(c.Farad)/si.Nano)
}

func dampingBought(c *Circuit) string { return "resistor " + si.RKM(c.Ohm) + " 0.25 W" }
