package main

import (
	"fmt"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/sqlite"
)

// checkCommand looks the drawer file over.
func checkCommand(env *environment) *cli.Command {
	return &cli.Command{
		Description: "Checks the whole drawer file and changes nothing: its pages, that nothing " +
			"refers to what is missing, the " +
			"count of every lot against its ledger and against what is set aside, every part and " +
			"reading against the catalog, " +
			"and whether the last backup is still as it was written. Defects are named one a " +
			"line and make the exit status 1.",
		UsageText: "sparewright check\nsparewright check --json",
		Flags:     append([]cli.Flag{}, writingFlags()...),
		Action:    env.action(0, 0, func(c *cli.Context) error { return check(env, c) }),
	}
}

// checkJSON is what check prints with --json.
type checkJSON struct {
	File      string          `json:"file"`
	SizeBytes int64           `json:"size_bytes"`
	Form      int             `json:"form"`
	Lots      int             `json:"lots"`
	Parts     int             `json:"parts"`
	Movements int             `json:"movements"`
	SetAsides int             `json:"set_asides"`
	OK        bool            `json:"ok"`
	Defects   []string        `json:"defects"`
	Backup    *lastBackupJSON `json:"last_backup"`
}

type lastBackupJSON struct {
	File      string `json:"file"`
	When      string `json:"when"`
	State     string `json:"state"`
	Movements *int64 `json:"movements_since,omitempty"`
}

func check(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	path, err := env.drawersPath(c)
	if err != nil {
		return err
	}
	r, err := sqlite.Examine(env.ctx, path)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		err = env.json(checkDocument(r))
	} else {
		sayChecked(env, c, r)
	}
	if err != nil {
		return err
	}
	return defectsFound(r, "sparewright help restore")
}

func checkDocument(r sqlite.Report) checkJSON {
	doc := checkJSON{r.Path, r.Bytes, r.Form, r.Lots, r.Parts, r.Movements, r.SetAsides, r.OK(),
		defects(r), nil}
	if b := r.Backup; b != nil {
		doc.Backup = &lastBackupJSON{File: b.File, When: b.When.UTC().Format(time.RFC3339),
			State: b.State}
		if b.Since >= 0 {
			doc.Backup.Movements = &b.Since
		}
	}
	return doc
}

// defects never gives null, so that readers may count without asking.
func defects(r sqlite.Report) []string { return append([]string{}, r.Problems...) }

func sayChecked(env *environment, c *cli.Context, r sqlite.Report) {
	fmt.Fprintf(&env.out, "drawer file %s\n", ui.Safe(r.Path))
	fmt.Fprintf(&env.out, "%d bytes, form %d: %s, %s, %s, %s\n", r.Bytes, r.Form,
		plural(r.Lots, "lot"),
		plural(r.Parts, "part"), plural(r.Movements, "movement"), plural(r.SetAsides, "set-aside"))
	fmt.Fprintln(&env.out, backupLine(r.Backup))
	if r.OK() {
		fmt.Fprintln(&env.out, "no defects found")
		return
	}
	fmt.Fprintf(&env.out, "%s found:\n", plural(len(r.Problems), "defect"))
	for _, p := range r.Problems {
		if screen := env.screen(c); screen.Terminal {
			env.out.WriteString(ui.Wrap(ui.Safe(p), screen.Width, 2))
			continue
		}
		fmt.Fprintf(&env.out, "  %s\n", ui.Safe(p))
	}
}

// backupLine says when the last backup was made, what came after it and where it is.
func backupLine(b *sqlite.LastBackup) string {
	if b == nil {
		return "no backup known; sparewright backup FILE makes one"
	}
	since := ""
	switch {
	case b.State != sqlite.BackupThere:
		since = ", which is " + b.State
	case b.Since == 0:
		since = ", nothing moved since"
	case b.Since > 0:
		since = fmt.Sprintf(", %s since", plural(int(b.Since), "movement"))
	}
	return fmt.Sprintf("last backup %s%s\n  in %s", b.When.UTC().Format("2006-01-02 15:04 UTC"),
		since, ui.Safe(b.File))
}

// plural writes a number with its noun, whose plural takes an s.
func plural(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// defectsFound makes defects an answer with exit status 1; the result has been printed and stays.
func defectsFound(r sqlite.Report, hint string) error {
	if r.OK() {
		return nil
	}
	if r.BackupOnly() {
		hint = "sparewright backup FILE --force"
	}
	return nothingFeasible(plural(len(r.Problems), "defect") + " found").try(hint)
}
