package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/sqlite"
)

// backupCommand writes a checked copy of the drawer file.
func backupCommand(env *environment) *cli.Command {
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
		}, writingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error { return backup(env, c) }),
	}
}

// backupJSON is what backup prints with --json.
type backupJSON struct {
	File      string   `json:"file"`
	SizeBytes int64    `json:"size_bytes"`
	SHA256    string   `json:"sha256"`
	Lots      int      `json:"lots"`
	Movements int      `json:"movements"`
	Defects   []string `json:"defects"`
}

func backup(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	var made sqlite.Copy
	defer env.holdOn()()
	err := env.reading(c, func(s *sqlite.Store) (err error) {
		made, err = s.Backup(env.ctx, c.Args().First(), c.Bool("force"), env.now())
		return err
	})
	if err != nil {
		return err
	}
	env.stands("the backup "+quoted(made.Path),
		"sparewright check tells when the last backup was made")
	if made.Unnoted != "" {
		env.note("check will not know of this backup: %s", made.Unnoted)
	}
	r := made.Report
	if c.Bool("json") {
		err = env.json(backupJSON{made.Path, made.Bytes, made.Sum, r.Lots, r.Movements, defects(r)})
	} else {
		fmt.Fprintf(&env.out, "backup %s\n", ui.Safe(made.Path))
		fmt.Fprintf(&env.out, "%d bytes, checked: %s, %s\n", made.Bytes, plural(r.Lots, "lot"),
			plural(r.Movements, "movement"))
		fmt.Fprintf(&env.out, "bring it back: sparewright restore %s%s\n",
			ui.Safe(shellWord(made.Path)), ui.Safe(sameDrawers(c)))
	}
	if err != nil {
		return err
	}
	return defectsFound(r, "sparewright check"+sameDrawers(c))
}
