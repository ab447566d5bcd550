package main

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
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
		{"macOS", "darwin", map[string]string{"XDG_DATA_HOME": "/data"}, "/home/b/Library/Application Support/sparewright"},
		{"Windows", "windows", map[string]string{"LocalAppData": "/local"}, "/local/sparewright"},
		{"Windows without the variable", "windows", nil, "/home/b/AppData/Local/sparewright"},
	} {
		t.Run(row.name, func(t *testing.T) {
			env := newEnvironment(context.Background(), strings.NewReader(""), &bytes.Buffer{},
				&bytes.Buffer{})
			env.goos = row.goos
			env.getenv = func(name string) string { return row.vars[name] }
			env.home = func() (string, error) { return "/home/b", nil }
			got, err := env.dataDirectory()
			require.NoError(t, err)
			require.Equal(t, row.want, got)
		})
	}
}

func TestNoHome(t *testing.T) {
	env := newEnvironment(context.Background(), strings.NewReader(""), &bytes.Buffer{},
		&bytes.Buffer{})
	env.goos = "linux"
	env.getenv = func(string) string { return "" }
	env.home = func() (string, error) { return "", errors.New("$HOME is not defined") }
	_, err := env.dataDirectory()
	require.EqualError(t, err, "drawers: no home directory is set")
	require.Equal(t, statusDrawers, statusOf(err))
}
