package report_test

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/report/sheet"
	"sparewright/substitute/seats"
)

// sheetCase is a build whose sheet is looked at.
type sheetCase struct {
	name  string
	sheet *sheet.Sheet
	page  []byte

	snapshot inventory.Snapshot
}

var sheetStore = struct {
	sync.Once
	all []sheetCase
}{}

// wish is a build that one of the cases asks for.
type wish struct {
	name string
	want func(b *substitute.Build) bool
}

// sheetCases are builds as different as the built-in drawer gives, whole or with some kinds of part
// taken away.
func sheetCases(t *testing.T) []sheetCase {
	t.Helper()
	sheetStore.Do(func() {
		all := exchange.Demo()
		noTriple := func(l inventory.Lot) bool {
			w, is := l.Part.(catalog.Wire)
			return is && w.Insulation == "triple-insulated"
		}
		noClamp := func(l inventory.Lot) bool { _, is := l.Part.(catalog.Clamp); return is }
		splitOnly := without(all, noTriple) // every plain former cut in two by a web
		for i, l := range splitOnly.Lots {
			if c, is := l.Part.(catalog.Core); is && c.Former == "plain" {
				c.Former = "split"
				splitOnly.Lots[i].Part = c
			}
		}
		lookAt(t, all,
			wish{"shim, fixed frequency", func(b *substitute.Build) bool {
				return b.Gap.Method == "shim-all-legs" && b.Switcher.Control == "fixed-frequency"
			}},
			wish{"ground gap", func(b *substitute.Build) bool { return b.Gap.Ground > 0 }},
			wish{"sense resistor", func(b *substitute.Build) bool { return b.Switcher.Sense != 0 }},
			wish{"control pin", func(b *substitute.Build) bool {
				return b.Drawing.Feedback == "feeds-control"
			}},
			wish{"parts to buy", func(b *substitute.Build) bool {
				return b.Verdict == substitute.NeedsParts
			}},
			wish{"diodes for LEDs", func(b *substitute.Build) bool {
				return b.Kind == substitute.Wound && !b.Regulation.Circuit.LEDs
			}},
			wish{"transformer unopened",
				func(b *substitute.Build) bool { return b.Kind == substitute.DonorTransformer }},
			wish{"whole adapter", func(b *substitute.Build) bool {
				return b.Kind == substitute.DonorAdapter
			}})
		lookAt(t, without(all, noClamp),
			wish{"resistor clamp, on-off",
				func(b *substitute.Build) bool { return b.Switcher.Control == "on-off" }},
			wish{"bar core", func(b *substitute.Build) bool { return b.Drawing.Geometry.Bar }},
			wish{"gap as found", func(b *substitute.Build) bool {
				return b.Gap.Method == "as-found"
			}},
			wish{"feedback fed in", func(b *substitute.Build) bool {
				return b.Drawing.Feedback == "feeds-in"
			}})
		lookAt(t, without(all, noTriple),
			wish{"margins", func(b *substitute.Build) bool { return b.Transformer.Margin > 0 }})
		lookAt(t, splitOnly, wish{"two chambers",
			func(b *substitute.Build) bool { return b.Drawing.Former.Split }})
	})
	require.Len(t, sheetStore.all, 14)
	return sheetStore.all
}

// woundCases are those whose transformer is wound.
func woundCases(t *testing.T) []sheetCase {
	t.Helper()
	out := slices.DeleteFunc(slices.Clone(sheetCases(t)),
		func(k sheetCase) bool { return k.sheet.Build.Kind != substitute.Wound })
	require.Len(t, out, 12)
	return out
}

// lookAt draws the sheet of a build for each wish: the first that fits it of the first of some
// usual chargers that has one.
func lookAt(t *testing.T, s inventory.Snapshot, wishes ...wish) {
	t.Helper()
	targets := []substitute.Target{usualCharger(t, "li-ion", "", 4, 1, 195),
		usualCharger(t, "li-ion", "", 2, 0.5, 195),
		usualCharger(t, "li-ion", "", 3, 1, 195), usualCharger(t, "li-ion", "", 4, 0.5,
			195), usualCharger(t, "li-ion", "", 3, 0.1, 195),
		usualCharger(t, "li-ion", "", 7, 1, 195), usualCharger(t, "lead-acid-agm",
			"float", 3, 0.5, 195)}
	answers := make([]*substitute.Result, len(targets))
	for _, w := range wishes {
		found := false
		for n := 0; n < len(targets) && !found; n++ {
			if answers[n] == nil {
				r := advise.Advise(targets[n], s, advise.Options{Builds: 400, Refused: 1})
				answers[n] = &r
			}
			r := answers[n]
			i := slices.IndexFunc(r.Builds, func(b substitute.Build) bool { return w.want(&b) })
			if found = i >= 0; !found {
				continue
			}
			drawn := sheet.NewSheet(targets[n], &r.Builds[i], r.Cautions, s)
			page, err := drawn.HTML()
			require.NoError(t, err)
			sheetStore.all = append(sheetStore.all, sheetCase{w.name, drawn, page, s})
		}
		require.True(t, found, "no build: %s", w.name)
	}
}

