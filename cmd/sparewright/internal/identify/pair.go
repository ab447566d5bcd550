package identify

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stage"
)

// highestPermeability is the end of the range of a core's figure; it stands for an open band in
// --json.
const highestPermeability = 20000

// Usual errors of readings that come without one: inductance meter, effective area of a small core
// (bench notes: 2.5 % and 2.1 % on the two sides of a leg), caliper on sintered faces.
const (
	usualMeter   si.Ratio  = 0.02
	usualArea    si.Ratio  = 0.03
	usualCaliper si.Length = 0.1e-3
)

// identifyCore compares caliper readings with the listed shapes.
func identifyCore(id *identifying) (finding, error) {
	f := finding{kind: catalog.KindCore}
	caliper := usualCaliper
	if r := valueOf[si.Length](id, "caliper"); r.Given() {
		caliper = r.Value
	}
	read := magnetics.Outline{Family: id.c.Generic("family").(*frame.Choice).Word}
	for _, side := range outlineSides(&read) {
		r := valueOf[si.Length](id, side.letter)
		*side.at = r.Value
		if r.Given() {
			f.store = append(f.store, inventory.Measurement{Field: side.letter,
				Value: float64(r.Value),
				Error: max(float64(caliper/r.Value), inventory.MinMeterError), Text: r.Text})
		}
	}
	matches, err := magnetics.MatchShapes(read, listedShapes(), caliper/2)
	if err != nil {
		return f, err
	}
	for i, m := range matches[:min(3, len(matches))] {
		f.Shapes = append(f.Shapes, describeMatch(i+1, m))
	}
	shape, fits := fittingShape(matches)
	if fits {
		f.words = append(f.words, catalog.Entry{Field: "shape", Text: shape})
	}
	f.addParameters(read, matches, caliper, fits)
	return f, nil
}

// fittingShape is the listed shape that may be taken over: the best that fits, under its bare name
// where the row of that fits too. It is none when shapes fit that differ by more than makers do, 5
// % of area or path.
func fittingShape(matches []magnetics.Match) (string, bool) {
	var best catalog.Core
	for _, m := range matches {
		s, ok := catalog.ShapeNamed(m.Name)
		if m.Score > 1 || !ok {
			continue
		}
		bare, _, _ := strings.Cut(best.Shape, " ")
		switch {
		case best.Shape == "", s.Shape == bare:
			best = s
		case apart(float64(s.Area.Value), float64(best.Area.Value)) ||
			apart(float64(s.Path.Value), float64(best.Path.Value)):
			return "", false
		}
	}
	return best.Shape, best.Shape != ""
}

func apart(a, b float64) bool { return math.Abs(a/b-1) > 0.05 }

// side is one dimension of an outline under its letter.
type side struct {
	letter string
	at     *si.Length
}

func outlineSides(o *magnetics.Outline) []side {
	return []side{{"a", &o.A}, {"b", &o.B}, {"c", &o.C}, {"d", &o.D}, {"e", &o.E}, {"f", &o.F},
		{"i", &o.I}, {"k", &o.K}}
}

// listedShapes are the outlines of the catalog.
func listedShapes() []magnetics.Shape {
	var out []magnetics.Shape
	for _, s := range catalog.Shapes() {
		out = append(out, magnetics.Shape{Name: s.Name,
			Outline: magnetics.Outline{Family: s.Family, A: s.A.Value, B: s.B.Value,
				C: s.C.Value, D: s.D.Value, E: s.E.Value, F: s.F.Value, I: s.I.Value,
				K: s.K.Value}})
	}
	return out
}

// describeMatch words one shape with what was read less what is listed, in mm.
func describeMatch(rank int, m magnetics.Match) shapeMatch {
	out := shapeMatch{Shape: m.Name, Score: float64(m.Score), Mismatches: map[string]float64{}}
	var off []string
	for _, d := range m.Mismatch {
		if d.Listed == 0 {
			off = append(off, d.Letter+" not listed")
			continue
		}
		out.Mismatches[d.Letter] = float64(d.Read - d.Listed)
		off = append(off, fmt.Sprintf("%s %+.2f", d.Letter, float64(d.Read-d.Listed)*1e3))
	}
	word := "fits"
	switch {
	case m.Score > 2:
		word = "does not fit"
	case m.Score > 1:
		word = "fits poorly"
	}
	out.line = fmt.Sprintf("%d. %s %s, score %.2f; read less listed in mm: %s", rank, m.Name,
		word, out.Score,
		strings.Join(off, ", "))
	return out
}

