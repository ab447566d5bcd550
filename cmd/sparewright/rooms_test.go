package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// depsOf lists the packages a package needs, its own included.
func depsOf(t *testing.T, pattern string) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Deps " "}}`, pattern).Output()
	require.NoError(t, err)
	deps := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		deps[words[0]] = words[1:]
	}
	return deps
}

// TestRooms keeps the import rules of the house: see DEVELOPERS.md.
func TestRooms(t *testing.T) {
	database := []string{"database/sql", "github.com/jmoiron/sqlx", "github.com/mattn/go-sqlite3", "github.com/urfave/cli/v2"}
	for pack, deps := range depsOf(t, "sparewright/...") {
		room := strings.TrimPrefix(pack, "sparewright/")
		for _, dep := range deps {
			inside := strings.TrimPrefix(dep, "sparewright/")
			switch {
			case room == "inventory/sqlite" || strings.HasPrefix(room, "cmd/sparewright"):
			default:
				require.NotContains(t, database, dep, "%s must not reach the database or the command line", room)
			}
			if room == "substitute/magnetics" || room == "substitute/flyback" || room == "substitute/regulation" || room == "substitute/packing" ||
				room == "substitute/compensation" {
				require.False(t, inside == "catalog" || strings.HasPrefix(inside, "inventory"), "%s takes plain quantities, not records (%s)", room, inside)
			}
			if strings.HasPrefix(room, "catalog") || strings.HasPrefix(room, "inventory") {
				require.False(t, strings.HasPrefix(inside, "substitute"), "%s lies below %s", room, inside)
			}
		}
	}
}

// TestEngineKeepsToItself allows neither files, clock nor environment in the engine and below.
func TestEngineKeepsToItself(t *testing.T) {
	for _, pattern := range []string{"sparewright/catalog/...", "sparewright/inventory", "sparewright/substitute/..."} {
		out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, pattern).Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			words := strings.Fields(line)
			for _, banned := range []string{"os", "os/exec", "net", "net/http", "syscall"} {
				require.NotContains(t, words[1:], banned, words[0])
			}
		}
	}
}

// TestNamesThatStayOut keeps chip families out that this project does not use, wherever they might slip in.
func TestNamesThatStayOut(t *testing.T) {
	out := []string{"TN" + "Y2", "VIPer" + "22", "FSDM" + "311", "UC3" + "842", "SG3" + "525", "TL" + "494"}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".git" {
				return filepath.SkipDir
			}
			return nil
		}
		if !slices.Contains([]string{".go", ".md", ".tsv", ".csv", ".json", ".txtar", ".sql"}, filepath.Ext(path)) {
			return nil
		}
		text, err := os.ReadFile(path)
		for _, name := range out {
			require.NotContains(t, strings.ToUpper(string(text)), strings.ToUpper(name), path)
		}
		return err
	}))
}
