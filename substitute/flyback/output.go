package flyback

import "sparewright/catalog/si"

// OutputCapacitance is the least capacitance in F that feeds out for the time alone with a sag of
// ripple volts, series resistance left out: I t/dV. Source: SLUS223E eq. 21 (with t the on-time);
// M. Brown, Power Supply Cookbook, 2nd ed. (Newnes 2001), section 3.15.3.
func OutputCapacitance(out si.Current, alone si.Time, ripple si.Voltage) si.Capacitance {
	return si.Capacitance(float64(out) * float64(alone) / float64(ripple))
}

// SeriesResistanceForRipple is the largest series resistance in ohm of a capacitor in which a
// current step (A) makes no more than ripple volts. Source: Magnetics, ferrite catalogue section 4
// 'Power Design' (2006), p. 4.14.
func SeriesResistanceForRipple(ripple si.Voltage, step si.Current) si.Resistance {
	return si.Resistance(float64(ripple) / float64(step))
}

// ChokeCapacitance is the least capacitance in F behind a choke whose triangular ripple current is
// swing (A peak to peak): dI/(8 f dV). Source: Magnetics, ferrite catalogue section 4 'Power
// Design' (2006), p. 4.13.
func ChokeCapacitance(swing si.Current, f si.Frequency, ripple si.Voltage) si.Capacitance {
	return si.Capacitance(float64(swing) / (8 * float64(f) * float64(ripple)))
}
