package drawer

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

func TestDataDirectory(t *testing.T) {
	for _, row := range []struct {
		name, goos string
		vars       map[string]string
		want       string
	}{
		{"plain", "linux", nil, "/home/b/.local/share/sparewright"},
		{"XDG", "linux", map[string]string{"XDG_DATA_HOME": "/data"}, "/data/sparewright"},
		{"a relative XDG value is to be ignored (XDG Base Directory Specification)", "linux",
			map[string]string{"XDG_DATA_HOME": "data"}, "/home/b/.local/share/sparewright"},
		{"macOS", "darwin", map[string]string{"XDG_DATA_HOME": "/data"},
			"/home/b/Library/Application Support/sparewright"},
		{"Windows", "windows", map[string]string{"LocalAppData": "/local"}, "/local/sparewright"},
		{"Windows without the variable", "windows", nil, "/home/b/AppData/Local/sparewright"},
	} {
		t.Run(row.name, func(t *testing.T) {
			env := frame.New(context.Background(), strings.NewReader(""), &bytes.Buffer{},
				&bytes.Buffer{}, frame.Index{})
			env.GOOS = row.goos
			env.Getenv = func(name string) string { return row.vars[name] }
			env.Home = func() (string, error) { return "/home/b", nil }
			got, err := dataDirectory(env)
			require.NoError(t, err)
			require.Equal(t, row.want, got)
		})
	}
}

func TestNoHome(t *testing.T) {
	env := frame.New(context.Background(), strings.NewReader(""), &bytes.Buffer{},
		&bytes.Buffer{}, frame.Index{})
	env.GOOS = "linux"
	env.Getenv = func(string) string { return "" }
	env.Home = func() (string, error) { return "", errors.New("$HOME is not defined") }
	_, err := dataDirectory(env)
	require.EqualError(t, err, "drawers: no home directory is set")
	require.Equal(t, frame.StatusDrawers, frame.StatusOf(err))
}
