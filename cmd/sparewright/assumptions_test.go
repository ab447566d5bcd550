package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// unreadOnly are the places of substitute that have a stand-in of their own, with the reason.
// Everything else is assumed by complete.Part, so that there is one set of assumptions.
var unreadOnly = map[string]string{
	"c.LimitMin.Or(triangle)":       "worked out from the plate of the adapter",
	"c.LimitMax.Or(1.5 * triangle)": "worked out from the plate of the adapter",
	"u.part.Capacitance.Or(unreadCapacitance)": "a reading of an adapter, which is not called " +
		"feasible without",
	"u.part.CapacitorVolts.Or(v)": "a reading of an adapter: unread it is no bound",
	"tolerance.Or(0.2)": "of the Y capacitor inside an adapter, of which " +
		"only the value is read",
}

var standIn = regexp.MustCompile(`[\w.]+\.Or\(([^()]|\([^()]*\))*\)`)

// Nothing in substitute assumes a figure of a part.
func TestOneSetOfAssumptions(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir("../../substitute", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") ||
			strings.HasSuffix(path, "_test.go") {
			return err
		}
		raw, err := os.ReadFile(path)
		for _, call := range standIn.FindAllString(string(raw), -1) {
			if !strings.HasPrefix(call, "cmp.Or(") {
				seen[call] = true
				require.NotEmpty(t, unreadOnly[call],
					"%s: %s; assume it in complete.Part", path, call)
			}
		}
		return err
	})
	require.NoError(t, err)
	for call := range unreadOnly {
		require.True(t, seen[call], "%s is gone; take it off the list", call)
	}
}
