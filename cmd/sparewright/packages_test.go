package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// depsOf lists the packages a package needs, its own included.
func depsOf(t *testing.T, pattern string) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Deps " "}}`,
		pattern).Output()
	require.NoError(t, err)
	deps := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		deps[words[0]] = words[1:]
	}
	return deps
}

// TestPackages keeps the import rules of the house: see DEVELOPERS.md.
func TestPackages(t *testing.T) {
	database := []string{"database/sql", "github.com/jmoiron/sqlx", "github.com/mattn/go-sqlite3",
		"github.com/urfave/cli/v2"}
	for pack, deps := range depsOf(t, "sparewright/...") {
		name := strings.TrimPrefix(pack, "sparewright/")
		for _, dep := range deps {
			inside := strings.TrimPrefix(dep, "sparewright/")
			switch {
			case name == "inventory/sqlite" || name == "inventory/sqlite/drawerfile" ||
				strings.HasPrefix(name, "cmd/sparewright"):
			default:
				require.NotContains(t, database, dep,
					"%s must not reach the database or the command line", name)
			}
			if name == "substitute/magnetics" || name == "substitute/flyback" ||
				name == "substitute/regulation" || name == "substitute/regulation/resistors" ||
				name == "substitute/packing" ||
				name == "substitute/compensation" {
				require.False(t, inside == "catalog" || strings.HasPrefix(inside, "inventory"),
					"%s takes plain quantities, not records (%s)", name, inside)
			}
			if strings.HasPrefix(name, "catalog") || strings.HasPrefix(name, "inventory") {
				require.False(t, strings.HasPrefix(inside, "substitute"),
					"%s lies below %s", name, inside)
			}
		}
	}
}

// storeys are the packages of substitute from the cellar up: a package imports packages of lower
// storeys only, and none of its own.
var storeys = [][]string{
	{"packing", "purchase", "magnetics", "compensation", "regulation/resistors", "seats"},
	{"flyback", "regulation"}, {""}, {"stock"}, {"control"}, {"stage"}, {"search"}, {"loops"},
	{"bill"}, {"adapter"}, {"advise"}, {"plan", "shop", "swap", "tune"}, {"report"},
	{"report/netlist", "report/screen"}, {"report/sheet"},
}

// rooms are the packages of the program from the cellar up, likewise.
var rooms = [][]string{{"internal/ui"}, {"internal/frame"}, {"internal/drawer"},
	{"internal/keep", "internal/identify"}, {"internal/bench", "internal/find"},
	{"internal/guide"}, {""}}

// drawers are the packages of the inventory from the cellar up, likewise.
var drawers = [][]string{{"", "sqlite/disk"}, {"exchange", "label", "anylot", "sqlite/drawerfile"},
	{"browse", "sqlite"}}

// shelves are the packages of the catalog from the cellar up, likewise.
var shelves = [][]string{{"pattern"}, {"si"}, {"drawing"}, {""}, {"codes", "complete"}, {"typed"}}

// TestStoreys keeps imports inside every part of the house downward, and every package small
// enough to know.
func TestStoreys(t *testing.T) {
	requireDownward(t, "sparewright/substitute/", storeys)
	requireDownward(t, "sparewright/cmd/sparewright/", rooms)
	requireDownward(t, "sparewright/inventory/", drawers)
	requireDownward(t, "sparewright/catalog/", shelves)
}

// requireDownward holds every package below root against its storey.
func requireDownward(t *testing.T, root string, storeys [][]string) {
	t.Helper()
	level := map[string]int{}
	for i, packs := range storeys {
		for _, r := range packs {
			level[strings.TrimSuffix(root+r, "/")] = i
		}
	}
	for pack, dir := range foldersOf(t, root+"...") {
		require.LessOrEqual(t, linesIn(t, dir), mostLines, "%s is too large to know", pack)
	}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`,
		root+"...").Output()
	require.NoError(t, err)
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		own, known := level[words[0]]
		require.True(t, known, "%s has no storey", words[0])
		for _, dep := range words[1:] {
			if at, ours := level[dep]; ours {
				require.Less(t, at, own, "%s imports %s", words[0], dep)
			}
		}
	}
}

// TestProgramIsThin keeps package main to what starts a call and lists the commands.
func TestProgramIsThin(t *testing.T) {
	require.LessOrEqual(t, linesIn(t, "."), 200, "a command belongs into a package of internal")
}

// mostLines is what a package may hold, its tests apart.
const mostLines = 3500

// foldersOf lists packages with their folders.
func foldersOf(t *testing.T, pattern string) map[string]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} {{.Dir}}",
		pattern).Output()
	require.NoError(t, err)
	folders := map[string]string{}
	for line := range strings.Lines(string(out)) {
		pack, dir, _ := strings.Cut(strings.TrimSpace(line), " ")
		folders[pack] = dir
	}
	return folders
}

