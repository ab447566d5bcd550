package sheet

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// WindingEnd is one line of the winding card: which letter a winding starts and ends at, and the
// tape that follows. Every winding runs in the same direction, so every start carries the dot.
type WindingEnd struct {
	Name      string    `json:"name"`
	Start     string    `json:"start"`
	StartAt   string    `json:"start_at"`
	End       string    `json:"end"`
	EndAt     string    `json:"end_at"`
	Within    int       `json:"tape_within"`
	TapeWidth si.Length `json:"tape_within_m,omitempty"`
	After     int       `json:"tape_after"`
	AfterLen  si.Length `json:"tape_after_m,omitempty"`
	Sleeve    bool      `json:"sleeve"`
}

// windingCard letters the ends. The start of the primary goes to the drain, the start of every
// other winding to the anode of its rectifier: so the starts move together and the quiet ends face
// each other.
func windingCard(b *substitute.Build) []WindingEnd {
	var out []WindingEnd
	sleeve := !strings.Contains(b.Transformer.Barrier, "triple")
	for _, w := range b.Windings {
		e := WindingEnd{Name: w.Name, Sleeve: sleeve}
		switch w.Name {
		case "primary":
			e.Start, e.StartAt, e.End, e.EndAt = "A", "drain", "C", "bulk +"
		case "primary 1st half":
			e.Start, e.StartAt, e.End, e.EndAt = "A", "drain", "B", "joins the 2nd half"
		case "primary 2nd half":
			e.Start, e.StartAt, e.End, e.EndAt = "B", "joins the 1st half", "C", "bulk +"
		case "bias":
			e.Start, e.StartAt, e.End, e.EndAt = "F", seats.BiasRectifier.String(), "G", "bulk -"
		default:
			e.Start, e.StartAt, e.End, e.EndAt = "D", seats.OutputRectifier.String(), "E",
				"control ground"
		}
		for _, t := range b.Transformer.Tape {
			if t.Where == "within "+w.Name {
				e.Within, e.TapeWidth = t.Layers, t.Length
			}
		}
		out = append(out, e)
	}
	after := afterTape(b)
	for i := range out {
		out[i].After, out[i].AfterLen = after[i].Layers, after[i].Length
	}
	return out
}

// afterTape lists the tape that lies on every winding, in winding order.
func afterTape(b *substitute.Build) []substitute.TapeUse {
	var out []substitute.TapeUse
	for _, t := range b.Transformer.Tape {
		if !strings.HasPrefix(t.Where, "within ") {
			out = append(out, t)
		}
	}
	for len(out) < len(b.Windings) {
		out = append(out, substitute.TapeUse{})
	}
	return out
}

// strandsText says how many wires go side by side.
func strandsText(w substitute.Winding) string {
	if w.Strands == 1 {
		return w.Wire
	}
	return fmt.Sprintf("%d x %s", w.Strands, w.Wire)
}
