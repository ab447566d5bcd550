package find

import (
	"encoding/json"
	"slices"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// pickFlags say which build a command is about: by its number, or by the name its parts are set
// aside under.
type pickFlags struct{ number *frame.Whole }

func newPickFlags() pickFlags {
	return pickFlags{&frame.Whole{Low: 1, High: MostBuilds, Value: 1}}
}

// flags returns the options.
func (p pickFlags) flags() []cli.Flag {
	return []cli.Flag{
		&cli.GenericFlag{Name: "pick", Value: p.number, Usage: "build `N` of advise (default 1)"},
		reservedFlag("the build set aside under `NAME`, which is enough to find its charger; " +
			"with --pick count it as free"),
	}
}

func reservedFlag(usage string) cli.Flag { return &cli.StringFlag{Name: "reserved", Usage: usage} }

// picked is one build, as numbered by advise, and what it was found in.
type picked struct {
	target   substitute.Target
	snapshot inventory.Snapshot
	build    *substitute.Build
	cautions []string
}

// pickedBuild finds the build a call names. none tells what the call does not come to when the
// charger has no build at all.
func pickedBuild(env *frame.Environment, c *cli.Context, flags *TargetFlags, pick pickFlags,
	none string) (picked, error) {
	kept := c.IsSet("reserved") && !flags.given(c)
	var target substitute.Target
	var err error
	if !kept {
		if target, err = flags.Target(); err != nil {
			return picked{}, err
		}
	}
	snapshot, aside, text, err := freed(env, c)
	if err == nil && kept {
		target, err = targetKept(c.String("reserved"), text)
	}
	if err != nil {
		return picked{}, err
	}
	most := pick.number.Value
	if c.IsSet("reserved") && !pick.number.Given() {
		most = MostBuilds
	}
	result := numbered(env, target, snapshot, most)
	if c.IsSet("reserved") && !pick.number.Given() {
		return reservedBuild(env, c, picked{target, snapshot, nil, result.Cautions},
			result.Builds, aside)
	}
	builds, err := shownBuilds(result.Builds, 1, pick.number.Value)
	if err != nil {
		return picked{}, err
	}
	if len(builds) == 0 {
		return picked{}, frame.NothingFeasible("no build of this charger, so " + none +
			"; advise says why")
	}
	return picked{target, snapshot, &builds[0], result.Cautions}, nil
}

// numbered finds the builds of a charger, numbered as advise does, up to a number; what lies behind
// it need not be found where the drawer makes the charger at all. What would cure refusals is
// nobody's question here.
func numbered(env *frame.Environment, target substitute.Target, snapshot inventory.Snapshot,
	most int) substitute.Result {
	if r := Searches(target, snapshot,
		advise.Options{Builds: most, Drawer: true, Quiet: true}); AnyFromDrawer(r) {
		return r
	}
	return Searches(target, snapshot, advise.Options{Builds: MostBuilds})
}

// reservedBuild finds the build that takes exactly what is set aside: among those of the drawer
// with these parts free, which numbers them as before they were set aside; else, where the drawer
// has become another since, among those of these parts alone. Where a part was measured since, the
// resistors may come out otherwise; then it is the best build around what is set aside of the power
// stage, with a word.
func reservedBuild(env *frame.Environment, c *cli.Context, p picked, all []substitute.Build,
	aside []inventory.Draw) (picked, error) {
	if p.build = takingExactly(all, aside, p.snapshot); p.build != nil {
		return p, nil
	}
	alone := numbered(env, p.target, p.snapshot.Only(aside), MostBuilds)
	if p.build = takingExactly(alone.Builds, aside, p.snapshot); p.build != nil {
		return p, nil
	}
	if p.build = aroundStage(all, aside, p.snapshot); p.build == nil {
		return picked{}, frame.WrongCall("--reserved", c.String("reserved"),
			"is set aside for no build of this charger; "+
				"describe the charger as when it was set aside, or add --pick")
	}
	env.Note("no build of this charger takes exactly what is set aside under %s; build %d has "+
		"the same power stage: "+
		"compare its parts", frame.Quoted(c.String("reserved")), p.build.Rank)
	return p, nil
}

// stageKinds are the kinds of part that make the power stage of a build what it is.
var stageKinds = []catalog.Kind{catalog.KindSwitcher, catalog.KindCore, catalog.KindTransformer,
	catalog.KindAdapter}

// aroundStage is the best build that can be made at once and takes all of its power stage from what
// is set aside.
func aroundStage(all []substitute.Build, aside []inventory.Draw,
	s inventory.Snapshot) *substitute.Build {
	held := map[int64]bool{}
	for _, d := range aside {
		held[d.Lot] = true
	}
	for i := range all {
		elsewhere := func(d inventory.Draw) bool {
			l, _ := s.Lot(d.Lot)
			return slices.Contains(stageKinds, l.Part.Kind()) && !held[d.Lot]
		}
		if all[i].Verdict == substitute.Feasible &&
			!slices.ContainsFunc(all[i].Draws(s), elsewhere) {
			return &all[i]
		}
	}
	return nil
}

// takingExactly is the first build that takes these parts and no others from the drawer.
func takingExactly(all []substitute.Build, aside []inventory.Draw,
	s inventory.Snapshot) *substitute.Build {
	for i := range all {
		if slices.Equal(all[i].Draws(s), aside) {
			return &all[i]
		}
	}
	return nil
}

// keptTarget writes a charger so that targetKept reads it again, digit by digit.
func keptTarget(t substitute.Target) string {
	text, err := json.Marshal(t)
	if err != nil {
		panic(err) // a target holds numbers and words only
	}
	return string(text)
}

// targetKept reads the charger that was kept with a set-aside. One made by an earlier program, or
// by hand, has none.
func targetKept(name, text string) (substitute.Target, error) {
	var t substitute.Target
	if text == "" {
		return t, frame.WrongCall("--reserved", name,
			"was set aside without its charger; describe that too, such as --chemistry li-ion "+
				"--cells 4 --current 1A")
	}
	err := json.Unmarshal([]byte(text), &t)
	if err == nil {
		err = t.CheckConditions()
	}
	if err != nil {
		return t, frame.WrongCall("--reserved", name, "the charger kept with it cannot be read ("+
			err.Error()+"); describe it too, such as --chemistry li-ion --cells 4 --current 1A")
	}
	return t, nil
}

// freed reads the drawer this call is about with what is set aside under the name of --reserved
// counted as free, and says what that is and which charger was kept with it; without the option
// nothing is.
func freed(env *frame.Environment, c *cli.Context) (snapshot inventory.Snapshot,
	aside []inventory.Draw, target string, err error) {
	if !c.IsSet("reserved") {
		snapshot, err = drawer.Snapshot(env, c)
		return snapshot, nil, "", err
	}
	name := c.String("reserved")
	builtIn, err := drawer.Demo(c)
	switch {
	case err != nil:
		return snapshot, nil, "", err
	case builtIn:
		return snapshot, nil, "",
			frame.WrongCall("--reserved", name,
				"nothing is set aside in the built-in drawer; leave it or --demo away")
	case name == "":
		return snapshot, nil, "",
			frame.WrongCall("--reserved", "", "an empty name").Try("sparewright reserved")
	}
	err = drawer.Reading(env, c, func(s *sqlite.Store) error {
		held, err := s.SetAsides(env.Ctx, name)
		if err != nil {
			return err
		}
		if len(held) == 0 {
			return inventory.NoPurpose{Purpose: name}
		}
		if target, err = s.TargetOf(env.Ctx, name); err != nil {
			return err
		}
		if snapshot, err = s.Snapshot(env.Ctx); err != nil {
			return err
		}
		for _, h := range held {
			aside = append(aside, inventory.Draw{Lot: h.Lot, Count: h.Count})
		}
		aside = inventory.Gather(aside, snapshot)
		snapshot = snapshot.Freed(aside)
		return nil
	})
	return snapshot, aside, target, err
}
