package report_test

import (
	"context"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/label"
	"sparewright/testdata/outside"
)

// The labels of inventory/label are tested here because the browser of the build sheet is: it is
// opened in one place.

// labelProbe looks at every label in frames of the wanted widths: boxes that leave their label,
// boxes of texts that cover each other, values that are cut off, and codes that do not stand below
// their band.
const labelProbe = `
document.title = JSON.stringify([...document.querySelectorAll('iframe')].map(frame => {
const d = frame.contentDocument, found = {labels: 0, bands: 0, outside: [], overlaps: [], cut: [], astray: []};
found.inner = frame.contentWindow.innerWidth; found.scroll = d.documentElement.scrollWidth;
const covers = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.5 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1.5;
for (const l of d.querySelectorAll('.label')) {
  found.labels++;
  const box = l.getBoundingClientRect(), name = l.textContent.trim().slice(0, 30);
  const boxes = [...l.querySelectorAll('.value,.name,.figures,.bin,.small,.count,.open,svg text,svg')];
  boxes.forEach((e, i) => {
    const r = e.getBoundingClientRect();
    if (r.left < box.left - 0.5 || r.right > box.right + 0.5 || r.top < box.top - 0.5 || r.bottom > box.bottom + 0.5) found.outside.push(name + ': ' + e.className);
    for (const o of boxes.slice(i + 1)) if (!e.contains(o) && !o.contains(e) && covers(r, o.getBoundingClientRect())) found.overlaps.push(name + ': ' + e.textContent + ' / ' + o.textContent);
    if (['value', 'bin', 'count'].includes(e.classList[0]) && e.scrollWidth > e.clientWidth + 1) found.cut.push(e.textContent);
  });
  const codes = [...l.querySelectorAll('svg text')], bands = [...l.querySelectorAll('svg rect')].slice(1);
  found.bands += bands.length;
  codes.forEach((c, i) => {
    const a = c.getBoundingClientRect(), b = bands[i].getBoundingClientRect();
    if (Math.abs((a.left + a.right) / 2 - (b.left + b.right) / 2) > 1 || a.bottom < b.bottom) found.astray.push(name + ': ' + c.textContent);
  });
}
return found; }));`

type probedLabels struct {
	Inner, Scroll                  float64
	Labels, Bands                  int
	Outside, Overlaps, Cut, Astray []string
}

// labelWidths are A4 and Letter in pixels of CSS, and a telephone.
var labelWidths = []int{794, 816, 390}

func probeLabels(t *testing.T, page []byte) []probedLabels {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "labels.html"), page, 0o644))
	outer := `<!DOCTYPE html><meta charset="utf-8"><title>waiting</title>`
	for _, w := range labelWidths {
		outer += fmt.Sprintf(
			`<iframe src="labels.html" style="border:0;width:%dpx;height:1123px"></iframe>`, w)
	}
	outer += `<script>addEventListener('load', () => {` + labelProbe + `})</script>`
	name := filepath.Join(dir, "outer.html")
	require.NoError(t, os.WriteFile(name, []byte(outer), 0o644))
	dom, said := openPage(t, name)
	require.NotContains(t, said, ":CONSOLE", said)
	m := titleOf.FindStringSubmatch(dom)
	require.Len(t, m, 2, "the probe did not run: %s", said)
	var all []probedLabels
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(m[1])), &all))
	require.Len(t, all, len(labelWidths))
	return all
}

func labelPage(t *testing.T, lots []inventory.Lot, paper string) []byte {
	t.Helper()
	p, ok := label.PaperNamed(paper)
	require.True(t, ok)
	page, err := label.Page(label.Of(lots), p)
	require.NoError(t, err)
	return page
}

// Every lot of the built-in drawer on both papers: nothing sticks out, covers another text or is
// cut off, and each code stands below its band.
func TestLabelsInBrowser(t *testing.T) {
	outside.Need(t, "chromium")
	lots := exchange.Demo().Lots
	for _, paper := range []string{"A4", "Letter"} {
		for _, p := range probeLabels(t, labelPage(t, lots, paper)) {
			require.LessOrEqual(t, p.Scroll, p.Inner)
			require.Equal(t, len(lots), p.Labels)
			require.Greater(t, p.Bands, 400)
			require.Empty(t, p.Outside, "%s at %v", paper, p.Inner)
			require.Empty(t, p.Overlaps, "%s at %v", paper, p.Inner)
			require.Empty(t, p.Cut, "%s at %v", paper, p.Inner)
			require.Empty(t, p.Astray, "%s at %v", paper, p.Inner)
		}
	}
}

