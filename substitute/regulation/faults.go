package regulation

import (
	"sparewright/catalog/si"
)

// Direction is where a fault drives the output.
type Direction uint8

// Stays and Falls are harmless to the battery; Rises is above the set point by more than half a
// percent.
const (
	Stays Direction = iota
	Falls
	Rises
)

// String names the direction.
func (d Direction) String() string { return [...]string{"stays", "falls", "rises"}[d] }

// FaultSpec is the finished network, so that single faults can be worked through.
type FaultSpec struct {
	Voltage    VoltageNetwork
	Current    CurrentNetwork
	Bias       BiasNetwork
	Vref       si.Voltage // nominal
	Set        si.Voltage // set point at the divider
	SetCurrent si.Current
	Absolute   si.Voltage // never to be exceeded; zero: Set
	HighLimit  si.Current // never to be exceeded; zero: SetCurrent
	// where the output ends with no feedback at all: overvoltage cut-off, else what the converter
	// can reach
	Ceiling     si.Voltage
	Loop        LoopFaultSpec
	CurrentCeil si.Current // what the converter can push into the battery with no current feedback

	Power PowerFaultSpec
	// highest of the overvoltage protection, above which no pack is left connected; zero: there is
	// none
	Trip         si.Voltage
	GuardTrimmer bool
}

// Fault is one single fault and what it does.
type Fault struct {
	Part, Kind string // "divider top", "open"
	Voltage    Direction
	Current    Direction
	Output     si.Voltage // resulting output into an open circuit
	Pack       si.Voltage // highest that a pack sees: Output, or the trip of the protection
	Limit      si.Current // resulting constant current
	Why        string
	Dangerous  bool // lets the battery above Absolute or HighLimit
}

// Faults works through the single faults of the regulation network, always in the same order. The
// outputs follow from the node equations of the fixed circuit; where nothing regulates they are
// Ceiling and CurrentCeil.
func Faults(s FaultSpec) []Fault {
	faults := append(s.voltageFaults(), s.currentFaults()...)
	faults = append(faults, s.referenceFaults()...)
	faults = append(faults, s.loopFaults()...)
	faults = append(faults, s.powerFaults()...)
	if s.Trip > 0 {
		faults = append(faults, s.guardFaults()...)
	}
	for i := range faults {
		f := &faults[i]
		f.Voltage = direction(float64(f.Output), float64(s.Set))
		f.Current = direction(float64(f.Limit), float64(s.SetCurrent))
		f.Pack = f.Output
		if s.Trip > 0 && f.Output > s.Trip {
			f.Pack = s.Trip
		}
		f.Dangerous = f.Voltage == Rises && f.Pack > s.Absolute ||
			f.Current == Rises && f.Limit > s.HighLimit
	}
	return faults
}

// direction compares a result with its set point; half a percent either way counts as staying.
func direction(v, set float64) Direction {
	switch {
	case v > set*1.005:
		return Rises
	case v < set*0.995:
		return Falls
	}
	return Stays
}

func (s FaultSpec) voltageFaults() []Fault {
	i, v := s.SetCurrent, s.Voltage
	at := func(part, kind string, out si.Voltage, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: out, Limit: i, Why: why}
	}
	faults := []Fault{
		at("divider top", "open", s.Ceiling,
			"the feedback node sees no output, the voltage loop never acts; the current "+
				"loop still does"),
		at("divider top", "short", s.Vref,
			"the feedback node is the output, which is held at the reference"),
		at("divider bottom", "open", s.Vref,
			"the feedback node rises to the output, which is held at the reference"),
		at("divider bottom", "short", s.Ceiling,
			"with the trimmer in series the voltage rises as far as its setting allows"),
	}
	if !v.HasTrimmer {
		faults[3].Why = "the feedback node lies at ground, the voltage loop never acts; the " +
			"current loop still does"
		if v.Step != nil {
			faults = append(faults,
				at("set resistor", "open", v.OpenWiper,
					"the output is as before the resistor went in"),
				at("set resistor", "short", s.Ceiling, faults[3].Why))
		}
		return faults
	}
	faults[3].Output = s.withoutBottom()
	return append(faults,
		at("voltage trimmer", "wiper open", v.OpenWiper, "the whole track is in circuit"),
		at("voltage trimmer", "track open", s.Vref,
			"the bottom leg is cut, the output is held at the reference"),
		at("voltage trimmer", "short", v.SetHigh, "as at the upper stop"))
}

