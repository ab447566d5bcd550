package regulation

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// CurrentSpec is what the shunt and the current divider have to do. The shunt lies in the negative
// lead; the control ground is on its converter side, so that the sense voltage is positive.
type CurrentSpec struct {
	Set       si.Current
	HighLimit si.Current // never exceeded in any trimmer position and any tolerance corner
	// binds a network without trimmer in every corner; zero: as far below Set as HighLimit is above
	LowLimit si.Current

	// reference as known: printed limits, or measured with the error of the meter
	Vref        si.Interval[si.Voltage]
	VrefNominal si.Voltage // zero: the middle of Vref
	Offset      si.Voltage // largest input offset, either sign
	// most that flows into or out of the input at the divider, either sign
	BiasCurrent si.Current

	Shunts             []resistors.Piece
	SenseMin, SenseMax si.Voltage // shunt drop at Set
	PowerDerate        si.Ratio   // share of its rating a resistor may take at Set; zero: Derating
	// warming of the shunt; widens its band by its drift and gives Hot
	ShuntRise si.Kelvin

	// what the divider may draw from the reference; zero: DefaultDividerCurrent
	DividerCurrent si.Interval[si.Current]
}

// CurrentNetwork is one way to build the shunt and the divider that sets the current.
type CurrentNetwork struct {
	// its Pieces index NewStock(spec.Shunts).Pieces; Lots and Uses name the lots
	Shunt      resistors.Network
	ShuntPower si.Power // all of it, at Set
	ShuntLoad  si.Ratio // power of the hardest worked part at Set against its rating
	Sense      si.Voltage
	// Top in series with the trimmer from the reference to the level, Bottom from there to ground
	Top, Bottom resistors.Network
	Trimmer     resistors.TrimmerPiece
	HasTrimmer  bool

	Low, High           si.Current // nominal, with the whole track in and with none of it
	WorstLow, WorstHigh si.Current // over all tolerance corners and trimmer positions
	// the span that every corner can reach; Set lies inside. Without trimmer both nominal
	ReachLow, ReachHigh si.Current
	OpenWiper           si.Current // nominal, with the wiper lifted off the track: never above Low
	// nominal Set with the shunt warmed by ShuntRise after trimming cold
	Hot  si.Current
	Draw si.Current // taken from the reference at the set point
	// offset against the sense voltage: how far the current may be off untrimmed from this alone
	OffsetError si.Ratio
	Parts       int // resistors, shunt parts and trimmer
}

// currentDivider is a CurrentSpec with a shunt in plain SI. The given leg is the bottom one, which
// alone fixes the divider current; the sought one is the top, with the trimmer.
type currentDivider struct {
	currentLevel
	set, high, low float64 // A
	drawLo, drawHi float64 // A
	derate         si.Ratio
}

// currentLevel is the tap of the divider, held against the shunt: what current makes them equal.
type currentLevel struct {
	vNom, vLo, vHi float64 // V of the reference
	off, bias      float64 // V, A
	rn, rl, rh     float64 // shunt, ohm
}

func newCurrentDivider(s CurrentSpec, shunt resistors.Network) currentDivider {
	if s.VrefNominal == 0 {
		s.VrefNominal = s.Vref.Mid()
	}
	if s.LowLimit == 0 {
		s.LowLimit = max(0, 2*s.Set-s.HighLimit)
	}
	if s.DividerCurrent == (si.Interval[si.Current]{}) {
		s.DividerCurrent = DefaultDividerCurrent()
	}
	bias := math.Abs(float64(s.BiasCurrent))
	return currentDivider{
		currentLevel: currentLevel{
			vNom: float64(s.VrefNominal), vLo: float64(s.Vref.Low), vHi: float64(s.Vref.High),
			off: math.Abs(float64(s.Offset)), bias: bias,
			rn: float64(shunt.Ohm), rl: float64(shunt.Low), rh: float64(shunt.High)},
		set: float64(s.Set), high: float64(s.HighLimit), low: float64(s.LowLimit),
		drawLo: max(float64(s.DividerCurrent.Low), BiasShare*bias),
		drawHi: float64(s.DividerCurrent.High),
		derate: orDefault(s.PowerDerate, resistors.Derating),
	}
}

