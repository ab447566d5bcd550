package regulation

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// VoltageSpec is what the voltage divider has to do.
type VoltageSpec struct {
	Set si.Voltage // set point at the node the divider senses
	// Band is where the set voltage may lie; it binds a network without trimmer. Zero: as far below
	// Set as Absolute is above.
	Band     si.Interval[si.Voltage]
	Absolute si.Voltage // never exceeded, in any trimmer position and any tolerance corner

	// reference as known: printed limits, or measured with the error of the meter
	Vref        si.Interval[si.Voltage]
	VrefNominal si.Voltage // zero: the middle of Vref
	// most that flows into or out of the feedback input; taken as either sign
	BiasCurrent si.Current
	Offset      si.Voltage // largest input offset, either sign

	// DividerCurrent is the allowed current in the divider. Zero: DefaultDividerCurrent. At least
	// BiasShare bias currents in any case.
	DividerCurrent si.Interval[si.Current]
	Derate         si.Ratio // share of the power rating a resistor may take; zero: Derating
}

// DefaultDividerCurrent is the divider current, 0.1 to 3 mA, where a spec leaves it open. Common
// practice, no source.
func DefaultDividerCurrent() si.Interval[si.Current] {
	return si.Interval[si.Current]{Low: 0.1e-3, High: 3e-3}
}

// BiasShare is how many times the input bias current the divider current has to be at least.
// Source: the rule for the 2 to 4 uA reference input in the TL431 data sheet, TI SLVS543S.
const BiasShare = 100

// StatisticalShare is the share of builds the statistical bands hold.
const StatisticalShare si.Ratio = 0.997

// DesignsKept is how many designs of a kind are returned.
const DesignsKept = 8

// VoltageNetwork is one way to build the voltage divider. Voltages are those at the node the
// divider senses.
type VoltageNetwork struct {
	Top, Bottom resistors.Network
	Trimmer     resistors.TrimmerPiece
	HasTrimmer  bool

	SetLow, SetHigh     si.Voltage // nominal values with the whole track in and with none of it
	WorstLow, WorstHigh si.Voltage // over all tolerance corners and trimmer positions
	// ReachLow to ReachHigh is the span that every corner can reach, the residue at the stop
	// counted. The set point lies inside. Without trimmer both are the nominal voltage.
	ReachLow, ReachHigh si.Voltage
	// nominal, with the wiper lifted off the track: never above SetLow
	OpenWiper si.Voltage
	Current   si.Current // through the divider at the set point

	Position si.Ratio // share of the track in circuit at the nominal set point
	// worst case with the trimmer left at the nominal position, its track tolerance included
	Untrimmed si.Interval[si.Voltage]
	// the same for StatisticalShare of builds; every part equally likely anywhere in its tolerance
	Statistical si.Interval[si.Voltage]
	Parts       int // resistors and trimmer

	Step *MeasuredStep // that finishes it; nil where nothing has to be measured
}

// voltageDivider is a VoltageSpec in plain SI. The given leg is the top one, which alone fixes the
// divider current.
type voltageDivider struct {
	voltageNode
	set, abs, bandLo, bandHi float64 // V
	drawLo, drawHi           float64 // A
	derate                   si.Ratio
}

// voltageNode is the joint of the legs, as the amplifier holds it: what output makes it so.
type voltageNode struct {
	vNom, vLo, vHi float64 // V at balance: reference and offset
	bias           float64 // A
}

func newVoltageDivider(s VoltageSpec) voltageDivider {
	if s.VrefNominal == 0 {
		s.VrefNominal = s.Vref.Mid()
	}
	if s.Band == (si.Interval[si.Voltage]{}) {
		s.Band = si.Interval[si.Voltage]{Low: 2*s.Set - s.Absolute, High: s.Absolute}
	}
	if s.DividerCurrent == (si.Interval[si.Current]{}) {
		s.DividerCurrent = DefaultDividerCurrent()
	}
	bias, off := math.Abs(float64(s.BiasCurrent)), math.Abs(float64(s.Offset))
	return voltageDivider{
		voltageNode: voltageNode{vNom: float64(s.VrefNominal), vLo: float64(s.Vref.Low) - off,
			vHi: float64(s.Vref.High) + off, bias: bias},
		set: float64(s.Set), abs: float64(s.Absolute),
		bandLo: float64(s.Band.Low), bandHi: float64(s.Band.High),
		drawLo: max(float64(s.DividerCurrent.Low), BiasShare*bias),
		drawHi: float64(s.DividerCurrent.High),
		derate: orDefault(s.Derate, resistors.Derating),
	}
}

