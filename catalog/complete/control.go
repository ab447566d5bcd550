package complete

import "sparewright/catalog"

// optocoupler assumes the low figures of the common four-pin part: 1.4 V at 20 mA, 35 V,
// ratio stated at 5 mA and at most six times the lowest (Sharp PC817), 6.4 mm creepage and 7.62 mm
// between the rows (from memory). The cut-off frequency is that printed for PC817, EL817 and
// LTV-817, 80 kHz at 100 ohm, a darlington a tenth of it (from memory).
func optocoupler(p catalog.Optocoupler) catalog.Optocoupler {
	if p.Output == "" {
		p.Output = "phototransistor"
	}
	p.RatioMax.Assume(6 * p.RatioMin.Value)
	p.RatioAt.Assume(5e-3)
	p.Forward.Assume(1.4)
	p.Collector.Assume(35)
	p.Creepage.Assume(6.4e-3)
	p.LeadSpread.Assume(7.62e-3)
	if p.Output == "darlington" {
		p.CutOff.Assume(8e3)
	}
	p.CutOff.Assume(80e3)
	return p
}

// amplifier assumes an old dual op-amp that does not read down to its negative rail, for an
// unlisted one may not: inputs from 1.5 V up, 2 V of headroom and 4 V at 30 V (LM358, TI SLOS068W,
// 2 kohm), 10 mV of offset, 500 nA of bias current, 5 mA each way, 3 mA for itself. The built-in
// reference of a combined chip has 1 % and needs 1 mA (ST TSM103: 1 % and 1 mA).
func amplifier(p catalog.Amplifier) catalog.Amplifier {
	p.SupplyCurrent.Assume(3e-3)
	p.Offset.Assume(10e-3)
	p.BiasCurrent.Assume(500e-9)
	p.InputLow.Assume(1.5)
	p.Headroom.Assume(2)
	p.HeadroomHigh.Assume(max(4, p.Headroom.Value))
	if p.Function != "controller" && p.Function != "comparator" {
		p.Source.Assume(5e-3)
	}
	p.Sink.Assume(5e-3)
	if p.Vref.Known() {
		catalog.Spread(&p.VrefMin, &p.Vref, &p.VrefMax, 0.01)
		p.CathodeMin.Assume(1e-3)
		p.CathodeMax.Assume(50e-3)
	}
	return p
}

// reference assumes the widest grade of the 2.5 V shunt reference: 2.2 %, 1 mA to regulate,
// 4 uA into the input (TI, standard grade), 100 ppm/K, and no more than 20 V and 15 mA, what its
// low-voltage and precision sisters bear.
func reference(p catalog.Reference) catalog.Reference {
	catalog.Spread(&p.VrefMin, &p.Vref, &p.VrefMax, 0.022)
	p.Drift.Assume(100e-6)
	p.CathodeMin.Assume(1e-3)
	p.CathodeMax.Assume(15e-3)
	p.CathodeVolts.Assume(20)
	p.InputCurrent.Assume(4e-6)
	return p
}
