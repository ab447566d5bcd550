package regulation

import (
	"cmp"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// Drive is how the amplifiers reach the lamp of the optocoupler.
type Drive uint8

const (
	// PullDown: resistor and lamp hang on the output, each amplifier pulls them down through its diode when it regulates.
	PullDown Drive = iota
	// DriveUp: each amplifier drives up through its diode, the resistor and the lamp stand to ground.
	DriveUp
)

// LampSpec is what the resistor in series with the lamp of the optocoupler has to do.
type LampSpec struct {
	Supply       si.Interval[si.Voltage] // lowest regulated output to the highest
	Forward      si.Voltage              // of the lamp, and of an indicator in series if there is one, at most
	ForwardLeast si.Voltage              // of the same, at least; zero: not relied on
	OutputLow    si.Voltage              // least the amplifier output comes down to while sinking Need (PullDown)
	OutputDrop   si.Voltage              // supply less the highest output while sourcing Need (DriveUp)
	Diode        si.Voltage              // of the diode that joins the amplifiers, at most; zero when a lamp does it
	Need         si.Current              // through the lamp: feedback current that stops the switcher over the lowest transfer ratio
	SinkMax      si.Current              // most the LED may carry; the amplifier holds itself back
	Drive        Drive
	Derate       si.Ratio // share of its power rating a resistor may take; zero: Derating
}

// LampNeed is the lamp current that gives the feedback current stop at the transfer ratio least of the optocoupler at
// that current. A salvaged optocoupler has aged: pass the ratio after ageing. Infinite when the ratio is not positive.
func LampNeed(stop si.Current, least si.Ratio) si.Current {
	if !(least > 0) {
		return si.Current(math.Inf(1))
	}
	return stop / si.Current(least)
}

// LampNetwork is one way to feed the lamp.
type LampNetwork struct {
	Resistor   resistors.Network
	Least      si.Current                 // what flows at the lowest supply with the amplifier at its end, worst corner: at least Need
	Most       si.Current                 // what can flow at the highest supply, worst corner: at most SinkMax
	Power      si.Power                   // in the resistor at Most
	PowerShare si.Ratio                   // of the hardest worked part against its rating
	Range      si.Interval[si.Resistance] // what the resistor may be, all told
}

const roleLamp = "lamp resistor"

// across is the voltage over the resistor in V at supply v with a lamp drop of forward.
func (s LampSpec) across(v, forward si.Voltage, extremes bool) float64 {
	end, diode := s.OutputLow, s.Diode
	if s.Drive == DriveUp {
		end = s.OutputDrop
	}
	if extremes { // highest current: neither diode nor output helps
		end, diode = 0, 0
	}
	return float64(v - forward - diode - end)
}

// Range is what the lamp resistor may be: at most what still gives Need at the lowest supply with the amplifier at its end,
// at least what holds the current to SinkMax at the highest supply, nothing but ForwardLeast helping.
func (s LampSpec) Range() si.Interval[si.Resistance] {
	return si.Interval[si.Resistance]{
		Low:  si.Resistance(max(0, s.across(s.Supply.High, s.ForwardLeast, true)) / float64(s.SinkMax)),
		High: si.Resistance(s.across(s.Supply.Low, s.Forward, false) / float64(s.Need)),
	}
}

// DesignLamp finds the lamp resistor, of one part, else of two or three: the largest whose worst corners lie inside the
// range, so that the loop gain and the strain on the amplifier stay low, and which stands its power.
func DesignLamp(spec LampSpec, stock resistors.Stock) (LampNetwork, Shortfall) {
	r := spec.Range()
	if r.High > 0 && r.Low <= r.High {
		order := func(a, b resistors.Leg) int { return cmp.Compare(b.Nom, a.Nom) }
		stands := func(s resistors.Stock, n resistors.Network) bool {
			return n.Stands(s.Pieces, si.Voltage(spec.across(spec.Supply.High, spec.ForwardLeast, true)), orDefault(spec.Derate, resistors.Derating))
		}
		if n, ok := stock.First(max(float64(r.Low), 1e-9), float64(r.High), 3, order, []resistors.Filter{stands}); ok {
			return CheckLamp(spec, stock, n), Shortfall{}
		}
	}
	return LampNetwork{}, lampShortfall(spec, stock, r)
}

// CheckLamp computes every figure of a given lamp resistor taken from stock. Nothing is judged.
func CheckLamp(spec LampSpec, stock resistors.Stock, n resistors.Network) LampNetwork {
	top := spec.across(spec.Supply.High, spec.ForwardLeast, true)
	most := top / float64(n.Low)
	return LampNetwork{
		Resistor:   n,
		Least:      si.Current(spec.across(spec.Supply.Low, spec.Forward, false) / float64(n.High)),
		Most:       si.Current(most),
		Power:      si.Power(most * top),
		PowerShare: n.Load(stock.Pieces, si.Voltage(top)).Share,
		Range:      spec.Range(),
	}
}
