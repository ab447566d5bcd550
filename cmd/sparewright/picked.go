package main

import (
	"slices"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// pickFlags say which build a command is about: by its number, or by the name its parts are set
// aside under.
type pickFlags struct{ number *whole }

func newPickFlags() pickFlags {
	return pickFlags{&whole{low: 1, high: mostBuilds, value: 1}}
}

// flags returns the options.
func (p pickFlags) flags() []cli.Flag {
	return []cli.Flag{
		&cli.GenericFlag{Name: "pick", Value: p.number, Usage: "build `N` of advise (default 1)"},
		reservedFlag("the build set aside under `NAME`; with --pick count it as free"),
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
func (env *environment) pickedBuild(c *cli.Context, flags *targetFlags, pick pickFlags,
	none string) (picked, error) {
	target, err := flags.target()
	if err != nil {
		return picked{}, err
	}
	snapshot, aside, err := env.freed(c)
	if err != nil {
		return picked{}, err
	}
	most := pick.number.value
	if c.IsSet("reserved") && !pick.number.given() {
		most = mostBuilds
	}
	result := env.numbered(target, snapshot, most)
	if c.IsSet("reserved") && !pick.number.given() {
		return env.reservedBuild(c, picked{target, snapshot, nil, result.Cautions},
			result.Builds, aside)
	}
	builds, err := shownBuilds(result.Builds, 1, pick.number.value)
	if err != nil {
		return picked{}, err
	}
	if len(builds) == 0 {
		return picked{}, nothingFeasible("no build of this charger, so " + none +
			"; advise says why")
	}
	return picked{target, snapshot, &builds[0], result.Cautions}, nil
}

// numbered finds the builds of a charger, numbered as advise does, up to a number; what lies behind
// it need not be found where the drawer makes the charger at all. What would cure refusals is
// nobody's question here.
func (env *environment) numbered(target substitute.Target, snapshot inventory.Snapshot,
	most int) substitute.Result {
	if r := env.searched(target, snapshot,
		advise.Options{Builds: most, Drawer: true, Quiet: true}); anyFromDrawer(r) {
		return r
	}
	return env.searched(target, snapshot, advise.Options{Builds: mostBuilds})
}

// reservedBuild finds the build that takes exactly what is set aside: among those of the drawer
// with these parts free, which numbers them as before they were set aside; else, where the drawer
// has become another since, among those of these parts alone. Where a part was measured since, the
// resistors may come out otherwise; then it is the best build around what is set aside of the power
// stage, with a word.
func (env *environment) reservedBuild(c *cli.Context, p picked, all []substitute.Build,
	aside []inventory.Draw) (picked, error) {
	if p.build = takingExactly(all, aside, p.snapshot); p.build != nil {
		return p, nil
	}
	alone := env.numbered(p.target, p.snapshot.Only(aside), mostBuilds)
	if p.build = takingExactly(alone.Builds, aside, p.snapshot); p.build != nil {
		return p, nil
	}
	if p.build = aroundStage(all, aside, p.snapshot); p.build == nil {
		return picked{}, wrongCall("--reserved", c.String("reserved"),
			"is set aside for no build of this charger; "+
				"describe the charger as when it was set aside, or add --pick")
	}
	env.note("no build of this charger takes exactly what is set aside under %s; build %d has "+
		"the same power stage: "+
		"compare its parts", quoted(c.String("reserved")), p.build.Rank)
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

// freed reads the drawer this call is about with what is set aside under the name of --reserved
// counted as free, and says what that is; without the option nothing is.
func (env *environment) freed(c *cli.Context) (inventory.Snapshot, []inventory.Draw, error) {
	if !c.IsSet("reserved") {
		s, err := env.snapshot(c)
		return s, nil, err
	}
	name := c.String("reserved")
	builtIn, err := demo(c)
	switch {
	case err != nil:
		return inventory.Snapshot{}, nil, err
	case builtIn:
		return inventory.Snapshot{}, nil,
			wrongCall("--reserved", name,
				"nothing is set aside in the built-in drawer; leave it or --demo away")
	case name == "":
		return inventory.Snapshot{}, nil,
			wrongCall("--reserved", "", "an empty name").try("sparewright reserved")
	}
	var snapshot inventory.Snapshot
	var aside []inventory.Draw
	err = env.reading(c, func(s *sqlite.Store) error {
		held, err := s.SetAsides(env.ctx, name)
		if err != nil {
			return err
		}
		if len(held) == 0 {
			return inventory.NoPurpose{Purpose: name}
		}
		if snapshot, err = s.Snapshot(env.ctx); err != nil {
			return err
		}
		for _, h := range held {
			aside = append(aside, inventory.Draw{Lot: h.Lot, Count: h.Count})
		}
		aside = inventory.Gather(aside, snapshot)
		snapshot = snapshot.Freed(aside)
		return nil
	})
	return snapshot, aside, err
}
