package substitute_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
)

// The tests of the files independent_*_test.go recompute finished builds without the packages they
// were computed with. Circuit laws are stepped through in time or corner by corner, windings are
// laid turn by turn, figures come from the lots themselves. Every figure the engine takes from
// practice is written out again beside its source.
//
// Tolerances: exact where both sides evaluate one algebraic law of printed figures; steady where
// the engine stops its loss balance after a few rounds and this side goes on until nothing moves,
// in steps of 5 us; others are told where they stand.
const (
	exact  = 1e-6
	steady = 1e-3
)

// audit holds one build against its drawer. A mismatch is reported and the audit goes on.
type audit struct {
	require.TestingT
	target substitute.Target
	build  *substitute.Build
	lots   map[int64]inventory.Lot
}

func newAudit(t require.TestingT, s inventory.Snapshot, target substitute.Target,
	b *substitute.Build) audit {
	a := audit{TestingT: t, target: target, build: b, lots: map[int64]inventory.Lot{}}
	for _, l := range s.Lots {
		a.lots[l.ID] = l
	}
	return a
}

// agrees holds a figure of the build against the recomputed one; NaN never agrees.
func agrees[P, Q si.Quantity](a audit, got P, want Q, tolerance float64, what string) {
	g, w := float64(got), float64(want)
	if !(math.Abs(g-w) <= tolerance*math.Abs(w)) {
		a.fail("%s: the build says %.9g, recomputed %.9g, allowed %g of it", what, g, w, tolerance)
	}
}

// between holds a figure of the build against two recomputed ends; NaN never lies between.
func between[P, Q, R si.Quantity](a audit, got P, low Q, high R, what string) {
	if g := float64(got); !(g >= float64(low) && g <= float64(high)) {
		a.fail("%s: the build says %.9g, recomputed %.9g to %.9g", what, g,
			float64(low), float64(high))
	}
}

func (a audit) fail(format string, words ...any) {
	b := a.build
	at := fmt.Sprintf("%s %g A, build %d, %s with %s: ", a.target.Name,
		float64(a.target.Current), b.Rank,
		b.Switcher.Designation,
		b.Core.Designation)
	a.Errorf("%s", at+fmt.Sprintf(format, words...))
}

func (a audit) isTrue(ok bool, format string, words ...any) {
	if !ok {
		a.fail(format, words...)
	}
}

// uses lists the lines of the parts list with a role.
func (a audit) uses(role string) (lines []substitute.PartUse) {
	for _, p := range a.build.Parts {
		if p.Role.String() == role {
			lines = append(lines, p)
		}
	}
	return lines
}

// partOf reads the first part of a role from its lot, as measured, or from the published tables
// when it must be bought, with what its sheet leaves out filled in.
func partOf[P catalog.Part](a audit, role string) P {
	for _, u := range a.uses(role) {
		if p, is := a.part(u).(P); is {
			return p
		}
	}
	var none P
	a.fail("no %T in the role %q", none, role)
	return none
}

// part is what a line of the parts list stands for; nil when it is neither in the drawer nor in the
// tables.
func (a audit) part(u substitute.PartUse) catalog.Part {
	if lot, ok := a.lots[u.Lot]; ok {
		return complete.Part(inventory.Effective(lot))
	}
	if shape, ferrite, is := strings.Cut(u.Designation, " "); is && u.Role == seats.Core {
		p, _, ok := catalog.Lookup(catalog.KindCore, shape)
		if core, is := p.(catalog.Core); ok && is {
			core.Name, core.Shape, core.Ferrite, core.Former, core.Gap = u.Designation, shape,
				ferrite, "plain",
				catalog.Of(core.Gap.Value)
			return complete.Part(core)
		}
	}
	for _, kind := range catalog.Kinds() {
		if p, _, ok := catalog.Lookup(kind, u.Designation); ok {
			return complete.Part(p)
		}
	}
	return nil
}

// known reports whether every part of the build is in the drawer or in the tables; a requirement in
// words cannot be recomputed.
func (a audit) known() bool {
	for _, u := range a.build.Parts {
		if a.part(u) == nil {
			return false
		}
	}
	return true
}

