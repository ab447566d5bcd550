package regulation

import (
	"sparewright/catalog/si"
)

// PowerFaultSpec is what of the mains side and of the output decides where its single faults end.
type PowerFaultSpec struct {
	Feeds     bool // the feedback pin feeds the chip: open, it starves
	Timed     bool // an open feedback pin counts as an overload, and the chip tries again and again
	SelfFed   bool // the chip runs without its bias winding
	Bias      bool // there is a bias winding
	Protected si.Voltage
	LEDNeed   si.Current // current of the LED that stops the converter with the lowest ratio, aged
	LEDMost   si.Current // what it gets at most with OUT at the set voltage
}

// agedThird is how far the transfer ratio of an old optocoupler falls once more, against the aged
// one that the design reckons with: a third of the stated one over a half of it. Common practice,
// no source.
const agedThird = 2.0 / 3

// powerFaults are the single faults of mains side, converter and output.
func (s FaultSpec) powerFaults() []Fault {
	nothing := func(part, kind, why string) Fault { return Fault{Part: part, Kind: kind, Why: why} }
	wild := func(part, kind, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: s.Ceiling, Limit: s.CurrentCeil, Why: why}
	}
	kept := func(part, kind, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: s.Set, Limit: s.SetCurrent, Why: why}
	}
	const blows = "a short across the mains: the mains fuse opens"
	return []Fault{
		s.pinOff(nothing, wild),
		s.tired(wild, kept),
		nothing("switcher", "drain to source short", blows),
		nothing("switcher", "open", "the converter stands still"),
		nothing("bridge", "one diode short", blows),
		nothing("bulk capacitor", "short", blows),
		kept("bulk capacitor", "open", "the converter lives on the half waves of the mains: less "+
			"is charged, and it hums"),
		nothing("drain clamp", "open", "the drain breaks down at the first pulses: the switcher "+
			"shorts and the mains fuse opens"),
		nothing("drain clamp", "short", "the clamp takes what the secondary should get; the "+
			"switcher stays at its limit"),
		nothing("output rectifier", "open",
			"the secondary gives nothing; the clamp takes all and gets hot"),
		nothing("output rectifier", "short",
			"the secondary is loaded while the switch is closed; the switcher stays at its limit"),
		wild("output capacitor", "open",
			"pulses instead of a voltage reach OUT, and the loops do not follow them"),
		nothing("output capacitor", "short",
			"the output is shorted; the switcher stays at its limit"),
		s.biasOpen(nothing, kept),
		nothing("output fuse", "open", "the lead to the pack is cut"),
	}
}

// pinOff is the wire to the feedback pin, which both halves of the feedback have in common.
func (s FaultSpec) pinOff(nothing, wild func(part, kind, why string) Fault) Fault {
	const part, kind = "feedback pin", "wire off"
	switch {
	case s.Power.Feeds:
		return nothing(part, kind, "the chip lives from what comes in there: it starves and stops")
	case s.Power.Timed:
		return wild(part, kind, "nothing stops the chip but its overload timer, after which it "+
			"tries again and again")
	}
	return wild(part, kind, "nothing stops the chip")
}

// tired is an optocoupler whose transfer ratio has fallen to a third of the stated one.
func (s FaultSpec) tired(wild, kept func(part, kind, why string) Fault) Fault {
	const part, kind = "optocoupler", "ratio down to a third"
	if s.Power.LEDMost*agedThird >= s.Power.LEDNeed {
		return kept(part, kind, "the amplifier drives its LED harder")
	}
	return wild(part, kind, "the LED at its brightest no longer stops the converter at idle")
}

func (s FaultSpec) biasOpen(nothing, kept func(part, kind, why string) Fault) Fault {
	switch {
	case !s.Power.Bias:
		return kept("chip supply capacitor", "open",
			"the chip stops and starts again and again: less is charged")
	case s.Power.SelfFed:
		return kept("bias rectifier", "open", "the chip feeds itself and gets hotter")
	}
	return nothing("bias rectifier", "open",
		"the chip has no supply: it starts and stops again and again")
}

// guardFaults are the single faults of the overvoltage protection itself. The regulation holds
// without it, so none of them shows: it has to be tried from time to time.
func (s FaultSpec) guardFaults() []Fault {
	asleep := func(part, kind string) Fault {
		return Fault{Part: part, Kind: kind, Output: s.Set, Limit: s.SetCurrent,
			Why: "the protection no longer acts; the regulation holds, and only the yearly " +
				"trial shows it"}
	}
	opens := func(part, kind, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: s.Set, Why: why}
	}
	const open, always = "the pack switch gets no gate voltage and stays open",
		"the protection acts all the time and the pack switch stays open"
	out := []Fault{
		asleep("protection reference", "open"), opens("protection reference", "short", always),
		asleep("protection optocoupler", "LED or transistor open"), opens("protection optocoupler",
			"transistor short", open),
		asleep("protection divider top", "open"), opens("protection divider top", "short", always),
		opens("protection divider bottom", "open",
			always), asleep("protection divider bottom", "short"),
		asleep("protection LED resistor", "open"), asleep("protection LED bypass", "short"),
		opens("gate resistor", "open", open),
		asleep("pack switch", "drain to source short"), opens("pack switch", "open",
			"the lead to the pack is cut"),
	}
	if s.GuardTrimmer {
		out = append(out, asleep("protection trimmer", "short"),
			opens("protection trimmer", "open", always))
	}
	return out
}
