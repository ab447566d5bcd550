package catalog_test

import (
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
)

// table reads a file of data with a reader of its own, so that a fault of the package's reader does
// not hide one of the file.
func table(t *testing.T, file string) []map[string]string {
	t.Helper()
	raw, err := os.ReadFile("data/" + file)
	require.NoError(t, err)
	var header []string
	var rows []map[string]string
	for _, line := range strings.Split(strings.TrimRight(string(raw), "\n"), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "\t")
		if header == nil {
			header = cells
			continue
		}
		require.Len(t, cells, len(header), "%s: %s", file, line)
		row := map[string]string{}
		for i, c := range cells {
			row[header[i]] = c
		}
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows, file)
	return rows
}

// dataFiles lists the embedded tables.
func dataFiles(t *testing.T) []string {
	t.Helper()
	entries, err := os.ReadDir("data")
	require.NoError(t, err)
	var files []string
	for _, e := range entries {
		files = append(files, e.Name())
	}
	require.Contains(t, files, "shapes.tsv")
	return files
}

// Every row names its source, every cell is clean text, and a row whose source is memory holds no
// firm figure.
func TestEveryRowHasASource(t *testing.T) {
	figure :=
		regexp.MustCompile(
			`^[0-9.]+ ?(mm2|mm3|mm|um|nH|mT|C|V|A|mA|uA|W|K/W|ohm|ohm/m|kHz|ns|pF|kV|%|ppm/K)$`)
	for _, file := range dataFiles(t) {
		for _, row := range table(t, file) {
			require.NotEmpty(t, row["designation"], file)
			require.NotEmpty(t, row["source"], "%s %s", file, row["designation"])
			fromMemory := strings.HasPrefix(row["source"], "from memory") && file != "tiw.tsv"
			for column, cell := range row {
				require.Equal(t, strings.TrimSpace(cell), cell, "%s %s %s", file,
					row["designation"], column)
				if fromMemory && figure.MatchString(cell) &&
					!slices.Contains([]string{"sat_field", "loss_temp", "f_min",
						"f_max"}, column) {
					t.Errorf("%s %s: %s=%s is firm, yet the row is from memory", file,
						row["designation"], column, cell)
				}
			}
		}
	}
}

// Every part of the tables is possible and free of contradictions, and so is it once completed;
// completing twice changes nothing.
func TestEveryRowIsSound(t *testing.T) {
	total := 0
	for _, k := range catalog.Kinds() {
		for _, p := range parts(k) {
			total++
			require.NoError(t, p.Validate(), "%s %s", k, p.Designation())
			full := complete.Part(p)
			require.NoError(t, full.Validate(), "%s %s completed", k, p.Designation())
			require.Equal(t, full, complete.Part(full), "%s %s", k, p.Designation())
			found, source, ok := catalog.Lookup(k, p.Designation())
			require.True(t, ok)
			require.Equal(t, p, found, "%s %s", k, p.Designation())
			require.NotEmpty(t, source.Document)
			require.Equal(t, source, catalog.SourceOf(k, p.Designation()))
		}
	}
	require.Equal(t, 2152, total, "a row added or lost: adjust the number on purpose")
}

// parts returns the table of a kind.
func parts(k catalog.Kind) []catalog.Part {
	switch k {
	case catalog.KindCore:
		return generic(catalog.Shapes())
	case catalog.KindWire:
		return generic(catalog.Wires())
	case catalog.KindFilm:
		return generic(catalog.Films())
	case catalog.KindSwitcher:
		return generic(catalog.Switchers())
	case catalog.KindRectifier:
		return generic(catalog.Rectifiers())
	case catalog.KindBridge:
		return generic(catalog.Bridges())
	case catalog.KindController:
		return generic(catalog.Controllers())
	case catalog.KindTransistor:
		return generic(catalog.Transistors())
	case catalog.KindCapacitor:
		return generic(catalog.ListedCapacitors())
	case catalog.KindClamp:
		return generic(catalog.Suppressors())
	case catalog.KindOptocoupler:
		return generic(catalog.Optocouplers())
	case catalog.KindAmplifier:
		return generic(catalog.Amplifiers())
	case catalog.KindReference:
		return generic(catalog.References())
	}
	return nil
}

func generic[P catalog.Part](ps []P) []catalog.Part {
	out := make([]catalog.Part, len(ps))
	for i, p := range ps {
		out[i] = p
	}
	return out
}

// Families that are kept out of the tables on purpose stay out; the names are put together so that
// this file is clean too.
func TestFamiliesLeftOut(t *testing.T) {
	left := []string{"TNY" + "2", "VIPer" + "22", "FSDM" + "311", "UC" + "3842", "UC" + "2842",
		"SG" + "3525", "TL" + "494"}
	for _, file := range dataFiles(t) {
		raw, err := os.ReadFile("data/" + file)
		require.NoError(t, err)
		for _, word := range left {
			require.NotContains(t, strings.ToUpper(string(raw)), strings.ToUpper(word), file)
		}
	}
}

// The tables are loaded quickly enough to be read in every call of a command. They are loaded
// already when this runs, so the time of completing every listed part stands in for the rest of the
// work; the bound is ten times what it takes.
func TestCompleteIsQuick(t *testing.T) {
	var all []catalog.Part
	for _, k := range catalog.Kinds() {
		all = append(all, parts(k)...)
	}
	best := math.Inf(1)
	for range 5 {
		start := time.Now()
		for _, p := range all {
			complete.Part(p)
		}
		best = min(best, time.Since(start).Seconds()/float64(len(all)))
	}
	require.Less(t, best, 100e-6)
}
