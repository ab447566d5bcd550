package drawer

import (
	"path/filepath"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
)

// DrawersVariable names the drawer file when no --drawers does.
const DrawersVariable = "SPAREWRIGHT_DRAWERS"

// DrawersPath returns the drawer file of this call: --drawers, else SPAREWRIGHT_DRAWERS, else
// drawers.db in the data directory of the platform.
func DrawersPath(env *frame.Environment, c *cli.Context) (string, error) {
	if c.IsSet("drawers") {
		if path := c.String("drawers"); path != "" {
			return path, nil
		}
		return "", frame.WrongCall("--drawers", "", "names no file")
	}
	if path := env.Getenv(DrawersVariable); path != "" {
		return path, nil
	}
	dir, err := dataDirectory(env)
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "drawers.db"), nil
}

// dataDirectory returns where this platform keeps a program's data. On Unix that is XDG_DATA_HOME,
// else ~/.local/share; a relative XDG_DATA_HOME is to be ignored. Source: XDG Base Directory
// Specification.
func dataDirectory(env *frame.Environment) (string, error) {
	if env.GOOS == "windows" {
		if local := env.Getenv("LocalAppData"); local != "" {
			return filepath.Join(local, "sparewright"), nil
		}
	} else if xdg := env.Getenv("XDG_DATA_HOME"); env.GOOS != "darwin" && filepath.IsAbs(xdg) {
		return filepath.Join(xdg, "sparewright"), nil
	}
	home, err := env.Home()
	if err != nil {
		return "", (&frame.Problem{Status: frame.StatusDrawers, What: "drawers",
			Why: "no home directory is set"}).
			Try("sparewright list --drawers FILE")
	}
	switch env.GOOS {
	case "windows":
		return filepath.Join(home, "AppData", "Local", "sparewright"), nil
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "sparewright"), nil
	default:
		return filepath.Join(home, ".local", "share", "sparewright"), nil
	}
}

// Demo reports whether the call asks for the built-in drawer; together with --drawers it
// contradicts itself.
func Demo(c *cli.Context) (bool, error) {
	if !c.Bool("demo") {
		return false, nil
	}
	if c.IsSet("drawers") {
		return false, frame.WrongCall("--demo", "",
			"the built-in drawer and --drawers exclude each other; give one of them")
	}
	return true, nil
}

// RefuseDemo is the first step of every command that writes.
func RefuseDemo(c *cli.Context) error {
	if c.Bool("demo") {
		return frame.WrongCall("--demo", "",
			"the built-in drawer cannot be changed; "+c.Command.Name+
				" works on a drawer file")
	}
	return nil
}