// addParameters computes area and path from the readings when the family is known and all its sides
// were read. They are kept where no listed shape fits, whose maker prints better ones.
func (f *finding) addParameters(read magnetics.Outline, matches []magnetics.Match,
	caliper si.Length, fits bool) {
	if !fits {
		f.Notes = append(f.Notes, "no listed shape fits well enough to be taken over; with "+
			"--family, d and e area and path are computed and kept")
	}
	if read.Family == "" && fits {
		if s, ok := catalog.ShapeNamed(matches[0].Name); ok {
			read.Family = s.Family
		}
	}
	if read.D == 0 || read.E == 0 {
		f.Notes = append(f.Notes, "read d and e too, and area and path are computed")
		return
	}
	p, err := magnetics.IdentifyParameters(read, caliper)
	if err != nil {
		f.Notes = append(f.Notes, "area and path are not computed: "+err.Error())
		return
	}
	f.Figures = append(f.Figures, asFigure("effective area", p.Area),
		asFigure("effective path", p.Path))
	f.Shares = p.Area.Shares
	if !fits && read.Family != "" {
		f.words = append(f.words, catalog.Entry{Field: "family", Text: read.Family})
		keeps(f, "area", p.Area)
		keeps(f, "path", p.Path)
	}
}

// meter is the error of the inductance meter.
func (id *identifying) meter() si.Ratio {
	if r := valueOf[si.Ratio](id, "meter"); r.Given() {
		return r.Value
	}
	return usualMeter
}

// windings is what the test windings say: the inductance factor, remarks, and whether the readings
// agree. What comes of readings that contradict each other is shown but never kept.
type windings struct {
	al    magnetics.Estimate[si.InductanceFactor]
	notes []string
	agree bool
}

// inductanceFactor comes from --al or from the test windings of --reading.
func (id *identifying) inductanceFactor() (windings, error) {
	var none windings
	if r := valueOf[si.InductanceFactor](id, "al"); r.Given() {
		if id.c.IsSet("reading") {
			return none, frame.WrongCall("--al", r.Text,
				"--al and --reading exclude each other; give one of them")
		}
		k := r.Known(id.meter())
		return windings{al: magnetics.Estimate[si.InductanceFactor]{Value: k.Value, Band: k.Band},
			agree: true}, nil
	}
	if !id.c.IsSet("reading") {
		return none, id.need("reading")
	}
	list, err := NumberedReadings("--reading", id.list("reading"), 1)
	if err != nil {
		return none, err
	}
	var readings []magnetics.Reading
	for _, r := range list {
		readings = append(readings, magnetics.Reading{Turns: r.number, Inductance: r.value})
	}
	e, fit, err := magnetics.IdentifyAL(readings, id.meter())
	return windings{e, fitNotes(readings, fit), fit.Agree}, err
}

// fitNotes says what the readings say about each other.
func fitNotes(readings []magnetics.Reading, fit magnetics.ALFit) []string {
	var notes []string
	if len(readings) > 1 && fit.Lead > 0 {
		notes = append(notes, "leads take "+si.Text(fit.Lead))
	}
	if len(readings) == 1 {
		notes = append(notes, fmt.Sprintf("one winding shows no miscount; wind %d turns "+
			"and read again",
			magnetics.NextTurns(readings)))
	}
	if !fit.Agree {
		notes = append(notes, fmt.Sprintf("the readings contradict each other: %.1f standard "+
			"deviations of the meter off",
			float64(fit.Misfit)))
	}
	for _, s := range fit.Suspects {
		would := "they would agree if"
		if fit.Agree {
			would = "they agree, but would do so better if"
		}
		notes = append(notes, fmt.Sprintf("%s the winding of %d turns had %d: count again", would,
			readings[s.Index].Turns, s.Turns))
	}
	for _, u := range fit.Unseen {
		if fit.Agree && len(fit.Suspects) == 0 {
			notes = append(notes, fmt.Sprintf("one turn too many or too few in the winding of %d "+
				"turns would show in %.0f of 10 "+
				"cases only: count it twice", readings[u.Index].Turns,
				math.Floor(10*float64(u.Chance))))
		}
	}
	return notes
}

func identifyAL(id *identifying) (finding, error) {
	if err := id.need("reading"); err != nil {
		return finding{}, err
	}
	w, err := id.inductanceFactor()
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindCore, Figures: []identified{asFigure("inductance factor", w.al)},
		Shares: w.al.Shares,
		Notes:  w.notes}
	if w.agree {
		keeps(&f, "al", w.al)
	}
	return f, nil
}

// part is the core the call is about, with what the tables know.
func (id *identifying) part() (catalog.Core, error) {
	shape, lot := id.c.String("shape"), id.c.String("core")
	switch {
	case shape != "" && lot != "":
		return catalog.Core{}, frame.WrongCall("--core", lot,
			"--shape and --core exclude each other; give one of them")
	case shape != "":
		p, _, ok := catalog.Lookup(catalog.KindCore, shape)
		if !ok {
			return catalog.Core{}, frame.AsCallError(
				typed.NotListed(shape, []catalog.Kind{catalog.KindCore}))
		}
		return complete.Part(p).(catalog.Core), nil
	case lot == "" && id.c.IsSet("store"):
		lot = id.c.String("store")
	case lot == "":
		return catalog.Core{}, frame.WrongCall("--shape", "",
			"missing; name the shape, or the lot with --core")
	}
	return id.partOfLot(lot)
}

