package stage

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// Ripple of bulk capacitors. The rating holds at 100 or 120 Hz and the full heat of the class; at
// 75 C or less around it, and with much of the current at higher frequencies, sheets of 105 C parts
// allow 1.5 times as much or more (from memory).
const bulkCooler = 1.5

// bulkBears is the ripple that a bulk capacitor bears inside the case.
func bulkBears(p catalog.Capacitor) si.Current {
	return bulkCooler * p.Ripple.Value
}

// bulkBasis says where the limit of the ripple comes from.
func (j *Frame) bulkBasis() string {
	if j.Bulk.Stock != nil && j.Bulk.Stock.Part.Ripple.Basis == catalog.Assumed {
		return "1.5 x what parts of its size bear at least, no rating entered (from memory)"
	}
	return "1.5 x rated ripple of the set, below 75 C and mostly above 100 Hz (from memory)"
}

// chooseBulk picks the smallest set whose least capacitance reaches the guide, 1 uF a watt for a
// 230 V range, 3 uF for a wide one (AN-23 table 5), else the largest on hand. Every part stands the
// highest bus voltage, every set the ripple of the mains; where none does one has to be bought.
func (j *Frame) chooseBulk(d *stock.Drawer) stock.CapacitorSet {
	watts := float64(j.Target.Set) * float64(j.Target.Current) / 0.75
	guide := 3e-6 * watts
	if j.Target.MainsMin >= 180 {
		guide = 1e-6 * watts
	}
	toBuy := func() stock.CapacitorSet { return j.bulkToBuy(guide, si.Power(watts)) }
	size := func(s stock.CapacitorSet) float64 {
		if j.mainsRipple(s.Least, si.Power(watts)) > bulkBears(s.Stock.Part)*si.Current(s.N) {
			return 0
		}
		return float64(s.Least)
	}
	asked := Asked(j.Target, j.BusMax)
	s := stock.ChooseSet(d.Capacitors, stock.Suits[catalog.Capacitor](seats.BulkCapacitor, &asked),
		size, guide, toBuy)
	if s.Stock != nil && size(s) == 0 {
		return toBuy()
	}
	if s.Stock != nil {
		s.Rms = bulkBears(s.Stock.Part) * si.Current(s.N)
	}
	return s
}

// mainsRipple is the ripple at the mains frequency of a bulk capacitance that feeds so many watts.
func (j *Frame) mainsRipple(c si.Capacitance, p si.Power) si.Current {
	low, ok := flyback.BulkRipple(j.Target.MainsMin, j.Target.Line, c, p, j.BridgeDrop)
	if !ok {
		return si.Current(math.Inf(1))
	}
	return low.CapacitorRMS
}

func (j *Frame) bulkToBuy(guide float64, watts si.Power) stock.CapacitorSet {
	volts := si.Voltage(200)
	if j.BusMax > 200 {
		volts = 400
	}
	for _, uf := range []float64{10, 22, 33, 47, 68, 82, 100, 120, 150, 220, 330, 470, 680} {
		if c := uf * si.Micro; c*0.8 >= guide || uf == 680 {
			rated := math.Ceil(1.3*float64(j.mainsRipple(si.Capacitance(0.8*c), watts))/
				bulkCooler*100) / 100
			return stock.CapacitorSet{N: 1, Least: si.Capacitance(0.8 * c), Volts: volts,
				Rms: si.Current(rated * bulkCooler), Parts: 1,
				Text: fmt.Sprintf("electrolytic %g uF %g V, 105 C, ripple %g A or more at 100 Hz",
					uf, float64(volts), rated)}
		}
	}
	return stock.CapacitorSet{}
}
