package regulation

import (
	"math"
	"slices"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// trial is one divider problem with the parts to solve it, for finding out what would help.
type trial struct {
	d     divider
	stock resistors.Stock
	trims []trim
	meter si.Ratio // the stock is to be measured to this first; 0: not
}

// solved reports whether any design exists.
func (t trial) solved() bool {
	for _, list := range [][]trim{t.trims, {untrimmed}} {
		// measuring a drawer of resistors on paper is dear: first see whether it could help at all
		if t.meter > 0 {
			s := newSearch(t.d, t.stock.Pieces, list, 1)
			s.setTightest(min(s.tol, float64(t.meter)))
			if len(list) == 0 || !s.opens() {
				continue
			}
			t.stock, t.meter = t.stock.Within(t.meter), 0
		}
		s := newSearch(t.d, t.stock.Pieces, list, 1)
		s.all(t.stock)
		if len(s.best) > 0 {
			return true
		}
	}
	return false
}

// Meter says how well parts are known after measuring; zero leaves that kind as it is.
type Meter struct{ Resistors, Reference, Shunt si.Ratio }

// meters are the steps of measuring that are tried, the easiest first: a hand meter, a good hand
// meter, a bench meter.
var meters = [...]Meter{{0.005, 0.005, 0.02}, {0.003, 0.003, 0.01}, {0.002, 0.002, 0.005},
	{0.001, 0.001, 0.005}}

// narrowed is the reference as known after measuring to the given relative error, if that is better
// than now; the measured value is taken to come out nominal.
func narrowed(v si.Interval[si.Voltage], nominal si.Voltage,
	meter si.Ratio) si.Interval[si.Voltage] {
	if nominal == 0 {
		nominal = v.Mid()
	}
	if m := si.Around(nominal, meter); meter > 0 && m.Width() < v.Width() {
		return m
	}
	return v
}

// Measured is the spec after measuring the reference with the meter.
func (s VoltageSpec) Measured(m Meter) VoltageSpec {
	s.Vref = narrowed(s.Vref, s.VrefNominal, m.Reference)
	return s
}

// Measured is the spec after measuring the reference and the shunts with the meter.
func (s CurrentSpec) Measured(m Meter) CurrentSpec {
	s.Vref = narrowed(s.Vref, s.VrefNominal, m.Reference)
	if m.Shunt > 0 {
		shunts := make([]resistors.Piece, len(s.Shunts))
		for i, p := range s.Shunts {
			shunts[i] = p.Within(m.Shunt)
		}
		s.Shunts = shunts
	}
	return s
}

// measuring finds which measurements alone make a design possible, each at the easiest step that
// does, the easiest first: each kind by itself, and the last kind, which is all of them together,
// where that allows an easier step.
func measuring(kinds []Meter, solved func(Meter) bool) []Cure {
	byStep := make([][]Cure, len(meters))
	easiest := len(meters)
	for i, kind := range kinds {
		for step, m := range meters {
			if i == len(kinds)-1 && step >= easiest {
				break
			}
			with := Meter{kind.Resistors * m.Resistors, kind.Reference * m.Reference,
				kind.Shunt * m.Shunt}
			if solved(with) {
				byStep[step] = append(byStep[step], with.cure())
				easiest = min(easiest, step)
				break
			}
		}
	}
	return slices.Concat(byStep...)
}

func (m Meter) cure() Cure {
	var parts []string
	if m.Resistors > 0 {
		parts = append(parts, "the divider resistors to "+resistors.PercentText(m.Resistors))
	}
	if m.Reference > 0 {
		parts = append(parts, "the reference to "+resistors.PercentText(m.Reference))
	}
	if m.Shunt > 0 {
		parts = append(parts, "the shunt to "+resistors.PercentText(m.Shunt))
	}
	return Cure{Text: "measure " + strings.Join(parts, " and "), Measure: true,
		Resistors: m.Resistors, Reference: m.Reference, Shunt: m.Shunt}
}

// grades are what resistors are bought in: E24 at 1 %, then E96 at 0.5 and 0.1 %.
var grades = [...]struct {
	tol   si.Ratio
	tight bool
}{{0.01, false}, {0.005, true}, {0.001, true}}

// boughtPower is the rating assumed for a divider resistor to buy.
const boughtPower si.Power = 0.25

// buying finds the resistors, one or two, that together with the stock make a design: in the first
// grade that does, one resistor rather than two.
func (t trial) buying() (Cure, bool) {
	for _, grade := range grades {
		for _, list := range [][]trim{t.trims, {untrimmed}} {
			if c, ok := t.buyingOne(grade.tol, grade.tight, list); ok {
				return c, true
			}
		}
	}
	return Cure{}, false
}

func (t trial) buyingOne(tol si.Ratio, tight bool, list []trim) (Cure, bool) {
	if len(list) == 0 {
		return Cure{}, false
	}
	pieces := append([]resistors.Piece{}, t.stock.Pieces...)
	own := len(pieces)
	var shop []resistors.Leg
	for _, r := range resistors.Preferred(tight, 100, 1e6) {
		pieces = append(pieces, resistors.Piece{Ohm: r, Tolerance: tol, Count: 2,
			Power: boughtPower})
		shop = append(shop, resistors.MakeLeg(pieces, resistors.Single, 1, len(pieces)-1, 0, 0))
	}
	s := newSearch(t.d, pieces, list, 1)
	if !s.opens() {
		return Cure{}, false
	}
	if t.stock.Legs != nil {
		one, two := t.stock.Legs.Single, t.stock.Legs.Pair
		s.run(one, shop)
		s.run(two, shop)
		s.run(shop, one, two)
	}
	if len(s.best) == 0 {
		s.run(shop, shop)
	}
	if len(s.best) == 0 {
		return Cure{}, false
	}
	c := Cure{Tolerance: tol}
	var text []string
	for _, l := range [2]resistors.Leg{s.best[0].g, s.best[0].o} {
		if int(l.P[0]) >= own {
			text = append(text, "1 x "+resistors.ValueText(si.Resistance(l.Nom))+" "+
				resistors.PercentText(tol))
			c.Buy = append(c.Buy, pieces[l.P[0]])
			if c.Ohm == 0 {
				c.Ohm = si.Resistance(l.Nom)
			}
		}
	}
	c.Text = strings.Join(text, " and ")
	return c, true
}

// trimming finds the trimmer that makes a design possible with the resistors on hand.
func (t trial) trimming() (Cure, bool) {
	t.trims = sortedTrims(resistors.BoughtTrimmers())
	s := newSearch(t.d, t.stock.Pieces, t.trims, 1)
	s.all(t.stock)
	if len(s.best) == 0 {
		return Cure{}, false
	}
	r := t.trims[s.best[0].trim].piece.Ohm
	return Cure{Text: "1 x trimmer " + resistors.ValueText(r), Ohm: r,
		Tolerance: resistors.TrimmerTolerance, Trimmer: true,
		Buy: []resistors.Piece{{Ohm: r, Tolerance: resistors.TrimmerTolerance, Count: 1}}}, true
}

// verdict is one check of a design as it came out.
type verdict struct {
	check        string
	value, limit float64
	margin       float64 // against the set point, negative when broken
}

// nearestGiven is how many given legs of one and of two parts the nearest miss is looked for at.
const nearestGiven = 300

// nearest looks for the design that breaks its limits least. It looks beside every given leg at the
// sought legs around the middle of their (empty) window; of a big drawer at the first few hundred,
// which are those with the most divider current.
func (t trial) nearest(judge func(g, o *resistors.Leg, t *trim) []verdict) (verdict, bool) {
	best, any := verdict{margin: math.Inf(-1)}, false
	if t.stock.Legs == nil {
		return best, false
	}
	one, two := t.stock.Legs.Single, t.stock.Legs.Pair
	lo, hi := t.d.given()
	trims := append(append([]trim{}, t.trims...), untrimmed)
	for _, list := range [2][]resistors.Leg{resistors.Between(one, lo, hi),
		resistors.Between(two, lo, hi)} {
		for i := range list[:min(len(list), nearestGiven)] {
			for k := range trims {
				a, b := t.d.limits(&list[i], trims[k].fixed).window(&trims[k])
				if mid := (a + b) / 2; mid > 0 && !math.IsInf(mid, 0) {
					for _, sought := range [2][]resistors.Leg{one, two} {
						any = t.around(&list[i], sought, mid, &trims[k], judge, &best) || any
					}
				}
			}
		}
	}
	return best, any
}

// around judges the sought legs next to mid ohm and keeps the best worst verdict.
func (t trial) around(g *resistors.Leg, sought []resistors.Leg, mid float64, tr *trim,
	judge func(g, o *resistors.Leg, t *trim) []verdict, best *verdict) bool {
	found := false
	at := resistors.From(sought, mid)
	for i := max(0, at-1); i < min(len(sought), at+1); i++ {
		o := &sought[i]
		if !resistors.Covered(t.stock.Pieces, g, o) {
			continue
		}
		found = true
		if smallest(t.d.margin(g, o, tr)) <= best.margin {
			continue
		}
		worst := verdict{margin: math.Inf(1)}
		for _, v := range judge(g, o, tr) {
			if v.margin < worst.margin {
				worst = v
			}
		}
		*best = worst
	}
	return found
}

// cures collects what helps: measuring, a trimmer, resistors, and where one thing alone does not,
// all of them at once.
func (t trial) cures(measured []Cure) []Cure {
	out := measured
	if len(t.trims) == 0 {
		if c, ok := t.trimming(); ok {
			out = append(out, c)
		}
	}
	if c, ok := t.buying(); ok {
		out = append(out, c)
	}
	return out
}

// lastResort finds resistors to buy for a reference known better than now, where neither measuring
// nor buying alone helps.
func lastResort(at func(Meter) trial) []Cure {
	for _, m := range meters {
		m = Meter{Reference: m.Reference, Shunt: m.Shunt}
		if c, ok := at(m).buying(); ok {
			c.Reference, c.Buy = m.Reference, nil
			c.Text += ", with the reference measured to " + resistors.PercentText(m.Reference) +
				" or of that grade"
			return []Cure{c}
		}
	}
	return nil
}
