package keep

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/sqlite"
)

// BackupCommand writes a checked copy of the drawer file.
func BackupCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "FILE",
		Description: "Writes the whole drawer, with its history, to FILE, checks what was " +
			"written, and puts its SHA-256 beside " +
			"it in FILE.sha256. FILE appears only when it is complete; other commands may write " +
			"to the drawer meanwhile. An " +
			"existing FILE is left alone unless --force is given. restore brings it back. Keep " +
			"it on another disk.",
		UsageText: "sparewright backup drawers-backup.db\nsparewright backup drawers-backup.db " +
			"--force --json",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
		}, frame.WritingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error { return backup(env, c) }),
	}
}

// BackupJSON is what backup prints with --json.
type BackupJSON struct {
	File      string   `json:"file"`
	SizeBytes int64    `json:"size_bytes"`
	SHA256    string   `json:"sha256"`
	Lots      int      `json:"lots"`
	Movements int      `json:"movements"`
	Defects   []string `json:"defects"`
}

func backup(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	var made sqlite.Copy
	defer env.HoldOn()()
	err := drawer.Reading(env, c, func(s *sqlite.Store) (err error) {
		made, err = s.Backup(env.Ctx, c.Args().First(), c.Bool("force"), env.Now())
		return err
	})
	if err != nil {
		return err
	}
	env.Stands("the backup "+frame.Quoted(made.Path),
		"sparewright check tells when the last backup was made")
	if made.Unnoted != "" {
		env.Note("check will not know of this backup: %s", made.Unnoted)
	}
	r := made.Report
	if c.Bool("json") {
		err = env.JSON(BackupJSON{made.Path, made.Bytes, made.Sum, r.Lots, r.Movements, defects(r)})
	} else {
		fmt.Fprintf(&env.Out, "backup %s\n", ui.Safe(made.Path))
		fmt.Fprintf(&env.Out, "%d bytes, checked: %s, %s\n", made.Bytes, plural(r.Lots, "lot"),
			plural(r.Movements, "movement"))
		fmt.Fprintf(&env.Out, "bring it back: sparewright restore %s%s\n",
			ui.Safe(frame.ShellWord(made.Path)), ui.Safe(drawer.SameDrawers(c)))
	}
	if err != nil {
		return err
	}
	return defectsFound(r, "sparewright check"+drawer.SameDrawers(c))
}