// linesIn counts the lines of a package without its tests.
func linesIn(t *testing.T, dir string) (n int) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	require.NoError(t, err)
	for _, f := range files {
		if !strings.HasSuffix(f, "_test.go") {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			n += strings.Count(string(text), "\n")
		}
	}
	return n
}

// TestTopLevel keeps the fixed layout: nothing stands beside these, and no library is replaced by
// one of ours.
func TestTopLevel(t *testing.T) {
	allowed := strings.Fields("cmd inventory substitute catalog testdata go.mod go.sum README.md " +
		"DEVELOPERS.md LICENSE .ci .gitignore")
	out, err := exec.Command("git", "-C", filepath.Join("..", ".."), "ls-files").Output()
	require.NoError(t, err)
	for path := range strings.Lines(string(out)) {
		name, _, _ := strings.Cut(strings.TrimSpace(path), "/")
		require.Contains(t, allowed, name,
			"the layout is fixed; put it into the package that uses it")
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	require.NoError(t, err)
	require.NotRegexp(t, `(?m)^replace\b`, string(text),
		"a library that is replaced costs every reader a question")
}

// TestNothingIsCompiledAtStart finds expressions that every start would pay for; see
// catalog/pattern.
func TestNothingIsCompiledAtStart(t *testing.T) {
	atStart := regexp.MustCompile(`(?m)^(var )?\s*\w+\s*=\s*regexp\.MustCompile`)
	for _, path := range sourceFiles(t) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NotRegexp(t, atStart, string(text), "%s: use pattern.OnFirstUse", path)
	}
}

// TestImportGroups keeps imports in order: the standard library, then libraries of others, then
// packages of this house.
func TestImportGroups(t *testing.T) {
	block := regexp.MustCompile(`(?ms)^import \(\n(.*?)^\)`)
	path := regexp.MustCompile(`"([^"]+)"`)
	for _, file := range goFiles(t) {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		m := block.FindSubmatch(text)
		if m == nil {
			continue
		}
		least := 0
		for group := range strings.SplitSeq(string(m[1]), "\n\n") {
			origins := map[int]bool{}
			for _, p := range path.FindAllStringSubmatch(group, -1) {
				origins[originOf(p[1])] = true
			}
			require.LessOrEqual(t, len(origins), 1, "%s: a mixed import group:\n%s", file, group)
			for o := range origins {
				require.GreaterOrEqual(t, o, least, "%s: import groups out of order", file)
				least = o
			}
		}
	}
}

// originOf is the group an import belongs to.
func originOf(path string) int {
	first, _, _ := strings.Cut(path, "/")
	switch {
	case first == "sparewright":
		return 2
	case strings.Contains(first, "."):
		return 1
	}
	return 0
}

// sourceFiles are those of the program, without tests.
func sourceFiles(t *testing.T) []string {
	return slices.DeleteFunc(goFiles(t),
		func(f string) bool { return strings.HasSuffix(f, "_test.go") })
}

// goFiles are all Go files of the project.
func goFiles(t *testing.T) (out []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(filepath.Join("..", ".."),
		func(path string, _ os.DirEntry, err error) error {
			if filepath.Ext(path) == ".go" {
				out = append(out, path)
			}
			return err
		}))
	require.NotEmpty(t, out)
	return out
}

// TestEngineKeepsToItself allows neither files, clock nor environment in the engine and below.
func TestEngineKeepsToItself(t *testing.T) {
	for _, pattern := range []string{"sparewright/catalog/...", "sparewright/inventory",
		"sparewright/substitute/..."} {
		out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`,
			pattern).Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			words := strings.Fields(line)
			for _, banned := range []string{"os", "os/exec", "net", "net/http", "syscall"} {
				require.NotContains(t, words[1:], banned, words[0])
			}
		}
	}
}

// TestNamesThatStayOut keeps chip families out that this project does not use, wherever they might
// slip in.
func TestNamesThatStayOut(t *testing.T) {
	out := []string{"TN" + "Y2", "VIPer" + "22", "FSDM" + "311", "UC3" + "842",
		"SG3" + "525", "TL" + "494"}
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
		if !slices.Contains([]string{".go", ".md", ".tsv", ".csv", ".json", ".txtar", ".sql"},
			filepath.Ext(path)) {
			return nil
		}
		text, err := os.ReadFile(path)
		for _, name := range out {
			require.NotContains(t, strings.ToUpper(string(text)), strings.ToUpper(name), path)
		}
		return err
	}))
}
