package stage

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
)

// State is the steady state of a design at one bus voltage, with one inductance, frequency and,
// where the control is on/off, current limit.
type State struct {
	Inductance si.Inductance
	frequency  si.Frequency
	curve      magnetics.LossCurve // of the core at this frequency
	limit      si.Current
	bus        si.Voltage
	Through    si.Power
	Input      si.Power
	Op         flyback.Operating
	Sec        flyback.Secondary
	Ripple     si.Current
	Share      si.Ratio
	FluxSwing  si.FluxDensity
	Leak       si.Inductance
	AcP, AcS   si.Ratio
	Loss       substitute.Losses
	inside     si.Celsius
	Coil       si.Celsius
	junction   si.Celsius
}

// Operation is a design at work: in the state of one corner.
type Operation struct {
	Design
	State
	Band      si.Interval[si.Inductance]
	Reflected si.Voltage
}

// operate finds the steady state at the bus voltage, full pack.
func (m *Operation) operate() {
	p := flyback.Point{Bus: m.bus, Reflected: m.Reflected, Power: m.Through,
		Inductance: m.Inductance, Frequency: m.frequency}
	if m.V.Gated {
		m.Op, m.Share = flyback.OperateGated(p, m.limit)
	} else {
		m.Op, m.Share = flyback.Operate(p), 1
	}
}

// copper fills the copper loss with the layer factor of the real current shape of each winding.
func (m *Operation) copper(first, second *magnetics.LayerSpectrum) {
	if m.Donor != nil {
		m.AcP, m.AcS = donorLayerFactor, donorLayerFactor
		m.Loss.Copper = m.primaryCopper() + m.secondaryCopper()
		return
	}
	m.AcP = first.ACFactor(magnetics.Trapezoid{Valley: m.Op.Valley, Peak: m.Op.Peak,
		Share: min(1, m.Op.Duty/m.Share)})
	m.AcS = second.ACFactor(magnetics.Trapezoid{Valley: m.Sec.Valley, Peak: m.Sec.Peak,
		Share: min(1, m.Sec.Share/m.Share)})
	m.Loss.Copper = m.primaryCopper() + m.secondaryCopper()
}

func (m *Operation) primaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.Coil)-20)
	return si.Power(float64(m.Op.PrimaryRMS) * float64(m.Op.PrimaryRMS) * float64(m.Plan.PrimaryR) *
		hot * float64(m.AcP))
}

func (m *Operation) secondaryCopper() si.Power {
	hot := 1 + float64(si.CopperTempCo)*(float64(m.Coil)-20)
	return si.Power(float64(m.Sec.RMS) * float64(m.Sec.RMS) * float64(m.Plan.SecondaryR) * hot *
		float64(m.AcS))
}

// tuneTo takes the switcher to the low or the high end of its frequency, or of its limit where
// pulses are gated.
func (m *Operation) tuneTo(high bool) {
	v := m.V
	switch {
	case v.Gated && high:
		m.limit = v.Limit.High
	case v.Gated:
		m.limit = v.Limit.Low
	case high:
		m.frequency = v.Freq.High
	default:
		m.frequency = v.Freq.Low
	}
	if m.frequency != v.Frequency {
		m.curve = m.C.LossAt(m.frequency)
	}
}

// border is the bus at which the stage leaves continuous mode, a hair on this side of it; zero
// where it never does.
func (m *Operation) border() si.Voltage {
	l, f := float64(m.Inductance), float64(m.frequency)
	// half a period's volts of the triangle that just carries the power
	volts := math.Sqrt(2 * float64(m.Through) * l * f)
	if m.V.Gated {
		volts = float64(m.limit) * l * f
	}
	vr := float64(m.Reflected)
	if !(volts < vr) {
		return 0
	}
	return si.Voltage(volts * vr / (vr - volts) * (1 - 1e-6))
}

// bordering is the inductance with which the stage of the state at hand would just run in
// continuous mode.
func (m *Operation) bordering() si.Inductance {
	f, volts := float64(m.frequency), float64(m.bus*m.Reflected/(m.bus+m.Reflected))
	l := volts * volts / (2 * float64(m.Through) * f)
	if m.V.Gated {
		l = volts / (float64(m.limit) * f)
	}
	return si.Inductance(l * (1 + 1e-6))
}

// Leakage, see magnetics.Leakage: the estimate may be half as much again; hand wound with a single
// primary 3 % of the inductance must be counted with (from memory). What was read on the finished
// transformer stands as read.
const (
	leakageSpread = 1.5
	mostLeakage   = 0.03
)

// leakHigh is the highest leakage that a design may come out with.
func (m *Operation) leakHigh() si.Inductance {
	return m.Plan.leakHigh(m.Inductance, m.Leak, m.Donor)
}

func (g *Gist) leakHigh(primary, leak si.Inductance, donor *DonorTransformer) si.Inductance {
	switch {
	case g.LeakageRead:
		return leak
	case donor != nil:
		return leak * si.Inductance(1+donor.Stock.Part.Meter.Value)
	case g.halves:
		return leak * leakageSpread
	}
	return max(leak*leakageSpread, primary*mostLeakage)
}