// sane reports whether the spec can be designed for at all.
func (d voltageDivider) sane() bool {
	return d.vLo > 0 && d.vHi >= d.vLo && d.vNom > 0 && d.set > d.vHi && d.abs >= d.set &&
		d.drawHi > 0 && d.drawHi >= d.drawLo
}

// most and least are the highest and lowest output in V with the top leg and the whole bottom leg
// given in ohm: the current through the top is the node voltage over the bottom, plus or minus the
// bias current. Kirchhoff's current law at the node.
func (d voltageNode) most(top, bottom float64) float64 {
	return d.vHi*(1+top/bottom) + d.bias*top
}

func (d voltageNode) least(top, bottom float64) float64 {
	return d.vLo*(1+top/bottom) - d.bias*top
}

func (d voltageNode) nominal(top, bottom float64) float64 {
	return d.vNom * (1 + top/bottom)
}

// bottomForMost is the bottom in ohm at which most(top, bottom) is v; bottomForLeast likewise.
// Infinite when no bottom is.
func (d voltageNode) bottomForMost(top, v float64) float64 {
	return positive(top / ((v-d.bias*top)/d.vHi - 1))
}

func (d voltageNode) bottomForLeast(top, v float64) float64 {
	return positive(top / ((v+d.bias*top)/d.vLo - 1))
}

func positive(r float64) float64 {
	if r > 0 {
		return r
	}
	return math.Inf(1)
}

func (d voltageDivider) given() (lo, hi float64) {
	over := d.set - d.vNom
	if !(d.drawLo > 0) {
		return over / d.drawHi, math.Inf(1)
	}
	return over / d.drawHi, over / d.drawLo
}

func (d voltageDivider) limits(g *resistors.Leg, fixed bool) limits {
	if fixed {
		return limits{least: d.bottomForMost(g.Hi, min(d.abs, d.bandHi)),
			most: d.bottomForLeast(g.Lo, d.bandLo)}
	}
	return limits{
		least: d.bottomForMost(g.Hi, d.abs),
		whole: d.bottomForMost(g.Hi, d.set),
		most:  d.bottomForLeast(g.Lo, d.set),
	}
}

func (d voltageDivider) unloaded() divider {
	d.bias = 0
	return d
}

func (d voltageDivider) span(g, o *resistors.Leg, t *trim) float64 {
	if t.fixed {
		return 0
	}
	return d.vNom * g.Nom * t.ohm / (o.Nom * (o.Nom + t.ohm)) / d.set
}

func (d voltageDivider) margin(g, o *resistors.Leg, t *trim) (above, below float64) {
	worst := d.most(g.Hi, o.Lo)
	if t.fixed {
		return (min(d.abs, d.bandHi) - worst) / d.set, (d.least(g.Lo, o.Hi) - d.bandLo) / d.set
	}
	return min(d.abs-worst, d.set-d.most(g.Hi, o.Lo+t.lo)) / d.set,
		(d.least(g.Lo, o.Hi+t.end) - d.set) / d.set
}

func (d voltageDivider) draw(g *resistors.Leg) float64 { return (d.set - d.vNom) / g.Nom }

func (d voltageDivider) ratings(g, o *resistors.Leg, pieces []resistors.Piece) bool {
	return g.Network(pieces).Stands(pieces, si.Voltage(d.abs-d.vLo), d.derate) &&
		o.Network(pieces).Stands(pieces, si.Voltage(d.vHi), d.derate)
}

// DesignVoltage finds the best voltage dividers the stock allows: up to eight with a trimmer, best
// first, then up to eight without. A trimmed one has the set point inside the span that every
// tolerance corner can reach, and no corner at any position above Absolute; an untrimmed one has
// every corner inside Band and below Absolute. The order is: least trimmer span in classes of 5,
// 10, 20, 40 and 80 % of the set point, fewest resistors, most margin to the limits in steps of 0.1
// % (with a trimmer up to 0.5 %), largest divider current in octaves, most margin in steps of 0.01
// %, largest divider current, smallest trimmer, lowest pieces. Legs of three parts are tried only
// where legs of one and two give nothing. When nothing is found the Shortfall says why and what
// would help.
func DesignVoltage(spec VoltageSpec, stock resistors.Stock,
	trimmers []resistors.TrimmerPiece) ([]VoltageNetwork, Shortfall) {
	d := newVoltageDivider(spec)
	if !d.sane() {
		return nil, Shortfall{Role: RoleVoltage, Missing: true,
			Check: "set voltage above the reference and not above the limit",
			Value: d.set, Limit: d.vHi, Unit: "V"}
	}
	trims := sortedTrims(trimmers)
	out := d.designs(stock, trims)
	if len(out) == 0 {
		return nil, voltageShortfall(spec, d, stock, trimmers)
	}
	return out, Shortfall{}
}

