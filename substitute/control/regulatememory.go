package control

import (
	"sync"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// voltageKey lets targets that ask for the same divider share its design.
type voltageKey struct {
	set, absolute si.Voltage
	low, high     si.Voltage // band of the set point
	vref          si.Interval[si.Voltage]
	nominal       si.Voltage
	offset        si.Voltage
	bias          si.Current
	drift         si.Ratio
}

// legMemory keeps the dividers that targets asked for before: they depend on resistors and trimmers
// alone.
type legMemory struct {
	mu       sync.Mutex
	volts    map[voltageKey]voltageAnswer
	measured map[voltageKey]voltageAnswer
	currents map[currentKey]currentAnswer
}

func newLegMemory() *legMemory {
	return &legMemory{volts: map[voltageKey]voltageAnswer{},
		measured: map[voltageKey]voltageAnswer{}, currents: map[currentKey]currentAnswer{}}
}

// kept answers from memory what was asked before.
func kept[K comparable, A any](mu *sync.Mutex, memory map[K]A, k K, design func() A) A {
	mu.Lock()
	a, seen := memory[k]
	mu.Unlock()
	if !seen {
		a = design()
		mu.Lock()
		memory[k] = a
		mu.Unlock()
	}
	return a
}

// voltages designs the voltage divider from the whole stock, from memory when a target with the
// same set point already asked.
func (j *Designer) voltages(k voltageKey) ([]regulation.VoltageNetwork, regulation.Shortfall) {
	a := kept(&j.legs.mu, j.legs.volts, k, func() (a voltageAnswer) {
		a.nets, a.short = regulation.DesignVoltage(j.VoltageSpec(k), j.Legs, j.Trims)
		return a
	})
	return a.nets, a.short
}

// measured designs a voltage divider that a measurement finishes, from memory like voltages.
func (j *Designer) measured(k voltageKey) []regulation.VoltageNetwork {
	return kept(&j.legs.mu, j.legs.measured, k, func() (a voltageAnswer) {
		if v, ok := regulation.DesignMeasured(j.MeasuredSpec(k), j.Legs); ok {
			a.nets = []regulation.VoltageNetwork{v}
		}
		return a
	}).nets
}

// MeasuredSpec is what a divider has to do that a measurement finishes. As low as the band again
// below it the pack is charged well enough: at 4.10 V a cell of lithium-ion lacks a tenth at most
// (from memory), and it lasts the longer.
func (j *Designer) MeasuredSpec(k voltageKey) regulation.MeasuredSpec {
	return regulation.MeasuredSpec{VoltageSpec: j.VoltageSpec(k),
		Least: 2*j.Target.BandLow - j.Target.Set, Meter: regulation.HandMeter, Drift: k.drift,
		Warm: substitute.InsideLimit - BenchWarm}
}

// VoltageSpec is what the voltage divider has to do. A divider without a trimmer has to bear the
// drift of the reference on top of its worst corner.
func (j *Designer) VoltageSpec(k voltageKey) regulation.VoltageSpec {
	return regulation.VoltageSpec{Set: k.set, Absolute: k.absolute,
		Band: si.Interval[si.Voltage]{Low: j.Target.BandLow,
			High: min(j.Target.BandHigh, k.absolute/si.Voltage(1+k.drift))}, Vref: k.vref,
		VrefNominal: k.nominal,
		BiasCurrent: k.bias, Offset: k.offset}
}

// currentKey lets targets of the same current share the design of shunt and divider.
type currentKey struct {
	current si.Current
	vref    si.Interval[si.Voltage]
	nominal si.Voltage
	offset  si.Voltage
	bias    si.Current
	left    leftKey // of the stock; zero for the whole
}

// leftKey is what a voltage divider leaves of the resistors and trimmers, by what it was asked for.
type leftKey struct {
	voltageKey
	measured bool // whether a measurement finishes the divider
}

type currentAnswer struct {
	nets  []regulation.CurrentNetwork
	short regulation.Shortfall
}

// currents designs shunt and divider from what the voltage divider has left. The best design of the
// whole stock, from memory, is the best of what is left too whenever its parts are still there;
// only else the search is made anew.
func (j *Designer) currents(w Wish, measured bool, legs resistors.Stock,
	trimmers []resistors.TrimmerPiece) ([]regulation.CurrentNetwork, regulation.Shortfall) {
	spec, t := j.CurrentSpec(w), j.Target
	key := currentKey{current: t.Current, vref: w.Vref, nominal: w.Nominal, offset: w.offset,
		bias: w.bias}
	from := func(k currentKey, legs resistors.Stock,
		trimmers []resistors.TrimmerPiece) currentAnswer {
		return kept(&j.legs.mu, j.legs.currents, k, func() (a currentAnswer) {
			a.nets, a.short = regulation.DesignCurrent(spec, legs, trimmers)
			return a
		})
	}
	whole := from(key, j.Legs, j.Trims).nets
	if len(whole) > 0 && legs.Holds(whole[0].Top, whole[0].Bottom) &&
		holdsTrimmer(trimmers, whole[0]) {
		return whole[:1], regulation.Shortfall{}
	}
	key.left = leftKey{w.VoltageKey(t), measured}
	a := from(key, legs, trimmers)
	return a.nets, a.short
}

// CurrentSpec is what shunt and current divider have to do.
func (j *Designer) CurrentSpec(w Wish) regulation.CurrentSpec {
	i := j.Target.Current
	return regulation.CurrentSpec{Set: i, HighLimit: i * CurrentCeiling, Vref: w.Vref,
		VrefNominal: w.Nominal, Offset: w.offset,
		BiasCurrent: w.bias, Shunts: j.shunts, SenseMin: SenseLeast, SenseMax: SenseMost}
}

func holdsTrimmer(left []resistors.TrimmerPiece, n regulation.CurrentNetwork) bool {
	if !n.HasTrimmer {
		return true
	}
	for _, t := range left {
		if t.Lot == n.Trimmer.Lot {
			return t.Count > 0
		}
	}
	return false
}
