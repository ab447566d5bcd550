package seats

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// The X capacitor: behind the bridge the bulk capacitor holds the bleed off, so that it may leave
// the crest of the mains on the pins of the plug. Above 0.1 uF IEC 60335-1 22.5 wants it down to 34
// V within a second of pulling the plug (from memory).
const (
	BareX si.Capacitance = 100e-9 // rated, with no resistor across it
	mostX si.Capacitance = 330e-9
)

// StartRange is how far below what would do a start resistor may be: less than a fourth only burns
// power; common practice, no source.
const StartRange = 4.0

// notMains are the junctions faster than a mains diode.
var notMains = []string{"schottky", "ultrafast", "fast"}

// keeping are the resistors that keep their value; a fusible one opens where nothing should.
var keeping = []string{"", "film", "carbon", "wirewound", "shunt"}

// fuseFor is the next rating of a fuse.
func fuseFor(i si.Current) string {
	for _, r := range []si.Current{0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5} {
		if r >= i {
			return fmt.Sprintf("%g", float64(r))
		}
	}
	return "6.3"
}

// mainsFuse is time-lag and carries twice the mains current. The search may choose a larger one; a
// stand-in never is larger.
func mainsFuse(c *Circuit, _ Figures) []Need {
	return []Need{
		Within("current", 2*c.Mains, max(2, 10*c.Mains)).OfSearch(),
		Within("current", 2*c.Mains, si.Current(c.Now.Figure("current"))).OfSwap(),
		AtLeast("volts", c.MainsMax-15), OneOf("speed", "", "time-lag"),
	}
}

// smallestFuse is the smallest; high breaking capacity first.
func smallestFuse(_ *Circuit, p Figures) float64 {
	s := p.Figure("current")
	if p.Figure("breaking") < 100 {
		s += 10
	}
	return s
}

func mainsFuseBought(c *Circuit) string {
	return fmt.Sprintf("fuse T %s A 250 V, high breaking capacity", fuseFor(2*c.Mains))
}

func inrushLimiter(c *Circuit, _ Figures) []Need {
	return []Need{Within("cold", si.Resistance(3), 35), AtLeast("current", 1.5*c.Mains)}
}

func mainsChoke(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("use", "common-mode"),
		AtLeast("inductance", si.Inductance(2e-3)),
		AtLeast("current", 1.5*c.Mains),
	}
}

func xCapacitor(*Circuit, Figures) []Need {
	return []Need{
		OneOf("safety", "X2", "X1", "Y2"),
		Within("capacitance", si.Capacitance(47e-9), mostX),
	}
}

// yCapacitor bridges the barrier: Y1, no more than the touch current allows at its upper tolerance,
// 20 % where none is stated.
func yCapacitor(c *Circuit, p Figures) []Need {
	return []Need{
		OneOf("safety", "Y1"),
		AtMost("capacitance", c.TouchMost/si.Capacitance(1+p.Figure("tolerance"))),
	}
}

func bridge(c *Circuit, _ Figures) []Need {
	return []Need{AtLeast("reverse", c.BridgeReverse), AtLeast("average", c.BridgeAverage)}
}

// bulkCapacitor stands the highest bus voltage; how much of it is wanted the search weighs.
func bulkCapacitor(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("dielectric", "electrolytic"),
		OneOf("safety", "").OfSearch(),
		AtLeast("volts", c.BusMax),
		AtLeast("capacitance", si.Capacitance(c.Now.Figure("capacitance"))).AsGuide(),
		AtLeast("heat", si.Celsius(105)).OfSwap(),
	}
}

// inSeries are two resistors in series across a voltage: each stands half of it and twice its
// power.
func inSeries(each, power si.Voltage, p Figures) []Need {
	heat := float64(power) * float64(power) / p.Figure("resistance")
	return []Need{
		OneOf("type", keeping...),
		AtLeast("volts", each),
		AtLeast("power", si.Power(2*heat)).OfSearch(),
	}
}

func bulkBleed(c *Circuit, p Figures) []Need {
	return append(inSeries(c.BusMax/2, c.BusMax/2, p), AtMost("resistance", c.BleedMost))
}

func xDischarge(c *Circuit, p Figures) []Need {
	return append(inSeries(c.MainsMax*math.Sqrt2/2, c.MainsMax/2, p),
		AtMost("resistance", c.DischargeMost))
}

