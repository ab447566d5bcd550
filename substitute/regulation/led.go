package regulation

import (
	"cmp"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// Drive is how the amplifiers reach the LED of the optocoupler.
type Drive uint8

const (
	// PullDown: resistor and LED hang on the output, each amplifier pulls them down through its
	// diode when it regulates.
	PullDown Drive = iota
	// DriveUp: each amplifier drives up through its diode, the resistor and the LED stand to
	// ground.
	DriveUp
)

// LEDSpec is what the resistor in series with the LED of the optocoupler has to do.
type LEDSpec struct {
	Supply si.Interval[si.Voltage] // lowest regulated output to the highest
	// of the LED, and of an indicator in series if there is one, at most
	Forward      si.Voltage
	ForwardLeast si.Voltage // of the same, at least; zero: not relied on
	// least the amplifier output comes down to while sinking Need (PullDown)
	OutputLow si.Voltage
	// supply less the highest output while sourcing Need (DriveUp)
	OutputDrop si.Voltage
	// of the diode that joins the amplifiers, at most; zero when an LED does it
	Diode si.Voltage
	// through the LED: feedback current that stops the switcher over the lowest transfer ratio
	Need    si.Current
	SinkMax si.Current // most the LED may carry; the amplifier holds itself back
	Drive   Drive
	Derate  si.Ratio // share of its power rating a resistor may take; zero: Derating
}

// LEDNeed is the LED current that gives the feedback current stop at the transfer ratio least of
// the optocoupler at that current. A salvaged optocoupler has aged: pass the ratio after ageing.
// Infinite when the ratio is not positive.
func LEDNeed(stop si.Current, least si.Ratio) si.Current {
	if !(least > 0) {
		return si.Current(math.Inf(1))
	}
	return stop / si.Current(least)
}

// LEDNetwork is one way to feed the LED.
type LEDNetwork struct {
	Resistor resistors.Network
	// what flows at the lowest supply with the amplifier at its end, worst corner: at least Need
	Least si.Current
	// what can flow at the highest supply, worst corner: at most SinkMax
	Most       si.Current
	Power      si.Power                   // in the resistor at Most
	PowerShare si.Ratio                   // of the hardest worked part against its rating
	Range      si.Interval[si.Resistance] // what the resistor may be, all told
}

const roleLED = "LED resistor"

// across is the voltage over the resistor in V at supply v with an LED drop of forward.
func (s LEDSpec) across(v, forward si.Voltage, extremes bool) float64 {
	end, diode := s.OutputLow, s.Diode
	if s.Drive == DriveUp {
		end = s.OutputDrop
	}
	if extremes { // highest current: neither diode nor output helps
		end, diode = 0, 0
	}
	return float64(v - forward - diode - end)
}

// Range is what the LED resistor may be: at most what still gives Need at the lowest supply with
// the amplifier at its end, at least what holds the current to SinkMax at the highest supply,
// nothing but ForwardLeast helping.
func (s LEDSpec) Range() si.Interval[si.Resistance] {
	return si.Interval[si.Resistance]{
		Low: si.Resistance(max(0, s.across(s.Supply.High, s.ForwardLeast, true)) /
			float64(s.SinkMax)),
		High: si.Resistance(s.across(s.Supply.Low, s.Forward, false) / float64(s.Need)),
	}
}

// DesignLED finds the LED resistor, of one part, else of two or three: the largest whose worst
// corners lie inside the range, so that the loop gain and the strain on the amplifier stay low, and
// which stands its power.
func DesignLED(spec LEDSpec, stock resistors.Stock) (LEDNetwork, Shortfall) {
	r := spec.Range()
	if r.High > 0 && r.Low <= r.High {
		order := func(a, b resistors.Leg) int { return cmp.Compare(b.Nom, a.Nom) }
		stands := func(s resistors.Stock, n resistors.Network) bool {
			return n.Stands(s.Pieces, si.Voltage(
				spec.across(spec.Supply.High, spec.ForwardLeast, true)),
				orDefault(spec.Derate, resistors.Derating))
		}
		if n, ok := stock.First(max(float64(r.Low), 1e-9), float64(r.High), 3, order,
			[]resistors.Filter{stands}); ok {
			return CheckLED(spec, stock, n), Shortfall{}
		}
	}
	return LEDNetwork{}, ledShortfall(spec, stock, r)
}

// CheckLED computes every figure of a given LED resistor taken from stock. Nothing is judged.
func CheckLED(spec LEDSpec, stock resistors.Stock, n resistors.Network) LEDNetwork {
	top := spec.across(spec.Supply.High, spec.ForwardLeast, true)
	most := top / float64(n.Low)
	return LEDNetwork{
		Resistor:   n,
		Least:      si.Current(spec.across(spec.Supply.Low, spec.Forward, false) / float64(n.High)),
		Most:       si.Current(most),
		Power:      si.Power(most * top),
		PowerShare: n.Load(stock.Pieces, si.Voltage(top)).Share,
		Range:      spec.Range(),
	}
}