func (d currentDivider) sane() bool {
	return d.vLo > 0 && d.vHi >= d.vLo && d.set > 0 && d.high >= d.set && d.drawHi > 0 &&
		d.drawHi >= d.drawLo
}

// most and least are the highest and lowest current in A with the legs given in ohm. The level at
// the tap is what the reference and the bias current drive into the two legs in parallel
// (Kirchhoff), and the offset adds to it.
func (d currentLevel) most(top, bottom float64) float64 {
	return ((d.vHi+d.bias*top)*bottom/(top+bottom) + d.off) / d.rl
}

func (d currentLevel) least(top, bottom float64) float64 {
	return max(0, ((d.vLo-d.bias*top)*bottom/(top+bottom)-d.off)/d.rh)
}

func (d currentLevel) nominal(top, bottom float64) float64 {
	return d.vNom * bottom / (top + bottom) / d.rn
}

// topForMost and topForLeast are the top leg in ohm at which most or least is i.
func (d currentLevel) topForMost(bottom, i float64) float64 {
	level := i*d.rl - d.off
	if level-d.bias*bottom <= 0 {
		return math.Inf(1)
	}
	return max(0, bottom*(d.vHi-level)/(level-d.bias*bottom))
}

func (d currentLevel) topForLeast(bottom, i float64) float64 {
	level := i*d.rh + d.off
	return bottom * (d.vLo - level) / (level + d.bias*bottom)
}

func (d currentDivider) given() (lo, hi float64) {
	level := d.set * d.rn
	if !(d.drawLo > 0) {
		return level / d.drawHi, math.Inf(1)
	}
	return level / d.drawHi, level / d.drawLo
}

func (d currentDivider) limits(g *resistors.Leg, fixed bool) limits {
	if fixed {
		return limits{least: d.topForMost(g.Hi, d.high), most: d.topForLeast(g.Lo, d.low)}
	}
	return limits{
		least: d.topForMost(g.Hi, d.high),
		whole: d.topForMost(g.Hi, d.set),
		most:  d.topForLeast(g.Lo, d.set),
	}
}

func (d currentDivider) unloaded() divider {
	d.bias = 0
	return d
}

func (d currentDivider) span(g, o *resistors.Leg, t *trim) float64 {
	if t.fixed {
		return 0
	}
	return (d.nominal(o.Nom, g.Nom) - d.nominal(o.Nom+t.ohm, g.Nom)) / d.set
}

func (d currentDivider) margin(g, o *resistors.Leg, t *trim) (above, below float64) {
	worst := d.most(o.Lo, g.Hi)
	if t.fixed {
		return (d.high - worst) / d.set, (d.least(o.Hi, g.Lo) - d.low) / d.set
	}
	return min(d.high-worst, d.set-d.most(o.Lo+t.lo, g.Hi)) / d.set,
		(d.least(o.Hi+t.end, g.Lo) - d.set) / d.set
}

func (d currentDivider) draw(g *resistors.Leg) float64 { return d.set * d.rn / g.Nom }

func (d currentDivider) ratings(g, o *resistors.Leg, pieces []resistors.Piece) bool {
	return g.Network(pieces).Stands(pieces, si.Voltage(d.vHi), d.derate) &&
		o.Network(pieces).Stands(pieces, si.Voltage(d.vHi), d.derate)
}

const (
	roleCurrent = "current divider"
	RoleShunt   = "shunt"
)

// shuntsTried is how many shunts are searched with their dividers before the rest, which are tried
// only when those fail.
const shuntsTried = 12

// shuntsWorth is how many shunts are tried at most.
const shuntsWorth = 60

