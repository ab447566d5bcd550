package find

import (
	"errors"
	"fmt"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/substitute/plan"
	"sparewright/substitute/report/screen"
)

// planFlags are the options of plan beside those of the conditions.
type planFlags struct {
	target *TargetFlags
	wants  *frame.Texts
	limit  *patienceFor
}

// patienceFor is the value of an option that takes a time to wait, such as 5s.
type patienceFor struct {
	value time.Duration
	text  string
}

// Set implements flag.Value.
func (p *patienceFor) Set(text string) error {
	v, err := time.ParseDuration(text)
	if err != nil || v <= 0 || v > 24*time.Hour {
		return errors.New("not a time to wait; write it as 5s or 2m")
	}
	p.value, p.text = v, text
	return nil
}

// String implements flag.Value.
func (p *patienceFor) String() string { return p.text }

// PlanCommand shares the drawer out among several chargers.
func PlanCommand(env *frame.Environment) *cli.Command {
	p := planFlags{NewTargetFlags(), &frame.Texts{}, &patienceFor{}}
	return &cli.Command{
		Description: "Shares the parts out among the chargers wanted, each part used once, so " +
			"that most chargers are built, then " +
			"with the largest sum of margins, then with the least loss; says how many could be " +
			"built at most, and which one line to " +
			"buy makes more. A wish is CHEMISTRY CELLS CURRENT, then cyclic or float and xN: " +
			"\"li-ion 4 1A x2\"; CELLS may be a " +
			"charge voltage, 16.8V. A file of --wants holds one wish a line, or a JSON list of " +
			"objects with chemistry, cells or volts, " +
			"current, duty, count. With --reserve the parts of build 1 are set aside as \"NAME " +
			"1\", and so on, all or none. The exit status " +
			"is 1 when none can be built.",
		UsageText: "sparewright plan --want \"li-ion 4 1A\" --want \"li-ion 3 500mA\" --demo\n" +
			"sparewright plan --want \"li-ion 2 1A x2\" --limit 20s --json --demo\n" +
			"sparewright plan --want \"li-ion 3 500mA\" --reserve spring",
		Flags: append(append(conditionFlags(p.target),
			&cli.GenericFlag{Name: "want", Value: p.wants,
				Usage: "a wanted `CHARGER`, such as \"li-ion 4 1A x2\"; may be repeated"},
			&cli.StringFlag{Name: "wants",
				Usage: "read wanted chargers from `FILE`; - is standard input"},
			&cli.GenericFlag{Name: "limit", Value: p.limit,
				Usage: "stop looking for better after `TIME`, such as 5s"},
			&cli.StringFlag{Name: "reserve", Usage: "set the parts aside under `NAME`"},
			&cli.BoolFlag{Name: "parts", Usage: "list the parts of every build as well"},
			frame.DryRunFlag(),
		), frame.ReadingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error { return runPlan(env, c, p) }),
	}
}

func runPlan(env *frame.Environment, c *cli.Context, f planFlags) error {
	wants, err := wantsOf(env, c, f)
	if err != nil {
		return err
	}
	if err := checkPlanReserve(c); err != nil {
		return err
	}
	snapshot, err := drawer.Snapshot(env, c)
	if err != nil {
		return err
	}
	steps := newProgress(env, "plan, searches")
	stop := func() bool { return env.Ctx.Err() != nil }
	opts := plan.PlanOptions{Progress: steps.at, Stop: stop}
	if f.limit.value > 0 {
		end := env.Now().Add(f.limit.value)
		opts.Stop = func() bool { return stop() || env.Now().After(end) }
	}
	p := plan.PlanFor(wants, snapshot, opts)
	steps.wipe()
	if err := env.Ctx.Err(); err != nil {
		return err
	}
	if c.IsSet("reserve") && p.Built > 0 {
		if err := claim(env, c, claimsOf(p, c.String("reserve"), snapshot), snapshot); err != nil {
			return err
		}
	}
	if err := sayPlan(env, c, p); err != nil {
		return err
	}
	if p.Built == 0 && !p.Finished {
		return frame.NothingFeasible("no plan was found before the search was cut short; give " +
			"--limit more time")
	}
	if p.Built == 0 {
		return frame.NothingFeasible("none of these chargers can be built from the drawer alone")
	}
	return nil
}

// claimsOf are the claims of a plan, each with its charger.
func claimsOf(p plan.Plan, name string, s inventory.Snapshot) []inventory.Claim {
	claims, at := p.Claims(name, s), 0
	for _, line := range p.Lines {
		for range line.Builds {
			claims[at].Target = keptTarget(line.Target)
			at++
		}
	}
	return claims
}

func sayPlan(env *frame.Environment, c *cli.Context, p plan.Plan) error {
	if c.Bool("json") {
		return env.JSON(p)
	}
	if err := env.Blocks(screen.Plan(p, c.Bool("parts")), env.Screen(c),
		c.Bool("header")); err != nil {
		return err
	}
	if !c.IsSet("reserve") || p.Built == 0 {
		return nil
	}
	for n := 1; n <= p.Built; n++ {
		name := fmt.Sprintf("%s %d", c.String("reserve"), n)
		if c.Bool("dry-run") {
			fmt.Fprintf(&env.Out, "would be set aside as %s\n", frame.Quoted(name))
			continue
		}
		fmt.Fprintf(&env.Out, "undo: %s\n",
			ui.Safe("sparewright release "+frame.ShellWord(name)+drawer.SameDrawers(c)))
	}
	return nil
}

// checkPlanReserve refuses names that cannot be used and the built-in drawer, before anything is
// searched.
func checkPlanReserve(c *cli.Context) error {
	switch {
	case !c.IsSet("reserve") && c.Bool("dry-run"):
		return frame.WrongCall("--dry-run", "",
			"only --reserve does something that can be tried dry")
	case !c.IsSet("reserve"):
		return nil
	case c.String("reserve") == "":
		return frame.WrongCall("--reserve", "", "names nothing; say what the parts are for")
	case !c.Bool("dry-run"):
		if err := drawer.RefuseDemo(c); err != nil {
			return err
		}
	}
	return inventory.CheckName("purpose", fmt.Sprintf("%s %d", c.String("reserve"), mostWants))
}

// wantsOf reads the wishes of the call and of the file.
func wantsOf(env *frame.Environment, c *cli.Context, f planFlags) ([]plan.Want, error) {
	if err := f.target.check(false); err != nil {
		return nil, err
	}
	wants, err := wantsFromCall(f.target, *f.wants)
	if err != nil {
		return nil, err
	}
	if c.IsSet("wants") {
		more, err := wantsFromFile(env, f.target, c.String("wants"))
		if err != nil {
			return nil, err
		}
		wants = append(wants, more...)
	}
	total := 0
	for _, w := range wants {
		total += w.Count
	}
	switch {
	case total == 0:
		return nil, frame.WrongCall("--want", "",
			"missing; say which chargers are wanted, such as --want \"li-ion 4 1A x2\"").
			Try("sparewright help plan")
	case total > mostWants:
		return nil, frame.WrongCall("--want", "",
			fmt.Sprintf("%d chargers wanted, at most %d go into one plan", total, mostWants))
	}
	return wants, nil
}