const RoleVoltage = "voltage divider"

func (d voltageDivider) designs(stock resistors.Stock, trims []trim) []VoltageNetwork {
	var out []VoltageNetwork
	for _, list := range [][]trim{trims, {untrimmed}} {
		s := newSearch(d, stock.Pieces, list, DesignsKept)
		s.all(stock)
		for i := range s.best {
			f := &s.best[i]
			out = append(out, d.describe(f.g.Network(stock.Pieces), f.o.Network(stock.Pieces),
				&list[f.trim]))
		}
	}
	return out
}

// CheckVoltage computes every figure of a given divider; trimmer may be nil. Nothing is judged.
func CheckVoltage(spec VoltageSpec, top, bottom resistors.Network,
	trimmer *resistors.TrimmerPiece) VoltageNetwork {
	t := &untrimmed
	if trimmer != nil {
		t = newTrim(*trimmer)
	}
	return newVoltageDivider(spec).describe(top, bottom, t)
}

func (d voltageDivider) describe(top, bottom resistors.Network, t *trim) VoltageNetwork {
	tn, tl, th := float64(top.Ohm), float64(top.Low), float64(top.High)
	bn, bl, bh := float64(bottom.Ohm), float64(bottom.Low), float64(bottom.High)
	v := VoltageNetwork{
		Top: top, Bottom: bottom, Trimmer: t.piece, HasTrimmer: !t.fixed, Parts: top.N + bottom.N,
		SetLow: si.Voltage(d.nominal(tn, bn+t.ohm)), SetHigh: si.Voltage(d.nominal(tn, bn)),
		WorstLow: si.Voltage(d.least(tl, bh+t.hi)), WorstHigh: si.Voltage(d.most(th, bl)),
		OpenWiper: si.Voltage(d.nominal(tn, bn+t.ohm)),
		Current:   si.Current((d.set - d.vNom) / tn),
	}
	v.ReachLow, v.ReachHigh = v.SetLow, v.SetHigh
	x := 0.0
	if v.HasTrimmer {
		v.Parts++
		v.ReachLow, v.ReachHigh = si.Voltage(d.most(th, bl+t.lo)), si.Voltage(d.least(tl, bh+t.end))
		x = min(1, max(0, (d.vNom*tn/(d.set-d.vNom)-bn)/t.ohm))
	}
	v.Position = si.Ratio(x)
	v.Untrimmed = si.Interval[si.Voltage]{
		Low:  si.Voltage(d.least(tl, bh+x*t.hi)),
		High: si.Voltage(d.most(th, bl+x*t.lo)),
	}
	v.Statistical = d.statistical(top, bottom, x, t, v.Untrimmed)
	return v
}

// statistical is the band of StatisticalShare of builds. Each part, the reference, the offset and
// the bias current lie anywhere in their tolerance with equal likelihood, so each has a standard
// deviation of its half width over sqrt 3; three standard deviations of the sum hold at least 99.7
// % for such sums, whose tails are shorter than the normal ones. Never wider than the worst case.
func (d voltageNode) statistical(
	top, bottom resistors.Network, x float64, t *trim, worst si.Interval[si.Voltage],
) si.Interval[si.Voltage] {
	mid := (d.vLo + d.vHi) / 2
	tn, bn := float64(top.Ohm), float64(bottom.Ohm)+x*t.ohm
	center := mid * (1 + tn/bn)
	sum := square((d.vHi-d.vLo)/2*(1+tn/bn)) + square(d.bias*tn)
	for _, r := range resistors.Swings(top) {
		sum += square(mid * (r[1] - r[0]) / 2 / bn)
	}
	for _, r := range resistors.Swings(bottom) {
		sum += square(mid * tn * (1/(r[0]+x*t.ohm) - 1/(r[1]+x*t.ohm)) / 2)
	}
	sum += square(mid * tn / square(bn) * x * t.tol * t.ohm)
	half := math.Sqrt(3 * sum)
	return si.Interval[si.Voltage]{
		Low:  max(worst.Low, si.Voltage(center-half)),
		High: min(worst.High, si.Voltage(center+half)),
	}
}

func square(x float64) float64 { return x * x }
