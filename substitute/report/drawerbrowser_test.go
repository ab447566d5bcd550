package report_test

import (
	"encoding/json"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/browse"
	"sparewright/inventory/exchange"
	"sparewright/testdata/outside"
)

// The drawer page of inventory/browse is tested here because the browser is opened in one place.

// drawerProbe looks at the page in frames of the wanted widths, closed and with every lot opened:
// boxes that stick out, texts of a lot that cover each other or leave their cell, codes of bands
// away from their band.
const drawerProbe = `
const found = frame => {
const d = frame.contentDocument, w = frame.contentWindow, out = {outside: [], overlaps: [], cut: []};
out.inner = w.innerWidth; out.scroll = d.documentElement.scrollWidth;
out.rows = 0; out.form = !d.getElementById('find').hidden;
const lines = e => { // the boxes of the lines of text right below an element
  const boxes = [];
  for (const n of e.childNodes) if (n.nodeType === 3 && n.data.trim()) {
    const r = d.createRange(); r.selectNodeContents(n);
    for (const b of r.getClientRects()) if (b.width > 0 && b.height > 0) boxes.push({t: n.data.trim().slice(0, 30), b});
  }
  return boxes;
};
for (const e of d.body.querySelectorAll('*')) {
  const r = e.getBoundingClientRect();
  if (r.width > 0 && (r.right > out.inner + 0.5 || r.left < -0.5)) out.outside.push(e.tagName + ' ' + e.textContent.trim().slice(0, 40));
}
for (const row of d.querySelectorAll('tr,section,form')) {
  if (row.hidden) continue;
  if (row.closest('tbody')) out.rows++;
  const boxes = [...row.querySelectorAll('*')].flatMap(e => e.namespaceURI.endsWith('svg') || e.tagName === 'OPTION' || !e.checkVisibility() ? [] : lines(e));
  boxes.forEach((a, i) => { for (const o of boxes.slice(i + 1)) {
    const x = Math.min(a.b.right, o.b.right) - Math.max(a.b.left, o.b.left), y = Math.min(a.b.bottom, o.b.bottom) - Math.max(a.b.top, o.b.top);
    if (x > 1 && y > 3) out.overlaps.push(a.t + ' / ' + o.t);
  } });
  for (const cell of row.children) if (cell.scrollWidth > cell.clientWidth + 1 && cell.clientWidth > 0) out.cut.push(cell.tagName + ' ' + cell.textContent.trim().slice(0, 40));
  for (const s of row.querySelectorAll('svg')) {
    const codes = [...s.querySelectorAll('text')], bands = [...s.querySelectorAll('rect')].slice(1);
    codes.forEach((c, i) => { const a = c.getBoundingClientRect(), b = bands[i].getBoundingClientRect();
      if (Math.abs((a.left + a.right) / 2 - (b.left + b.right) / 2) > 1 || a.bottom < b.bottom) out.overlaps.push('band ' + c.textContent); });
  }
}
return out; };
document.title = JSON.stringify([...document.querySelectorAll('iframe')].flatMap(frame => {
  const closed = found(frame);
  for (const e of frame.contentDocument.querySelectorAll('details')) e.open = true;
  return [closed, found(frame)];
}));`

type probedDrawer struct {
	Inner, Scroll          float64
	Rows                   int
	Form                   bool
	Outside, Overlaps, Cut []string
}

// drawerWidths are a telephone and a screen, in pixels of CSS.
var drawerWidths = []int{390, 1280}

// beside loads a page into frames of the widths, runs a script beside it once they are there, and
// reads what it wrote into the title.
func beside(t *testing.T, page []byte, attributes, script string, into any) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "drawer.html"), page, 0o644))
	outer := `<!DOCTYPE html><meta charset="utf-8"><title>waiting</title>`
	for _, w := range drawerWidths {
		outer += fmt.Sprintf(`<iframe src="drawer.html" %s `+
			`style="border:0;width:%dpx;height:900px"></iframe>`, attributes, w)
	}
	outer += `<script>addEventListener('load', () => {` + script + `})</script>`
	name := filepath.Join(dir, "outer.html")
	require.NoError(t, os.WriteFile(name, []byte(outer), 0o644))
	dom, said := openPage(t, name)
	if attributes == "" {
		require.NotContains(t, said, ":CONSOLE", said)
	}
	m := titleOf.FindStringSubmatch(dom)
	require.Len(t, m, 2, "the probe did not run: %s", said)
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(m[1])), into))
}

