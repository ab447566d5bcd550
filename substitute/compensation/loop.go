package compensation

import (
	"math"

	"sparewright/catalog/si"
)

// Parts is the compensation of one loop.
type Parts struct {
	// to the amplifier's minus input; not used where the divider itself goes there
	Input     si.Resistance
	Capacitor si.Capacitance // from the amplifier's output to its minus input
	Damping   si.Resistance  // in series with it; 0: none
	Lead      si.Capacitance // over the upper leg of the voltage divider; 0: none
}

// Amplifier is the error amplifier with what it looks at.
type Amplifier struct {
	// what is watched goes to the minus input and the LED is pulled down; else plus input, and
	// driven up
	Inverting   bool
	Top, Bottom si.Resistance // of the divider at the output; 0: it looks at a shunt
	Behind      si.Resistance // what the input resistor meets at a level that is not stiff
	Bandwidth   si.Frequency  // at which its gain is 1
}

// openLoop is the gain of an amplifier at rest: 100 dB, LM358 data sheet.
const openLoop = 1e5

// Gain is the amplifier's output over what it watches, at s = j w, the sign that lowers the output
// counted as positive. With the minus input at the divider of the output: the sum of all currents
// there is zero.
func (a Amplifier) Gain(p Parts, s complex128) complex128 {
	turn := 2 * math.Pi * float64(a.Bandwidth)
	open := complex(openLoop, 0) / (1 + s*complex(openLoop/turn, 0))
	back := complex(float64(p.Damping), 0) + 1/(s*complex(float64(p.Capacitor), 0))
	switch {
	case a.Inverting && a.Top > 0:
		top := complex(1/float64(a.Top), 0) + s*complex(float64(p.Lead), 0)
		return top / (1/back + (top+complex(1/float64(a.Bottom), 0)+1/back)/open)
	case a.Inverting:
		in := complex(1/float64(p.Input), 0)
		return in / (1/back + (in+1/back)/open)
	}
	in := complex(float64(p.Input+a.Behind), 0)
	return a.share(p, s) * open / (1 + open*in/(in+back))
}

// share is the part of the output that reaches a plus input.
func (a Amplifier) share(p Parts, s complex128) complex128 {
	if a.Top == 0 {
		return 1
	}
	top := complex(1/float64(a.Top), 0) + s*complex(float64(p.Lead), 0)
	return top / (top + complex(1/float64(a.Bottom), 0))
}

// Pin is where the transistor of the optocoupler works into. A pin that is pulled down is one node:
// the resistance of its source with its capacitor and that of the transistor, whose collector
// capacitance counts with its gain. A fed control pin shares the current with the capacitor there.
type Pin struct {
	Resistance  si.Resistance  // of the source behind the pin; of a fed pin, its dynamic resistance
	Capacitance si.Capacitance // at a pulled pin, the transistor's included
	Store       si.Capacitance // at a fed pin; 0: the pin is pulled
	StoreSeries si.Resistance  // in series with it, its own included
	Transistor  si.Frequency   // pole of the optocoupler at a fed pin
	Filter      si.Frequency   // pole inside the chip; 0: none
}

// passes is the share of the transistor's current that reaches the chip.
func (p Pin) passes(s complex128) complex128 {
	g := complex(1, 0)
	if p.Filter > 0 {
		g /= 1 + s/complex(2*math.Pi*float64(p.Filter), 0)
	}
	if p.Store == 0 {
		return g / (1 + s*complex(float64(p.Resistance)*float64(p.Capacitance), 0))
	}
	store := complex(float64(p.StoreSeries), 0) + 1/(s*complex(float64(p.Store), 0))
	return g * store / (store + complex(float64(p.Resistance), 0)) /
		(1 + s/complex(2*math.Pi*float64(p.Transistor), 0))
}

// Output is what the converter's current meets.
type Output struct {
	Capacitance  si.Capacitance
	Series       si.Resistance  // of the capacitor
	Choke        si.Inductance  // 0: none
	ChokeOhm     si.Resistance  // of the choke
	Behind       si.Capacitance // after the choke; 0: none
	BehindSeries si.Resistance
	Load         si.Resistance // voltage loop: what the output feeds
	// the stage's own answer: its current falls as the output rises; 0: none
	Stage   si.Resistance
	Battery si.Resistance // current loop: pack and leads
	Shunt   si.Resistance // current loop; 0 makes this a voltage loop
}

// meets is the voltage at OUT that an ampere of the converter makes there.
func (o Output) meets(s complex128) complex128 {
	load := complex(1/float64(o.Load), 0)
	if o.Shunt > 0 {
		load = complex(1/float64(o.Battery+o.Shunt), 0)
	}
	if o.Behind > 0 {
		load += 1 / (complex(float64(o.BehindSeries), 0) + 1/(s*complex(float64(o.Behind), 0)))
	}
	own := 1 / (complex(float64(o.Series), 0) + 1/(s*complex(float64(o.Capacitance), 0)))
	if o.Stage > 0 {
		own += complex(1/float64(o.Stage), 0)
	}
	way := complex(float64(o.ChokeOhm), 0) + s*complex(float64(o.Choke), 0)
	// own to ground, then the way in series with the load
	return 1 / (own*(way*load+1) + load)
}

// Loop is one loop in one corner of its parts, without its compensation.
type Loop struct {
	Amplifier Amplifier
	// in series with the LED of the optocoupler, the LED's own slope and that of its diode included
	LED   si.Resistance
	Ratio si.Ratio // of the optocoupler
	Pin   Pin
	Gain  si.Ratio // A of the converter for an A of feedback current
	// of the chip: half a period for sampling, a whole one where pulses are gated
	Delay  si.Time
	Right  si.Frequency // right-half-plane zero of a continuous stage; 0: none
	Output Output
}

// chain is all of the loop but the amplifier: what it watches over the current of the LED, and the
// output over the same where the LED itself hangs on the output.
func (l Loop) chain(s complex128) (watched, direct complex128) {
	g := complex(float64(l.Ratio)*float64(l.Gain)/float64(l.LED), 0) * l.Pin.passes(s)
	turn := imag(s) * float64(l.Delay)
	g *= complex(math.Cos(turn), -math.Sin(turn))
	if l.Right > 0 {
		g *= 1 - s/complex(2*math.Pi*float64(l.Right), 0)
	}
	out := g * l.Output.meets(s)
	watched = out
	if l.Output.Shunt > 0 {
		watched *= complex(float64(l.Output.Shunt/(l.Output.Battery+l.Output.Shunt)), 0)
	}
	if l.Amplifier.Inverting {
		direct = out
	}
	return watched, direct
}

// Open is the gain around the loop at a frequency.
func (l Loop) Open(p Parts, f si.Frequency) complex128 {
	s := complex(0, 2*math.Pi*float64(f))
	watched, direct := l.chain(s)
	return watched*l.Amplifier.Gain(p, s) + direct
}
