package substitute

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// Ripple of bulk capacitors. The rating holds at 100 or 120 Hz and the full heat of the class; at 75 C or less around it, and with
// much of the current at higher frequencies, sheets of 105 C parts allow 1.5 times as much or more (from memory). A part that does
// not say is taken for half of what 400 V parts of its size are rated, 11 to 20 mA/uF (screening figures, from memory).
const (
	bulkCooler  = 1.5
	bulkGuessed = 5.5e-3 / si.Micro // A/F
)

// bulkBears is the ripple that a bulk capacitor bears inside the case.
func bulkBears(p catalog.Capacitor) si.Current {
	return bulkCooler * p.Ripple.Or(si.Current(float64(p.Capacitance.Value)*bulkGuessed))
}

// bulkBasis says where the limit of the ripple comes from.
func (j *job) bulkBasis() string {
	if j.bulk.stock != nil && !j.bulk.stock.part.Ripple.Known() {
		return "1.5 x half of what parts of its size are rated, no rating entered (from memory)"
	}
	return "1.5 x rated ripple of the set, below 75 C and mostly above 100 Hz (from memory)"
}

// chooseBulk picks the smallest set whose least capacitance reaches the guide, 1 uF a watt for a 230 V range, 3 uF for a wide
// one (AN-23 table 5), else the largest on hand. Every part stands the highest bus voltage, every set the ripple of the mains; where
// none does one has to be bought.
func (j *job) chooseBulk(d *drawer) capacitorSet {
	watts := float64(j.target.Set) * float64(j.target.Current) / 0.75
	guide := 3e-6 * watts
	if j.target.MainsMin >= 180 {
		guide = 1e-6 * watts
	}
	toBuy := func() capacitorSet { return j.bulkToBuy(guide, si.Power(watts)) }
	size := func(s capacitorSet) float64 {
		if j.mainsRipple(s.least, si.Power(watts)) > bulkBears(s.stock.part)*si.Current(s.n) {
			return 0
		}
		return float64(s.least)
	}
	s := chooseSet(d.capacitors, func(c catalog.Capacitor) bool {
		return c.Dielectric == "electrolytic" && c.Volts.Value >= j.busMax && c.Safety == ""
	}, size, guide, toBuy)
	if s.stock != nil && size(s) == 0 {
		return toBuy()
	}
	if s.stock != nil {
		s.rms = bulkBears(s.stock.part) * si.Current(s.n)
	}
	return s
}

// mainsRipple is the ripple at the mains frequency of a bulk capacitance that feeds so many watts.
func (j *job) mainsRipple(c si.Capacitance, p si.Power) si.Current {
	low, ok := flyback.BulkRipple(j.target.MainsMin, j.target.Line, c, p, j.bridgeDrop)
	if !ok {
		return si.Current(math.Inf(1))
	}
	return low.CapacitorRMS
}

func (j *job) bulkToBuy(guide float64, watts si.Power) capacitorSet {
	volts := si.Voltage(200)
	if j.busMax > 200 {
		volts = 400
	}
	for _, uf := range []float64{10, 22, 33, 47, 68, 82, 100, 120, 150, 220, 330, 470, 680} {
		if c := uf * si.Micro; c*0.8 >= guide || uf == 680 {
			rated := math.Ceil(1.3*float64(j.mainsRipple(si.Capacitance(0.8*c), watts))/bulkCooler*100) / 100
			return capacitorSet{n: 1, least: si.Capacitance(0.8 * c), volts: volts, rms: si.Current(rated * bulkCooler), parts: 1,
				text: fmt.Sprintf("electrolytic %g uF %g V, 105 C, ripple %g A or more at 100 Hz", uf, float64(volts), rated)}
		}
	}
	return capacitorSet{}
}

// bulkRipple is the ripple of the bulk capacitor in the state at hand: mains and switching frequency add as squares.
func (m *measured) bulkRipple(j *job) si.Current {
	return si.Current(math.Hypot(float64(j.mainsRipple(j.bulkLow, m.input)), float64(m.op.SwitchingRipple())))
}
