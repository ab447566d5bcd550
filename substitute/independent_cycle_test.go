package substitute_test

import (
	"math"
)

// This file steps through the time: one switching cycle, one half wave of the mains. Plain SI
// units.

// stage is an ideal flyback stage: the primary current rises by bus/l while the switch is on, and
// what the core holds falls by reflected/l while it is off.
type powerCycle struct{ bus, reflected, l, f float64 }

// cycle is one switching cycle: the current starts, rises for on seconds to peak and falls for off
// seconds to end.
type cycle struct{ start, peak, end, on, off float64 }

// from runs one cycle from a start current until the limit or the longest on-time.
func (s powerCycle) from(start, limit, longest float64) cycle {
	c := cycle{start: start, peak: limit, on: (limit - start) * s.l / s.bus}
	if most := longest / s.f; c.on > most {
		c.on, c.peak = most, start+s.bus/s.l*most
	}
	rest := 1/s.f - c.on
	c.off = min(rest, c.peak*s.l/s.reflected)
	c.end = max(0, c.peak-s.reflected/s.l*c.off)
	return c
}

// settled is the cycle that ends where it started. A higher start gives a lower end, so halving
// finds it, also where a real stage with this duty would swing.
func (s powerCycle) settled(limit, longest float64) cycle {
	low, high := 0.0, limit
	for range 60 {
		mid := (low + high) / 2
		if s.from(mid, limit, longest).end > mid {
			low = mid
		} else {
			high = mid
		}
	}
	return s.from(low, limit, longest)
}

// power is what the cycle draws from the bus: the integral of voltage times current over the
// on-time, times the frequency.
func (s powerCycle) power(c cycle) float64 {
	return s.f * s.bus * integral(c.on, func(t float64) float64 { return c.start + s.bus/s.l*t })
}

// carrying is the settled cycle that draws the power, found by halving its peak.
func (s powerCycle) carrying(power float64) cycle {
	low, high := 0.0, 1.0
	for s.power(s.settled(high, 1)) < power && high < 1e4 {
		high *= 2
	}
	for range 60 {
		mid := (low + high) / 2
		if s.power(s.settled(mid, 1)) < power {
			low = mid
		} else {
			high = mid
		}
	}
	return s.settled(high, 1)
}

// currents are the mean and rms values over a whole period of both windings, the secondary's seen
// from the primary.
type currents struct{ mean, rms, secondMean, secondRMS float64 }

func (s powerCycle) currents(c cycle) currents {
	rise := func(t float64) float64 { return c.start + s.bus/s.l*t }
	fall := func(t float64) float64 { return c.peak - s.reflected/s.l*t }
	square := func(f func(float64) float64) func(float64) float64 {
		return func(t float64) float64 { return f(t) * f(t) }
	}
	return currents{
		mean: s.f * integral(c.on, rise), rms: math.Sqrt(s.f * integral(c.on, square(rise))),
		secondMean: s.f * integral(c.off,
			fall), secondRMS: math.Sqrt(s.f * integral(c.off, square(fall))),
	}
}

// integral is the integral of f from 0 to end by the midpoint rule with 400 strips; 2e-6 of the
// square of a straight line.
func integral(end float64, f func(float64) float64) float64 {
	const strips = 400
	h, sum := end/strips, 0.0
	for i := range strips {
		sum += f((float64(i) + 0.5) * h)
	}
	return sum * h
}

// leastInductance is the smallest inductance whose settled cycles draw the power with the limit and
// the longest on-time: steps of 3 % upwards until one does, then halving. Infinite when none up to
// 1 H does.
func leastInductance(s powerCycle, power, limit, longest float64) float64 {
	draws := func(l float64) float64 {
		s.l = l
		return s.power(s.settled(limit, longest))
	}
	high := 1e-6
	for draws(high) < power {
		if high *= 1.03; high > 1 {
			return math.Inf(1)
		}
	}
	low := high / 1.03
	for range 50 {
		if mid := (low + high) / 2; draws(mid) < power {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// mains is the rectified mains with its bulk capacitor and a constant power drawn from it.
type mains struct{ vac, line, drop, c, power float64 }

func (m mains) wave(t float64) float64 {
	return math.Sqrt2*m.vac*math.Abs(math.Cos(2*math.Pi*m.line*t)) - 2*m.drop
}

// ripple is what the simulation of one half wave finds.
type ripple struct{ valley, capacitorRMS float64 }

// halfWave discharges the capacitor from the crest by dV/dt = -P/(C V), fourth-order steps of 5 us,
// until the next half wave meets it; from there to the crest the mains carries the load and charges
// the capacitor.
func (m mains) halfWave() ripple {
	const h = 5e-6
	slope := func(v float64) float64 { return -m.power / (m.c * v) }
	v, t, squares := m.wave(0), 0.0, 0.0
	half := 1 / (2 * m.line)
	for t < half && (t < half/2 || m.wave(t) < v) {
		k1 := slope(v)
		k2 := slope(v + h/2*k1)
		k3 := slope(v + h/2*k2)
		k4 := slope(v + h*k3)
		squares += h * (m.power / v) * (m.power / v)
		v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		t += h
	}
	r := ripple{valley: v}
	for ; t < half; t += h {
		i := m.c * (m.wave(t+h/2) - m.wave(t-h/2)) / h
		squares += h * i * i
	}
	r.capacitorRMS = math.Sqrt(squares / half)
	return r
}
