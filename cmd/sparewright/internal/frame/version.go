package frame

import (
	"runtime/debug"
	"strings"
)

// versionLine returns the name, the module version and, when the build recorded it, the commit.
func versionLine() string {
	line := "sparewright development"
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return line
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		line = "sparewright " + strings.TrimPrefix(v, "v")
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			line += " (" + s.Value[:12] + ")"
		}
	}
	return line + ", " + info.GoVersion
}
