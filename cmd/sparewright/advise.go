package main

import (
	"fmt"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report/screen"
)

// Bounds of the builds advise prints; the search itself always looks at everything.
const (
	usualBuilds = 20
	mostBuilds  = 1000
)

// adviseCommand answers what can be built for one target.
func adviseCommand(env *environment) *cli.Command {
	target := newTargetFlags()
	builds := &whole{low: 1, high: mostBuilds, value: usualBuilds}
	pick := &whole{low: 1, high: mostBuilds}
	return &cli.Command{
		Description: "Answers whether the wanted charger can be built from the drawer, and how: " +
			"every build with its tightest check, best first, then the nearest combinations that " +
			"fail and what would help. The margin of a check is how much of the way from its " +
			"ideal value (nought, ambient, the set point) to its limit is left. With --pick one " +
			"build is shown whole, with parts, windings, gap, resistor networks and every check. " +
			"The exit status is 1 when the drawer alone does not do.",
		UsageText: "sparewright advise --chemistry li-ion --cells 4 --current 1A --demo\n" +
			"sparewright advise --chemistry li-ion --cells 4 --current 1A --pick 1 --demo\n" +
			"sparewright advise --chemistry lead-acid-agm --cells 6 --duty float --current 500mA " +
			"--json --demo",
		Flags: append(append(target.flags(),
			&cli.GenericFlag{Name: "builds", Value: builds,
				Usage: "show the best `N` builds (default 20)"},
			&cli.GenericFlag{Name: "pick", Value: pick, Usage: "show build `N` whole"},
			reservedFlag("count what is set aside under `NAME` as free"),
			&cli.BoolFlag{Name: "timing",
				Usage: "state in the JSON document how long the search took"},
		), readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error {
			return runAdvise(env, c, target, builds.value, pick.value)
		}),
	}
}

func runAdvise(env *environment, c *cli.Context, flags *targetFlags, builds, pick int) error {
	target, err := flags.target()
	if err != nil {
		return err
	}
	snapshot, _, err := env.freed(c)
	if err != nil {
		return err
	}
	result, took := env.search(target, snapshot)
	total, feasible := len(result.Builds), anyFromDrawer(result)
	if result.Builds, err = shownBuilds(result.Builds, builds, pick); err != nil {
		return err
	}
	switch {
	case c.Bool("json"):
		if c.Bool("timing") {
			result.Searched.Seconds = took.Seconds()
		}
		err = env.json(result)
	case pick > 0 && len(result.Builds) > 0:
		err = env.blocks(screen.Build(target, &result.Builds[0], result.Cautions), env.screen(c),
			c.Bool("header"))
	default:
		err = env.blocks(screen.Advice(result, total), env.screen(c), c.Bool("header"))
	}
	if err == nil && !feasible {
		return nothingFeasible("this charger cannot be built from the drawer alone")
	}
	return err
}

// search asks for every build, so that the same build has the same rank whatever is shown, and
// takes the time.
func (env *environment) search(target substitute.Target,
	snapshot inventory.Snapshot) (substitute.Result, time.Duration) {
	start := env.now()
	result := env.searched(target, snapshot, advise.Options{Builds: mostBuilds, Buy: true})
	return result, env.now().Sub(start)
}

func anyFromDrawer(r substitute.Result) bool {
	return len(r.Builds) > 0 && r.Builds[0].Verdict == substitute.Feasible
}

// shownBuilds cuts the list to what was asked for: one build, or the best few.
func shownBuilds(all []substitute.Build, most, pick int) ([]substitute.Build, error) {
	switch {
	case pick == 0 || len(all) == 0:
		return all[:min(most, len(all))], nil
	case pick > len(all):
		return nil, wrongCall("--pick", fmt.Sprint(pick),
			fmt.Sprintf("the last build is number %d", len(all)))
	}
	return all[pick-1 : pick], nil
}
