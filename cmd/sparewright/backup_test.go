package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A backup that was changed is a defect, and the schema knows that defects and ok exclude each
// other.
func TestChangedBackupIsADefect(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(drawersVariable, filepath.Join(dir, "drawers.db"))
	copied := filepath.Join(dir, "copy.db")
	require.Equal(t, 0, runWords("put", "fuse", "T1A", "current=1A").status)
	require.Equal(t, 0, runWords("backup", copied).status)
	require.NoError(t, os.WriteFile(copied, []byte("changed"), 0o600))
	out := runWords("check", "--json")
	require.Equal(t, 1, out.status)
	doc := document(t, out.stdout)
	require.NoError(t, schema(t, "check").Validate(doc))
	require.Equal(t, "changed", doc.(map[string]any)["last_backup"].(map[string]any)["state"])
	doc.(map[string]any)["ok"] = true
	require.Error(t, schema(t, "check").Validate(doc), "defects and ok exclude each other")
}
