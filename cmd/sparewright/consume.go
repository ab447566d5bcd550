package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/inventory"
	"sparewright/inventory/sqlite"
)

// releaseCommand gives back what was set aside.
func releaseCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "NAME",
		Description: "Gives back everything that is set aside under a name: other builds get the " +
			"parts again.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --as trial " +
			"&& sparewright release trial",
		Flags: append([]cli.Flag{dryRunFlag(), headerFlag()}, writingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error {
			return settle(env, c, asideWords{done: "Given back, no longer set aside",
				would: "Would be given back"},
				func(s *sqlite.Store, purpose string) ([]inventory.SetAside, error) {
					return s.Release(env.ctx, purpose, env.now())
				})
		}),
	}
}

// consumeCommand takes out what was set aside: the build was made.
func consumeCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "NAME",
		Description: "Takes everything that is set aside under a name out of the drawer, all or " +
			"nothing. The history of every lot " +
			"tells the name. What was not needed after all goes back with put; undo brings all " +
			"of it back, set aside as it was.",
		UsageText: "sparewright reserve --chemistry li-ion --cells 4 --current 1A --as trial && " +
			"sparewright consume trial --dry-run",
		Flags: append([]cli.Flag{dryRunFlag(), headerFlag()}, writingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error {
			return settle(env, c, asideWords{done: "Taken out of the drawer",
				would: "Would be taken out of the drawer"},
				func(s *sqlite.Store, purpose string) ([]inventory.SetAside, error) {
					return s.Consume(env.ctx, purpose, env.now())
				})
		}),
	}
}

// settle ends a reservation one way or the other and says what it held.
func settle(env *environment, c *cli.Context, w asideWords,
	end func(*sqlite.Store, string) ([]inventory.SetAside, error)) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	purpose := c.Args().First()
	if purpose == "" {
		return wrongCall(c.Command.Name, "", "an empty name; reserved lists the names")
	}
	doc := asideDocument{DryRun: c.Bool("dry-run")}
	var err error
	if doc.DryRun {
		if doc.Purposes, err = env.held(c, purpose); err == nil && len(doc.Purposes) == 0 {
			err = inventory.NoPurpose{Purpose: purpose}
		}
	} else {
		err = env.changing(c, func(s *sqlite.Store) error {
			snapshot, err := s.Snapshot(env.ctx) // before, since it leaves out what is empty then
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
		return env.json(doc)
	}
	return env.sayAside(c, doc, w)
}
