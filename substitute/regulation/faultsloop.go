package regulation

import (
	"sparewright/catalog/si"
)

// LoopFaultSpec is what stands between the amplifiers and the LED of the optocoupler, for its
// single faults.
type LoopFaultSpec struct {
	Drive Drive
	LEDs  bool // indicator LEDs join the loops, else diodes
	// gain of the voltage amplifier with its loop capacitor shorted, see Loop.Middle
	Middle si.Ratio
	// across joint, LED resistor and LED at the current that surely stops the converter
	Swing si.Voltage
}

// loopFaults are the faults of what makes one loop out of two amplifiers: joints, loop resistors
// and capacitors, LED resistor, the amplifier's supply. Where two amplifiers pull against each
// other the worse outcome is given.
func (s FaultSpec) loopFaults() []Fault {
	volts := func(part, kind string, out si.Voltage, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: out, Limit: s.SetCurrent, Why: why}
	}
	amps := func(part, kind string, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: s.Set, Limit: s.CurrentCeil, Why: why}
	}
	full, charging := "diode of the voltage loop", "diode of the current loop"
	if s.Loop.LEDs {
		full, charging = "LED, full", "LED, charging"
	}
	const idle = "the idle amplifier works against the one that should hold: the stronger of " +
		"the two decides"
	return append([]Fault{
		volts(full, "open", s.Ceiling, "the voltage loop does not reach the optocoupler; the "+
			"current loop still does"),
		amps(full, "short", idle),
		amps(charging, "open", "the current loop does not reach the optocoupler; the voltage "+
			"loop still does"),
		volts(charging, "short", s.Ceiling, idle),
		{Part: "LED resistor", Kind: "open", Output: s.Ceiling, Limit: s.CurrentCeil,
			Why: "no feedback reaches the switcher"},
		{Part: "amplifier", Kind: "without supply", Output: s.Ceiling, Limit: s.CurrentCeil,
			Why: "both loops are dead"},
	}, s.capacitorFaults(volts, amps)...)
}

// capacitorFaults are a shorted capacitor and an open resistor of either loop. With the capacitor
// shorted an amplifier has a gain instead of an integral and holds only where its output has moved
// by Swing.
func (s FaultSpec) capacitorFaults(volts func(part, kind string, out si.Voltage, why string) Fault,
	amps func(part, kind, why string) Fault) []Fault {
	g, k := float64(s.Loop.Middle), float64(s.Vref)/float64(s.Set)
	swing, ref := float64(s.Loop.Swing), float64(s.Vref)
	if s.Loop.Drive == PullDown {
		// output of the amplifier ref - g (k V - ref), to lie Swing below V
		held := si.Voltage((ref*(1+g) + swing) / (1 + g*k))
		return []Fault{
			volts("loop capacitor, voltage", "short", min(held, s.Ceiling),
				"the amplifier has a gain and no integral, and holds too early"),
			{Part: "loop capacitor, current", Kind: "short",
				Output: min(s.Set, s.Loop.Swing+2*s.sense()),
				Why:    "the amplifier stands near ground and holds the LED lit"},
		}
	}
	// output of the amplifier g k V - (g - 1) ref, to reach Swing
	held := si.Voltage((swing + (g-1)*ref) / (g * k))
	whole := s.Loop.Swing / si.Voltage(s.Current.Shunt.Ohm)
	short := amps("loop capacitor, current", "short",
		"the amplifier follows the shunt, whose drop never lights the LED")
	short.Limit = min(s.CurrentCeil, si.Current(whole))
	return []Fault{
		volts("loop capacitor, voltage", "short", min(held, s.Ceiling),
			"the amplifier has a gain and no integral, and holds too late"),
		short,
		volts("loop resistor, voltage", "open", s.Ceiling,
			"the amplifier's own input current moves it to its low end"),
		amps("loop resistor, current", "open",
			"the amplifier's own input current moves it to its low end"),
	}
}

// sense is the drop over the shunt at the set current.
func (s FaultSpec) sense() si.Voltage {
	return si.Voltage(float64(s.SetCurrent) * float64(s.Current.Shunt.Ohm))
}
