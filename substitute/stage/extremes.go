package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// Every limit is held at the end of each range where it is worst. Ranges are the bus from the
// valley at lowest mains to the crest at highest, the inductance over what gap and ferrite leave
// open, the frequency of the switcher or, where whole pulses are gated, its current limit, and the
// leakage. Between two ends every figure is a sum of terms that bend upwards over the bus, so that
// its highest lies at an end, apart from one step: where the stage leaves continuous mode the drain
// is no longer charged to bus plus reflected voltage at turn-on. Over bus and inductance that
// border is a line; wherever it crosses the edge of both ranges it is looked at too, on the side of
// continuous mode.

// hotSpots are the highest temperatures at any corner.
type hotSpots struct {
	Inside, Coil, Junction, rectifier, clamp si.Celsius
	ClampPower                               si.Power
}

// corners takes a design from corner to corner, where it is balanced anew and judged.
type corners struct {
	judge
}

// extremes takes a design through the corners and comes back to its middle; it leaves out the rest
// once the design is of no use.
func (k *corners) extremes(least Mark) {
	middle := k.State
	// the high end warms the chip most, so that what fails is seen early
	for _, high := range [2]bool{true, false} {
		k.tuneTo(high)
		first, second := k.first, k.second
		if k.frequency != k.V.Frequency {
			k.first, k.second = k.layerSpectra(k.frequency)
		}
		tuned := k.State
		for i, l := range [2]si.Inductance{k.Band.Low, k.Band.High} {
			if i == 1 && l == k.Band.Low {
				break
			}
			k.State = tuned
			k.Inductance = l
			k.edges(!high)
			if i == 0 {
				k.crossings()
			}
			if k.useless(least, middle.Loss.Total()) {
				k.State = middle
				return
			}
		}
		k.State, k.first, k.second = middle, first, second
	}
}

// edges looks at one inductance and frequency from the valley of the lowest mains to the crest of
// the highest; slowest says that this is the lowest frequency, with which the chip is asked most.
func (k *corners) edges(slowest bool) {
	k.settleAt(moreRounds, 0)
	k.warmGauges()
	if slowest {
		k.lowestMains()
	}
	if border := k.border(); border > k.bus && border < k.BusMax {
		k.settleAt(moreRounds, border)
		k.warmGauges()
	}
	k.settleAt(moreRounds, k.BusMax)
	k.warmGauges()
	k.shortest()
}

// crossings look at the inductances inside their band at which the stage leaves continuous mode
// just at the valley of the lowest mains or at the crest of the highest.
func (k *corners) crossings() {
	lowest := k.Inductance
	for _, bus := range [2]si.Voltage{0, k.BusMax} {
		k.Inductance = lowest
		k.settleAt(moreRounds, bus)
		if k.Op.Mode == flyback.Continuous {
			continue // so it is with more inductance
		}
		// the losses move the border a little, hence a step further each time
		for further := si.Inductance(1); further < 1.004; further += 0.001 {
			k.Inductance = k.bordering() * further
			if k.Inductance <= lowest || k.Inductance >= k.Band.High {
				break
			}
			k.settleAt(moreRounds, bus)
			k.warmGauges()
			if k.Op.Mode == flyback.Continuous {
				break
			}
		}
	}
}