func (id *identifying) partOfLot(text string) (catalog.Core, error) {
	n, err := drawer.LotNumber(text)
	if err != nil {
		return catalog.Core{}, err
	}
	snapshot, err := drawer.Snapshot(id.env, id.c)
	if err != nil {
		return catalog.Core{}, err
	}
	l, ok := snapshot.Lot(n)
	if !ok {
		return catalog.Core{}, inventory.NoLot{Lot: n}
	}
	p, ok := complete.Part(inventory.Effective(l)).(catalog.Core)
	if !ok {
		return catalog.Core{}, frame.WrongCall("lot", text,
			fmt.Sprintf("is %s, not a core; name the shape with --shape",
				l.Part.Kind().WithArticle()))
	}
	return p, nil
}

// pair maps the core to the plain quantities of package magnetics.
func (id *identifying) pair(p catalog.Core) (magnetics.Pair, error) {
	if !p.Area.Known() || !p.Path.Known() {
		return magnetics.Pair{}, frame.WrongCall("core", p.Name,
			"effective area and path are not known; identify core --store "+
				"takes them from the caliper")
	}
	pair := magnetics.Pair{Geometry: stage.GeometryOf(p), AreaError: usualArea}
	if r := valueOf[si.Ratio](id, "area-error"); r.Given() {
		pair.AreaError = r.Value
	}
	return pair, nil
}

// permeability is what the ferrite may be: --mu, the grade named or recorded, else the cautious
// unknown power ferrite.
func (id *identifying) permeability(p catalog.Core) (magnetics.Known[si.Ratio], error) {
	if r := valueOf[si.Ratio](id, "mu"); r.Given() {
		return r.Known(0.25), nil
	}
	name := id.c.String("grade")
	f, known := catalog.FerriteNamed(frame.Or(name, p.Ferrite))
	if name != "" && !known {
		return magnetics.Known[si.Ratio]{},
			frame.WrongCall("--grade", name, "not a listed grade; give its permeability with --mu")
	}
	if name == "" && (id.c.IsSet("shape") || !known) {
		// the grade of a shape's table row is not that of the pair on the bench
		f, _ = catalog.FerriteNamed("unknown-power")
	}
	return magnetics.Within(f.Permeability.Or(2200), f.PermeabilityTol.Or(0.25)), nil
}

// joint is the joint of clean lapped faces unless --joint says otherwise.
func (id *identifying) joint() magnetics.Known[si.Length] {
	if r := valueOf[si.Length](id, "joint"); r.Given() {
		return r.Known(0.5)
	}
	return magnetics.Known[si.Length]{Value: magnetics.ResidualJoint,
		Band: magnetics.ResidualJointBand()}
}

// known makes an input of an estimate.
func known[Q si.Quantity](e magnetics.Estimate[Q]) magnetics.Known[Q] {
	return magnetics.Known[Q]{Value: e.Value, Band: e.Band}
}

func identifyPermeability(id *identifying) (finding, error) {
	p, err := id.part()
	if err != nil {
		return finding{}, err
	}
	pair, err := id.pair(p)
	if err != nil {
		return finding{}, err
	}
	w, err := id.inductanceFactor()
	if err != nil {
		return finding{}, err
	}
	e, err := magnetics.IdentifyPermeability(pair, known(w.al), id.joint())
	if err != nil {
		return finding{}, err
	}
	effective := magnetics.EffectivePermeability(pair.Geometry, w.al.Value)
	f := finding{kind: catalog.KindCore, Figures: []identified{asFigure("initial permeability", e)},
		Shares: e.Shares,
		Notes:  w.notes}
	f.Notes = append(f.Notes, classNote(effective, pair.Geometry.Path))
	switch {
	case math.IsInf(float64(e.Band.High), 0):
		f.Figures[0].High, f.Figures[0].text[2] = highestPermeability, "no upper end"
	case w.agree && e.Error() <= inventory.MaxMeterError:
		keeps(&f, "permeability", e)
	}
	return f, nil
}

// classNote says what the effective permeability means for the job.
func classNote(effective si.Ratio, path si.Length) string {
	text := map[string]string{
		"filter": "a filter ferrite: saturates earlier and loses more, keep the flux low",
		"low":    "powder, NiZn or a gap that was not seen: not for this job",
		"power":  "power MnZn ferrite",
		"either": "power ferrite, or filter ferrite behind its joint: this reading cannot tell; " +
			"take the saturation with a " +
			"current pulse (identify saturation) before the pair is used",
		"unclear": "no clear class; look for a gap or dirt on the faces",
	}[magnetics.FerriteClass(effective, path)]
	return fmt.Sprintf("effective permeability %.0f: %s", float64(effective), text)
}

