package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/sqlite"
)

// restoreCommand brings a backup back.
func restoreCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "FILE",
		Description: "Checks the backup FILE, with FILE.sha256 when it is there, and makes a " +
			"copy of it the drawer file. The drawer " +
			"file there was is kept beside it, with the date in its name; FILE stays. A backup " +
			"that is damaged, or a drawer that " +
			"another command is writing to, is refused and nothing changes. undo brings the " +
			"drawer back that there was. A bench that stands open meanwhile is refused at its " +
			"next line.",
		UsageText: "sparewright backup before.db && sparewright restore before.db",
		Flags:     append([]cli.Flag{}, writingFlags()...),
		Action:    env.action(1, 1, func(c *cli.Context) error { return restore(env, c) }),
	}
}

// restoredJSON is what restore prints with --json.
type restoredJSON struct {
	File      string   `json:"file"`
	From      string   `json:"from"`
	Kept      string   `json:"kept,omitempty"`
	Checksum  bool     `json:"checksum"` // whether one lay beside the backup; it agreed
	Lots      int      `json:"lots"`
	Movements int      `json:"movements"`
	Defects   []string `json:"defects"`
}

func restore(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	path, err := env.drawersPath(c)
	if err != nil {
		return err
	}
	defer env.holdOn()()
	done, err := sqlite.Restore(env.ctx, c.Args().First(), path, env.now())
	if err != nil {
		return err
	}
	env.stands("the restore", undoHint)
	r := done.Report
	if c.Bool("json") {
		err = env.json(restoredJSON{done.Path, done.From, done.Kept, done.Summed, r.Lots,
			r.Movements, defects(r)})
	} else {
		sayRestored(env, done, sameDrawers(c))
	}
	if err != nil {
		return err
	}
	return defectsFound(r, "sparewright check"+sameDrawers(c))
}

func sayRestored(env *environment, done sqlite.Restored, drawers string) {
	how := "its checksum agrees"
	if !done.Summed {
		how = "no checksum lay beside it"
	}
	fmt.Fprintf(&env.out, "restored %s\n", ui.Safe(done.Path))
	fmt.Fprintf(&env.out, "from %s\n", ui.Safe(done.From))
	fmt.Fprintf(&env.out, "%s: %s, %s\n", how, plural(done.Report.Lots, "lot"),
		plural(done.Report.Movements, "movement"))
	if done.Kept != "" {
		fmt.Fprintf(&env.out, "the drawer there was is kept in\n  %s\n", ui.Safe(done.Kept))
	}
	switch {
	case done.Kept == "":
	case done.Unmarked == "":
		fmt.Fprintf(&env.out, "undo: sparewright undo%s\n", ui.Safe(drawers))
	default:
		fmt.Fprintf(&env.out, "undo does not know of this restore (%s); instead: sparewright "+
			"restore %s%s\n", ui.Safe(done.Unmarked),
			ui.Safe(shellWord(done.Kept)), ui.Safe(drawers))
	}
}