func drawerPage(t *testing.T, lots []inventory.Lot, donors []inventory.Donor) []byte {
	t.Helper()
	page, err := browse.Page(lots, inventory.RunningLow(lots), donors)
	require.NoError(t, err)
	return page
}

// someLots are those of the built-in drawer that show everything: every kind, and of each at most
// twelve.
func someLots() []inventory.Lot {
	seen := map[catalog.Kind]int{}
	var out []inventory.Lot
	for _, l := range exchange.Demo().Lots {
		if seen[l.Part.Kind()]++; seen[l.Part.Kind()] <= 12 {
			out = append(out, l)
		}
	}
	return out
}

func requireInShape(t *testing.T, all []probedDrawer, rows int) {
	t.Helper()
	require.Len(t, all, 2*len(drawerWidths))
	for i, p := range all {
		require.Equal(t, float64(drawerWidths[i/2]), p.Inner)
		require.LessOrEqual(t, p.Scroll, p.Inner)
		require.Equal(t, rows, p.Rows)
		require.Empty(t, p.Outside, "at %v", p.Inner)
		require.Empty(t, p.Overlaps, "at %v", p.Inner)
		require.Empty(t, p.Cut, "at %v", p.Inner)
	}
}

// On a telephone and on a screen nothing sticks out, covers another text or leaves its cell, with
// lots closed and open, with scripts and without.
func TestDrawerPageInBrowser(t *testing.T) {
	outside.Need(t, "chromium")
	lots := someLots()
	page := drawerPage(t, lots, exchange.DemoDonors())
	var all []probedDrawer
	beside(t, page, "", drawerProbe, &all)
	requireInShape(t, all, len(lots))
	require.True(t, all[0].Form)
	beside(t, page, `sandbox="allow-same-origin"`, drawerProbe, &all)
	requireInShape(t, all, len(lots))
	require.False(t, all[0].Form, "without scripts there is nothing to fill in")
}

// Names as long and as odd as the drawer takes them keep inside their cells and do nothing.
func TestDrawerPageWithHostileNames(t *testing.T) {
	outside.Need(t, "chromium")
	var lots []inventory.Lot
	var donors []inventory.Donor
	for i, name := range []string{strings.Repeat("W", 64), strings.Repeat("漢", 64),
		strings.Repeat("שלום ", 12) + "x", `</bdi></td><script>console.error(1)</script>`,
		`"><img src=x onerror=console.error(2)>`, `' onmouseover=console.error(3) x='`,
		strings.Repeat("e\u0301\u0302", 20), "{{.Number}}", "a\u202eb",
		`javascript:console.error(4)`, "]]>--></script>"} {
		for j, part := range []catalog.Part{
			catalog.Resistor{Named: catalog.Named{Name: name},
				Resistance: catalog.Of(si.Resistance(4990)), Tolerance: catalog.Of(si.Ratio(0.01)),
				Type: "film"},
			catalog.Switcher{Named: catalog.Named{Name: name}, Control: "other", Package: name},
		} {
			lots = append(lots, inventory.Lot{ID: int64(2*i + j + 1000000), Part: part,
				Count: 999999, SetAside: 999998, Bin: name, Donor: name,
				Condition: inventory.Untested, Note: strings.Repeat(name, 1000/len(name))})
		}
		donors = append(donors, inventory.Donor{Name: name, Was: name, Plate: name, State: name,
			Note: name})
	}
	page := drawerPage(t, lots, donors)
	require.Equal(t, 1, strings.Count(string(page), "<script"))
	require.NotContains(t, string(page), "<img")
	require.NotContains(t, string(page), "\u202e")
	require.NotContains(t, string(page), "ZgotmplZ")
	require.NotRegexp(t, `(src|href)="[^#]`, string(page), "links lead into the page alone")
	var all []probedDrawer
	beside(t, page, "", drawerProbe, &all)
	requireInShape(t, all, len(lots))
}

