package substitute_test

import (
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// former is the winding window in m: between the cheeks, up to the legs, and around the bare tube.
type former struct {
	width, height, around float64
	wound                 float64 // width that is sure
	split                 bool
}

// margin reads the former from the core's lot. Tube 0.9 mm and play 0.2 mm stand between leg and
// winding on each side; a published mean turn is taken as that of the turn half way up; a web of
// 0.9 mm parts two chambers.
func (f *figures) window() former {
	p := f.core
	r := former{width: float64(p.FormerWidth.Value), height: float64(p.FormerHeight.Value),
		split: p.Former == "split"}
	if r.split {
		r.width = (r.width - 0.9e-3) / 2
	}
	r.wound = r.width - 0.2e-3 // by which a moulded former may be narrower (from memory)
	leg, wall := float64(p.F.Value), 2.2e-3
	switch p.CentreLeg {
	case "round":
		r.around = math.Pi * (leg + wall)
	case "flat":
		r.around = 2 * (leg + float64(p.Area.Value)/leg + 2*wall)
	default:
		r.around = 2 * (leg + float64(p.C.Value) + 2*wall)
	}
	if p.MeanTurn.Firm() {
		r.around = max(r.around/2, float64(p.MeanTurn.Value)-math.Pi*r.height)
	}
	return r
}

// laid is one winding as it came to lie: where it begins and ends above the tube, its layers and
// the length of one strand without its tails.
type laid struct {
	from, to, length float64
	layers, across   int
}

// lay winds turn after turn. A full layer gets one layer of tape before the next begins; the tape
// of the list follows the winding.
func (a audit) lay() (windings []laid, build float64) {
	f, b := a.figures(), a.build
	window, tape := f.window(), float64(partOf[catalog.Film](a, "tape").Thickness.Value)
	heights := [2]float64{}
	for i, w := range b.Windings {
		chamber := 0
		if window.split && w.Name == "secondary" {
			chamber = 1
		}
		l := layTurns(w, window, float64(b.Transformer.Margin), heights[chamber], tape)
		windings = append(windings, l)
		heights[chamber] = l.to + tape*float64(a.tapeAfter(i))
	}
	return windings, max(heights[0], heights[1])
}

func layTurns(w substitute.Winding, window former, margin, from, tape float64) laid {
	over, strands := float64(w.Overall), float64(w.Strands)
	// a helix of n turns is n + 1 wide
	l := laid{from: from, across: int((window.wound-2*margin)/(over*strands)+1e-9) - 1, layers: 1}
	height, used := from+over/2, 0
	for range w.Turns {
		if used == l.across {
			height, used = height+over+tape, 0
			l.layers++
		}
		l.length += window.around + 2*math.Pi*height
		used++
	}
	l.to = height + over/2
	return l
}

// tapeAfter is how many layers of tape the list puts on the i-th winding. On a former with two
// chambers nothing lies between the windings, only around them.
func (a audit) tapeAfter(i int) int {
	name, last := a.build.Windings[i].Name, i == len(a.build.Windings)-1
	for _, t := range a.build.Transformer.Tape {
		if last && t.Where == "outside" ||
			!last && strings.HasPrefix(t.Where, "between "+name+" and ") {
			return t.Layers
		}
	}
	a.fail("no tape on %s", name)
	return 0
}

// tails is the length of both ends of a winding (common practice, no source).
const tails = 0.16

func auditWindings(a audit) {
	b := a.build
	f := a.figures()
	window := f.window()
	windings, build := a.lay()
	turns := map[string]int{}
	for i, w := range b.Windings {
		l := windings[i]
		turns[strings.Fields(w.Name)[0]] += w.Turns
		a.isTrue(w.Layers == l.layers, "%s: %d layers, laid turn by turn %d", w.Name,
			w.Layers, l.layers)
		a.isTrue(w.PerLayer == min(w.Turns, l.across), "%s: %d turns a layer, laid turn by turn %d",
			w.Name, w.PerLayer,
			min(w.Turns, l.across))
		agrees(a, w.Length, l.length+tails, exact, "length of "+w.Name)
		auditWire(a, w)
		a.isTrue(i == 0 || window.split || l.from > windings[i-1].to,
			"%s lies in the winding below", w.Name)
	}
	for _, w := range windingsNamed(b, "bias") {
		agrees(a, w.RMS, f.sw.SupplyCurrent.Value, exact, "current of the bias winding")
		agrees(a, w.ACFactor, 1.0, exact,
			"layer factor of the bias winding, whose loss is not booked")
	}
	t := b.Transformer
	sums := [3]int{turns["primary"], turns["secondary"], turns["bias"]}
	a.isTrue(sums == [3]int{t.PrimaryTurns, t.SecondaryTurns, t.BiasTurns}, "turns %v", sums)
	bulged := 1.1 * build // hand winding bulges by a tenth (common practice, no source)
	agrees(a, t.WindowFill, bulged/window.height, exact, "window fill")
	judged(a, "winding build in the former", bulged, window.height, exact)
	agrees(a, t.Leakage, max(a.leakage(windings), 0.01*f.l), exact, "leakage inductance")
	_, all := a.corners(&f)
	a.density("primary", worst(all, func(s settled) float64 {
		return s.i.rms * math.Sqrt(s.share)
	}))
	a.density("secondary", worst(all, func(s settled) float64 {
		return s.i.secondRMS * f.n * math.Sqrt(s.share)
	}))
}

// auditWire: copper of the wire's lot, its printed resistance first, at the coil's temperature at
// lowest mains, with the losses printed (IEC 60028); a tenth more wire in the parts list than the
// length.
func auditWire(a audit, w substitute.Winding) {
	p := partOf[catalog.Wire](a, "wire, "+w.Name)
	agrees(a, w.WireD, p.Diameter.Value, exact, "wire of "+w.Name)
	agrees(a, w.Overall, p.Overall.Value, exact, "overall diameter of "+w.Name)
	d := float64(p.Diameter.Value)
	metre := 1 / 58e6 / (math.Pi / 4 * d * d)
	if p.Resistance.Firm() {
		metre = float64(p.Resistance.Value)
	}
	f := a.figures()
	coil := a.inside(float64(totalOf(a.build.Losses))) +
		float64(a.build.Losses.Core+a.build.Losses.Copper)*f.rise(a.build)
	hot := 1 + 3.93e-3*(coil-20)
	// the air is stepped in millikelvins
	agrees(a, w.Resistance, metre*hot*float64(w.Length)/float64(w.Strands), 1e-5,
		"resistance of "+w.Name)
	have := 0.0
	for _, u := range a.uses("wire, " + w.Name) {
		have += u.Quantity
	}
	need := 1.1 * float64(w.Length) * float64(w.Strands)
	between(a, have, need-1e-9, need+0.01, "wire to have for "+w.Name)
}

// density is the rms current over the copper section against 9.9 A/mm2, 200 circular mils per
// ampere (Power Integrations AN-18 p. 10), where it is highest.
func (a audit) density(side string, rms float64) {
	for _, w := range a.build.Windings {
		if strings.HasPrefix(w.Name, side) {
			d := float64(w.WireD)
			judged(a, "current density of the "+side, rms/(float64(w.Strands)*math.Pi/4*d*d),
				9.9e6, cornered)
			return
		}
	}
}

// leakage is mu0 N^2 lm/w (c + (b1 + b2)/3), a quarter of it with both insulations when the
// secondary lies between two primary halves (W. T. McLyman, Transformer and Inductor Design
// Handbook, ch. 17, from memory). In two chambers the windings lie side by side: the build height
// is the width, the chamber widths are the builds, the web is the insulation.
func (a audit) leakage(windings []laid) float64 {
	f, b := a.figures(), a.build
	window := f.window()
	var second laid
	var primaries []laid
	for i, w := range b.Windings {
		switch {
		case w.Name == "secondary":
			second = windings[i]
		case w.Name != "bias":
			primaries = append(primaries, windings[i])
		}
	}
	np, ns := float64(b.Transformer.PrimaryTurns), float64(b.Transformer.SecondaryTurns)
	length, build := 0.0, 0.0
	for _, p := range primaries {
		length, build = length+p.length, build+p.to-p.from
	}
	across := build/3 + (second.to-second.from)/3
	width, share := window.width-2*float64(b.Transformer.Margin), 1.0
	switch {
	case window.split:
		width, across = window.height, 2*window.width/3+0.9e-3
	case len(primaries) == 2: // three layers of tape on both sides of the secondary
		across, share = across+6*float64(partOf[catalog.Film](a, "tape").Thickness.Value), 0.25
	default: // all that lies between, a bias winding too
		across += second.from - primaries[0].to
	}
	mean := (length/np + second.length/ns) / 2
	return share * 4e-7 * math.Pi * np * np * mean / width * across
}

// auditTape: every layer of the list closes around what lies below it, and the sum must be on the
// roll. Margins take as many strips of 3 mm as build the height of the winding they flank; one
// width of a roll gives several strips.
func auditTape(a audit) {
	b := a.build
	f := a.figures()
	window, tape := f.window(), partOf[catalog.Film](a, "tape")
	windings, _ := a.lay()
	total := 0.0
	for _, t := range b.Transformer.Tape {
		around := a.tapeAround(t, windings, window, float64(tape.Thickness.Value))
		total += float64(t.Length)
		between(a, t.Length, around, 1.4*around,
			"tape "+t.Where+", from once around each layer to a generous overlap")
	}
	have := 0.0
	for _, u := range a.uses("tape") {
		have += u.Quantity
	}
	if b.Transformer.Margin == 0 {
		agrees(a, have, math.Ceil(total*100-1e-9)/100, exact,
			"tape in the parts list, in whole centimetres")
	}
	a.isTrue(have >= total-1e-9, "tape: %g m in the parts list, %g m in the winding list", have,
		total)
}

// tapeAround is once around each layer of one place of the tape list, at the height where it lies.
func (a audit) tapeAround(t substitute.TapeUse, windings []laid, window former,
	thick float64) (sum float64) {
	for i, w := range a.build.Windings {
		l := windings[i]
		switch {
		case t.Where == "within "+w.Name:
			over := float64(w.Overall)
			for k := range t.Layers {
				sum += window.around + 2*math.Pi*(l.from+over+float64(k)*(over+thick)+thick/2)
			}
		case strings.HasPrefix(t.Where, "between "+w.Name+" and "),
			t.Where == "outside" && i == len(windings)-1:
			for k := range t.Layers {
				sum += window.around + 2*math.Pi*(l.to+(float64(k)+0.5)*thick)
			}
		}
	}
	return sum
}

// auditBarrier: mains and battery are kept apart by one of the three ways, and by all that belongs
// to it. Creepage 6 mm, half of it at each side of margin windings; at least three layers of tape
// wherever primary and secondary meet (Power Integrations AN-17).
func auditBarrier(a audit) {
	b := a.build
	t := b.Transformer
	second := partOf[catalog.Wire](a, "wire, secondary")
	fg := a.figures()
	window, tape := fg.window(), partOf[catalog.Film](a, "tape")
	a.isTrue(tape.Insulates == "yes", "tape %q is not sold as insulation", tape.Name)
	switch {
	case strings.HasPrefix(t.Barrier, "triple-insulated"):
		a.isTrue(second.Insulation == "triple-insulated", "the secondary is wound with %q",
			second.Insulation)
		return
	case strings.HasPrefix(t.Barrier, "margins"):
		a.isTrue(2*float64(t.Margin) >= 6e-3-1e-12 && !window.split, "margin %g m",
			float64(t.Margin))
		a.isTrue(tape.Width.Value >= fg.core.FormerWidth.Value,
			"tape %.3g mm wide cannot part windings on a former %.3g mm wide: the creepage "+
				"around its edge is not 6 mm", float64(tape.Width.Value)*1e3, window.width*1e3)
	case strings.HasPrefix(t.Barrier, "two-chamber"):
		a.isTrue(window.split, "the former has one chamber")
	default:
		a.fail("no barrier: %q", t.Barrier)
	}
	if fg.core.PinCreepage.Known() {
		judged(a, "creepage between the pin rows", fg.core.PinCreepage.Value, 6e-3, exact)
		a.isTrue(fg.core.PinCreepage.Value >= 6e-3, "pin rows %g m apart",
			float64(fg.core.PinCreepage.Value))
	}
	if window.split {
		return
	}
	for i, w := range b.Windings[:len(b.Windings)-1] {
		if (w.Name == "secondary") != (b.Windings[i+1].Name == "secondary") {
			a.isTrue(a.tapeAfter(i) >= 3, "%d layers of tape on %s", a.tapeAfter(i), w.Name)
		}
	}
}

// auditLayerFactor: Dowell's layers with the harmonics of the real current, found by a Fourier sum
// over 4096 points of the wave shape, its edges 1 % of the period long. 3 %: what the engine states
// for its short sum. A layer that is not full may lie close or be spread over the width; the factor
// must lie between both.
func auditLayerFactor(a audit) {
	f, b := a.figures(), a.build
	fg := f.window()
	width := fg.width - 2*float64(b.Transformer.Margin)
	windings, _ := a.lay()
	c := a.working(f)
	halves := 1.0
	for _, w := range b.Windings {
		if strings.HasSuffix(w.Name, "half") {
			halves = 2
		}
	}
	for i, w := range b.Windings {
		layers, shape := float64(windings[i].layers), rise
		switch w.Name {
		case "bias":
			continue
		case "secondary":
			layers, shape = max(1, layers/halves), fall
		case "primary 2nd half":
			continue // the engine takes both halves alike
		}
		points := sampled(c, f.f, shape)
		d := float64(w.WireD) * float64(w.Strands)
		spread := layerFactor(points, f.f, float64(w.WireD),
			d*float64(min(w.Turns, windings[i].across))/width, layers)
		close := layerFactor(points, f.f, float64(w.WireD),
			d*float64(windings[i].across)/width, layers)
		between(a, w.ACFactor, 0.97*spread, 1.03*close, "layer factor of "+w.Name)
	}
}

// rise and fall are the currents of the primary and of the secondary (seen from the primary) at the
// time t of a cycle.
func rise(c cycle, t float64) float64 {
	if t >= c.on {
		return 0
	}
	return c.start + (c.peak-c.start)*t/c.on
}

func fall(c cycle, t float64) float64 {
	if t -= c.on; t < 0 || t >= c.off {
		return 0
	}
	return c.peak + (c.end-c.peak)*t/c.off
}

const samples = 4096

func sampled(c cycle, hz float64, shape func(cycle, float64) float64) []float64 {
	points := make([]float64, samples)
	for i := range points {
		points[i] = shape(c, (float64(i)+0.5)/samples/hz)
	}
	return points
}

// layerFactor is (Idc^2 + sum Ik^2 F(k f))/Irms^2 for copper at 100 degC.
func layerFactor(points []float64, hz, wire, porosity, layers float64) float64 {
	square := 0.0
	for _, p := range points {
		square += p * p / samples
	}
	thick := math.Pow(math.Pi/4, 0.75) * wire * math.Sqrt(min(1, porosity))
	extra := 0.0
	for k := 1; k <= 99; k++ {
		depth := math.Sqrt(1 / 58e6 * (1 + 3.93e-3*80) /
			(math.Pi * 4e-7 * math.Pi * hz * float64(k)))
		edge := math.Sin(math.Pi*float64(k)*0.01) / (math.Pi * float64(k) * 0.01)
		extra += harmonicSquare(points, k) * edge * edge * (dowell(thick/depth, layers) - 1)
	}
	return 1 + extra/square
}

// turns is sine and cosine at every point of a period.
var turns = sync.OnceValue(func() *[samples][2]float64 {
	out := new([samples][2]float64)
	for i := range out {
		out[i][0], out[i][1] = math.Sincos(2 * math.Pi * float64(i) / samples)
	}
	return out
})

// harmonicSquare is the squared rms value of the k-th harmonic.
func harmonicSquare(points []float64, k int) float64 {
	re, im := 0.0, 0.0
	turn := turns()
	for i, p := range points {
		if p != 0 {
			at := &turn[k*i%samples]
			re, im = re+p*at[1], im+p*at[0]
		}
	}
	return 2 * (re*re + im*im) / (samples * samples)
}

// dowell is P. L. Dowell, Proc. IEE 113 (1966) 1387-1394, a section of layers each q skin depths
// thick.
func dowell(q, layers float64) float64 {
	skin := (math.Sinh(2*q) + math.Sin(2*q)) / (math.Cosh(2*q) - math.Cos(2*q))
	proximity := (math.Sinh(q) - math.Sin(q)) / (math.Cosh(q) + math.Cos(q))
	return q * (skin + 2*(layers*layers-1)/3*proximity)
}

// A bias winding of more turns than fit side by side needs a second layer, with its height and its
// longer turns. This target has such a build in the demo drawer: 16 turns of 0.239 mm on an EI28
// former between margins.
func TestBiasWindingIsLaidInFull(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 5, Current: 0.4, MainsMin: 85,
		MainsMax: 265, Line: 60,
		Case: substitute.Open, Ambient: 25}.Resolve(0)
	require.NoError(t, err)
	drawer, biased := exchange.Demo(), 0
	builds := ofKind(advise.Advise(target, drawer, advise.Options{}).Builds, substitute.Wound)
	for i := range builds {
		a := newAudit(t, drawer, target, &builds[i])
		if builds[i].Transformer.BiasTurns > 0 && a.known() {
			biased++
			auditWindings(a)
		}
	}
	require.Positive(t, biased)
}