func identifyGap(id *identifying) (finding, error) {
	p, err := id.part()
	if err != nil {
		return finding{}, err
	}
	pair, err := id.pair(p)
	if err != nil {
		return finding{}, err
	}
	mu, err := id.permeability(p)
	if err != nil {
		return finding{}, err
	}
	if id.c.IsSet("step") {
		return identifyGapBySteps(id, pair, mu)
	}
	w, err := id.inductanceFactor()
	if err != nil {
		return finding{}, err
	}
	e, err := magnetics.IdentifyGap(pair, known(w.al), mu, id.joint())
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindCore, Figures: []identified{asFigure("gap", e)},
		Shares: e.Shares, Notes: w.notes}
	f.Notes = append(f.Notes, fmt.Sprintf("as long as the gap stays, a design needs only the "+
		"inductance factor, %s; store it too",
		si.Text(w.al.Value)))
	if w.agree && e.Value > 0 && e.Error() <= inventory.MaxMeterError {
		keeps(&f, "gap", e)
	}
	return f, nil
}

// contradiction is how many standard deviations a reading or a figure noted may be off.
const contradiction = 3

func identifyGapBySteps(id *identifying, pair magnetics.Pair,
	mu magnetics.Known[si.Ratio]) (finding, error) {
	if err := id.need("turns", "film"); err != nil {
		return finding{}, err
	}
	list, err := NumberedReadings("--step", id.list("step"), 0)
	if err != nil {
		return finding{}, err
	}
	n := float64(id.number("turns"))
	var steps []magnetics.ShimStep
	for _, s := range list {
		steps = append(steps, magnetics.ShimStep{Films: s.number,
			AL: si.InductanceFactor(float64(s.value) / (n * n))})
	}
	film := valueOf[si.Length](id, "film").Known(0.05)
	r, err := magnetics.IdentifyGapByShims(pair, steps, film, mu, id.joint(), id.meter())
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindCore, Shares: r.Gap.Shares,
		Figures: []identified{asFigure("magnetic length", r.Length), asFigure("gap", r.Gap)}}
	agree := r.Misfit <= contradiction && r.Strain <= contradiction && !r.FirstOff
	if !agree {
		f.Notes = append(f.Notes, "the readings do not go with each other and with film, shape, "+
			"ferrite and turns as "+
			"typed: check these; the gap is not kept")
	}
	if r.FirstOff {
		f.Notes = append(f.Notes, "the reading without film does not go with the others: the "+
			"faces did not close; leave it out")
	}
	if !agree {
		return f, nil
	}
	if r.Gap.Value > 0 && r.Gap.Error() <= inventory.MaxMeterError {
		keeps(&f, "gap", r.Gap)
	} else {
		f.Notes = append(f.Notes, "the gap does not stand out from ferrite and joint")
	}
	return f, nil
}

func identifySaturation(id *identifying) (finding, error) {
	if err := id.need("turns", "volts", "time", "knee", "ohms"); err != nil {
		return finding{}, err
	}
	area, err := id.section()
	if err != nil {
		return finding{}, err
	}
	e, err := magnetics.IdentifySaturation(magnetics.Pulse{
		Volts: valueOf[si.Voltage](id, "volts").Known(0.01), Time: valueOf[si.Time](id,
			"time").Known(0.01),
		Knee: valueOf[si.Current](id, "knee").Known(0.05), Resistance: valueOf[si.Resistance](id,
			"ohms").Known(0.05),
		Turns: id.number("turns"), Area: area,
	})
	if err != nil {
		return finding{}, err
	}
	hot := e
	hot.Value *= si.FluxDensity(magnetics.Hot)
	hot.Band = e.Band.Scale(float64(magnetics.Hot))
	f := finding{kind: catalog.KindCore, Shares: e.Shares,
		Figures: []identified{asFigure("flux density at the knee, cold", e),
			asFigure("the same at 100 C", hot)},
		Notes: []string{"ferrite saturates earlier when hot; 0.75 of the cold knee is taken, " +
			"and that is what --store keeps"}}
	keeps(&f, "saturation", hot)
	return f, nil
}

// section is --area, or the smallest section of the shape.
func (id *identifying) section() (magnetics.Known[si.Area], error) {
	if r := valueOf[si.Area](id, "area"); r.Given() {
		return r.Known(usualArea), nil
	}
	p, err := id.part()
	if err != nil {
		return magnetics.Known[si.Area]{}, err
	}
	pair, err := id.pair(p)
	return magnetics.Within(pair.Geometry.AreaMin, pair.AreaError), err
}
