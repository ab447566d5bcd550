package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/inventory"
	"sparewright/substitute"
)

// picked is one build, as numbered by advise, and what it was found in.
type picked struct {
	target   substitute.Target
	snapshot inventory.Snapshot
	build    *substitute.Build
	cautions []string
}

// pickedBuild finds the build a call names. none tells what the call does not come to when the charger has no build at all.
func (env *environment) pickedBuild(c *cli.Context, flags *targetFlags, pick int, none string) (picked, error) {
	target, err := flags.target()
	if err != nil {
		return picked{}, err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return picked{}, err
	}
	result, _ := env.search(target, snapshot)
	builds, err := shownBuilds(result.Builds, 1, pick)
	if err != nil {
		return picked{}, err
	}
	if len(builds) == 0 {
		return picked{}, nothingFeasible("no build of this charger, so " + none + "; advise says why")
	}
	return picked{target, snapshot, &builds[0], result.Cautions}, nil
}
