package find

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
	"sparewright/substitute"
)

// ReserveCommand sets the parts of one build aside.
func ReserveCommand(env *frame.Environment) *cli.Command {
	target := NewTargetFlags()
	pick := newPickFlags()
	return &cli.Command{
		Description: "Sets all parts of one build, as numbered by advise, aside under a name: " +
			"they stay in the drawer but no other " +
			"build gets them. All are set aside or none. A build that needs parts bought is " +
			"refused unless --what-there-is is " +
			"given; then what the drawer holds is set aside. sheet, netlist, tune and swap find " +
			"the build again with --reserved NAME alone: the charger is kept with the name. " +
			"consume takes the parts out when the build is made, release gives " +
			"them back, reserved lists them.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --pick 1 --as " +
			"\"garden pack\"\n" +
			"sparewright reserve --chemistry li-ion --cells 4 --current 1A --as trial " +
			"--demo --dry-run",
		Flags: append(target.Flags(),
			&cli.GenericFlag{Name: "pick", Value: pick.number,
				Usage: "build `N` of advise (default 1)"},
			&cli.StringFlag{Name: "as", Usage: "`NAME` of what the parts are for"},
			&cli.BoolFlag{Name: "what-there-is",
				Usage: "set aside what the drawer holds of a build that needs parts bought"},
			frame.DryRunFlag(), frame.DrawersFlag(),
			frame.DemoFlag("with --dry-run: take the build from the built-in drawer"),
			frame.JSONFlag(), frame.HeaderFlag(), frame.ColourFlag(),
		),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return reserve(env, c, target, pick)
		}),
	}
}

func reserve(env *frame.Environment, c *cli.Context, flags *TargetFlags, pick pickFlags) error {
	if err := checkReserve(c); err != nil {
		return err
	}
	p, err := pickedBuild(env, c, flags, pick, "nothing is set aside")
	if err != nil {
		return err
	}
	if err := wholeUnless(c, p.build); err != nil {
		return err
	}
	claims := []inventory.Claim{{Purpose: c.String("as"), Draws: p.build.Draws(p.snapshot),
		Target: keptTarget(p.target)}}
	if err := claim(env, c, claims, p.snapshot); err != nil {
		return err
	}
	doc := keep.AsideDocument{DryRun: c.Bool("dry-run"), Purposes: keep.Claimed(claims, p.snapshot),
		Buy: p.build.ToBuy()}
	if c.Bool("json") {
		return env.JSON(doc)
	}
	if err := keep.SayAside(env, c, doc, keep.AsideWords{Done: "Set aside",
		Would: "Would be set aside",
		Undo:  "release"}); err != nil {
		return err
	}
	if !doc.DryRun {
		fmt.Fprintf(&env.Out, "next: %s\n",
			ui.Safe("sparewright sheet --reserved "+frame.ShellWord(c.String("as"))+
				drawer.SameDrawers(c)+" -o build.html"))
	}
	return nil
}

// checkReserve refuses calls that cannot mean anything, before the drawer is opened.
func checkReserve(c *cli.Context) error {
	if !c.Bool("dry-run") {
		if err := drawer.RefuseDemo(c); err != nil {
			return err
		}
	}
	if c.String("as") == "" {
		return frame.WrongCall("--as", "", "missing; name what the parts are for").Try(
			"sparewright help reserve")
	}
	return inventory.CheckName("purpose", c.String("as"))
}

// wholeUnless refuses a build that the drawer holds only in part.
func wholeUnless(c *cli.Context, b *substitute.Build) error {
	buy := b.ToBuy()
	if len(buy) == 0 || c.Bool("what-there-is") {
		return nil
	}
	what := buy[0].Role.String()
	if more := len(buy) - 1; more > 0 {
		what += fmt.Sprintf(" and %d more", more)
	}
	return frame.NothingFeasible(fmt.Sprintf("build %d needs parts bought (%s), so nothing "+
		"is set aside; "+
		"--what-there-is sets the rest aside", b.Rank, what))
}

// claim sets the parts aside as they were seen. A dry run only looks whether the name is free.
func claim(env *frame.Environment, c *cli.Context, claims []inventory.Claim,
	seen inventory.Snapshot) error {
	if !c.Bool("dry-run") {
		return drawer.Changing(env, c, func(s *sqlite.Store) error {
			return s.Claim(env.Ctx, claims, seen, env.Now())
		})
	}
	if c.Bool("demo") {
		return nil
	}
	return drawer.Reading(env, c, func(s *sqlite.Store) error {
		for _, claim := range claims {
			held, err := s.SetAsides(env.Ctx, claim.Purpose)
			if err == nil && len(held) > 0 {
				err = inventory.PurposeTaken{Purpose: claim.Purpose}
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}
