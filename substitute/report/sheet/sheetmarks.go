package sheet

import (
	"sort"
	"strings"

	"sparewright/substitute"
)

// marks says what the part of a role is called in the drawings.
var marks = map[string]string{
	"mains fuse": "F1", "inrush limiter": "RT1", "X capacitor": "C1", "mains choke": "L1", "bridge": "D1", "bulk capacitor": "C2",
	"bulk bleed, two in series": "R1 R2", "drain clamp": "D7", "clamp resistor": "R3", "clamp capacitor": "C3", "clamp diode": "D2",
	"switcher": "U1", "limit resistor": "R4", "bias rectifier": "D3", "chip supply capacitor": "C4", "optocoupler": "U2",
	"Y capacitor": "C5", "core pair": "T1", "transformer, unopened": "T1", "protection zener": "D9",
	"former": "T1", "shim": "T1", "tape": "T1", "output rectifier": "D4",
	"output capacitor": "C6", "output choke": "L2", "output fuse": "F2", "divider top": "R5", "divider bottom": "R6",
	"voltage trimmer": "RV1", "shunt": "R7", "current divider top": "R8", "current divider bottom": "R9", "current trimmer": "RV2",
	"reference bias": "R10", "lamp resistor": "R11", "amplifier": "U3", "reference": "U4",
	"lamp, full (voltage holds)": "H1", "lamp, charging (current holds)": "H2", "diode joining the loops": "D5 D6",
	"loop resistor, one a loop": "R12 R13", "loop damping, voltage": "R14",
	"loop damping, current": "R20", "lead capacitor": "C13", "output capacitor behind the choke": "C12",
	"series resistor at the control pin": "R21",
	"start resistor, two in series":      "R15 R16", "X discharge, two in series": "R17 R18", "feedback capacitor": "C11",
	"input resistor at SENSE": "R19", SenseClamp: "D10", PackDiode: "D11",
	"output stop": "D8", "bias capacitor": "C10", "loop capacitor, voltage": "C7",
	"loop capacitor, current": "C8", "supply bypass of the amplifier": "C9",
}

// mark is what a role is called in the drawings; wire belongs to the transformer.
func mark(role string) string {
	if strings.HasPrefix(role, "wire, ") {
		return "T1"
	}
	return marks[role]
}

// MarkLine is one line of the list that tells what each mark of the drawings is.
type MarkLine struct{ Mark, Role, What string }

// markLines lists the marks as they are counted; a set of several parts stands in one line.
func markLines(b *substitute.Build) []MarkLine {
	var out []MarkLine
	seen := map[string]bool{}
	networks := map[string]substitute.NetworkUse{}
	for _, n := range b.Regulation.Networks {
		networks[n.Role] = n
	}
	for _, p := range b.Parts {
		m := mark(p.Role)
		if seen[p.Role] || m == "" || m == "T1" {
			continue
		}
		seen[p.Role] = true
		what := PartFor(b, p.Role)
		if n, ok := networks[p.Role]; ok {
			what = n.Wiring
		}
		out = append(out, MarkLine{m, p.Role, what})
	}
	sort.SliceStable(out, func(i, j int) bool { return EarlierBin(out[i].Mark, out[j].Mark) })
	return out
}
