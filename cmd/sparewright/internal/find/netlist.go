package find

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute"
	"sparewright/substitute/report/netlist"
)

// Words of --trimmer and --corner.
var (
	trimmerWords = []string{netlist.TrimmerLow.String(), netlist.TrimmerSet.String(),
		netlist.TrimmerHigh.String()}
	cornerWords = []string{netlist.LowMains.String(), netlist.HighMains.String()}
)

// netlistFlags are the options of netlist beside those of the target.
type netlistFlags struct {
	pick    pickFlags
	trimmer *frame.Choice
	corner  *frame.Choice
}

// NetlistDocument is what netlist --json prints.
type NetlistDocument struct {
	Target  substitute.Target `json:"target"`
	Rank    int               `json:"rank"`
	Netlist string            `json:"netlist"`
}

// NetlistCommand writes a build as a netlist for a circuit simulator.
func NetlistCommand(env *frame.Environment) *cli.Command {
	target := NewTargetFlags()
	n := netlistFlags{pick: newPickFlags(),
		trimmer: &frame.Choice{Words: trimmerWords, Word: "set"},
		corner:  &frame.Choice{Words: cornerWords, Word: "low"}}
	return &cli.Command{
		Description: "Writes the control circuit of a build, as numbered by advise, as a netlist " +
			"that ngspice runs in batch. " +
			"It then prints set_voltage (output at idle, V), set_current (into a battery half " +
			"way between empty and full, A) and " +
			"lowest_regulated (output below which the current is no longer held, V). The power " +
			"stage is averaged. With " +
			"--switching the power stage switches, and peak_current, flux_peak, drain_peak, mode " +
			"and power are printed. With " +
			"--protection the regulation fails while a full pack is charged, and opened (s until " +
			"the lead is open), over (s above " +
			"the absolute limit), left (A into the pack), out_at and out_end (V) are printed. " +
			"With " +
			"--scenario the whole build is simulated in time, averaged, while something happens " +
			"to it: start (mains on, no pack), step (of the load), plug (a pack put on), dead (a " +
			"pack put on without mains), unplug, short (leads shorted), mains (it falls, goes, " +
			"comes back), or a single fault of a part by its mark in the drawings, fault:R7:open " +
			"at full current, full:R5:open with a nearly full pack. The kinds are open, short, " +
			"wiper (open) and weak (optocoupler). The deck says what it prints, models and " +
			"leaves out.",
		UsageText: "sparewright netlist --chemistry li-ion --cells 4 --current 1A " +
			"--pick 1 --demo\n" +
			"sparewright netlist --chemistry li-ion --cells 4 --current 1A --trimmer high --demo " +
			"-o loops.cir\n" +
			"sparewright netlist --chemistry li-ion --cells 4 --current 1A --switching --corner " +
			"high --demo -o stage.cir\n" +
			"sparewright netlist --chemistry li-ion --cells 4 --current 1A --protection --demo\n" +
			"sparewright netlist --chemistry li-ion --cells 4 --current 1A --scenario " +
			"fault:U2:open --demo",
		Flags: append(append(target.Flags(), n.pick.flags()...),
			&cli.GenericFlag{Name: "trimmer", Value: n.trimmer,
				Usage: "both trimmers at `WORD`: low, set or high (default set)"},
			&cli.BoolFlag{Name: "protection",
				Usage: "the overvoltage protection with the regulation gone, in place of the " +
					"control circuit"},
			&cli.StringFlag{Name: "scenario",
				Usage: "the whole build in time, `WORD`: " +
					strings.Join(netlist.ScenarioNames(), ", ") +
					", fault:MARK:KIND or full:MARK:KIND"},
			&cli.BoolFlag{Name: "switching",
				Usage: "the switching power stage instead of the control circuit"},
			&cli.GenericFlag{Name: "corner", Value: n.corner,
				Usage: "mains of --switching, `WORD`: low or high (default low)"},
			&cli.BoolFlag{Name: "leakage",
				Usage: "with --switching: with leakage inductance and clamp"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`, not to standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
			frame.DrawersFlag(), frame.DemoFlag("take the build from the built-in drawer"),
			frame.JSONFlag(),
		),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return runNetlist(env, c, target, n)
		}),
	}
}

func runNetlist(env *frame.Environment, c *cli.Context, flags *TargetFlags, n netlistFlags) error {
	if err := checkNetlist(c, n); err != nil {
		return err
	}
	p, err := pickedBuild(env, c, flags, n.pick, "no netlist")
	if err != nil {
		return err
	}
	for _, name := range []string{"switching", "scenario"} {
		if c.IsSet(name) && p.build.Kind == substitute.DonorAdapter {
			return frame.WrongCall("--"+name, "",
				fmt.Sprintf("build %d is a whole adapter: its stage is not computed; leave "+
					"--%s away", p.build.Rank, name))
		}
	}
	text, err := n.deck(c, p.target, p.build)
	if err != nil {
		return err
	}
	switch {
	case c.Bool("json"):
		return env.JSON(NetlistDocument{p.target, p.build.Rank, text})
	case c.String("output") == "" || c.String("output") == "-":
		env.Raw(text)
		return nil
	}
	if err := env.WriteWhole(c.String("output"), []byte(text), c.Bool("force")); err != nil {
		return err
	}
	env.Note("wrote the netlist of build %d to %s", p.build.Rank, c.String("output"))
	return nil
}

// deck is the netlist the options ask for.
func (n netlistFlags) deck(c *cli.Context, t substitute.Target,
	b *substitute.Build) (string, error) {
	if word := c.String("scenario"); c.IsSet("scenario") {
		s, err := netlist.ParseScenario(word, b)
		if err != nil {
			return "", frame.WrongCall("--scenario", word, err.Error())
		}
		return netlist.ScenarioDeck(t, b, s), nil
	}
	return n.partDeck(c, t, b), nil
}

// partDeck is a netlist of part of a build.
func (n netlistFlags) partDeck(c *cli.Context, t substitute.Target, b *substitute.Build) string {
	if c.Bool("switching") {
		corner := netlist.LowMains
		if n.corner.Word == netlist.HighMains.String() {
			corner = netlist.HighMains
		}
		return netlist.SwitchingDeck(t, b, corner, c.Bool("leakage"))
	}
	if c.Bool("protection") {
		return netlist.ProtectionDeck(t, b)
	}
	at := netlist.TrimmerSet
	switch n.trimmer.Word {
	case netlist.TrimmerLow.String():
		at = netlist.TrimmerLow
	case netlist.TrimmerHigh.String():
		at = netlist.TrimmerHigh
	}
	return netlist.RegulationDeck(t, b, at)
}

// checkNetlist refuses options that mean nothing together.
func checkNetlist(c *cli.Context, n netlistFlags) error {
	switch {
	case c.IsSet("output") && c.String("output") == "":
		return frame.WrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return frame.WrongCall("--json", "", "goes to standard output; leave --output away")
	case c.IsSet("scenario") && (c.Bool("protection") || c.Bool("switching") ||
		c.IsSet("trimmer")):
		return frame.WrongCall("--scenario", c.String("scenario"),
			"is a netlist of its own; leave --protection, --switching and --trimmer away")
	case c.IsSet("scenario") && netlist.CheckScenario(c.String("scenario")) != nil:
		return frame.WrongCall("--scenario", c.String("scenario"),
			netlist.CheckScenario(c.String("scenario")).Error())
	case c.Bool("protection") && (c.Bool("switching") || c.IsSet("trimmer")):
		return frame.WrongCall("--protection", "",
			"is a netlist of its own; leave --switching and --trimmer away")
	case c.Bool("switching") && c.IsSet("trimmer"):
		return frame.WrongCall("--trimmer", n.trimmer.Word,
			"the switching stage has no trimmers; leave it or --switching away")
	case !c.Bool("switching") && c.IsSet("corner"):
		return frame.WrongCall("--corner", n.corner.Word,
			"only the switching stage has corners; add --switching")
	case !c.Bool("switching") && c.Bool("leakage"):
		return frame.WrongCall("--leakage", "",
			"only the switching stage has a transformer with leakage; add --switching")
	}
	return nil
}
