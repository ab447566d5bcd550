package stage

import (
	"math"
	"sort"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// barrier is how mains and battery side are kept apart inside the transformer. Two layers of enamel
// are none.
type barrier uint8

const (
	TripleInsulated barrier = iota // secondary of triple-insulated wire
	Margins                        // margins at both sides, three layers of tape, sleeved ends
	chambers                       // former with two chambers
	inherited                      // that of an unopened transformer, by its builder's word
)

func (b barrier) String() string {
	return [...]string{"triple-insulated secondary",
		"margins, three layers of tape and sleeved ends",
		"two-chamber former and sleeved ends", "that of the donor, declared by the builder: " +
			"never opened, never reheated"}[b]
}

// Winding practice. Creepage: 6 mm across the barrier, half of it on each side of a margin winding.
// Layers of tape: three across the barrier (AN-17; three of which any two pass), one within. Tails
// and strands: common practice, no source.
const (
	MarginEachSide = 3e-3
	CreepageNeeded = 6e-3
	BarrierLayers  = 3
	WithinLayers   = 1
	OuterLayers    = 2
	Tails          = 0.16 // m, both ends of a winding together
	Spare          = 1.10 // wire to have on hand over the computed length
	maxStrandsPri  = 2
	maxStrandsSec  = 5
	fillBulge      = 1.10 // hand winding bulges
	thinnestWire   = 0.125e-3
	// turn's width of every layer: a helix of n turns takes the width of n + 1
	leadIn = 1
	// m, by which a moulded former may be narrower than entered; from memory
	formerShort = 0.2e-3
	// m, by which one estimated from the window may be; common practice, no source
	windowShort = 0.5e-3
)

// wound is the former as narrow as it may be.
func (c *BareCore) wound() magnetics.Former {
	f := c.Former
	f.Width -= formerShort
	if !c.Stock.Part.FormerWidth.Known() {
		f.Width -= windowShort - formerShort
	}
	return f
}

// across is how many turns of strands side by side lie in a layer.
func across(width, overall si.Length, strands int) int {
	return int(float64(width/(overall*si.Length(strands)))+1e-9) - leadIn
}

// windingShop is all that decides how a transformer can be wound from the drawer, apart from core
// and turns.
type windingShop struct {
	enamelled []stock.Stock[catalog.Wire] // thin to thick
	Triple    []stock.Stock[catalog.Wire]
	Tapes     []*stock.Stock[catalog.Film] // sold as insulation, thinnest first

	mu    sync.Mutex
	lists map[optionKey][]option
}

// optionKey identifies the options of one winding, which many turns of the other winding share.
type optionKey struct {
	core, turns, band int
	secondary, split  bool
	barrier           barrier
}

func newWindingShop(d *stock.Drawer) *windingShop {
	s := &windingShop{lists: map[optionKey][]option{}}
	for _, w := range d.Wires {
		if w.Part.Diameter.Value < thinnestWire || !w.Part.Overall.Known() {
			continue
		}
		if w.Part.Insulation == "triple-insulated" {
			s.Triple = append(s.Triple, w)
		} else {
			s.enamelled = append(s.enamelled, w)
		}
	}
	thin := func(ws []stock.Stock[catalog.Wire]) {
		sort.SliceStable(ws, func(i, j int) bool {
			return ws[i].Part.Diameter.Value < ws[j].Part.Diameter.Value
		})
	}
	thin(s.enamelled)
	thin(s.Triple)
	insulates := stock.Suits[catalog.Film](seats.Tape, &seats.Circuit{})
	for i := range d.Films {
		f := &d.Films[i]
		if insulates(f) && f.Count >= 1 {
			s.Tapes = append(s.Tapes, f)
		}
	}
	sort.SliceStable(s.Tapes, func(i, j int) bool {
		return s.Tapes[i].Part.Thickness.Value < s.Tapes[j].Part.Thickness.Value
	})
	return s
}

// tapeFor is the thinnest tape for a barrier. Where the tape itself is the barrier it must reach
// from cheek to cheek, or the creepage round its edge is no more than its own thickness; a wider
// roll is cut down.
func (s *windingShop) tapeFor(c *BareCore, b barrier) *stock.Stock[catalog.Film] {
	for _, t := range s.Tapes {
		if b != Margins || t.Part.Width.Known() && t.Part.Width.Value >= c.Former.Width {
			return t
		}
	}
	return nil
}

// Plan is a way to wind a transformer: wires, strands, order, barrier, and how it all lies on the
// former.
type Plan struct {
	Barrier            barrier
	Split              bool // half the primary, the secondary, the other half
	Primary, Secondary *stock.Stock[catalog.Wire]
	StrandsP, StrandsS int
	Bias               *stock.Stock[catalog.Wire]
	Tape               *stock.Stock[catalog.Film]
	First, Second      magnetics.Layering // primary, or its first half
	Half               magnetics.Layering // second half of a split primary
	TurnsFirst         int
	BiasLay            magnetics.Layering
	build              si.Length
	margin             si.Length
	Gist
}

// Gist is what the bounds need of a plan. It holds no pointers, so that hundreds of thousands can
// be kept at little cost.
type Gist struct {
	Fill                 float64
	Leakage              si.Inductance
	PrimaryR, SecondaryR si.Resistance // d.c., 20 degC
	halves, LeakageRead  bool          // the primary is split; the leakage was measured
	// layer factor at the low edge of the frequency band: what every harmonic has at least
	LeastP, LeastS si.Ratio
}

// planKey identifies a plan independently of the target, so that surveys reuse it.
type planKey struct {
	core, np, ns int
	bias         int // turns of the bias winding, 0 for none
	band         int // switching frequency in 20 kHz steps
}

// option is one wire with a number of strands for one winding, measured on an empty former.
type option struct {
	wire    *stock.Stock[catalog.Wire]
	strands int
	build   si.Length // all layers, tape within included
	weight  float64   // d.c. resistance x Dowell factor per metre of mean turn and turn
	length  float64   // metres a strand for the longest possible turn
}

// Plans lists the ways to wind np and ns turns on a core, at most one per barrier and order: the
// one with the least copper loss, judged by d.c. resistance times the layer factor at the switching
// frequency, among those that fit the former and for which there is wire. Judging all wires by the
// exact current shape would cost a hundred times more and change the choice only between
// neighbours.
func (s *windingShop) Plans(c *BareCore, k planKey) []Plan {
	f := si.Frequency(k.band)*20e3 + 10e3
	var out []Plan
	for b := TripleInsulated; b <= chambers; b++ {
		if s.tapeFor(c, b) == nil {
			continue
		}
		secondaries := s.Triple
		margin := si.Length(0)
		switch b {
		case Margins:
			secondaries, margin = s.enamelled, MarginEachSide
			if c.Former.Split || c.Former.Width <= 2*MarginEachSide {
				continue
			}
		case chambers:
			secondaries = s.enamelled
			if !c.Former.Split {
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
func (s *windingShop) best(c *BareCore, k planKey, b barrier, margin si.Length, split bool,
	secondaries []stock.Stock[catalog.Wire], f si.Frequency) (Plan, bool) {
	tape := s.tapeFor(c, b).Part.Thickness.Value
	width := c.wound().Width - 2*margin
	ratio := float64(k.np) / float64(k.ns)
	pris := s.options(optionKey{k.core, k.np, k.band, false, split, b}, func() []option {
		return options(s.enamelled, k.np, maxStrandsPri, width, tape*WithinLayers,
			c.Former, f, split)
	})
	secs := s.options(optionKey{k.core, k.ns, k.band, true, false, b}, func() []option {
		return options(secondaries, k.ns, maxStrandsSec, width, tape*WithinLayers,
			c.Former, f, false)
	})
	fixed := tape * si.Length(OuterLayers+BarrierLayers)
	if split {
		fixed += tape * BarrierLayers
	}
	if k.bias > 0 && len(s.enamelled) > 0 {
		over := s.enamelled[0].Part.Overall.Value
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
					build = max(pris[i].build, secs[n].build) + tape*OuterLayers
				}
				objective := pris[i].weight*float64(k.np) + secs[n].weight*float64(k.ns)*ratio*ratio
				if objective < least && float64(build)*fillBulge <= float64(c.Former.Height) &&
					enough(pris[i], secs[n]) && !refused[[2]int{i, n}] {
					bestP, bestS, least = i, n, objective
				}
			}
		}
		if bestP < 0 {
			return Plan{}, false
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
	if p.wire.Key == s.wire.Key {
		return p.wire.Buy || needP+needS <= p.wire.Count
	}
	return (p.wire.Buy || needP <= p.wire.Count) && (s.wire.Buy || needS <= s.wire.Count)
}

// options lists wires and strands for a winding of turns turns that fit at all.
func options(wires []stock.Stock[catalog.Wire], turns, maxStrands int, width, tapeBetween si.Length,
	f magnetics.Former, hz si.Frequency, split bool) []option {
	var out []option
	longest := float64(f.CoreAround) + 2*math.Pi*float64(f.Height)
	for i := range wires {
		w := wires[i].Part
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
			porosity := si.Ratio(float64(w.Diameter.Value) * float64(n*min(turns, across)) /
				float64(width))
			factor := magnetics.DowellFactor(hz, 90, w.Diameter.Value, float64(max(1, layers)),
				min(1, porosity))
			perTurn := float64(WireResistance(w, 1, n, 20))
			length := Spare * (float64(turns)*longest + Tails)
			if length*float64(n) > wires[i].Count && !wires[i].Buy {
				length = Spare * (float64(turns)*(float64(f.CoreAround)+math.Pi*float64(f.Height)) +
					Tails)
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

// WireResistance uses the published resistance per metre when there is one.
func WireResistance(w catalog.Wire, length si.Length, strands int, t si.Celsius) si.Resistance {
	if w.Resistance.Firm() {
		hot := 1 + float64(si.CopperTempCo)*(float64(t)-20)
		return si.Resistance(float64(w.Resistance.Value) * float64(length) / float64(strands) * hot)
	}
	return magnetics.WireResistance(length, w.Diameter.Value, strands, t)
}

// lay lays the chosen wires on the former and measures build, wire, leakage and resistance exactly.
func (s *windingShop) lay(c *BareCore, k planKey, b barrier, margin si.Length, split bool, po,
	so option) (Plan, bool) {
	roll := s.tapeFor(c, b)
	tape := roll.Part.Thickness.Value
	p := Plan{Tape: roll, Barrier: b, Split: split, Primary: po.wire, Secondary: so.wire,
		StrandsP: po.strands, StrandsS: so.strands,
		margin: margin, TurnsFirst: k.np}
	pri := magnetics.Section{Turns: k.np, Strands: po.strands, Overall: po.wire.Part.Overall.Value,
		Margin: margin,
		LeadIn: leadIn, TapeBetween: tape * WithinLayers, TapeAfter: tape *
			BarrierLayers, Tails: Tails}
	sec := magnetics.Section{Turns: k.ns, Strands: so.strands, Overall: so.wire.Part.Overall.Value,
		Margin: margin,
		LeadIn: leadIn, TapeBetween: tape * WithinLayers, TapeAfter: tape *
			OuterLayers, Tails: Tails, Chamber: 1}
	var sections []magnetics.Section
	biasAt := -1
	addBias := func() {
		if k.bias > 0 && len(s.enamelled) > 0 {
			p.Bias = &s.enamelled[0]
			biasAt = len(sections)
			sections = append(sections, magnetics.Section{Turns: k.bias, Strands: 1, LeadIn: leadIn,
				TapeBetween: tape * WithinLayers, Overall: p.Bias.Part.Overall.Value,
				Margin:    margin,
				TapeAfter: tape * BarrierLayers, Tails: Tails})
		}
	}
	if split {
		p.TurnsFirst = (k.np + 1) / 2
		pri.Turns = p.TurnsFirst
		other := pri
		other.Turns = k.np - p.TurnsFirst
		other.TapeAfter = tape
		sec.TapeAfter = tape * BarrierLayers
		sections = append(sections, pri, sec, other)
		addBias()
		sections[len(sections)-1].TapeAfter = tape * OuterLayers
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
	p.build, p.Fill = build, float64(build)*fillBulge/float64(c.Former.Height)
	if p.Fill > 1 {
		return p, false
	}
	p.First = ls[0]
	if split {
		p.Second, p.Half = ls[1], ls[2]
	} else {
		p.Second = ls[len(ls)-1]
	}
	if biasAt >= 0 {
		p.BiasLay = ls[biasAt]
	}
	p.finish(c, k, tape)
	needP, needS := Spare*p.primaryLength()*float64(po.strands),
		Spare*float64(p.Second.Length)*float64(so.strands)
	if po.wire.Key == so.wire.Key {
		return p, po.wire.Buy || needP+needS <= po.wire.Count
	}
	return p, (po.wire.Buy || needP <= po.wire.Count) && (so.wire.Buy || needS <= so.wire.Count)
}

// fieldLayers is how many layers of the secondary the field rises over: half of them between two
// primary halves, where it is zero in the middle.
func (p *Plan) fieldLayers() float64 {
	if p.Split {
		return max(1, float64(p.Second.Layers)/2)
	}
	return float64(p.Second.Layers)
}

// primaryLength is the length of one strand of the whole primary in m.
func (p *Plan) primaryLength() float64 {
	if p.Split {
		return float64(p.First.Length + p.Half.Length)
	}
	return float64(p.First.Length)
}

func (p *Plan) finish(c *BareCore, k planKey, tape si.Length) {
	low, width := si.Frequency(k.band)*20e3, c.Former.Width-2*p.margin
	dp, ds := p.Primary.Part.Diameter.Value, p.Secondary.Part.Diameter.Value
	p.LeastP = magnetics.DowellFactor(low, windingHot, dp, float64(p.First.Layers),
		porosity(dp, p.StrandsP, p.First.TurnsPerLayer, width))
	p.LeastS = magnetics.DowellFactor(low, windingHot, ds, p.fieldLayers(),
		porosity(ds, p.StrandsS, min(k.ns, p.Second.TurnsPerLayer), width))
	p.PrimaryR = WireResistance(p.Primary.Part, si.Length(p.primaryLength()), p.StrandsP, 20)
	p.SecondaryR = WireResistance(p.Secondary.Part, p.Second.Length, p.StrandsS, 20)
	mean := (p.First.MeanTurn*si.Length(p.TurnsFirst) +
		p.Half.MeanTurn*si.Length(k.np-p.TurnsFirst)) / si.Length(k.np)
	priBuild := p.First.Build
	if p.Split {
		priBuild += p.Half.Build
	}
	insulation := tape * BarrierLayers
	if !p.Split && p.Bias != nil {
		insulation += p.BiasLay.Build + tape
	}
	path := magnetics.LeakagePath{Turns: k.np, MeanTurn: (mean + p.Second.MeanTurn) / 2,
		Width:   c.Former.Width - 2*p.margin,
		Primary: priBuild, Secondary: p.Second.Build, Insulation: insulation, Split: p.Split}
	p.halves = p.Split
	if p.Barrier == chambers {
		path.Width, path.Primary, path.Secondary = c.Former.Height, c.Former.Width, c.Former.Width
		path.Insulation, path.Split = formerWall, false
	}
	p.Leakage = path.Inductance()
}
