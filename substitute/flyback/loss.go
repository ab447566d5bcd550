package flyback

import "sparewright/catalog/si"

// ConductionLoss is I^2 R in W. Take the hot on-resistance for a switch, the ac resistance for the
// ac part of a winding.
func ConductionLoss(rms si.Current, rOn si.Resistance) si.Power {
	return si.Power(float64(rms) * float64(rms) * float64(rOn))
}

// CapacitiveLoss is the power in W of discharging c from v once a period: C V^2 f/2. At turn-on of
// a discontinuous stage v lies between the bus less and the bus plus the reflected voltage,
// depending on the ringing.
func CapacitiveLoss(c si.Capacitance, v si.Voltage, f si.Frequency) si.Power {
	return si.Power(float64(StoredEnergy(c, v)) * float64(f))
}

// CrossoverLoss is the power in W of one transition a period during which voltage and current cross
// in straight lines within the time t: V I t f/6. Source: ON Semiconductor NCP1028 data sheet, p.
// 25. A switch without any capacitance at the drain, where the voltage rises at full current before
// the current falls, burns up to three times as much.
func CrossoverLoss(v si.Voltage, i si.Current, t si.Time, f si.Frequency) si.Power {
	return si.Power(float64(v) * float64(i) * float64(t) * float64(f) / 6)
}

// SelfSupplyLoss is the power in W of a chip that feeds itself from the drain or the bus: V I.
func SelfSupplyLoss(bus si.Voltage, i si.Current) si.Power {
	return si.Power(float64(bus) * float64(i))
}

// RectifierLoss is the power in W of a rectifier with constant drop: mean current times drop.
func RectifierLoss(mean si.Current, drop si.Voltage) si.Power {
	return si.Power(float64(mean) * float64(drop))
}

// BridgeLoss is the power in W of a mains bridge through which p flows at the mean bus voltage: two
// diode drops times P/V. drop is that of one diode.
func BridgeLoss(p si.Power, bus, drop si.Voltage) si.Power {
	return RectifierLoss(MeanCurrent(p, bus), 2*drop)
}
