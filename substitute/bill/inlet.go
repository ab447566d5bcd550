package bill

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// The X capacitor: behind the bridge the bulk capacitor holds the bleed off, so that it may leave the crest of the mains on the
// pins of the plug. Above 0.1 uF IEC 60335-1 22.5 wants it down to 34 V within a second of pulling the plug (from memory).
const (
	bareX    = 100e-9 // F, rated, with no resistor across it
	MostX    = 330e-9 // F
	plugVolt = 34.0   // V
	plugTime = 1.0    // s
	tallX    = 1.2    // x the rated capacitance, its upper tolerance
)

// takeX picks the X capacitor nearest to 100 nF that needs no discharge, else a larger one with two equal resistors in series
// across it.
func (j *Writer) takeX(b *stock.Basket, d *stock.Drawer) {
	suits := func(low, high si.Capacitance) func(catalog.Capacitor) bool {
		return func(p catalog.Capacitor) bool {
			return (p.Safety == "X2" || p.Safety == "X1" || p.Safety == "Y2") && p.Capacitance.Value >= low && p.Capacitance.Value <= high
		}
	}
	near := func(p catalog.Capacitor) float64 { return math.Abs(float64(p.Capacitance.Value) - bareX) }
	if _, ok := stock.Pick(b, seats.XCapacitor, d.Capacitors, 1, suits(47e-9, bareX), near, ""); ok {
		return
	}
	p, ok := stock.Pick(b, seats.XCapacitor, d.Capacitors, 1, func(p catalog.Capacitor) bool {
		return suits(bareX, MostX)(p) && j.dischargeX(b, d, p.Capacitance.Value) != nil
	}, near, "X2 capacitor 100 nF 275 V ac")
	if ok {
		stock.Take(b, seats.XDischarge, *j.dischargeX(b, d, p.Capacitance.Value), 2)
	}
}

// MostDischarge is the most each of two resistors in series may have that empty an X capacitor in time.
func MostDischarge(t substitute.Target, c si.Capacitance) si.Resistance {
	return flyback.BleedResistance(tallX*c, t.MainsMax*math.Sqrt2, plugVolt, plugTime) / 2
}

// dischargeX is the largest of the resistors of which two in series empty an X capacitor in time, each standing half the crest of the
// mains and twice its power; nil when there is none. Those of the bleed are left to it.
func (j *Writer) dischargeX(b *stock.Basket, d *stock.Drawer, c si.Capacitance) *stock.Stock[catalog.Resistor] {
	most := float64(MostDischarge(j.Target, c))
	half := float64(j.Target.MainsMax) / 2 // V rms
	var best *stock.Stock[catalog.Resistor]
	for i := range d.Resistors {
		s := &d.Resistors[i]
		p, ohm := s.Part, float64(s.Part.Resistance.Value)
		need := 2.0
		if s == j.BleedStock {
			need = 4
		}
		bears := float64(p.Volts.Or(200)) >= math.Sqrt2*half && half*half/ohm <= 0.5*float64(p.Rating.Or(0.25))
		if stock.Left(b, *s) < need || ohm > most || !bears || p.Type == "fusible" {
			continue
		}
		if best == nil || p.Resistance.Value > best.Part.Resistance.Value {
			best = s
		}
	}
	return best
}
