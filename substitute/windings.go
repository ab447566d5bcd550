package substitute

import (
	"math"
	"sort"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// barrier is how mains and battery side are kept apart inside the transformer. Two layers of enamel are none.
type barrier uint8

const (
	tripleInsulated barrier = iota // secondary of triple-insulated wire
	margins                        // margins at both sides, three layers of tape, sleeved ends
	chambers                       // former with two chambers
	inherited                      // that of an unopened transformer, by its builder's word
)

func (b barrier) String() string {
	return [...]string{"triple-insulated secondary", "margins, three layers of tape and sleeved ends",
		"two-chamber former and sleeved ends", "that of the donor, declared by the builder: never opened, never reheated"}[b]
}

// Winding practice. Creepage: 6 mm across the barrier, half of it on each side of a margin winding. Layers of tape: three
// across the barrier (AN-17; three of which any two pass), one within. Tails and strands: common practice, no source.
const (
	marginEachSide = 3e-3
	creepageNeeded = 6e-3
	barrierLayers  = 3
	withinLayers   = 1
	outerLayers    = 2
	tails          = 0.16 // m, both ends of a winding together
	spare          = 1.10 // wire to have on hand over the computed length
	maxStrandsPri  = 2
	maxStrandsSec  = 5
	fillBulge      = 1.10 // hand winding bulges
	thinnestWire   = 0.125e-3
	leadIn         = 1      // turn's width of every layer: a helix of n turns takes the width of n + 1
	formerShort    = 0.2e-3 // m, by which a moulded former may be narrower than entered; from memory
	windowShort    = 0.5e-3 // m, by which one estimated from the window may be; common practice, no source
)

// wound is the former as narrow as it may be.
func (c *bareCore) wound() magnetics.Former {
	f := c.former
	f.Width -= formerShort
	if !c.stock.part.FormerWidth.Known() {
		f.Width -= windowShort - formerShort
	}
	return f
}

// across is how many turns of strands side by side lie in a layer.
func across(width, overall si.Length, strands int) int {
	return int(float64(width/(overall*si.Length(strands)))+1e-9) - leadIn
}

// windingShop is all that decides how a transformer can be wound from the drawer, apart from core and turns.
type windingShop struct {
	enamelled []stock[catalog.Wire] // thin to thick
	triple    []stock[catalog.Wire]
	tapes     []*stock[catalog.Film] // sold as insulation, thinnest first

	mu    sync.Mutex
	lists map[optionKey][]option
}

// optionKey identifies the options of one winding, which many turns of the other winding share.
type optionKey struct {
	core, turns, band int
	secondary, split  bool
	barrier           barrier
}

func newWindingShop(d *drawer) *windingShop {
	s := &windingShop{lists: map[optionKey][]option{}}
	for _, w := range d.wires {
		if w.part.Diameter.Value < thinnestWire || !w.part.Overall.Known() {
			continue
		}
		if w.part.Insulation == "triple-insulated" {
			s.triple = append(s.triple, w)
		} else {
			s.enamelled = append(s.enamelled, w)
		}
	}
	thin := func(ws []stock[catalog.Wire]) {
		sort.SliceStable(ws, func(i, j int) bool { return ws[i].part.Diameter.Value < ws[j].part.Diameter.Value })
	}
	thin(s.enamelled)
	thin(s.triple)
	for i := range d.films {
		f := &d.films[i]
		if f.part.Form == "tape" && f.part.Insulates == "yes" && f.count >= 1 {
			s.tapes = append(s.tapes, f)
		}
	}
	sort.SliceStable(s.tapes, func(i, j int) bool { return s.tapes[i].part.Thickness.Value < s.tapes[j].part.Thickness.Value })
	return s
}

// tapeFor is the thinnest tape for a barrier. Where the tape itself is the barrier it must reach from cheek to cheek, or the
// creepage round its edge is no more than its own thickness; a wider roll is cut down.
func (s *windingShop) tapeFor(c *bareCore, b barrier) *stock[catalog.Film] {
	for _, t := range s.tapes {
		if b != margins || t.part.Width.Known() && t.part.Width.Value >= c.former.Width {
			return t
		}
	}
	return nil
}

// plan is a way to wind a transformer: wires, strands, order, barrier, and how it all lies on the former.
type plan struct {
	barrier            barrier
	split              bool // half the primary, the secondary, the other half
	primary, secondary *stock[catalog.Wire]
	strandsP, strandsS int
	bias               *stock[catalog.Wire]
	tape               *stock[catalog.Film]
	first, second      magnetics.Layering // primary, or its first half
	half               magnetics.Layering // second half of a split primary
	turnsFirst         int
	biasLay            magnetics.Layering
	build              si.Length
	margin             si.Length
	gist
}

// gist is what the bounds need of a plan. It holds no pointers, so that hundreds of thousands can be kept at little cost.
type gist struct {
	fill                 float64
	leakage              si.Inductance
	primaryR, secondaryR si.Resistance // d.c., 20 degC
	halves, leakageRead  bool          // the primary is split; the leakage was measured
	leastP, leastS       si.Ratio      // layer factor at the low edge of the frequency band: what every harmonic has at least
}

// planKey identifies a plan independently of the target, so that surveys reuse it.
type planKey struct {
	core, np, ns int
	bias         int // turns of the bias winding, 0 for none
	band         int // switching frequency in 20 kHz steps
}

// option is one wire with a number of strands for one winding, measured on an empty former.
type option struct {
	wire    *stock[catalog.Wire]
	strands int
	build   si.Length // all layers, tape within included
	weight  float64   // d.c. resistance x Dowell factor per metre of mean turn and turn
	length  float64   // metres a strand for the longest possible turn
}

// plans lists the ways to wind np and ns turns on a core, at most one per barrier and order: the one with the least copper
// loss, judged by d.c. resistance times the layer factor at the switching frequency, among those that fit the former and for
// which there is wire. Judging all wires by the exact current shape would cost a hundred times more and change the
// choice only between neighbours.
func (s *windingShop) plans(c *bareCore, k planKey) []plan {
	f := si.Frequency(k.band)*20e3 + 10e3
	var out []plan
	for b := tripleInsulated; b <= chambers; b++ {
		if s.tapeFor(c, b) == nil {
			continue
		}
		secondaries := s.triple
		margin := si.Length(0)
		switch b {
		case margins:
			secondaries, margin = s.enamelled, marginEachSide
			if c.former.Split || c.former.Width <= 2*marginEachSide {
				continue
			}
		case chambers:
			secondaries = s.enamelled
			if !c.former.Split {
				continue
			}
		}
		for _, split := range []bool{false, true} {
			if split && (b == chambers || k.np < 4) {
				continue
			}
			if p, ok := s.best(c, k, b, margin, split, secondaries, f); ok {
				out = append(out, p)
			}
		}
	}
	return out
}

// best picks wires for one barrier and one order.
func (s *windingShop) best(c *bareCore, k planKey, b barrier, margin si.Length, split bool, secondaries []stock[catalog.Wire], f si.Frequency) (plan, bool) {
	tape := s.tapeFor(c, b).part.Thickness.Value
	width := c.wound().Width - 2*margin
	ratio := float64(k.np) / float64(k.ns)
	pris := s.options(optionKey{k.core, k.np, k.band, false, split, b}, func() []option {
		return options(s.enamelled, k.np, maxStrandsPri, width, tape*withinLayers, c.former, f, split)
	})
	secs := s.options(optionKey{k.core, k.ns, k.band, true, false, b}, func() []option {
		return options(secondaries, k.ns, maxStrandsSec, width, tape*withinLayers, c.former, f, false)
	})
	fixed := tape * si.Length(outerLayers+barrierLayers)
	if split {
		fixed += tape * barrierLayers
	}
	if k.bias > 0 && len(s.enamelled) > 0 {
		over := s.enamelled[0].part.Overall.Value
		layers := layersOf(k.bias, max(1, across(width, over, 1)), false)
		fixed += over*si.Length(layers) + tape*si.Length(layers-1) + tape
	}
	refused := map[[2]int]bool(nil)
	for {
		bestP, bestS, least := -1, -1, math.Inf(1)
		for i := range pris {
			for n := range secs {
				build := pris[i].build + secs[n].build + fixed
				if b == chambers {
					build = max(pris[i].build, secs[n].build) + tape*outerLayers
				}
				objective := pris[i].weight*float64(k.np) + secs[n].weight*float64(k.ns)*ratio*ratio
				if objective < least && float64(build)*fillBulge <= float64(c.former.Height) && enough(pris[i], secs[n]) && !refused[[2]int{i, n}] {
					bestP, bestS, least = i, n, objective
				}
			}
		}
		if bestP < 0 {
			return plan{}, false
		}
		if p, ok := s.lay(c, k, b, margin, split, pris[bestP], secs[bestS]); ok {
			return p, true
		}
		if refused == nil {
			refused = map[[2]int]bool{}
		}
		refused[[2]int{bestP, bestS}] = true
	}
}

// options returns the list of a winding, made once.
func (s *windingShop) options(k optionKey, list func() []option) []option {
	s.mu.Lock()
	defer s.mu.Unlock()
	o, seen := s.lists[k]
	if !seen {
		o = list()
		s.lists[k] = o
	}
	return o
}

// enough reports whether the spools hold both windings, one spool for both if it must.
func enough(p, s option) bool {
	needP, needS := p.length*float64(p.strands), s.length*float64(s.strands)
	if p.wire.key == s.wire.key {
		return p.wire.buy || needP+needS <= p.wire.count
	}
	return (p.wire.buy || needP <= p.wire.count) && (s.wire.buy || needS <= s.wire.count)
}

// options lists wires and strands for a winding of turns turns that fit at all.
func options(wires []stock[catalog.Wire], turns, maxStrands int, width, tapeBetween si.Length, f magnetics.Former, hz si.Frequency, split bool) []option {
	var out []option
	longest := float64(f.CoreAround) + 2*math.Pi*float64(f.Height)
	for i := range wires {
		w := wires[i].part
		over := w.Overall.Value
		for n := 1; n <= maxStrands; n++ {
			across := across(width, over, n)
			if across < 1 {
				break
			}
			layers := layersOf(turns, across, split)
			build := over*si.Length(layers) + tapeBetween*si.Length(max(0, layers-1))
			if float64(build)*fillBulge > float64(f.Height) {
				continue
			}
			porosity := si.Ratio(float64(w.Diameter.Value) * float64(n*min(turns, across)) / float64(width))
			factor := magnetics.DowellFactor(hz, 90, w.Diameter.Value, float64(max(1, layers)), min(1, porosity))
			perTurn := float64(wireResistance(w, 1, n, 20))
			length := spare * (float64(turns)*longest + tails)
			if length*float64(n) > wires[i].count && !wires[i].buy {
				length = spare * (float64(turns)*(float64(f.CoreAround)+math.Pi*float64(f.Height)) + tails)
			}
			out = append(out, option{&wires[i], n, build, perTurn * float64(factor), length})
		}
	}
	return out
}

func layersOf(turns, across int, split bool) int {
	if split {
		h := (turns + 1) / 2
		return (h+across-1)/across + (turns-h+across-1)/across
	}
	return (turns + across - 1) / across
}

// wireResistance uses the published resistance per metre when there is one.
func wireResistance(w catalog.Wire, length si.Length, strands int, t si.Celsius) si.Resistance {
	if w.Resistance.Firm() {
		hot := 1 + float64(si.CopperTempCo)*(float64(t)-20)
		return si.Resistance(float64(w.Resistance.Value) * float64(length) / float64(strands) * hot)
	}
	return magnetics.WireResistance(length, w.Diameter.Value, strands, t)
}

// lay lays the chosen wires on the former and measures build, wire, leakage and resistance exactly.
func (s *windingShop) lay(c *bareCore, k planKey, b barrier, margin si.Length, split bool, po, so option) (plan, bool) {
	roll := s.tapeFor(c, b)
	tape := roll.part.Thickness.Value
	p := plan{tape: roll, barrier: b, split: split, primary: po.wire, secondary: so.wire, strandsP: po.strands, strandsS: so.strands,
		margin: margin, turnsFirst: k.np}
	pri := magnetics.Section{Turns: k.np, Strands: po.strands, Overall: po.wire.part.Overall.Value, Margin: margin,
		LeadIn: leadIn, TapeBetween: tape * withinLayers, TapeAfter: tape * barrierLayers, Tails: tails}
	sec := magnetics.Section{Turns: k.ns, Strands: so.strands, Overall: so.wire.part.Overall.Value, Margin: margin,
		LeadIn: leadIn, TapeBetween: tape * withinLayers, TapeAfter: tape * outerLayers, Tails: tails, Chamber: 1}
	var sections []magnetics.Section
	biasAt := -1
	addBias := func() {
		if k.bias > 0 && len(s.enamelled) > 0 {
			p.bias = &s.enamelled[0]
			biasAt = len(sections)
			sections = append(sections, magnetics.Section{Turns: k.bias, Strands: 1, LeadIn: leadIn, TapeBetween: tape * withinLayers, Overall: p.bias.part.Overall.Value, Margin: margin,
				TapeAfter: tape * barrierLayers, Tails: tails})
		}
	}
	if split {
		p.turnsFirst = (k.np + 1) / 2
		pri.Turns = p.turnsFirst
		other := pri
		other.Turns = k.np - p.turnsFirst
		other.TapeAfter = tape
		sec.TapeAfter = tape * barrierLayers
		sections = append(sections, pri, sec, other)
		addBias()
		sections[len(sections)-1].TapeAfter = tape * outerLayers
	} else {
		if k.bias > 0 {
			pri.TapeAfter = tape
		}
		sections = append(sections, pri)
		addBias()
		sections = append(sections, sec)
	}
	ls, build, _ := magnetics.Wind(c.wound(), sections)
	if len(ls) < len(sections) {
		return p, false
	}
	p.build, p.fill = build, float64(build)*fillBulge/float64(c.former.Height)
	if p.fill > 1 {
		return p, false
	}
	p.first = ls[0]
	if split {
		p.second, p.half = ls[1], ls[2]
	} else {
		p.second = ls[len(ls)-1]
	}
	if biasAt >= 0 {
		p.biasLay = ls[biasAt]
	}
	p.finish(c, k, tape)
	needP, needS := spare*p.primaryLength()*float64(po.strands), spare*float64(p.second.Length)*float64(so.strands)
	if po.wire.key == so.wire.key {
		return p, po.wire.buy || needP+needS <= po.wire.count
	}
	return p, (po.wire.buy || needP <= po.wire.count) && (so.wire.buy || needS <= so.wire.count)
}

// fieldLayers is how many layers of the secondary the field rises over: half of them between two primary halves, where it is zero
// in the middle.
func (p *plan) fieldLayers() float64 {
	if p.split {
		return max(1, float64(p.second.Layers)/2)
	}
	return float64(p.second.Layers)
}

// primaryLength is the length of one strand of the whole primary in m.
func (p *plan) primaryLength() float64 {
	if p.split {
		return float64(p.first.Length + p.half.Length)
	}
	return float64(p.first.Length)
}

func (p *plan) finish(c *bareCore, k planKey, tape si.Length) {
	low, width := si.Frequency(k.band)*20e3, c.former.Width-2*p.margin
	dp, ds := p.primary.part.Diameter.Value, p.secondary.part.Diameter.Value
	p.leastP = magnetics.DowellFactor(low, windingHot, dp, float64(p.first.Layers), porosity(dp, p.strandsP, p.first.TurnsPerLayer, width))
	p.leastS = magnetics.DowellFactor(low, windingHot, ds, p.fieldLayers(), porosity(ds, p.strandsS, min(k.ns, p.second.TurnsPerLayer), width))
	p.primaryR = wireResistance(p.primary.part, si.Length(p.primaryLength()), p.strandsP, 20)
	p.secondaryR = wireResistance(p.secondary.part, p.second.Length, p.strandsS, 20)
	mean := (p.first.MeanTurn*si.Length(p.turnsFirst) + p.half.MeanTurn*si.Length(k.np-p.turnsFirst)) / si.Length(k.np)
	priBuild := p.first.Build
	if p.split {
		priBuild += p.half.Build
	}
	insulation := tape * barrierLayers
	if !p.split && p.bias != nil {
		insulation += p.biasLay.Build + tape
	}
	path := magnetics.LeakagePath{Turns: k.np, MeanTurn: (mean + p.second.MeanTurn) / 2, Width: c.former.Width - 2*p.margin,
		Primary: priBuild, Secondary: p.second.Build, Insulation: insulation, Split: p.split}
	p.halves = p.split
	if p.barrier == chambers {
		path.Width, path.Primary, path.Secondary = c.former.Height, c.former.Width, c.former.Width
		path.Insulation, path.Split = formerWall, false
	}
	p.leakage = path.Inductance()
}