// withoutBottom is the output with the fixed bottom leg shorted and the trimmer at its nominal
// position, at most Ceiling.
func (s FaultSpec) withoutBottom() si.Voltage {
	rest := float64(s.Voltage.Position) * float64(s.Voltage.Trimmer.Ohm)
	if rest <= 0 {
		return s.Ceiling
	}
	return min(s.Ceiling, si.Voltage(float64(s.Vref)*(1+float64(s.Voltage.Top.Ohm)/rest)))
}

func (s FaultSpec) currentFaults() []Fault {
	v, c := s.Set, s.Current
	at := func(part, kind string, limit si.Current, why string) Fault {
		return Fault{Part: part, Kind: kind, Output: v, Limit: min(limit, s.CurrentCeil), Why: why}
	}
	whole := si.Current(float64(s.Vref) / float64(c.Shunt.Ohm))
	faults := []Fault{
		at("current divider top", "open", 0, "the level is zero"),
		at("current divider top", "short", whole,
			"the level is the whole reference, less only what the trimmer drops"),
		at("current divider bottom", "open", whole, "the level is the whole reference"),
		at("current divider bottom", "short", 0, "the level is zero"),
		at("shunt", "open", 0, "the lead to the battery is cut; the sense input is pulled up and "+
			"stops the converter"),
		at("shunt", "short", s.CurrentCeil,
			"no drop to compare: the current is limited by the converter alone"),
	}
	if !c.HasTrimmer {
		return faults
	}
	faults[1].Limit = min(s.CurrentCeil, s.withoutTop())
	return append(faults,
		at("current trimmer", "wiper open", c.OpenWiper, "the whole track is in circuit"),
		at("current trimmer", "track open", 0, "the level is zero"),
		at("current trimmer", "short", c.High, "as at the upper stop"))
}

// withoutTop is the current with the fixed top leg shorted and the trimmer where it sets the
// nominal current.
func (s FaultSpec) withoutTop() si.Current {
	bottom, shunt := float64(s.Current.Bottom.Ohm), float64(s.Current.Shunt.Ohm)
	// whole upper leg at the set current
	upper := bottom * (float64(s.Vref)/(float64(s.SetCurrent)*shunt) - 1)
	rest := min(float64(s.Current.Trimmer.Ohm), max(0, upper-float64(s.Current.Top.Ohm)))
	return si.Current(float64(s.Vref) * bottom / (bottom + rest) / shunt)
}

func (s FaultSpec) referenceFaults() []Fault {
	// of the level for the current, at the set voltage
	rise := s.freeShare() * float64(s.Set) / float64(s.Vref)
	return []Fault{
		{Part: "optocoupler", Kind: "LED or transistor open", Output: s.Ceiling,
			Limit: s.CurrentCeil,
			Why: "no feedback reaches the switcher; only its own limits and an overvoltage " +
				"cut-off remain"},
		{Part: "optocoupler", Kind: "transistor short", Why: "full feedback, the switcher stops"},
		{Part: "reference", Kind: "open", Output: s.openReference(),
			Limit: min(s.CurrentCeil, si.Current(rise)*s.SetCurrent),
			Why: "the reference node follows the output through the bias resistor, both " +
				"set points rise"},
		{Part: "reference", Kind: "short", Why: "both levels are zero"},
		{Part: "bias resistor", Kind: "open",
			Why: "the reference has no supply, both levels are zero"},
		{Part: "bias resistor", Kind: "short", Output: s.Ceiling, Limit: s.CurrentCeil,
			Why: "the output is clamped by the reference until that burns out, then as reference " +
				"open with no resistor"},
	}
}

// freeShare is the reference node without the reference, as a share of the output: the bias
// resistor above the current divider, which loads the node with Vref over Draw.
func (s FaultSpec) freeShare() float64 {
	return 1 / (1 + float64(s.Bias.Resistor.Ohm)*float64(s.Current.Draw)/float64(s.Vref))
}

// openReference is the output without the reference. The level is a fixed share of the output, and
// so is the feedback node: if the level's share is the larger the output runs to Ceiling, else it
// dies.
func (s FaultSpec) openReference() si.Voltage {
	if s.freeShare() > float64(s.Vref)/float64(s.Set) {
		return s.Ceiling
	}
	return 0
}
