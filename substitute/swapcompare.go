package substitute

import (
	"fmt"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// smallestRoom is the least room of all hard checks, those included that are the same for every build of a target.
func smallestRoom(b *Build) (float64, string) {
	room, name := math.Inf(1), ""
	for _, c := range b.Checks {
		if c.Hard && c.room < room {
			room, name = c.room, c.Name
		}
	}
	return room, name
}

// compare holds the build with the stand-in against the one it replaces and settles the verdict.
func (s *swapper) compare(out *StandIn, found *Build, at seat) {
	room, binding := smallestRoom(found)
	before, _ := smallestRoom(s.build)
	out.Room, out.Binding = &room, binding
	out.Changes = append(out.Changes, s.changes(found, at)...)
	moved := 0.0
	least := math.Inf(1)
	for _, c := range found.Checks {
		was := checkOf(s.build, c.Name)
		by := math.Abs(c.room - was.room)
		if was.Name == "" {
			by = 1
		}
		moved = max(moved, by)
		if by >= sameStep/2 && c.Hard && c.room < least { // of the checks the stand-in moves, the tightest decides
			least = c.room
			out.Binds = checkBound(found, c.Name)
		}
	}
	lost := max(before-room, s.build.Score.Margin-found.Score.Margin)
	switch {
	case lost > WorseStep:
		out.Verdict = SwapWorse
	case len(out.Changes) == 0 && moved <= sameStep:
		out.Verdict = SwapSame
	default:
		out.Verdict = SwapRecomputed
	}
}

func checkOf(b *Build, name string) Check {
	i := slices.IndexFunc(b.Checks, func(c Check) bool { return c.Name == name })
	if i < 0 {
		return Check{}
	}
	return b.Checks[i]
}

// changes lists what is wound, cut, ground or soldered differently, apart from the seat itself.
func (s *swapper) changes(found *Build, at seat) []SwapChange {
	var out []SwapChange
	add := func(what, before, after string) {
		if before != after {
			out = append(out, SwapChange{what, before, after})
		}
	}
	a, b := s.build, found
	turns := func(t Transformer) string { return fmt.Sprintf("%d:%d", t.PrimaryTurns, t.SecondaryTurns) }
	add("turns", turns(a.Transformer), turns(b.Transformer))
	add("bias turns", fmt.Sprint(a.Transformer.BiasTurns), fmt.Sprint(b.Transformer.BiasTurns))
	add("shim", films(a.Gap), films(b.Gap))
	add("primary inductance", si.Format(a.Transformer.Inductance, 3), si.Format(b.Transformer.Inductance, 3))
	for _, w := range b.Windings {
		before := "none"
		if i := slices.IndexFunc(a.Windings, func(o Winding) bool { return o.Name == w.Name }); i >= 0 {
			before = laid(a.Windings[i])
		}
		add("winding "+w.Name, before, laid(w))
	}
	for _, n := range b.Regulation.Networks {
		before := "none"
		if i := slices.IndexFunc(a.Regulation.Networks, func(o NetworkUse) bool { return o.Role == n.Role }); i >= 0 {
			before = a.Regulation.Networks[i].Wiring
		}
		add(n.Role, before, n.Wiring)
	}
	for _, role := range s.roles() {
		if role == at.role || role == "shim" || slices.Contains(lampRoles, role) && slices.Contains(lampRoles, at.role) {
			continue
		}
		if !slices.ContainsFunc(b.Regulation.Networks, func(n NetworkUse) bool { return n.Role == role }) {
			add(role, filling(a, role), filling(b, role))
		}
	}
	return out
}

// laid says how a winding lies.
func laid(w Winding) string { return fmt.Sprintf("strands %d, layers %d", w.Strands, w.Layers) }

// films writes the shim stack.
func films(g GapChoice) string {
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
func filling(b *Build, role string) string {
	text := ""
	for _, p := range b.Parts {
		name := p.Designation
		if p.Source == "buy" {
			name = "to buy"
		}
		if baseRole(p.Role) != role || text != "" && (text == name) {
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
