package main

import (
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/substitute/advise"
	"sparewright/substitute/report/screen"
)

// surveyCommand answers for all usual batteries at once.
func surveyCommand(env *environment) *cli.Command {
	target := newTargetFlags()
	return &cli.Command{
		Description: "Answers for all usual batteries and currents, one line each: buildable " +
			"with its best build, what would have " +
			"to be bought, or what is in the way and what would help. The exit status is 1 when " +
			"nothing at all is buildable.",
		UsageText: "sparewright survey --demo\nsparewright survey --mains 85-265 --case open " +
			"--demo --json",
		Flags:  append(conditionFlags(target), readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error { return survey(env, c, target) }),
	}
}

// conditionFlags are the options of the wanted charger that say nothing of the battery.
func conditionFlags(t *targetFlags) []cli.Flag {
	var kept []cli.Flag
	for _, f := range t.flags() {
		switch f.Names()[0] {
		case "mains", "line", "case", "ambient", "box":
			kept = append(kept, f)
		}
	}
	return kept
}

func survey(env *environment, c *cli.Context, flags *targetFlags) error {
	if err := flags.check(false); err != nil {
		return err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	steps := env.progress("survey")
	answers, err := advise.SurveyAll(flags.conditions(), snapshot, steps.at)
	steps.wipe()
	if err != nil {
		return flags.refused(err)
	}
	if c.Bool("json") {
		err = env.json(answers)
	} else {
		err = env.blocks(screen.Survey(answers), env.screen(c), c.Bool("header"))
	}
	if buildable, _, _ := screen.Totals(answers); err == nil && buildable == 0 {
		return nothingFeasible("no usual charger can be built from the drawer alone")
	}
	return err
}

// patience is how long work goes on before it shows how far it is.
const patience = time.Second

// progress shows on standard error how far long work is, in one line that is wiped in the end.
// Nothing is shown when standard error is no terminal, or when the work is done soon.
type progress struct {
	env   *environment
	what  string
	start time.Time
	mute  bool

	busy sync.Mutex
	wide int // cells of the line that stands there
	last int // steps that line shows
}

func (env *environment) progress(what string) *progress {
	return &progress{env: env, what: what, start: env.now(),
		mute: !ui.Look(env.stderr, env.getenv, "never").Terminal}
}

// at shows that done of so many steps are done. It may be called from several goroutines.
func (p *progress) at(done, of int) {
	p.busy.Lock()
	defer p.busy.Unlock()
	if p.mute || done <= p.last || p.env.now().Sub(p.start) < patience {
		return
	}
	p.last = done
	line := fmt.Sprintf("%s %d of %d", p.what, done, of)
	fmt.Fprintf(p.env.stderr, "\r%-*s", p.wide, line)
	p.wide = max(p.wide, len(line))
}

// wipe takes the line away.
func (p *progress) wipe() {
	p.busy.Lock()
	defer p.busy.Unlock()
	if p.wide > 0 {
		fmt.Fprint(p.env.stderr, "\r"+strings.Repeat(" ", p.wide)+"\r")
	}
}
