package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// BusPeak is the crest of the rectified mains in V: sqrt(2) times the rms mains voltage less two
// diode drops of the bridge, never below zero.
func BusPeak(vac si.Voltage, diodeDrop si.Voltage) si.Voltage {
	return max(0, math.Sqrt2*vac-2*diodeDrop)
}

// BusValley is the lowest bus voltage in V when the capacitor c alone feeds the constant power p
// from the crest until the next half wave meets it: V^2 = Vpk^2 - 2 P t/C against sqrt(2) vac
// |cos(2 pi f t)| - 2 drops, solved by regula falsi. In truth the bus follows the half wave a
// little past the crest, so that the true valley is slightly higher. It is false when the capacitor
// runs empty first, and for figures at or below zero (power and drop: below zero).
func BusValley(vac si.Voltage, line si.Frequency, c si.Capacitance, p si.Power,
	diodeDrop si.Voltage) (si.Voltage, bool) {
	t, ok := meeting(vac, line, c, p, diodeDrop)
	if !ok {
		return 0, false
	}
	return sagged(BusPeak(vac, diodeDrop), c, p, t), true
}

// sagged is the bus in V after c has fed p alone for t seconds from peak.
func sagged(peak si.Voltage, c si.Capacitance, p si.Power, t float64) si.Voltage {
	v := float64(peak)
	return si.Voltage(math.Sqrt(max(0, v*v-2*float64(p)*t/float64(c))))
}

// meeting is the time in s from a crest until the next half wave meets the discharging bus.
func meeting(vac si.Voltage, line si.Frequency, c si.Capacitance, p si.Power,
	diodeDrop si.Voltage) (float64, bool) {
	crest, drops := math.Sqrt2*float64(vac), 2*float64(diodeDrop) // V
	peak := crest - drops
	if !(peak > 0 && line > 0 && c > 0 && p >= 0 && drops >= 0) {
		return 0, false
	}
	w := 2 * math.Pi * float64(line)    // 1/s
	fall := 2 * float64(p) / float64(c) // V2/s
	low := (math.Pi - math.Acos(drops/crest)) / w
	high := math.Pi / w
	if peak*peak-fall*low <= 0 {
		return 0, false
	}
	// regula falsi between the two, the end that stays put weighing half as much (Illinois): some
	// eight steps
	over := func(t float64) float64 {
		wave := -crest*math.Cos(w*t) - drops // not negative between low and high
		return wave*wave - peak*peak + fall*t
	}
	under, above := over(low), over(high)
	t, last := high, 0
	for range 60 {
		mid := (low*above - high*under) / (above - under)
		if !(mid > low && mid < high) || math.Abs(mid-t) < 1e-15 {
			break
		}
		t = mid
		if y := over(mid); y < 0 {
			low, under = mid, y
			if last < 0 {
				above /= 2
			}
			last = -1
		} else {
			high, above = mid, y
			if last > 0 {
				under /= 2
			}
			last = 1
		}
	}
	return t, true
}
