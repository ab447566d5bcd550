package catalog

import "sparewright/catalog/si"

// completeOptocoupler assumes the low figures of the common four-pin part: 1.4 V at 20 mA, 35 V,
// ratio stated at 5 mA and at most six times the lowest (Sharp PC817), 6.4 mm creepage and 7.62 mm
// between the rows (from memory). The cut-off frequency is that printed for PC817, EL817 and
// LTV-817, 80 kHz at 100 ohm, a darlington a tenth of it (from memory).
func completeOptocoupler(p Optocoupler) Optocoupler {
	if p.Output == "" {
		p.Output = "phototransistor"
	}
	assume(&p.RatioMax, 6*p.RatioMin.Value)
	assume(&p.RatioAt, 5e-3)
	assume(&p.Forward, 1.4)
	assume(&p.Collector, 35)
	assume(&p.Creepage, 6.4e-3)
	assume(&p.LeadSpread, 7.62e-3)
	if p.Output == "darlington" {
		assume(&p.CutOff, 8e3)
	}
	assume(&p.CutOff, 80e3)
	return p
}

// completeAmplifier assumes an old dual op-amp that does not read down to its negative rail, for an
// unlisted one may not: inputs from 1.5 V up, 2 V of headroom and 4 V at 30 V (LM358, TI SLOS068W,
// 2 kohm), 10 mV of offset, 500 nA of bias current, 5 mA each way, 3 mA for itself. The built-in
// reference of a combined chip has 1 % and needs 1 mA (ST TSM103: 1 % and 1 mA).
func completeAmplifier(p Amplifier) Amplifier {
	assume(&p.SupplyCurrent, 3e-3)
	assume(&p.Offset, 10e-3)
	assume(&p.BiasCurrent, 500e-9)
	assume(&p.InputLow, 1.5)
	assume(&p.Headroom, 2)
	assume(&p.HeadroomHigh, max(4, p.Headroom.Value))
	if p.Function != "controller" && p.Function != "comparator" {
		assume(&p.Source, 5e-3)
	}
	assume(&p.Sink, 5e-3)
	if p.Vref.Known() {
		spread(&p.VrefMin, &p.Vref, &p.VrefMax, 0.01)
		assume(&p.CathodeMin, 1e-3)
		assume(&p.CathodeMax, 50e-3)
	}
	return p
}

// OutputHeadroom is how far below the positive rail the output of the amplifier may stay at a
// supply in volts: the figure at 5 V, that at 30 V, and a straight line between them; never less
// than at 5 V.
func (p Amplifier) OutputHeadroom(supply si.Voltage) si.Voltage {
	p = completeAmplifier(p)
	const low, high = 5, 30
	part := min(max(float64(supply-low)/(high-low), 0), 1)
	return p.Headroom.Value + si.Voltage(part)*max(0, p.HeadroomHigh.Value-p.Headroom.Value)
}

// completeReference assumes the widest grade of the 2.5 V shunt reference: 2.2 %, 1 mA to regulate,
// 4 uA into the input (TI, standard grade), 100 ppm/K, and no more than 20 V and 15 mA, what its
// low-voltage and precision sisters bear.
func completeReference(p Reference) Reference {
	spread(&p.VrefMin, &p.Vref, &p.VrefMax, 0.022)
	assume(&p.Drift, 100e-6)
	assume(&p.CathodeMin, 1e-3)
	assume(&p.CathodeMax, 15e-3)
	assume(&p.CathodeVolts, 20)
	assume(&p.InputCurrent, 4e-6)
	return p
}