// DesignCurrent finds the best shunts and current dividers: up to eight with a trimmer, best first,
// then up to eight without. A trimmed one has Set inside the span that every corner reaches and no
// corner at any position above HighLimit; an untrimmed one has every corner between LowLimit and
// HighLimit. Shunts are taken in the order fewest parts, sense voltage nearest to the geometric
// middle of its range in steps of 10 %, tightest; the order of designs is least span class, fewest
// resistors with the shunt counted, shunt order, then as in DesignVoltage. Pieces of the shunt are
// not used a second time in the divider, should a lot be in both lists.
func DesignCurrent(spec CurrentSpec, stock resistors.Stock,
	trimmers []resistors.TrimmerPiece) ([]CurrentNetwork, Shortfall) {
	shunts := spec.shuntNetworks()
	if len(shunts) == 0 {
		return nil, shuntShortfall(spec)
	}
	if d := newCurrentDivider(spec, shunts[0]); !d.sane() {
		return nil, Shortfall{Role: roleCurrent, Missing: true,
			Check: "limit above the set current",
			Value: d.set, Limit: d.high, Unit: "A"}
	}
	if out := currentDesigns(spec, shunts, stock, sortedTrims(trimmers)); len(out) > 0 {
		return out, Shortfall{}
	}
	return nil, currentShortfall(spec, shunts, stock, trimmers)
}

// currentDesigns lists the designs over all shunts, trimmed ones first.
func currentDesigns(spec CurrentSpec, shunts []resistors.Network, stock resistors.Stock,
	trims []trim) []CurrentNetwork {
	var out []CurrentNetwork
	for _, list := range [][]trim{trims, {untrimmed}} {
		for start := 0; start < len(shunts); start += shuntsTried {
			batch := shunts[start:min(len(shunts), start+shuntsTried)]
			if some := currentBatch(spec, batch, stock, list); len(some) > 0 {
				out = append(out, some...)
				break
			}
		}
	}
	return out
}

// currentBatch lists the best designs over a few shunts.
func currentBatch(spec CurrentSpec, shunts []resistors.Network, stock resistors.Stock,
	trims []trim) []CurrentNetwork {
	type placed struct {
		found
		shunt int
	}
	var all []placed
	for i, shunt := range shunts {
		left := stock.WithoutLots(shunt.Uses())
		s := newSearch(newCurrentDivider(spec, shunt), left.Pieces, trims, DesignsKept)
		s.all(left)
		for _, f := range s.best {
			f.parts += shunt.N
			all = append(all, placed{f, i})
		}
	}
	slices.SortFunc(all, func(a, b placed) int {
		return cmp.Or(a.class-b.class, a.parts-b.parts, a.shunt-b.shunt,
			compareFound(a.found, b.found))
	})
	var out []CurrentNetwork
	for _, p := range all[:min(len(all), DesignsKept)] {
		g, o := p.g.Network(stock.Pieces), p.o.Network(stock.Pieces)
		out = append(out, describeCurrent(spec, shunts[p.shunt], o, g, &trims[p.trim]))
	}
	return out
}

// shuntNetworks lists the shunts whose sense voltage and power fit, best first, one for each value.
func (s CurrentSpec) shuntNetworks() []resistors.Network {
	lo, hi := s.shuntRange()
	if !(lo > 0) || !(hi >= lo) {
		return nil
	}
	stock := s.shuntStock()
	aim := math.Sqrt(lo * hi)
	off := func(r si.Resistance) int {
		return int(
			math.Round(10 * math.Abs(math.Log(float64(r)/aim))))
	}
	var out []resistors.Network
	for parts := 1; parts <= 3 && len(out) < shuntsWorth; parts++ {
		list := resistors.Between(stock.List(parts, lo, hi), lo, hi)
		nets := make([]resistors.Network, 0, len(list))
		for i := range list {
			n := list[i].Network(stock.Pieces)
			if stock.Holds(n) && n.Stands(stock.Pieces, si.Voltage(float64(s.Set)*float64(n.Ohm)),
				orDefault(s.PowerDerate, resistors.Derating)) {
				nets = append(nets, n)
			}
		}
		slices.SortStableFunc(nets, func(a, b resistors.Network) int {
			return cmp.Or(off(a.Ohm)-off(b.Ohm), cmp.Compare(a.Tolerance, b.Tolerance))
		})
		for _, n := range nets {
			same := func(m resistors.Network) bool {
				return m.Ohm == n.Ohm && m.Tolerance <= n.Tolerance
			}
			if len(out) < shuntsWorth && !slices.ContainsFunc(out, same) {
				out = append(out, n)
			}
		}
	}
	return out
}

