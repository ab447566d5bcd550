package find

import (
	"fmt"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report/screen"
)

// usualBuilds is how many builds advise prints unasked; the search always looks at everything.
const usualBuilds = 20

// MostBuilds is how many builds a command prints or numbers at most.
const MostBuilds = 1000

// AdviseCommand answers what can be built for one target.
func AdviseCommand(env *frame.Environment) *cli.Command {
	target := NewTargetFlags()
	builds := &frame.Whole{Low: 1, High: MostBuilds, Value: usualBuilds}
	pick := &frame.Whole{Low: 1, High: MostBuilds}
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
		Flags: append(append(target.Flags(),
			&cli.GenericFlag{Name: "builds", Value: builds,
				Usage: "show the best `N` builds (default 20)"},
			&cli.GenericFlag{Name: "pick", Value: pick, Usage: "show build `N` whole"},
			reservedFlag("count what is set aside under `NAME` as free"),
			&cli.BoolFlag{Name: "timing",
				Usage: "state in the JSON document how long the search took"},
		), frame.ReadingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return runAdvise(env, c, target, builds.Value, pick.Value)
		}),
	}
}

func runAdvise(env *frame.Environment, c *cli.Context, flags *TargetFlags, builds, pick int) error {
	target, err := flags.Target()
	if err != nil {
		return err
	}
	snapshot, _, _, err := freed(env, c)
	if err != nil {
		return err
	}
	result, took := search(env, target, snapshot)
	total, feasible := len(result.Builds), AnyFromDrawer(result)
	if result.Builds, err = shownBuilds(result.Builds, builds, pick); err != nil {
		return err
	}
	switch {
	case c.Bool("json"):
		if c.Bool("timing") {
			result.Searched.Seconds = took.Seconds()
		}
		err = env.JSON(result)
	case pick > 0 && len(result.Builds) > 0:
		err = env.Blocks(screen.Build(target, &result.Builds[0], result.Cautions), env.Screen(c),
			c.Bool("header"))
	default:
		err = env.Blocks(screen.Advice(result, total), env.Screen(c), c.Bool("header"))
	}
	if err == nil && !feasible {
		return frame.NothingFeasible("this charger cannot be built from the drawer alone")
	}
	return err
}

// search asks for every build, so that the same build has the same rank whatever is shown, and
// takes the time.
func search(env *frame.Environment, target substitute.Target,
	snapshot inventory.Snapshot) (substitute.Result, time.Duration) {
	start := env.Now()
	result := Searches(target, snapshot, advise.Options{Builds: MostBuilds, Buy: true})
	return result, env.Now().Sub(start)
}

// AnyFromDrawer reports that a build of the answer takes everything from the drawer.
func AnyFromDrawer(r substitute.Result) bool {
	return len(r.Builds) > 0 && r.Builds[0].Verdict == substitute.Feasible
}

// shownBuilds cuts the list to what was asked for: one build, or the best few.
func shownBuilds(all []substitute.Build, most, pick int) ([]substitute.Build, error) {
	switch {
	case pick == 0 || len(all) == 0:
		return all[:min(most, len(all))], nil
	case pick > len(all):
		return nil, frame.WrongCall("--pick", fmt.Sprint(pick),
			fmt.Sprintf("the last build is number %d", len(all)))
	}
	return all[pick-1 : pick], nil
}