func startResistor(c *Circuit, p Figures) []Need {
	return append(inSeries(c.BusMax/2, c.BusMax/2, p),
		Within("resistance", c.StartMost/StartRange, c.StartMost))
}

func startResistorBought(c *Circuit) string {
	half := float64(c.BusMax) / 2
	return fmt.Sprintf("resistor %s %.1f W 350 V", si.RKM(catalog.Nearest(c.StartMost*0.85, "E12")),
		max(0.5, math.Ceil(half*half/float64(c.StartMost)/0.85*20)/10))
}

// drainClamp is a suppressor; the search measures every one above 60 V, and what it burns.
func drainClamp(c *Circuit, p Figures) []Need {
	tolerance := si.Voltage(1 + p.Figure("tolerance"))
	return []Need{
		AtLeast("breakdown", si.Voltage(60)).OfSearch(),
		Within("breakdown", max(60, c.ClampLow*tolerance), c.ClampHigh/tolerance).OfSwap(),
		AtLeast("steady", c.ClampPower).OfSwap(),
	}
}

func clampResistor(*Circuit, Figures) []Need {
	return []Need{
		AtLeast("power", si.Power(1)),
		Within("resistance", si.Resistance(5e3), 1e6),
		OneOf("type", "", "film", "carbon", "wirewound").OfSearch(),
	}
}

// ClampStoreSpare is how much more than the clamp voltage its capacitor bears; common practice, no
// source.
const ClampStoreSpare = 1.5

func clampCapacitor(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("dielectric", "film", "ceramic"),
		OneOf("safety", ""),
		AtLeast("volts", ClampStoreSpare*c.Clamp),
		Within("capacitance", c.ClampPeriods, 47e-9),
	}
}

func clampCapacitorBought(c *Circuit) string {
	return fmt.Sprintf("film or ceramic capacitor, %.2g nF or more, %.0f V",
		float64(c.ClampPeriods)/si.Nano, math.Ceil(ClampStoreSpare*float64(c.Clamp)/100)*100)
}

func clampDiode(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("technology", notMains...), AtLeast("reverse", max(600, 1.2*(c.BusMax+c.Clamp))),
		AtMost("recovery", si.Time(500e-9)), AtLeast("average", si.Current(0.5)),
	}
}

func switcher(c *Circuit, _ Figures) []Need {
	return []Need{AtLeast("breakdown", c.Breakdown).OfSwap()}
}

func limitResistor(c *Circuit, _ Figures) []Need { return []Need{nearNow(c)} }

func biasRectifier(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("technology", notMains...),
		AtLeast("reverse", c.BiasReverse),
		Within("average", si.Current(0.1), 3),
	}
}

func biasRectifierBought(c *Circuit) string {
	return fmt.Sprintf("fast diode 0.2 A, %.0f V", math.Ceil(float64(c.BiasReverse)/50)*50)
}

// StoreSteps is how far above what is wanted at the supply pin the next usual value may lie, and
// StoreLeast what an electrolytic surely has of its nominal value, and a stand-in of what is
// wanted. Common practice, no source.
const (
	StoreSteps = 1.5
	StoreLeast = 0.8
)

// chipSupply is a can at the supply pin of the switcher, or behind the bias rectifier.
func chipSupply(c *Circuit, _ Figures) []Need {
	return []Need{
		OneOf("dielectric", "electrolytic"),
		Within("volts", c.ChipVolts, 100),
		Within("capacitance", si.Capacitance(8e-6), max(50e-6, StoreSteps*c.ChipStore)),
		Within("capacitance", StoreLeast*c.ChipStore, max(50e-6, StoreSteps*c.ChipStore)).OfSwap(),
	}
}

func nearestStore(c *Circuit, p Figures) float64 {
	return math.Abs(p.Figure("capacitance") - float64(c.ChipStore))
}

func chipSupplyBought(c *Circuit) string {
	return fmt.Sprintf("electrolytic 22 uF %.0f V", math.Ceil(float64(c.ChipVolts)/10)*10)
}

func bulkBleedBought(c *Circuit) string {
	watts := float64(c.BusMax) * float64(c.BusMax) / 4 / float64(c.BleedMost)
	return fmt.Sprintf("resistor %s %.1f W 350 V",
		si.RKM(catalog.Nearest(c.BleedMost*0.95, "E12")), max(0.5, math.Ceil(watts*20)/10))
}
