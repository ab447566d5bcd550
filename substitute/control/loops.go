package control

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// Practice of the loops. Sources beside the figures.
const (
	loopInput  = 2200.0 // ohm, in series with the amplifier's inputs at REF, LEVEL and SENSE
	loopInputs = 3      // equal ones: at REF, LEVEL and SENSE
	// V, to which an amplifier pulls down a few mA (LM358 class, from memory)
	sinkLow = 1.2
	// V below its supply, where an amplifier rests that pulls down (LM358, SLOS068P)
	RestHigh = 1.5
	// x the highest pack voltage, where a suppressor may begin to conduct; common practice, no
	// source
	StopAbove = 1.02
	// x its highest breakdown voltage, with the current of the converter in it (from memory)
	StopClamps = 1.15
	// x the least capacitor at a feedback pin: more only slows the loops; common practice, no
	// source
	FilterMost  = 4.0
	FilterSpare = 1.5 // x the time of the start; common practice, no source
	// V from full power to shutdown at such a pin: 3 to 6 V of the FSDM family, 3 to 7.5 V of the
	// KA5; from memory
	OverloadRise   = 3.0
	OverloadSource = 5e-6 // A, which charges it there (KA5x03xx-SERIES Rev 1.0.5, block diagram)
	// what the converter may deliver beyond its reckoned limit while nothing holds it; common
	// practice, no source
	LimitSpare = 1.1
	// s-like weight of the amplifier's integral against its gain where the fastest current loop is
	// chosen; no source, it only orders
	SurgeHold = 5e-3
)

// loopInputAt is the place of the resistor in series with the amplifiers' inputs: the one nearest
// to 2.2 kohm of which there are enough; -1 when there is none and one has to be bought.
func loopInputAt(d *stock.Drawer) int {
	var asked seats.Circuit
	suits := stock.Suits[catalog.Resistor](seats.LoopInput, &asked)
	best, far := -1, math.Inf(1)
	for i := range d.Resistors {
		s := &d.Resistors[i]
		if s.Count < loopInputs || s.Buy || !suits(s) {
			continue
		}
		if off := seats.LoopInput.In(&asked).Prefers(s.Figures); off < far {
			best, far = i, off
		}
	}
	return best
}

// InputOhm is the resistance in series with each input.
func (w *NetworkBench) InputOhm() si.Resistance {
	if w.LoopInput == nil {
		return loopInput
	}
	return w.LoopInput.Part.Resistance.Value
}

// LEDReverse is what an indicator LED bears the wrong way round; from memory, the usual rating.
const LEDReverse si.Voltage = 5

// Reversed is the voltage the wrong way round across the LED of the loop that rests while the other
// amplifier stands at its far end: the highest output less what that amplifier and its own LED
// keep.
func (c *Control) Reversed(highest si.Voltage) si.Voltage {
	return highest - c.Amp.Part.Headroom.Value - seats.IndicatorDrop
}
