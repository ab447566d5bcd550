package keep

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/sqlite"
)

// RestoreCommand brings a backup back.
func RestoreCommand(env *frame.Environment) *cli.Command {
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
		Flags:     append([]cli.Flag{}, frame.WritingFlags()...),
		Action:    env.Action(1, 1, func(c *cli.Context) error { return restore(env, c) }),
	}
}

// RestoredJSON is what restore prints with --json.
type RestoredJSON struct {
	File      string   `json:"file"`
	From      string   `json:"from"`
	Kept      string   `json:"kept,omitempty"`
	Checksum  bool     `json:"checksum"` // whether one lay beside the backup; it agreed
	Lots      int      `json:"lots"`
	Movements int      `json:"movements"`
	Defects   []string `json:"defects"`
}

func restore(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	path, err := drawer.DrawersPath(env, c)
	if err != nil {
		return err
	}
	defer env.HoldOn()()
	done, err := sqlite.Restore(env.Ctx, c.Args().First(), path, env.Now())
	if err != nil {
		return err
	}
	env.Stands("the restore", frame.UndoHint)
	r := done.Report
	if c.Bool("json") {
		err = env.JSON(RestoredJSON{done.Path, done.From, done.Kept, done.Summed, r.Lots,
			r.Movements, defects(r)})
	} else {
		sayRestored(env, done, drawer.SameDrawers(c))
	}
	if err != nil {
		return err
	}
	return defectsFound(r, "sparewright check"+drawer.SameDrawers(c))
}

func sayRestored(env *frame.Environment, done sqlite.Restored, drawers string) {
	how := "its checksum agrees"
	if !done.Summed {
		how = "no checksum lay beside it"
	}
	fmt.Fprintf(&env.Out, "restored %s\n", ui.Safe(done.Path))
	fmt.Fprintf(&env.Out, "from %s\n", ui.Safe(done.From))
	fmt.Fprintf(&env.Out, "%s: %s, %s\n", how, plural(done.Report.Lots, "lot"),
		plural(done.Report.Movements, "movement"))
	if done.Kept != "" {
		fmt.Fprintf(&env.Out, "the drawer there was is kept in\n  %s\n", ui.Safe(done.Kept))
	}
	switch {
	case done.Kept == "":
	case done.Unmarked == "":
		fmt.Fprintf(&env.Out, "undo: sparewright undo%s\n", ui.Safe(drawers))
	default:
		fmt.Fprintf(&env.Out, "undo does not know of this restore (%s); instead: sparewright "+
			"restore %s%s\n", ui.Safe(done.Unmarked),
			ui.Safe(frame.ShellWord(done.Kept)), ui.Safe(drawers))
	}
}