func without(s inventory.Snapshot, drop func(inventory.Lot) bool) inventory.Snapshot {
	return inventory.Snapshot{Lots: slices.DeleteFunc(slices.Clone(s.Lots), drop)}
}

var svgPart = regexp.MustCompile(`(?s)<svg .*?</svg>`)

// wellFormed reads a whole XML text.
func wellFormed(t *testing.T, text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else {
			require.NoError(t, err, text)
		}
	}
}

// Every drawing is well-formed XML without NaN, the page is small and asks for nothing from
// elsewhere.
func TestSheetDrawingsAreWellFormed(t *testing.T) {
	for _, k := range sheetCases(t) {
		page := string(k.page)
		require.Less(t, len(page), 1_000_000, k.name)
		drawings := svgPart.FindAllString(page, -1)
		// no window and core where nothing is wound
		want := map[substitute.BuildKind]int{substitute.Wound: 9,
			// nor mains side and losses of an adapter nobody computed
			substitute.DonorTransformer: 7, substitute.DonorAdapter: 5}
		require.True(t, len(drawings) == want[k.sheet.Build.Kind], "%s: %d drawings",
			k.name, len(drawings))
		for _, d := range drawings {
			wellFormed(t, d)
			require.NotContains(t, d, "NaN", k.name)
			require.NotContains(t, d, "Inf", k.name)
		}
		for _, bad := range []string{"<script", "src=", "href=", "url(", "@import", "ZgotmplZ",
			"NaN", "<no value>"} {
			require.NotContains(t, page, bad, k.name)
		}
	}
}

// The cautions stand before everything else, in both forms, whatever the build.
func TestSheetCautionsComeFirst(t *testing.T) {
	for _, k := range sheetCases(t) {
		page, text := string(k.page), k.sheet.Text()
		require.NotEmpty(t, k.sheet.Cautions)
		for _, c := range k.sheet.Cautions {
			require.Less(t, strings.Index(page, c), strings.Index(page, `id="parts"`), k.name)
			first, _, found := strings.Cut(c, " ")
			require.True(t, found)
			require.Contains(t, text, "! "+first, k.name)
		}
		require.Greater(t, strings.Index(page, k.sheet.Cautions[0]), 0)
		require.Less(t, strings.Index(text, "READ FIRST"), strings.Index(text, "PARTS"), k.name)
	}
}

// A capacitor empties through a resistor as V = V0 exp(-t/RC), elementary circuit theory: put in
// the time of the sheet and the voltage must be that of the sheet, no higher than 60 V.
func TestSheetBleedTime(t *testing.T) {
	for _, k := range sheetCases(t) {
		b := k.sheet.Bleed
		// nobody knows the bleed inside; the sheet says so in both forms
		if k.sheet.Build.Kind == substitute.DonorAdapter {
			require.Zero(t, b.Resistor)
			require.Contains(t, string(k.page), "may have no bleed at all")
			require.Contains(t, strings.Join(strings.Fields(k.sheet.Text()), " "),
				"may have no bleed at all")
			continue
		}
		left := float64(b.From) * math.Exp(-float64(b.Time)/(float64(b.Resistor)*float64(b.Bulk)))
		within(t, left, float64(b.To), 1e-9, k.name)
		require.LessOrEqual(t, float64(b.To), 60.0)
		require.Equal(t, k.sheet.Build.Stage.BusMax, b.From)
		require.Greater(t, float64(b.Bulk), 1.19*float64(k.sheet.Build.Stage.BulkCapacity),
			"the largest, not the least capacitance")
	}
}

// Every part of the build is in the picking list, no bin is opened twice, and what is to be bought
// is last.
func TestSheetPicksEveryPartOnce(t *testing.T) {
	for _, k := range sheetCases(t) {
		want, got := map[string]float64{}, map[string]float64{}
		for _, p := range k.sheet.Build.Parts {
			want[p.Designation] += p.Quantity
		}
		closed := map[string]bool{}
		last, buying := "", false
		for _, p := range k.sheet.Picks {
			got[p.Designation] += p.Quantity
			require.False(t, buying && !p.Buy, k.name)
			buying = p.Buy
			if p.Buy {
				continue
			}
			if p.Bin != last {
				require.False(t, closed[p.Bin], "%s: bin %s twice", k.name, p.Bin)
				closed[last], last = true, p.Bin
			}
			require.NotEmpty(t, p.Measure)
		}
		require.Equal(t, len(want), len(got))
		for name, q := range want {
			within(t, got[name], q, 1e-9, name)
		}
	}
}