// The probe finds what it is there to find.
func TestDrawerProbeFindsFaults(t *testing.T) {
	outside.Need(t, "chromium")
	page := string(drawerPage(t, someLots()[:3], nil))
	page = strings.Replace(page, `<td class="bin"`, `<td class="part"><div style="width:2000px">`+
		`wide</div></td><td class="bin"`, 1)
	page = strings.Replace(page, "<summary>", `<summary><span style="position:absolute">over</span>`, 1)
	var all []probedDrawer
	beside(t, []byte(page), "", drawerProbe, &all)
	require.NotEmpty(t, all[0].Outside)
	require.NotEmpty(t, all[0].Overlaps)
	require.NotEmpty(t, all[0].Cut)
}

// drawerUse works the page as a person does and tells what is to be seen after each step.
const drawerUse = `
const w = document.querySelector('iframe').contentWindow, d = w.document, at = d.getElementById('find').elements;
const steps = {};
const tell = name => { steps[name] = {lots: [...d.querySelectorAll('tbody tr')].filter(r => !r.hidden).map(r => Number(r.id.slice(4))),
  said: d.querySelector('output').textContent}; };
const set = (name, value) => { at[name].value = value; at[name].dispatchEvent(new w.Event('input', {bubbles: true})); };
const head = n => d.querySelectorAll('thead button')[n].click();
tell('at first');
set('text', 'BRICK a2'); tell('two words');
set('text', '<b>'); tell('markup');
set('text', ''); set('kind', 'fuse'); tell('fuses');
set('kind', ''); at.low.click(); tell('low');
at.low.click(); head(5); tell('by bin'); head(5); tell('by bin, turned');
set('sort', '3'); tell('by value');
at.turn.click(); tell('by value, turned');
set('sort', '7'); tell('by donor');
set('sort', '0'); set('kind', 'fuse');
const donor = d.querySelector('section li a');
w.location.hash = donor.getAttribute('href');
w.dispatchEvent(new w.Event('hashchange')); // what follows the link of itself, later
tell('a link');
steps['a link'].open = [...d.querySelectorAll('details')].filter(e => e.open).map(e => Number(e.closest('tr').id.slice(4)));
document.title = '[' + JSON.stringify(steps) + ']';`

// Filter, sort and links of the page, worked in the browser. What is expected is read off the
// drawer below.
func TestDrawerPageIsFilteredAndSorted(t *testing.T) {
	outside.Need(t, "chromium")
	ohms := func(r si.Resistance) catalog.Part {
		return catalog.Resistor{Named: catalog.Named{Name: "film"}, Resistance: catalog.Of(r)}
	}
	fuse := catalog.Fuse{Named: catalog.Named{Name: "<b>T1A"}, Current: catalog.Of(si.Current(1))}
	lots := []inventory.Lot{
		{ID: 1, Part: ohms(47000), Count: 5, Bin: "A10", Donor: "Brick 7"},
		{ID: 2, Part: ohms(470), Count: 5, Bin: "A2", Donor: "brick 12"},
		{ID: 3, Part: ohms(4700), Count: 1, Bin: "A1"},
		{ID: 4, Part: fuse, Count: 2, Bin: "", Donor: "Brick 7"},
		{ID: 12, Part: ohms(1e6), Count: 2, SetAside: 1, Bin: "B1", Donor: "a2 amplifier"},
	}
	type seen struct {
		Lots, Open []int64
		Said       string
	}
	var steps []map[string]seen
	beside(t, drawerPage(t, lots, nil), "", drawerUse, &steps)
	for step, want := range map[string][]int64{
		"at first": {1, 2, 3, 4, 12}, "two words": {2}, "markup": {4}, "fuses": {4}, "low": {3, 12},
		// numbers in names count as numbers; what has no bin comes last, either way
		"by bin": {3, 2, 1, 12, 4}, "by bin, turned": {12, 1, 2, 3, 4},
		"by value": {4, 2, 3, 1, 12}, "by value, turned": {12, 1, 3, 2, 4},
		"by donor": {12, 1, 4, 2, 3},
		// of the first donor in order of names, "Brick 7"; what hid its lot is taken away
		"a link": {1, 2, 3, 4, 12},
	} {
		require.Equal(t, want, steps[0][step].Lots, step)
		require.Equal(t, fmt.Sprintf("%d of 5", len(want)), steps[0][step].Said, step)
	}
	require.Equal(t, []int64{1}, steps[0]["a link"].Open)
}
