package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestStorageDocumentsKeepTheirSchemas(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(drawersVariable, filepath.Join(dir, "drawers.db"))
	copied := filepath.Join(dir, "copy.db")
	require.Equal(t, 0, runWords("put", "fuse", "T1A", "current=1A").status)
	for _, row := range []struct {
		schema string
		status int
		words  []string
	}{
		{"check", 0, ask("check")},
		{"backup", 0, ask("backup", copied)},
		{"check", 0, ask("check")},
		{"restore", 0, ask("restore", copied)},
		{"restore", 0, ask("restore", copied, "--drawers", filepath.Join(dir, "other.db"))},
	} {
		out := runWords(append(row.words, "--json")...)
		require.Equal(t, row.status, out.status, "%v\n%s", row.words, out.stderr)
		require.NoError(t, schema(t, row.schema).Validate(document(t, out.stdout)), "%v", row.words)
	}
	require.NoError(t, os.WriteFile(copied, []byte("changed"), 0o600))
	out := runWords("check", "--json")
	require.Equal(t, 1, out.status)
	doc := document(t, out.stdout)
	require.NoError(t, schema(t, "check").Validate(doc))
	require.Equal(t, "changed", doc.(map[string]any)["last_backup"].(map[string]any)["state"])
	doc.(map[string]any)["ok"] = true
	require.Error(t, schema(t, "check").Validate(doc), "defects and ok exclude each other")
}
