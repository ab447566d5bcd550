package swap

import (
	"fmt"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// SmallestMargin is the least margin of all hard checks, those included that are the same for every
// build of a target.
func SmallestMargin(b *substitute.Build) (float64, string) {
	margin, name := math.Inf(1), ""
	for _, c := range b.Checks {
		if c.Hard && c.Margin < margin {
			margin, name = c.Margin, c.Name
		}
	}
	return margin, name
}

// compare holds the build with the stand-in against the one it replaces and settles the verdict.
func (s *Swapper) compare(out *StandIn, found *substitute.Build, at seat) {
	margin, binding := SmallestMargin(found)
	before, _ := SmallestMargin(s.Build)
	out.Margin, out.Binding = &margin, binding
	out.Changes = append(out.Changes, s.changes(found, at)...)
	moved := 0.0
	least := math.Inf(1)
	for _, c := range found.Checks {
		was := checkOf(s.Build, c.Name)
		by := math.Abs(c.Margin - was.Margin)
		if was.Name == "" {
			by = 1
		}
		moved = max(moved, by)
		// of the checks the stand-in moves, the tightest decides
		if by >= sameStep/2 && c.Hard && c.Margin < least {
			least = c.Margin
			out.Binds = checkBound(found, c.Name)
		}
	}
	lost := max(before-margin, s.Build.Score.Margin-found.Score.Margin)
	switch {
	case lost > WorseStep:
		out.Verdict = SwapWorse
	case len(out.Changes) == 0 && moved <= sameStep:
		out.Verdict = SwapSame
	default:
		out.Verdict = SwapRecomputed
	}
}

func checkOf(b *substitute.Build, name string) substitute.Check {
	i := slices.IndexFunc(b.Checks, func(c substitute.Check) bool { return c.Name == name })
	if i < 0 {
		return substitute.Check{}
	}
	return b.Checks[i]
}

// changes lists what is wound, cut, ground or soldered differently, apart from the seat itself.
func (s *Swapper) changes(found *substitute.Build, at seat) []SwapChange {
	var out []SwapChange
	add := func(what, before, after string) {
		if before != after {
			out = append(out, SwapChange{what, before, after})
		}
	}
	a, b := s.Build, found
	turns := func(t substitute.Transformer) string {
		return fmt.Sprintf("%d:%d", t.PrimaryTurns, t.SecondaryTurns)
	}
	add("turns", turns(a.Transformer), turns(b.Transformer))
	add("bias turns", fmt.Sprint(a.Transformer.BiasTurns), fmt.Sprint(b.Transformer.BiasTurns))
	add(seats.Shim.String(), films(a.Gap), films(b.Gap))
	add("primary inductance", si.Format(a.Transformer.Inductance, 3),
		si.Format(b.Transformer.Inductance, 3))
	for _, w := range b.Windings {
		before := "none"
		if i := slices.IndexFunc(a.Windings,
			func(o substitute.Winding) bool { return o.Name == w.Name }); i >= 0 {
			before = laid(a.Windings[i])
		}
		add("winding "+w.Name, before, laid(w))
	}
	for _, n := range b.Regulation.Networks {
		before := "none"
		if i := slices.IndexFunc(a.Regulation.Networks,
			func(o substitute.NetworkUse) bool { return o.Role == n.Role }); i >= 0 {
			before = a.Regulation.Networks[i].Wiring
		}
		add(n.Role.String(), before, n.Wiring)
	}
	for _, role := range s.roles() {
		if role == at.Role || role == seats.Shim ||
			slices.Contains(ledRoles, role) && slices.Contains(ledRoles, at.Role) {
			continue
		}
		if !slices.ContainsFunc(b.Regulation.Networks,
			func(n substitute.NetworkUse) bool { return n.Role == role }) {
			add(role.String(), filling(a, role), filling(b, role))
		}
	}
	return out
}

// laid says how a winding lies.
func laid(w substitute.Winding) string {
	return fmt.Sprintf("strands %d, layers %d", w.Strands, w.Layers)
}

// films writes the shim stack.
func films(g substitute.GapChoice) string {
	if len(g.Layers) == 0 {
		return "none"
	}
	text := ""
	for i, l := range g.Layers {
		if i > 0 {
			text += " + "
		}
		text += fmt.Sprintf("%d of %s", l.Count, l.Designation)
	}
	return text
}

// filling names what fills a role.
func filling(b *substitute.Build, role seats.ID) string {
	text := ""
	for _, p := range b.Parts {
		name := p.Designation
		if p.Source == "buy" {
			name = "to buy"
		}
		if p.Role.Base() != role || text != "" && (text == name) {
			continue
		}
		if text != "" {
			text += " + "
		}
		text += name
	}
	if text == "" {
		return "none"
	}
	return text
}
