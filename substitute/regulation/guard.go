package regulation

import (
	"cmp"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// The overvoltage protection shares no part with the regulation: a shunt reference of its own
// watches OUT and lights an optocoupler of its own, whose transistor takes the gate of the switch
// in the lead to the pack's minus down. The switch open, OUT rises or stays, and the switch stays
// open.

// CathodeSlope is by how much the threshold of a TL431 falls with its cathode voltage, V per V, the
// most printed (TI SLVS543S: 2.7 mV/V from the reference to 10 V; above that 2 mV/V). It only makes
// the protection act earlier.
const CathodeSlope = 2.7e-3

// GuardSpec is what the divider of the overvoltage protection has to do.
type GuardSpec struct {
	Set      si.Voltage // of the regulation; below it the protection would end a charge early
	Absolute si.Voltage // never passed by the highest trip
	Vref     si.Interval[si.Voltage]
	Nominal  si.Voltage
	Drift    si.Ratio   // of the reference, from the bench to the hottest case
	Input    si.Current // most into the reference input
	Forward  si.Voltage // least across the LED while it is dark
}

// Guard is the divider of the overvoltage protection with its trip at OUT. One with a trimmer is
// set on the bench, and drifts from there.
type Guard struct {
	Top, Bottom           resistors.Network
	Trimmer               resistors.TrimmerPiece
	HasTrimmer            bool
	Position              si.Ratio // share of the track in circuit at the trip wanted
	Low, Trip, High       si.Voltage
	TopToBuy, BottomToBuy si.Resistance // where the stock makes no such divider
}

// Bought reports that both legs are to be bought.
func (g Guard) Bought() bool { return g.TopToBuy > 0 }

// guardShares are the lowest trips of a divider without trimmer, as shares of the set voltage, the
// highest first: that of the first counts hot, from the second on it may end a charge early.
var guardShares = []float64{1, 0.995, 0.99, 0.985, 0.98, 0.97, 0.96, 0.95, 0.93, 0.9}

// misset is how far above the wanted trip a trimmer may set it: no pack sees that unless the
// regulation fails too.
const misset = 1.08

// most is the highest trip on the bench that stays below Absolute hot.
func (s GuardSpec) most() si.Voltage { return s.Absolute / si.Voltage(1+s.Drift) * 0.9995 }

// wanted is the trip to set on the bench: midway to the limit where that leaves the drift on both
// sides.
func (s GuardSpec) wanted() si.Voltage {
	return min(s.most(), max((s.Set+s.Absolute)/2, s.Set*si.Voltage(1+2*s.Drift)))
}

// voltage is the divider as a plain voltage divider without a trimmer.
func (s GuardSpec) voltage(least si.Voltage) VoltageSpec {
	mid := (least + s.most()) / 2
	return VoltageSpec{Set: mid, Absolute: s.most(),
		Band: si.Interval[si.Voltage]{Low: least, High: s.most()},
		Vref: s.vref(), VrefNominal: s.Nominal, BiasCurrent: s.Input}
}

// vref is the threshold at the input with the LED dark, the cathode near OUT.
func (s GuardSpec) vref() si.Interval[si.Voltage] {
	fall := CathodeSlope * max(0, s.Absolute-s.Forward-s.Vref.Low)
	return si.Interval[si.Voltage]{Low: s.Vref.Low - fall, High: s.Vref.High}
}

// DesignGuard finds the divider of the protection. One without a trimmer will do where the window
// between Set and Absolute is wide enough for all its tolerances; else one with a trimmer; else the
// one with the highest trip that stays below Absolute, which may end a charge early. Where the
// stock makes none at all, it names two resistors of 0.1 % to buy.
func DesignGuard(s GuardSpec, stock resistors.Stock, trimmers []resistors.TrimmerPiece) Guard {
	for i, share := range guardShares {
		if i == 1 {
			if g, ok := s.trimmed(stock, trimmers); ok {
				return g
			}
		}
		least := s.Set * si.Voltage(share)
		if i == 0 {
			least /= si.Voltage(1 - s.Drift)
		}
		d := newVoltageDivider(s.voltage(least))
		if !d.sane() || d.bandLo >= d.bandHi {
			continue
		}
		if nets := d.designs(stock, nil); len(nets) > 0 {
			return s.of(nets[0].Top, nets[0].Bottom)
		}
	}
	return s.bought()
}

// trimmed is a divider whose trimmer reaches the wanted trip in every corner.
func (s GuardSpec) trimmed(stock resistors.Stock, trimmers []resistors.TrimmerPiece) (Guard, bool) {
	trip := s.wanted()
	if len(trimmers) == 0 {
		return Guard{}, false
	}
	d := newVoltageDivider(VoltageSpec{Set: trip, Absolute: misset * trip, Vref: s.vref(),
		VrefNominal: s.Nominal, BiasCurrent: s.Input})
	nets := d.designs(stock, sortedTrims(trimmers))
	if len(nets) == 0 || !nets[0].HasTrimmer {
		return Guard{}, false
	}
	n := nets[0]
	hot := si.Voltage(s.Drift)
	return Guard{Top: n.Top, Bottom: n.Bottom, Trimmer: n.Trimmer, HasTrimmer: true,
		Position: n.Position,
		Low:      trip * (1 - hot), Trip: trip, High: trip * (1 + hot)}, true
}

// of reckons the trips of two legs without a trimmer.
func (s GuardSpec) of(top, bottom resistors.Network) Guard {
	v := CheckVoltage(s.voltage(s.Set), top, bottom, nil)
	hot := si.Voltage(s.Drift)
	return Guard{Top: top, Bottom: bottom, Low: v.WorstLow * (1 - hot), Trip: v.SetHigh,
		High: v.WorstHigh * (1 + hot)}
}

// boughtTolerance is that of the resistors to buy, and boughtBottom where their values begin.
const (
	boughtTolerance = 1e-3
	boughtBottom    = 10e3
)

// bought is the pair of E96 values of 0.1 % with the highest trip below Absolute.
func (s GuardSpec) bought() Guard {
	var best Guard
	for _, bottom := range resistors.Preferred(true, boughtBottom, 9.77*boughtBottom) {
		ideal := float64(bottom) * (float64(s.Absolute)/float64(s.Nominal) - 1)
		for _, top := range resistors.Preferred(true, 0.85*ideal, ideal) {
			g := s.of(soldLeg(top), soldLeg(bottom))
			if g.High <= s.Absolute && g.Low > best.Low {
				g.TopToBuy, g.BottomToBuy = top, bottom
				best = g
			}
		}
	}
	return best
}

// soldLeg is one resistor of boughtTolerance.
func soldLeg(r si.Resistance) resistors.Network {
	return resistors.Network{N: 1, Ohm: r, Low: r * (1 - boughtTolerance),
		High: r * (1 + boughtTolerance), Tolerance: boughtTolerance}
}

// GuardDrive is what the LED of the protection needs and gets.
type GuardDrive struct {
	Need si.Current // that holds the gate down with the lowest transfer ratio, aged
	Low  si.Resistance
	High si.Resistance // ends of the resistor in series with the LED
}

// GuardLEDSpec is what the LED of the protection lives on.
type GuardLEDSpec struct {
	Trip    si.Interval[si.Voltage]
	Ceiling si.Voltage // of OUT with nothing holding it
	Vref    si.Voltage // a conducting reference stands near its reference voltage (TI SLVS543S)
	Forward si.Interval[si.Voltage]
	Most    si.Current    // through the LED for good
	Bypass  si.Resistance // across it
	Gate    si.Resistance // from OUT to the gate
	Ratio   si.Ratio      // lowest of the optocoupler, aged
}

// DriveGuard gives the resistor in series with the LED its two ends: enough current at the lowest
// trip to hold the gate down, no more than the LED bears at the ceiling.
func DriveGuard(s GuardLEDSpec) GuardDrive {
	need := si.Current(float64(s.Trip.High) / float64(s.Gate) / float64(s.Ratio))
	over := s.Trip.Low - s.Vref - s.Forward.High
	beside := si.Current(float64(s.Forward.High) / float64(s.Bypass))
	least := s.Ceiling - s.Vref - s.Forward.Low
	g := GuardDrive{Need: need, Low: si.Resistance(float64(least) / float64(s.Most)),
		High: si.Resistance(float64(over) / float64(need+beside))}
	if !(over > 0) {
		g.High = si.Resistance(math.NaN())
	}
	return g
}

// GuardLED is the current through the LED at the lowest trip with the given resistor.
func GuardLED(s GuardLEDSpec, series si.Resistance) si.Current {
	through := si.Current(float64(s.Trip.Low-s.Vref-s.Forward.High) / float64(series))
	return through - si.Current(float64(s.Forward.High)/float64(s.Bypass))
}

// GuardSeries finds a network of small resistors between the two ends that carries the output at
// its ceiling for good.
func GuardSeries(low, high si.Resistance, ceiling si.Voltage,
	stock resistors.Stock) (resistors.Network, bool) {
	if !(high >= low && low > 0) {
		return resistors.Network{}, false
	}
	stands := func(s resistors.Stock, n resistors.Network) bool {
		return n.Stands(s.Pieces, ceiling, 1)
	}
	largest := func(a, b resistors.Leg) int { return cmp.Compare(b.Nom, a.Nom) }
	return stock.First(float64(low), float64(high), 3, largest, []resistors.Filter{stands})
}
