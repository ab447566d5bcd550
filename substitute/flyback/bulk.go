package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// Bulk holds the low-frequency currents around the bulk capacitor.
type Bulk struct {
	Valley       si.Voltage // V, lowest bus voltage
	Conduction   si.Time    // s, length of one charging pulse
	CapacitorRMS si.Current // A, ripple at twice the line frequency and its harmonics
	BridgeRMS    si.Current // A, charging current, which is also the rms current of the mains input
	BridgePeak   si.Current // A
	BridgeMean   si.Current // A
}

// BulkRipple gives the low-frequency currents of bulk capacitor and bridge for the constant power
// p. Approximation, derived here: the mains has no impedance, so that the bus follows the half wave
// exactly while the bridge conducts, from the meeting point of BusValley to the crest. Real mains
// impedance widens the pulse and lowers all but the mean, hence the figures are on the cautious
// side. The charging and the discharging integral are exact; only the squared load current during
// the pulse is taken by Simpson's rule. The ripple at the switching frequency comes on top, root of
// the sum of squares (Operating.SwitchingRipple). It is false where BusValley is.
func BulkRipple(vac si.Voltage, line si.Frequency, c si.Capacitance, p si.Power,
	diodeDrop si.Voltage) (Bulk, bool) {
	t, ok := meeting(vac, line, c, p, diodeDrop)
	if !ok {
		return Bulk{}, false
	}
	crest, drops := math.Sqrt2*float64(vac), 2*float64(diodeDrop) // V
	v := float64(sagged(BusPeak(vac, diodeDrop), c, p, t))
	bulk, load, half := float64(c), float64(p), 1/(2*float64(line)) // F, W, s
	w := 2 * math.Pi * float64(line)
	angle := max(0, math.Pi-w*t)            // rad, conduction before the crest
	sag := math.Log((crest - drops) / v)    // logarithm of crest over valley
	charge := bulk * w * crest              // A, scale of the charging current
	in := charge * charge * lune(angle) / w // A2 s while charging
	out := load * bulk * sag                // A2 s while feeding the load alone
	// A2 s, charging current times load current, twice
	cross := 2 * bulk * load * sag
	own := load * load * square(crest, drops, angle) // A2 s of the load current during the pulse
	return Bulk{
		Valley: si.Voltage(v), Conduction: si.Time(angle / w),
		CapacitorRMS: si.Current(math.Sqrt((in + out) / half)),
		BridgeRMS:    si.Current(math.Sqrt((in + cross + own/w) / half)),
		BridgePeak:   si.Current(bridgePeak(charge, load, crest, drops, angle)),
		BridgeMean: si.Current((bulk*(crest-drops-v) + load*inverse(crest, drops, angle)/w) /
			half),
	}, true
}

// lune is the integral of sin^2 from 0 to x. Below 1e-3 the difference would lose its digits.
func lune(x float64) float64 {
	if x < 1e-3 {
		return x * x * x / 3
	}
	return x/2 - math.Sin(2*x)/4
}

// square is the integral of 1/V^2 over the conduction angle in 1/V2.
func square(crest, drops, angle float64) float64 {
	return simpson(angle, func(x float64) float64 {
		v := crest*math.Cos(x) - drops
		return 1 / (v * v)
	})
}

// inverse is the integral of 1/V over the conduction angle in 1/V.
func inverse(crest, drops, angle float64) float64 {
	return simpson(angle, func(x float64) float64 { return 1 / (crest*math.Cos(x) - drops) })
}

// bridgePeak is the largest of charging plus load current in A. It lies at the start of the pulse:
// the charging current falls from there to the crest, and so does the load current as the bus
// rises.
func bridgePeak(charge, load, crest, drops, angle float64) float64 {
	return charge*math.Sin(angle) + load/(crest*math.Cos(angle)-drops)
}

// simpson integrates f from 0 to end with sixteen strips.
func simpson(end float64, f func(float64) float64) float64 {
	const strips = 16
	h, sum := end/strips, f(0)+f(end)
	for i := 1; i < strips; i++ {
		sum += f(float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}
