package netlist

import (
	"fmt"
	"slices"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// Scenario is what happens to a whole build in a deck that is simulated in time: one of
// ScenarioNames, or a single fault of one part while a pack is charged: fault at full current, full
// where the pack is nearly full and the voltage is held.
type Scenario struct {
	Name  string
	Fault Fault
}

// Fault is a part by its mark in the drawings, as R7, and what happens to it, as open.
type Fault struct{ Mark, Kind string }

// String is the scenario as the command line takes it.
func (s Scenario) String() string {
	if s.Fault == (Fault{}) {
		return s.Name
	}
	return s.Name + ":" + s.Fault.Mark + ":" + s.Fault.Kind
}

// What the scenarios of a fault begin with: at full current, and with a pack that is nearly full.
const (
	faultName = "fault"
	fullName  = "full"
)

// ScenarioNames are the scenarios, that of a fault apart.
func ScenarioNames() []string {
	return []string{"start", "step", "plug", "dead", "unplug", "short", "mains"}
}

// CheckScenario tells what is wrong with the words of a scenario, whatever the build; the error is
// one line that lists what there is.
func CheckScenario(text string) error {
	words := strings.Split(text, ":")
	isFault := words[0] == faultName || words[0] == fullName
	switch {
	case slices.Contains(ScenarioNames(), text) || isFault && len(words) == 3:
		return nil
	case isFault:
		return fmt.Errorf("a fault is fault:MARK:KIND or full:MARK:KIND, as fault:R7:open")
	}
	return fmt.Errorf("is no scenario: %s, fault:MARK:KIND or full:MARK:KIND, as fault:R7:open",
		strings.Join(ScenarioNames(), ", "))
}

// ParseScenario reads a scenario of a build. The error is one line that lists what there is: the
// names, or the marks and kinds of fault that the build has.
func ParseScenario(text string, b *substitute.Build) (Scenario, error) {
	if err := CheckScenario(text); err != nil {
		return Scenario{}, err
	}
	if slices.Contains(ScenarioNames(), text) {
		return Scenario{Name: text}, nil
	}
	words := strings.Split(text, ":")
	f := Fault{strings.ToUpper(words[1]), strings.ToLower(words[2])}
	all := Faults(b)
	if slices.Contains(all, f) {
		return Scenario{words[0], f}, nil
	}
	var kinds, marks []string
	for _, x := range all {
		if x.Mark == f.Mark {
			kinds = append(kinds, x.Kind)
		}
		if !slices.Contains(marks, x.Mark) {
			marks = append(marks, x.Mark)
		}
	}
	if len(kinds) > 0 {
		return Scenario{}, fmt.Errorf("%s has the faults %s", f.Mark, strings.Join(kinds, ", "))
	}
	return Scenario{}, fmt.Errorf("no such part with faults in this build, but %s",
		strings.Join(marks, " "))
}

// Kinds of fault.
const (
	open     = "open"
	shorted  = "short"
	wiper    = "wiper" // open, so that the whole track is in circuit
	weakened = "weak"  // transfer ratio down to two thirds of the aged one
)

// kindsOf lists the faults of the parts at a seat; nil where none is simulated.
func kindsOf(id seats.ID) []string {
	switch id {
	case seats.VoltageTrimmer, seats.CurrentTrimmer, seats.GuardTrimmer:
		return []string{open, wiper, shorted}
	case seats.Optocoupler:
		return []string{open, shorted, weakened}
	case seats.MainsFuse, seats.OutputFuse, seats.BiasRectifier, seats.ChipSupply:
		return []string{open}
	case seats.DividerTop, seats.DividerBottom, seats.SetResistor,
		seats.Shunt, seats.SenseTop, seats.SenseBottom,
		seats.ReferenceBias, seats.LEDResistor, seats.Amplifier, seats.Reference,
		seats.JoiningDiode, seats.LEDCharging, seats.LEDFull, seats.LoopInput, seats.SenseInput,
		seats.SenseClamp, seats.FeedbackCapacitor, seats.OutputChoke, seats.BehindChoke,
		seats.VoltageCapacitor, seats.VoltageDamping, seats.CurrentCapacitor,
		seats.CurrentDamping, seats.FeedForward, seats.Bridge, seats.BulkCapacitor,
		seats.DrainClamp, seats.ClampDiode, seats.Switcher, seats.OutputRectifier,
		seats.OutputCapacitor, seats.PackDiode, seats.GuardReference, seats.GuardOptocoupler,
		seats.GuardTop, seats.GuardBottom, seats.GuardLEDResistor, seats.GuardBypass,
		seats.GateResistor, seats.GateDivider, seats.PackSwitch:
		return []string{open, shorted}
	}
	return nil
}

// Faults lists the single faults that can be simulated in a build, by mark in the order of the
// circuit.
func Faults(b *substitute.Build) []Fault {
	var out []Fault
	for _, id := range seats.All() {
		if !slices.ContainsFunc(b.Parts, func(p substitute.PartUse) bool { return p.Role == id }) {
			continue
		}
		for _, mark := range id.Marks() {
			for _, kind := range kindsOf(id) {
				out = append(out, Fault{mark, kind})
			}
		}
	}
	return out
}
