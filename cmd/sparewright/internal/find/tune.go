package find

import (
	"errors"
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/tune"
)

// TuneCommand corrects a build on the bench by what was measured.
func TuneCommand(env *frame.Environment) *cli.Command {
	target := NewTargetFlags()
	pick := newPickFlags()
	return &cli.Command{
		Description: "Takes readings of a build that has been wound or wired, as numbered by " +
			"advise, and says what to do next " +
			"from the drawer: which film to lay in or take out, which resistor to swap, which " +
			"clamp to take, or that it is good. " +
			"Every reading teaches it the real films, core and gap, so give all of them, in the " +
			"order taken. STACK is sheet for " +
			"the stack of the build sheet, none, or films with their layers, by lot or by name: " +
			"2x35+1x34. An error is typed " +
			"behind a reading, such as 2.483V+-0.2%. " +
			"Resistors are measured before they are fitted; a leg of several parts as a whole, " +
			"or one part of it by its place " +
			"(\"divider bottom 2=49.7k\"). Set points are read without a battery; low= and " +
			"high= say the " +
			"trimmer stood at that stop, bare= that the set resistor of a measured step was " +
			"not in yet: the answer names it. " +
			"The drawer must still hold the parts of the build, free or set aside under the name " +
			"of --reserved. The exit status is 1 when nothing in stock helps.",
		UsageText: "sparewright tune --chemistry li-ion --cells 4 --current 1A --demo --reading " +
			"sheet=385uH\n" +
			"sparewright tune --chemistry li-ion --cells 4 --current 1A --demo --reading " +
			"sheet=385uH --reading 2x35+2x34=322uH\n" +
			"sparewright tune --chemistry li-ion --cells 4 --current 1A --demo --reference " +
			"2.483V --set-voltage high=16.71V\n" +
			"sparewright tune --chemistry li-ion --cells 4 --current 1A --demo --leakage 6uH",
		Flags: append(append(append(
			target.Flags(), pick.flags()...),
			&cli.GenericFlag{Name: "reading", Value: &frame.Texts{},
				Usage: "`STACK=INDUCTANCE` of the primary; may be repeated"},
			identify.Option[si.Ratio]("meter", "error of the inductance meter, `PERCENT` (2% "+
				"when not given)", typed.Error),
			identify.Option[si.Voltage]("reference",
				"`VOLTS` of the reference (error 0.5% when not typed)", typed.Base),
			&cli.GenericFlag{
				Name:  "resistor",
				Value: &frame.Texts{},
				Usage: "`PLACE=OHMS` of a part (error 1% when not typed); may be repeated",
			},
			&cli.GenericFlag{
				Name:  "set-voltage",
				Value: &frame.Texts{},
				Usage: "`VOLTS` found, low=VOLTS or high=VOLTS at a stop, bare=VOLTS without the " +
					"set resistor (error 0.5%)",
			},
			&cli.GenericFlag{Name: "set-current", Value: &frame.Texts{},
				Usage: "`AMPS` found, low=AMPS or high=AMPS at a stop (error 2%)"},
			identify.Option[si.Inductance]("leakage",
				"`INDUCTANCE` of the primary with the secondary shorted (error 5% "+
					"when not typed)", typed.Henries),
		), frame.ReadingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return runTune(env, c, target, pick)
		}),
	}
}

func runTune(env *frame.Environment, c *cli.Context, flags *TargetFlags, pick pickFlags) error {
	read, err := benchOf(c)
	if err != nil {
		return err
	}
	p, err := pickedBuild(env, c, flags, pick, "nothing to tune")
	if err != nil {
		return err
	}
	switch whole := p.build.Kind; {
	case whole == substitute.DonorAdapter:
		return frame.WrongCall("--pick", fmt.Sprint(p.build.Rank),
			"is a whole adapter: nothing in it is wound; set its trimmers by the sheet")
	case whole == substitute.DonorTransformer && c.IsSet("reading"):
		return frame.WrongCall("--reading", "",
			"the transformer of this build stays closed: there is no film to change")
	}
	tuner, ok := tune.NewTuner(advise.NewWorkbench(p.snapshot), p.target, p.build)
	if !ok {
		return frame.NothingFeasible(
			"this build needs parts that are not in the drawer; put them in " +
				"first, shop lists them",
		)
	}
	answer, err := tuner.Tune(read)
	var fault tune.BenchFault
	switch {
	case errors.As(err, &fault):
		return frame.WrongCall("--"+fault.Option, fault.Given, fault.Why).
			Try("sparewright help tune")
	case err != nil:
		return err
	case c.Bool("json"):
		err = env.JSON(answer)
	default:
		err = env.Blocks(screen.Tuning(answer, p.build), env.Screen(c), c.Bool("header"))
	}
	if err == nil && !answer.Helped {
		return frame.NothingFeasible("nothing in stock helps this build as it was measured")
	}
	return err
}
