package main

import (
	"path/filepath"

	"github.com/urfave/cli/v2"
)

// drawersVariable names the drawer file when no --drawers does.
const drawersVariable = "SPAREWRIGHT_DRAWERS"

// drawersPath returns the drawer file of this call: --drawers, else SPAREWRIGHT_DRAWERS, else
// drawers.db in the data directory of the platform.
func (env *environment) drawersPath(c *cli.Context) (string, error) {
	if c.IsSet("drawers") {
		if path := c.String("drawers"); path != "" {
			return path, nil
		}
		return "", wrongCall("--drawers", "", "names no file")
	}
	if path := env.getenv(drawersVariable); path != "" {
		return path, nil
	}
	dir, err := env.dataDirectory()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "drawers.db"), nil
}

// dataDirectory returns where this platform keeps a program's data. On Unix that is XDG_DATA_HOME,
// else ~/.local/share; a relative XDG_DATA_HOME is to be ignored. Source: XDG Base Directory
// Specification.
func (env *environment) dataDirectory() (string, error) {
	if env.goos == "windows" {
		if local := env.getenv("LocalAppData"); local != "" {
			return filepath.Join(local, "sparewright"), nil
		}
	} else if xdg := env.getenv("XDG_DATA_HOME"); env.goos != "darwin" && filepath.IsAbs(xdg) {
		return filepath.Join(xdg, "sparewright"), nil
	}
	home, err := env.home()
	if err != nil {
		return "", (&problem{status: statusDrawers, what: "drawers",
			why: "no home directory is set"}).
			try("sparewright list --drawers FILE")
	}
	switch env.goos {
	case "windows":
		return filepath.Join(home, "AppData", "Local", "sparewright"), nil
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "sparewright"), nil
	default:
		return filepath.Join(home, ".local", "share", "sparewright"), nil
	}
}

// demo reports whether the call asks for the built-in drawer; together with --drawers it
// contradicts itself.
func demo(c *cli.Context) (bool, error) {
	if !c.Bool("demo") {
		return false, nil
	}
	if c.IsSet("drawers") {
		return false, wrongCall("--demo", "",
			"the built-in drawer and --drawers exclude each other; give one of them")
	}
	return true, nil
}

// refuseDemo is the first step of every command that writes.
func refuseDemo(c *cli.Context) error {
	if c.Bool("demo") {
		return wrongCall("--demo", "", "the built-in drawer cannot be changed; "+c.Command.Name+
			" works on a drawer file")
	}
	return nil
}
