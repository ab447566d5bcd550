// Package stage computes a power stage whole: switcher, core, gap, windings, clamp and rectifier at
// all their corners.
package stage

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stock"
)

// Figures of the stage that no part states. Sources beside them.
const (
	BreakdownUse   = 0.90  // of a published breakdown voltage; common practice, no source
	BreakdownGuess = 0.85  // of one from memory
	ReverseUse     = 0.80  // of the rectifier's rating, AN-23 step 6
	ClampAbove     = 1.30  // x reflected voltage, SLVAFK6 / AN-23
	LimitUse       = 0.96  // of the lowest current limit, AN-30 eq. 17
	LimitUseGuess  = 0.90  // when the limit is from memory, AN-23 step 8
	HighestVR      = 150.0 // V, AN-23 steps 6 and 16
	// V, below it the duty is too small to be worth winding; common practice, no source
	LowestVR       = 45.0
	BiasDiode      = 0.7   // V, silicon
	BiasSpike      = 1.2   // leakage spike on the bias winding, from memory
	biasSpare      = 1.05  // over the stop voltage of the chip
	crossover      = 40e-9 // s, voltage and current overlap at turn-off, from memory
	LeastLeakage   = 0.01  // of the primary inductance with mains insulation (AN-19 p. 10)
	currentDensity = 9.9e6 // A/m2, AN-18 p. 10
	CoilLimit      = 110.0 // C
	junctionLimit  = 110.0 // C, or 25 K below the lowest shutdown temperature
	PulsesLimit    = 0.95
	valleyLimit    = 0.55
	RectifierUse   = 0.70 // of the average rating, for the heat inside; common practice, no source
	windingHot     = 100  // C, at which copper is reckoned
)

// Variant is a drive with one setting of its current limit, and the switch it drives. A chip of the
// drawer that has its switch inside is both.
type Variant struct {
	Drive
	Switch
	Stock *stock.Stock[catalog.Switcher] // that chip, to be taken
	Aux   si.Power                       // what the secondary circuit takes, with the LED it needs
}

// Design is one point of the design space.
type Design struct {
	V      *Variant
	C      *BareCore
	Core   magnetics.LossCurve // of the core at the frequency of the switcher
	Np, Ns int
	Gap    *MadeGap
	Rect   *RectifierChoice
	Plan   *Plan
	Clamp  ClampChoice
	Nb     int
	Donor  *DonorTransformer // nil unless the transformer is one of the drawer, unopened
}

// On is the part of a design that all turns of a switcher on a core have in common.
func On(v *Variant, c *BareCore) Design { return Design{V: v, C: c, Core: c.LossAt(v.Frequency)} }

// With is the design with turns and a gap, not yet wound.
func (d Design) With(j *Measurer, np, ns, nb, rect, gap int) Design {
	d.Np, d.Ns, d.Nb = np, ns, nb
	d.Gap, d.Rect = &d.C.Gaps[gap], &j.Rectifiers[rect]
	return d
}

// Planned is the key of its ways to wind.
func (d Design) Planned() planKey {
	return planKey{core: d.C.index, np: d.Np, ns: d.Ns, bias: d.Nb,
		band: int(float64(d.V.Frequency) / 20e3)}
}

// Measured is a design with everything computed for it. Its state is that at lowest mains with
// every figure at its middle; the gauges are those of the worst corner, see extremes.go.
type Measured struct {
	Operation
	Judgement
	Of        *Measurer // whose shunt voltage it was reckoned with
	BusMin    si.Voltage
	fluxPeak  si.FluxDensity
	WallPower si.Inductance
	WallFlux  si.Inductance
	Duty      si.Ratio
	Drain     si.Voltage
	ClampTop  si.Voltage // above the bus, hot, at the highest current
	Hottest   hotSpots
	Bias      si.Interval[si.Voltage]
	Filter    si.Capacitance // at the feedback pin, once chosen
	Store     si.Capacitance // at the supply pin of the switcher, once chosen
	Exit      Exit           // choke and capacitor to OUT, once chosen
	PinSeries si.Resistance  // at a control pin that is fed, once chosen
}

// Measurer computes designs of one target whole.
type Measurer struct {
	Chooser
}

// NewMeasurer settles what is common to all designs of a target from what the drawer holds.
func NewMeasurer(d *stock.Drawer, t substitute.Target) *Measurer {
	m := &Measurer{Chooser{Conditions{Frame: newFrame(d, t), surface: substitute.UsualBox.Surface()}}}
	if t.Box != nil {
		m.surface = t.Box.Surface()
	}
	return m
}

// Chooser picks the rectifier and the clamp of a design among the parts of its frame.
type Chooser struct {
	Conditions
}

// Measure computes one design at all its corners. It allocates nothing.
func (j *Measurer) Measure(d Design) (m Measured) {
	return j.MeasureAbove(d, Anything)
}

// Mark is what a design has to come up to: a margin and, where it just reaches that, a loss in mW
// that it may not exceed.
type Mark struct {
	Margin float64
	Loss   int64
}

// Anything is the mark that every design reaches, Sound the one of those that break no limit.
var (
	Anything = Mark{math.Inf(-1), math.MaxInt64}
	Sound    = Mark{0, math.MaxInt64}
)

// Below reports that a design with this margin and loss does not come up to the mark.
func (k Mark) Below(margin float64, loss si.Power) bool {
	return margin < k.Margin || margin == k.Margin && substitute.Milli(loss) > k.Loss
}

// Over reports that a design that came to this mark is better than one that came to the other.
func (k Mark) Over(o Mark) bool {
	return k.Margin > o.Margin || k.Margin == o.Margin && k.Loss < o.Loss
}

// MeasureAbove is measure for a design that is of no use unless it reaches a mark: it stops as soon
// as that is lost in the middle of all ranges, or a hard limit is, unless anything will do.
func (j *Measurer) MeasureAbove(d Design, least Mark) (m Measured) {
	return j.MeasureUnless(d, least, func() bool { return false })
}

// MeasureUnless is MeasureAbove that asks, once a design stood the middle of all ranges, whether to
// leave the corners.
func (j *Measurer) MeasureUnless(d Design, least Mark, leave func() bool) (m Measured) {
	k := corners{judge{balance{Measured: &m, Measurer: j}}}
	k.begin(d)
	k.settleAt(rounds, 0)
	m.BusMin = m.bus
	k.walls()
	k.fixedGauges()
	k.lowestMains()
	k.warmGauges()
	k.clampGauges()
	if m.useless(least, m.Loss.Total()) {
		return m
	}
	if m.Left = leave(); m.Left {
		return m
	}
	k.extremes(least)
	k.clampGauges()
	m.settle()
	return m
}

// Primary is the inductance of the primary with an inductance factor.
func (d *Design) Primary(al si.InductanceFactor) si.Inductance {
	return si.Inductance(float64(al) * float64(d.Np) * float64(d.Np))
}