func (s CurrentSpec) shuntRange() (lo, hi float64) {
	return float64(s.SenseMin) / float64(s.Set), float64(s.SenseMax) / float64(s.Set)
}

// shuntStock is the shunts with their bands widened for their own warming, in the order of
// NewStock(s.Shunts).
func (s CurrentSpec) shuntStock() resistors.Stock {
	pieces := resistors.SortedPieces(s.Shunts)
	for i := range pieces {
		pieces[i] = pieces[i].Over(s.ShuntRise)
	}
	return resistors.Stock{Pieces: pieces, Legs: resistors.NewLegTable(pieces)}
}

// CheckCurrent computes every figure of a given shunt and divider; trimmer may be nil. The shunt is
// one of the networks of NewStock(spec.Shunts). Nothing is judged.
func CheckCurrent(spec CurrentSpec, shunt, top, bottom resistors.Network,
	trimmer *resistors.TrimmerPiece) CurrentNetwork {
	t := &untrimmed
	if trimmer != nil {
		t = newTrim(*trimmer)
	}
	return describeCurrent(spec, shunt, top, bottom, t)
}

func describeCurrent(spec CurrentSpec, shunt, top, bottom resistors.Network,
	t *trim) CurrentNetwork {
	d := newCurrentDivider(spec, shunt)
	tn, tl, th := float64(top.Ohm), float64(top.Low), float64(top.High)
	bn, bl, bh := float64(bottom.Ohm), float64(bottom.Low), float64(bottom.High)
	sense := d.set * d.rn
	pieces := resistors.SortedPieces(spec.Shunts)
	load := shunt.Load(pieces, si.Voltage(sense))
	c := CurrentNetwork{
		Shunt: shunt, ShuntPower: load.Total, ShuntLoad: load.Share, Sense: si.Voltage(sense),
		Top: top, Bottom: bottom, Trimmer: t.piece, HasTrimmer: !t.fixed, Parts: shunt.N +
			top.N + bottom.N,
		Low: si.Current(d.nominal(tn+t.ohm, bn)), High: si.Current(d.nominal(tn, bn)),
		WorstLow: si.Current(d.least(th+t.hi, bl)), WorstHigh: si.Current(d.most(tl, bh)),
		OpenWiper: si.Current(d.nominal(tn+t.ohm, bn)),
		Hot:       spec.hot(shunt, pieces),
		Draw:      si.Current(sense / bn), OffsetError: si.Ratio(d.off / sense),
	}
	c.ReachLow, c.ReachHigh = c.Low, c.High
	if c.HasTrimmer {
		c.Parts++
		c.ReachLow, c.ReachHigh = si.Current(d.most(tl+t.lo, bh)), si.Current(d.least(th+t.end, bl))
	}
	return c
}

// hot is the current in A that flows when every shunt part has warmed by ShuntRise and drifted
// upwards, the level being the same: the set current over the ratio of the resistances.
func (s CurrentSpec) hot(shunt resistors.Network, pieces []resistors.Piece) si.Current {
	var warm [3]float64
	for k := range shunt.N {
		drift := float64(pieces[shunt.Pieces[k]].Drift) * float64(s.ShuntRise)
		warm[k] = float64(shunt.Values[k]) * (1 + drift)
	}
	return si.Current(float64(s.Set) * float64(shunt.Ohm) /
		resistors.Combine(shunt.Wiring, warm[0], warm[1], warm[2]))
}