// Names as long and as odd as the drawer takes them keep inside their label and do nothing.
func TestLabelsWithHostileNames(t *testing.T) {
	outside.Need(t, "chromium")
	var lots []inventory.Lot
	for i, name := range []string{strings.Repeat("W", 64), strings.Repeat("漢", 64),
		strings.Repeat("שלום ", 12) + "x",
		`</bdi></div><script>console.error(1)</script>`, `"><img src=x onerror=console.error(2)>`,
		strings.Repeat("e\u0301\u0302", 20),
		"{{.Lot}}", "a\u202eb"} {
		for _, part := range []catalog.Part{
			catalog.Resistor{Named: catalog.Named{Name: name},
				Resistance: catalog.Of(si.Resistance(4990)), Tolerance: catalog.Of(si.Ratio(0.01)),
				Type: "film"},
			catalog.Switcher{Named: catalog.Named{Name: name}, Control: "other", Package: name},
		} {
			lots = append(lots, inventory.Lot{ID: int64(1000000 + i), Part: part, Count: 999999,
				Bin: name, Donor: name})
		}
	}
	page := labelPage(t, lots, "A4")
	require.NotContains(t, string(page), "<script")
	require.NotContains(t, string(page), "<img")
	require.NotContains(t, string(page), "\u202e")
	for _, p := range probeLabels(t, page) {
		require.LessOrEqual(t, p.Scroll, p.Inner)
		require.Equal(t, len(lots), p.Labels)
		require.Empty(t, p.Outside, "at %v", p.Inner)
		require.Empty(t, p.Overlaps, "at %v", p.Inner)
	}
}

// The probe finds what it is there to find.
func TestLabelProbeFindsFaults(t *testing.T) {
	outside.Need(t, "chromium")
	page := string(labelPage(t, exchange.Demo().Lots[:1], "A4"))
	page = strings.Replace(page, `<div class="foot">`,
		`<div class="name" style="margin-top:-20px">over</div><div class="count" style="margin-left:90mm">off</div>`+
			`<div class="value" style="width:9px">cut</div><svg viewBox="0 0 100 100" style="width:50px"><rect/><rect x="1" y="1" width="9" height="9"/><text x="60" y="9">BN</text></svg><div class="foot">`, 1)
	p := probeLabels(t, []byte(page))[0]
	require.NotEmpty(t, p.Overlaps)
	require.NotEmpty(t, p.Outside)
	require.NotEmpty(t, p.Cut)
	require.NotEmpty(t, p.Astray)
}

var mediaBox = regexp.MustCompile(`/MediaBox *\[0 0 ([0-9.]+) ([0-9.]+)\]`)

// Printed, every sheet is one page of its paper, no more: 293 labels on 24 places make 13 pages of
// A4, on 21 places 14 of Letter. Sizes in points of 1/72 inch: 210 by 297 mm is 595.3 by 841.9, 8.5
// by 11 inches 612 by 792.
func TestLabelsPrintOnTheirPaper(t *testing.T) {
	outside.Need(t, "chromium")
	lots := exchange.Demo().Lots
	require.Len(t, lots, 293)
	for paper, want := range map[string]struct {
		pages         int
		width, height float64
	}{"A4": {13, 595.3, 841.9}, "Letter": {14, 612, 792}} {
		dir := t.TempDir()
		name, out := filepath.Join(dir, "labels.html"), filepath.Join(dir, "labels.pdf")
		require.NoError(t, os.WriteFile(name, labelPage(t, lots, paper), 0o644))
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		said, err := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox",
			"--disable-gpu", "--disable-quic", "--no-first-run",
			"--disable-background-networking", "--user-data-dir="+
				t.TempDir(), "--no-pdf-header-footer", "--print-to-pdf="+out,
			"file://"+name).CombinedOutput()
		cancel()
		require.NoError(t, err, string(said))
		pdf, err := os.ReadFile(out)
		require.NoError(t, err)
		boxes := mediaBox.FindAllStringSubmatch(string(pdf), -1)
		require.Len(t, boxes, want.pages, paper)
		for _, b := range boxes {
			var w, h float64
			_, err := fmt.Sscan(b[1]+" "+b[2], &w, &h)
			require.NoError(t, err)
			require.InDelta(t, want.width, w, 1, paper)
			require.InDelta(t, want.height, h, 1, paper)
		}
	}
}