// Bins stand in a cabinet by number, not by letter; common practice, no source.
func TestBinsInOrder(t *testing.T) {
	order := []string{"A1", "A2", "A9", "A10", "A10b", "B1", "drawer 2", "drawer 12", "x", ""}
	for i := range order {
		for j := range order {
			require.Equal(t, i < j, sheet.EarlierBin(order[i], order[j]), "%q %q",
				order[i], order[j])
		}
	}
}

// Turning a trimmer by the step of the sheet changes the output by 10 mV and the current by 10 mA;
// dividers by Ohm's law. The step is the slope at the set point, so 3 % are left for the bend.
func TestSheetTrimmerSteps(t *testing.T) {
	seen := 0
	for _, k := range sheetCases(t) {
		r := k.sheet.Build.Regulation
		for _, u := range k.sheet.Trimmers {
			x, step := float64(u.Position), float64(u.Ohm)
			switch u.Role {
			case seats.VoltageTrimmer:
				v := func(x float64) float64 {
					return float64(r.Reference) * (1 + float64(r.Top)/(float64(r.Bottom)+x))
				}
				within(t, v(x-step/2)-v(x+step/2), 10e-3, 0.03, k.name)
				within(t, v(x), float64(k.sheet.Target.Set), 1e-3, k.name)
			case seats.CurrentTrimmer:
				i := func(x float64) float64 {
					return float64(r.Reference) * float64(r.SenseBottom) /
						(float64(r.SenseTop) + float64(r.SenseBottom) + x) / float64(r.Shunt)
				}
				within(t, i(x-step/2)-i(x+step/2), 10e-3, 0.03, k.name)
				within(t, i(x), float64(k.sheet.Target.Current), 1e-3, k.name)
			}
			within(t, float64(u.Share)*float64(u.Track), step, 1e-9)
			seen++
		}
	}
	require.Greater(t, seen, 5)
}

// The neighbouring film stacks against the formula of the core, and on the right side of the chosen
// one.
func TestSheetNextShims(t *testing.T) {
	seen := 0
	for _, k := range woundCases(t) {
		b := k.sheet.Build
		turns := float64(b.Transformer.PrimaryTurns)
		al := func(shim si.Length) float64 {
			return turns * turns * float64(
				magnetics.InductanceFactor(b.Drawing.Geometry, b.Core.Permeability,
					magnetics.Gap{Ground: b.Gap.Ground, Shim: shim, Residual: b.Drawing.Joint}))
		}
		within(t, al(b.Gap.Shim), float64(b.Transformer.Inductance), 1e-9, k.name)
		for _, s := range []*substitute.GapStep{k.sheet.Gap.Thinner, k.sheet.Gap.Thicker} {
			if s == nil {
				continue
			}
			seen++
			within(t, float64(s.Inductance), al(s.Shim), 1e-9, k.name)
			var films si.Length
			for _, f := range s.Layers {
				films += f.Thickness * si.Length(f.Count)
			}
			within(t, float64(films), float64(s.Shim), 1e-9, k.name)
		}
		if s := k.sheet.Gap.Thinner; s != nil {
			require.Less(t, s.Shim, b.Gap.Shim)
		}
		if s := k.sheet.Gap.Thicker; s != nil {
			require.Greater(t, s.Shim, b.Gap.Shim)
		}
	}
	require.Greater(t, seen, 6)
}

// The window is drawn with every wire, and as high as the search reckoned the winding to be (its
// figure holds 10 % for bulging by hand).
func TestSheetWindowIsToScale(t *testing.T) {
	for _, k := range woundCases(t) {
		b := k.sheet.Build
		top := 0.0
		for _, stack := range sheet.Strips(b) {
			for _, s := range stack {
				top = max(top, s.Bottom+s.Thick)
			}
		}
		within(t, top*1.10/float64(b.Drawing.Former.Height),
			float64(b.Transformer.WindowFill), 0.02, k.name)
		wires := 0
		for _, w := range b.Windings {
			wires += w.Turns * w.Strands
		}
		drawing := string(sheet.WindowDrawing(b))
		require.Equal(t, wires, strings.Count(drawing, `class="wo"`), k.name)
		require.Equal(t, b.Transformer.Margin > 0, strings.Contains(drawing, `class="m"`), k.name)
	}
}

