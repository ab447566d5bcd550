package keep

import (
	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
)

// ReleaseCommand gives back what was set aside.
func ReleaseCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "NAME",
		Description: "Gives back everything that is set aside under a name: other builds get the " +
			"parts again.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --as trial " +
			"&& sparewright release trial",
		Flags: append([]cli.Flag{frame.DryRunFlag(), frame.HeaderFlag()}, frame.WritingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error {
			return settle(env, c, AsideWords{Done: "Given back, no longer set aside",
				Would: "Would be given back"},
				func(s *sqlite.Store, purpose string) ([]inventory.SetAside, error) {
					return s.Release(env.Ctx, purpose, env.Now())
				})
		}),
	}
}

// ConsumeCommand takes out what was set aside: the build was made.
func ConsumeCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "NAME",
		Description: "Takes everything that is set aside under a name out of the drawer, all or " +
			"nothing. The history of every lot " +
			"tells the name. What was not needed after all goes back with put; undo brings all " +
			"of it back, set aside as it was.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --as trial && " +
			"sparewright consume trial --dry-run",
		Flags: append([]cli.Flag{frame.DryRunFlag(), frame.HeaderFlag()}, frame.WritingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error {
			return settle(env, c, AsideWords{Done: "Taken out of the drawer",
				Would: "Would be taken out of the drawer"},
				func(s *sqlite.Store, purpose string) ([]inventory.SetAside, error) {
					return s.Consume(env.Ctx, purpose, env.Now())
				})
		}),
	}
}

// settle ends a reservation one way or the other and says what it held.
func settle(env *frame.Environment, c *cli.Context, w AsideWords,
	end func(*sqlite.Store, string) ([]inventory.SetAside, error)) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	purpose := c.Args().First()
	if purpose == "" {
		return frame.WrongCall(c.Command.Name, "", "an empty name; reserved lists the names")
	}
	doc := AsideDocument{DryRun: c.Bool("dry-run")}
	var err error
	if doc.DryRun {
		if doc.Purposes, err = Held(env, c, purpose); err == nil && len(doc.Purposes) == 0 {
			err = inventory.NoPurpose{Purpose: purpose}
		}
	} else {
		err = drawer.Changing(env, c, func(s *sqlite.Store) error {
			snapshot, err := s.Snapshot(env.Ctx) // before, since it leaves out what is empty then
			if err != nil {
				return err
			}
			ended, err := end(s, purpose)
			doc.Purposes = heldFor(ended, snapshot)
			return err
		})
	}
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.JSON(doc)
	}
	return SayAside(env, c, doc, w)
}
