package report_test

import (
	"bytes"
	"context"
	"encoding/json"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/report/sheet"
	"sparewright/testdata/outside"
)

// probe runs beside the page, which is loaded into frames of the wanted widths, and writes what it
// finds in each into the title of the outer page: boxes that stick out of the page and texts of a
// drawing that cover each other or leave the drawing.
const probe = `
document.title = JSON.stringify([...document.querySelectorAll('iframe')].map(frame => {
const d = frame.contentDocument, root = d.documentElement, found = {};
found.inner = frame.contentWindow.innerWidth;
found.scroll = root.scrollWidth;
found.wide = []; found.overlaps = []; found.outside = []; found.texts = 0;
for (const e of d.body.querySelectorAll('*')) {
  const r = e.getBoundingClientRect();
  if (r.width > 0 && r.right > found.inner + 0.5) found.wide.push(e.tagName + ' ' + (e.textContent || '').trim().slice(0, 40));
}
for (const s of d.querySelectorAll('svg')) {
  const frame = s.getBoundingClientRect(), name = s.querySelector('title').textContent;
  const scale = frame.width / s.viewBox.baseVal.width;
  const boxes = [...s.querySelectorAll('text')].map(t => ({t: t.textContent, r: t.getBoundingClientRect()}));
  found.texts += boxes.length;
  const slack = 1.6 * scale; // a box is higher than its letters
  boxes.forEach((a, i) => {
    if (a.r.left < frame.left - 0.5 || a.r.right > frame.right + 0.5 || a.r.top < frame.top - slack || a.r.bottom > frame.bottom + slack)
      found.outside.push(name + ': ' + a.t);
    for (const b of boxes.slice(i + 1)) {
      const w = Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left);
      const h = Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top);
      if (w > 0.5 && h > slack) found.overlaps.push(name + ': ' + a.t + ' / ' + b.t);
    }
  });
}
return found; }));`

// probed is what the probe found.
type probed struct {
	Inner, Scroll, Texts    float64
	Wide, Overlaps, Outside []string
}

// openPage opens a file in a browser without a screen and returns the page as it stands after its
// scripts, and what the browser had to say.
func openPage(t *testing.T, file string) (dom, said string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox", "--disable-gpu",
		"--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--user-data-dir="+t.TempDir(),
		"--allow-file-access-from-files", "--enable-logging=stderr",
		"--window-size=1300,1123", "--dump-dom", "file://"+file)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Run(), errs.String())
	return out.String(), errs.String()
}

var titleOf = regexp.MustCompile(`<title>(\[.*?\])</title>`)

// widths are those a sheet is read at, paper and telephone: A4 is 210 mm, 794 pixels of CSS at 96
// to the inch.
var widths = []int{794, 390}

// probePage lays the page out at both widths and looks for what went wrong.
func probePage(t *testing.T, page []byte) []probed {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sheet.html"), page, 0o644))
	outer := `<!DOCTYPE html><meta charset="utf-8"><title>waiting</title>`
	for _, w := range widths {
		outer += `<iframe src="sheet.html" style="border:0;width:` + strconv.Itoa(w) +
			`px;height:1123px"></iframe>`
	}
	outer += `<script>addEventListener('load', () => {` + probe + `})</script>`
	name := filepath.Join(dir, "outer.html")
	require.NoError(t, os.WriteFile(name, []byte(outer), 0o644))
	dom, said := openPage(t, name)
	require.NotContains(t, said, ":CONSOLE", said)
	m := titleOf.FindStringSubmatch(dom)
	require.Len(t, m, 2, "the probe did not run: %s", said)
	var all []probed
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(m[1])), &all))
	require.Len(t, all, len(widths))
	for i, p := range all {
		require.Equal(t, float64(widths[i]), p.Inner)
		require.Greater(t, p.Texts, 150.0)
	}
	return all
}

// Every sheet in a browser at the width of A4 paper and of a telephone: nothing sticks out, no two
// texts of a drawing cover each other, the browser has nothing to complain about.
func TestSheetInBrowser(t *testing.T) {
	outside.Need(t, "chromium")
	for _, k := range sheetCases(t) {
		t.Run(k.name, func(t *testing.T) {
			for _, p := range probePage(t, k.page) {
				require.LessOrEqual(t, p.Scroll, p.Inner)
				require.Empty(t, p.Wide, "width %v", p.Inner)
				require.Empty(t, p.Overlaps, "width %v", p.Inner)
				require.Empty(t, p.Outside, "width %v", p.Inner)
			}
		})
	}
}

// The page keeps its shape when every name is as long and as odd as it may be.
func TestSheetInBrowserWithHostileNames(t *testing.T) {
	outside.Need(t, "chromium")
	k := sheetCases(t)[0]
	for _, name := range []string{strings.Repeat("W", 300), strings.Repeat("漢", 300),
		strings.Repeat("שלום ", 40),
		`</svg><script>console.error(1)</script>`} {
		b := *k.sheet.Build
		b.Parts = append(b.Parts[:0:0], b.Parts...)
		for i := range b.Parts {
			b.Parts[i].Designation, b.Parts[i].Bin = name, name
		}
		b.Switcher.Designation, b.Core.Designation = name, name
		page, err := sheet.NewSheet(k.sheet.Target, &b, k.sheet.Cautions, k.snapshot).HTML()
		require.NoError(t, err)
		for _, p := range probePage(t, page) {
			require.LessOrEqual(t, p.Scroll, p.Inner, "%.20q", name)
			require.Empty(t, p.Overlaps, "%.20q at %v", name, p.Inner)
			require.Empty(t, p.Outside, "%.20q at %v", name, p.Inner)
		}
	}
}

// The probe finds what it is there to find: two texts on one spot, one outside, a box that is too
// wide, an error of a script.
func TestSheetProbeFindsFaults(t *testing.T) {
	outside.Need(t, "chromium")
	page := string(sheetCases(t)[0].page)
	spoilt := strings.Replace(page, "</svg>", `<text x="50" y="50">one</text>`+
		`<text x="52" y="50">two</text><text x="5000" y="9">off</text></svg>`, 1)
	spoilt = strings.Replace(spoilt, "</body>", `<div style="width:2000px">wide</div></body>`, 1)
	p := probePage(t, []byte(spoilt))[0]
	require.NotEmpty(t, p.Overlaps)
	require.NotEmpty(t, p.Outside)
	require.NotEmpty(t, p.Wide)
	require.Greater(t, p.Scroll, p.Inner)
	name := filepath.Join(t.TempDir(), "bad.html")
	require.NoError(t, os.WriteFile(name,
		[]byte(`<script>console.error("spoilt")</script>`), 0o644))
	_, said := openPage(t, name)
	require.Contains(t, said, ":CONSOLE")
}
