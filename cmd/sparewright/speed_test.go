package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkStartup is the whole process for help and version; the floor is a Go program that does nothing.
func BenchmarkStartup(b *testing.B) {
	dir := b.TempDir()
	ours := filepath.Join(dir, "sparewright")
	require.NoError(b, exec.Command("go", "build", "-o", ours, ".").Run())
	source := filepath.Join(dir, "empty.go")
	require.NoError(b, os.WriteFile(source, []byte("package main\n\nfunc main() {}\n"), 0o644))
	empty := filepath.Join(dir, "empty")
	require.NoError(b, exec.Command("go", "build", "-o", empty, source).Run())
	for _, row := range []struct {
		name  string
		words []string
	}{{"empty", []string{empty}}, {"version", []string{ours, "--version"}}, {"help", []string{ours, "--help"}},
		{"list", []string{ours, "list", "--demo"}}} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				if err := exec.Command(row.words[0], row.words[1:]...).Run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
