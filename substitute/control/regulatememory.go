package control

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// voltageKey lets targets that ask for the same divider share its design.
type voltageKey struct {
	set, absolute si.Voltage
	vref          si.Interval[si.Voltage]
	nominal       si.Voltage
	offset        si.Voltage
	bias          si.Current
	drift         si.Ratio
}

// voltages designs the voltage divider from the whole stock, from memory when a target with the
// same set point already asked.
func (j *Designer) voltages(k voltageKey) ([]regulation.VoltageNetwork, regulation.Shortfall) {
	j.network.mu.Lock()
	a, seen := j.network.volts[k]
	j.network.mu.Unlock()
	if seen {
		return a.nets, a.short
	}
	nets, short := regulation.DesignVoltage(j.VoltageSpec(k), j.Legs, j.Trims)
	j.network.mu.Lock()
	j.network.volts[k] = voltageAnswer{nets, short}
	j.network.mu.Unlock()
	return nets, short
}

// measured designs a voltage divider that a measurement finishes, from memory like voltages.
func (j *Designer) measured(k voltageKey) []regulation.VoltageNetwork {
	j.network.mu.Lock()
	a, seen := j.network.measured[k]
	j.network.mu.Unlock()
	if !seen {
		if v, ok := regulation.DesignMeasured(j.MeasuredSpec(k), j.Legs); ok {
			a.nets = []regulation.VoltageNetwork{v}
		}
		j.network.mu.Lock()
		j.network.measured[k] = a
		j.network.mu.Unlock()
	}
	return a.nets
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
}

// currents designs shunt and divider from what the voltage divider has left. The best design of the
// whole stock, from memory, is the best of what is left too whenever its parts are still there;
// only else the search is made anew.
func (j *Designer) currents(w Wish, legs resistors.Stock,
	trimmers []resistors.TrimmerPiece) ([]regulation.CurrentNetwork, regulation.Shortfall) {
	spec := j.CurrentSpec(w)
	key := currentKey{j.Target.Current, w.Vref, w.Nominal, w.offset, w.bias}
	j.network.mu.Lock()
	whole, seen := j.network.currents[key]
	j.network.mu.Unlock()
	if !seen {
		whole, _ = regulation.DesignCurrent(spec, j.Legs, j.Trims)
		j.network.mu.Lock()
		j.network.currents[key] = whole
		j.network.mu.Unlock()
	}
	if len(whole) > 0 && legs.Holds(whole[0].Top, whole[0].Bottom) &&
		holdsTrimmer(trimmers, whole[0]) {
		return whole[:1], regulation.Shortfall{}
	}
	return regulation.DesignCurrent(spec, legs, trimmers)
}

// CurrentSpec is what shunt and current divider have to do.
func (j *Designer) CurrentSpec(w Wish) regulation.CurrentSpec {
	i := j.Target.Current
	return regulation.CurrentSpec{Set: i, HighLimit: i * currentCeiling, Vref: w.Vref,
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
