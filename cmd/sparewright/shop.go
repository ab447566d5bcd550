package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/substitute"
	"sparewright/substitute/report"
)

// shopCommand answers what to buy for one target.
func shopCommand(env *environment) *cli.Command {
	target := newTargetFlags()
	return &cli.Command{
		Name:     "shop",
		Category: groupBuild,
		Usage:    "find the shortest list to buy for a charger",
		Description: "Finds the shortest list of parts that makes the wanted charger buildable together with what is in the drawer, " +
			"and shows the build it makes possible. The exit status is 1 when no list of up to two kinds of part helps.",
		UsageText: "sparewright shop --chemistry li-ion --cells 4 --current 2A --demo\n" +
			"sparewright shop --chemistry li-ion --cells 10 --current 2A --demo --json",
		Flags:  append(target.flags(), readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error { return shop(env, c, target) }),
	}
}

func shop(env *environment, c *cli.Context, flags *targetFlags) error {
	target, err := flags.target()
	if err != nil {
		return err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	list := substitute.Shop(target, snapshot)
	if c.Bool("json") {
		err = env.json(list)
	} else {
		err = env.blocks(report.Shopping(list), env.screen(c), c.Bool("header"))
	}
	if err == nil && list.Then == nil {
		return nothingFeasible("no purchase of up to two kinds of part makes this charger")
	}
	return err
}