// The charge that flows into the model of the pack, trapezoids under the curve, is what its voltage
// says has flowed in.
func TestSheetChargeAddsUp(t *testing.T) {
	for _, k := range sheetCases(t) {
		c, target := k.sheet.Charge, k.sheet.Target
		sum := 0.0
		for i := 1; i < len(c.Points); i++ {
			p, q := c.Points[i-1], c.Points[i]
			sum += float64(p.Current+q.Current) / 2 * float64(q.Time-p.Time)
		}
		last := c.Points[len(c.Points)-1]
		behind := float64(last.Pack) - float64(last.Current)*float64(c.Inner)
		want := (behind - float64(target.Empty)) / float64(target.Set-target.Empty) *
			float64(c.Capacity)
		within(t, sum, want, 0.005, k.name)
		require.Equal(t, target.Current, c.Points[0].Current)
		within(t, float64(last.Current), 0.05*float64(target.Current), 0.02, k.name)
		require.LessOrEqual(t, float64(last.Pack), float64(target.Set)*(1+1e-12))
	}
}

// Faults that leave the current without a limit are marked as dangerous on every sheet, and those
// that starve the feedback are not; where the voltage alone is lost the protection cuts the pack
// off.
func TestSheetFaults(t *testing.T) {
	for _, k := range sheetCases(t) {
		danger := map[string]bool{}
		for _, f := range k.sheet.Faults {
			danger[f.Part+" "+f.Kind] = f.Dangerous
			require.NotEmpty(t, f.Stops)
			if f.Part == "divider top" && f.Kind == "open" {
				require.Greater(t, f.Output, k.sheet.Target.Absolute, k.name)
				require.LessOrEqual(t, f.Pack, k.sheet.Target.Absolute, k.name)
				require.Contains(t, f.Stops, "protection", k.name)
			}
		}
		for _, name := range []string{"optocoupler LED or transistor open", "shunt short"} {
			require.True(t, danger[name], "%s: %s", k.name, name)
		}
		for _, name := range []string{"optocoupler transistor short", "reference short",
			"divider bottom open", "shunt open"} {
			d, listed := danger[name]
			require.True(t, listed && !d, "%s: %s", k.name, name)
		}
	}
}

// Names that try to be markup, that hold control characters, that turn the writing round or that
// never end do no harm in either form.
func TestSheetHostileNames(t *testing.T) {
	k := sheetCases(t)[0]
	hostile := []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`,
		"a\x00b\x1b[31mred\x07", "\u202Egnp.exe\u2066",
		strings.Repeat("W", 5000), "</text></svg><script>", "שלום עולם",
		"Z\u0300\u0301\u0302\u0303\u0304", "{{.Build}}", "]]>&amp;&lt;", string([]byte{0xff, 0xfe})}
	for _, name := range hostile {
		b := *k.sheet.Build
		b.Parts = slices.Clone(b.Parts)
		for i := range b.Parts {
			b.Parts[i].Designation, b.Parts[i].Bin = name, name
		}
		b.Windings = slices.Clone(b.Windings)
		for i := range b.Windings {
			b.Windings[i].Wire = name
		}
		b.Switcher.Designation, b.Core.Designation = name, name
		b.Warnings = []string{name}
		s := exchange.Demo()
		s.Lots = slices.Clone(s.Lots)
		for i := range s.Lots {
			s.Lots[i].Donor, s.Lots[i].Note, s.Lots[i].Bin = name, name, name
		}
		drawn := sheet.NewSheet(k.sheet.Target, &b, k.sheet.Cautions, s)
		page, err := drawn.HTML()
		require.NoError(t, err)
		for _, d := range svgPart.FindAllString(string(page), -1) {
			wellFormed(t, d)
		}
		for _, text := range []string{string(page), drawn.Text()} {
			for _, r := range text {
				require.False(t, r < ' ' && r != '\n' || r >= 0x7f && r < 0xa0 ||
					inventory.TurnsWriting(r) || r == '\ufffd', "%q in %q", r, name)
			}
		}
		for _, bad := range []string{"<script", "<img", "onerror=alert(1)>"} {
			require.NotContains(t, string(page), bad)
		}
		require.Equal(t, len(svgPart.FindAllString(string(k.page), -1)),
			len(svgPart.FindAllString(string(page), -1)), name)
	}
}

// The same sheet comes out the same every time.
func TestSheetIsRepeatable(t *testing.T) {
	k := sheetCases(t)[0]
	for range 3 {
		page, err := k.sheet.HTML()
		require.NoError(t, err)
		require.Equal(t, string(k.page), string(page))
	}
	_, err := json.Marshal(k.sheet)
	require.NoError(t, err)
}

// Twice the power at full load, then the next lamp that is sold; by hand.
func TestSeriesLamp(t *testing.T) {
	for full, lamp := range map[si.Power]float64{10: 25, 12.5: 25, 19.3: 40, 25: 60,
		60: 150, 90: 200} {
		require.InDelta(t, lamp, sheet.SeriesLamp(full), 0, "%g W", float64(full))
	}
}
