package regulation

import (
	"math"
	"math/cmplx"

	"sparewright/catalog/si"
)

// Loop is one control loop opened at its amplifier, for small signals: what the loop watches, the amplifier with its
// capacitor, lamp resistor, optocoupler, converter, and what the converter's current meets. Kirchhoff's laws on each part; the
// current source with its output capacitor stands for a converter with peak current control (SLUS223E section 9.2.2.10).
type Loop struct {
	Watched si.Ratio      // share of the output that the amplifier sees; 1 for the current loop, which sees the shunt
	Middle  si.Ratio      // gain of the amplifier above the corner of its capacitor
	Tau     si.Time       // input resistance times loop capacitor: the gain is Middle + 1/(s Tau)
	Lamp    si.Resistance // in series with the lamp of the optocoupler
	Ratio   si.Ratio      // transfer ratio of the optocoupler
	Pole    si.Frequency  // of the optocoupler with what it drives
	Filter  si.Frequency  // of a capacitor at the feedback pin; zero: none
	Gain    si.Ratio      // A of output current for an A of feedback current
	Right   si.Frequency  // right half-plane zero of a continuous stage; zero: none

	// A chip fed at its control pin shares the feedback current with the capacitor there. Zero: the pin has none.
	Pin, PinSeries si.Resistance
	PinStore       si.Capacitance

	Capacitance si.Capacitance // of the output
	Series      si.Resistance  // of the output capacitor
	Load        si.Resistance  // voltage loop: what the output feeds, beside which the stage itself counts the same again
	Battery     si.Resistance  // current loop: the pack and its leads
	Shunt       si.Resistance  // current loop; zero makes this a voltage loop
}

// Open is the gain around the loop at a frequency in Hz.
func (l Loop) Open(f si.Frequency) complex128 {
	w := 2 * math.Pi * float64(f)
	amplifier := complex(float64(l.Middle), -1/(w*float64(l.Tau)))
	lamp := complex(float64(l.Ratio)/float64(l.Lamp), 0) / complex(1, float64(f/l.Pole))
	if l.Filter > 0 {
		lamp /= complex(1, float64(f/l.Filter))
	}
	stage := complex(float64(l.Gain), 0)
	if l.Right > 0 {
		stage *= complex(1, -float64(f/l.Right))
	}
	if l.Pin > 0 {
		store := complex(float64(l.PinSeries), -1/(w*float64(l.PinStore)))
		stage *= store / (store + complex(float64(l.Pin), 0))
	}
	return complex(float64(l.Watched), 0) * amplifier * lamp * stage * l.meets(w)
}

// meets is what an A out of the converter makes at the amplifier's input, in V, at w radians a second: over the load for the voltage loop, over the
// shunt for the current loop. A stage of constant power counts as a second load, its current falling as the output rises.
func (l Loop) meets(w float64) complex128 {
	capacitor := complex(float64(l.Series), -1/(w*float64(l.Capacitance)))
	if l.Shunt > 0 {
		lead := complex(float64(l.Battery+l.Shunt), 0)
		return complex(float64(l.Shunt), 0) * capacitor / (capacitor + lead)
	}
	return 1 / (complex(2/float64(l.Load), 0) + 1/capacitor)
}

// Frequencies between which a loop of this kind can cross over, and halvings of their ratio to a billionth.
const (
	slowest  = 0.1 // Hz
	fastest  = 1e6
	halvings = 34
)

// Margin is the frequency at which the gain around the loop is 1, and the phase left there before it feeds back in step, in
// degrees. Every part of the loop but the right half-plane zero falls with frequency, and the capacitor with the optocoupler
// fall faster than that rises, so there is one. A loop that never reaches 1 has a frequency of zero and 180 degrees.
func (l Loop) Margin() (crossover si.Frequency, degrees float64) {
	above := func(f float64) bool {
		g := l.Open(si.Frequency(f))
		return real(g)*real(g)+imag(g)*imag(g) >= 1
	}
	low, high := slowest, fastest
	if !above(low) {
		return 0, 180
	}
	for range halvings {
		mid := math.Sqrt(low * high)
		if above(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	phase := cmplx.Phase(l.Open(si.Frequency(low))) * 180 / math.Pi
	if phase > 0 { // beyond half a turn
		phase -= 360
	}
	return si.Frequency(low), 180 + phase
}

// Unload is what the voltage loop has to catch when the pack is taken off while the current loop holds.
type Unload struct {
	Current     si.Current     // most that the converter delivers meanwhile
	Capacitance si.Capacitance // least of the output
	Watched     si.Ratio
	Middle      si.Ratio
	Tau         si.Time
	Swing       si.Voltage // of the amplifier's output from its rest to where it stops the converter
	Delay       si.Time    // from there until the feedback pin, with a capacitor at it, has followed
}

// Rise is by how much the output rises until the amplifier stops the converter. The output climbs at I/C; the amplifier answers
// a ramp of slope a at its input by a (Middle t + t^2/(2 Tau)), which has to reach Swing. The output choke and the delay of the
// optocoupler, a tenth of a millisecond, are left out.
func (u Unload) Rise() si.Voltage {
	slope := float64(u.Current) / float64(u.Capacitance)
	tau, mid := float64(u.Tau), float64(u.Middle)
	t := tau * (math.Sqrt(mid*mid+2*float64(u.Swing)/(float64(u.Watched)*slope*tau)) - mid)
	return si.Voltage(slope * (t + float64(u.Delay)))
}