// check finds a check by its name.
func (a audit) check(name string) substitute.Check {
	for _, c := range a.build.Checks {
		if c.Name == name {
			return c
		}
	}
	a.fail("check %q is missing", name)
	return substitute.Check{}
}

func (a audit) hasCheck(name string) bool {
	for _, c := range a.build.Checks {
		if c.Name == name {
			return true
		}
	}
	return false
}

// judged holds value and limit of a check against recomputed ones.
func judged[P, Q si.Quantity](a audit, name string, value P, limit Q, tolerance float64) {
	if c := a.check(name); c.Name != "" {
		agrees(a, c.Value, value, tolerance, "value of the check "+name)
		agrees(a, c.Limit, limit, exact, "limit of the check "+name)
	}
}

// topics are the parts of an audit, each a test of its own.
var topics = []struct {
	name string
	run  func(audit)
}{
	{"switcher", auditSwitcher}, {"core and gap", auditCore}, {"inductance", auditInductance}, {"mains side", auditMains},
	{"currents", auditCurrents}, {"flux", auditFlux}, {"walls", auditWalls}, {"stresses", auditStresses}, {"clamp", auditClamp},
	{"losses", auditLosses}, {"balance", auditBalance}, {"heat", auditHeat}, {"windings", auditWindings}, {"tape", auditTape},
	{"layer factor", auditLayerFactor}, {"barrier", auditBarrier}, {"voltage network", auditVoltage},
	{"current network", auditCurrent}, {"reference and LED", auditSupply}, {"loops", auditLoops}, {"stock", auditStock}, {"lots", auditLots},
	{"events", auditEvents}, {"protection", auditProtection}, {"roles", auditRoles},
	{"ratings", auditRatings}, {"checks", auditChecks}, {"score", auditScore},
}

// wanted are the four chargers that are recomputed.
func wanted() []substitute.Target {
	return []substitute.Target{
		{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195, MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35},
		{Chemistry: "lifepo4", Cells: 4, Current: 1, MainsMin: 195, MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35},
		{Chemistry: "lead-acid-agm", Cells: 6, Duty: "cyclic", Current: 1, MainsMin: 85,
			MainsMax: 265, Line: 50,
			Case: substitute.Open, Ambient: 35},
		// above what LM358 bears: an amplifier chip that pulls the LED down
		{Chemistry: "li-ion", Cells: 8, Current: 0.5, MainsMin: 195, MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35},
	}
}

func TestBuildsRecomputed(t *testing.T) {
	const builds = 5
	drawer := exchange.Demo()
	for _, target := range wanted() {
		target, err := target.Resolve(0)
		require.NoError(t, err)
		r := advise.Advise(target, drawer, advise.Options{})
		require.NotEmpty(t, r.Builds, target.Name)
		auditOrder(t, r.Builds)
		// those with a donor's transformer or a whole adapter have audits of their own
		wound := ofKind(r.Builds, substitute.Wound)
		// a suppressor to buy, which long strings need with a capacitor at the feedback pin, has no
		// row to recompute from
		wound = slices.DeleteFunc(wound,
			func(b substitute.Build) bool {
				return target.Cells == 8 && !newAudit(t, drawer, target, &b).known()
			})
		require.GreaterOrEqual(t, len(wound), 2, target.Name)
		for i := range wound[:min(builds, len(wound))] {
			b := &wound[i]
			require.True(t, newAudit(t, drawer, target, b).known(),
				"%s, build %d needs parts that are in no table",
				target.Name, b.Rank)
			for _, topic := range topics {
				t.Run(fmt.Sprintf("%s/%d/%s", target.Name, b.Rank, topic.name), func(t *testing.T) {
					topic.run(newAudit(t, drawer, target, b))
				})
			}
		}
	}
}

// ofKind keeps the builds of one kind, in their order.
func ofKind(all []substitute.Build, kind substitute.BuildKind) (out []substitute.Build) {
	for _, b := range all {
		if b.Kind == kind {
			out = append(out, b)
		}
	}
	return out
}
