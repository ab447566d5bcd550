package bill

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// What the pins of the plug may still hold, see seats.BareX.
const (
	plugVolt = 34.0 // V
	plugTime = 1.0  // s
	tallX    = 1.2  // x the rated capacitance, its upper tolerance
)

// takeX takes the X capacitor nearest to 100 nF that needs no discharge, else a larger one with two
// equal resistors in series across it.
func (j taking) takeX(b *stock.Basket, c *seats.Circuit) {
	var bare, drained []stock.Stock[catalog.Capacitor]
	for _, s := range j.Drawer.Capacitors {
		switch farad := s.Part.Capacitance.Value; {
		case s.Part.Safety == "":
		case farad <= seats.BareX:
			bare = append(bare, s)
		default:
			drained = append(drained, s)
		}
	}
	if stock.Preferred(b, seats.XCapacitor, bare, c) >= 0 {
		stock.Fill(b, seats.XCapacitor, bare, c)
		return
	}
	drained = slices.DeleteFunc(drained, func(s stock.Stock[catalog.Capacitor]) bool {
		return j.dischargeX(b, s.Part.Capacitance.Value, c) == nil
	})
	if p, ok := stock.Fill(b, seats.XCapacitor, drained, c); ok {
		stock.Take(b, seats.XDischarge, *j.dischargeX(b, p.Capacitance.Value, c), 2)
	}
}

// MostDischarge is the most each of two resistors in series may have that empty an X capacitor in
// time.
func MostDischarge(t substitute.Target, c si.Capacitance) si.Resistance {
	return flyback.BleedResistance(tallX*c, t.MainsMax*math.Sqrt2, plugVolt, plugTime) / 2
}

// dischargeX is the largest of the resistors of which two in series empty an X capacitor in time;
// nil when there is none. Those of the bleed are left to it.
func (j taking) dischargeX(
	b *stock.Basket, farad si.Capacitance, c *seats.Circuit,
) *stock.Stock[catalog.Resistor] {
	c.DischargeMost = MostDischarge(j.Target, farad)
	spare := make([]stock.Stock[catalog.Resistor], 0, len(j.Drawer.Resistors))
	for _, s := range j.Drawer.Resistors {
		if j.BleedStock != nil && s.Key == j.BleedStock.Key {
			s.Count -= 2
		}
		spare = append(spare, s)
	}
	if i := stock.Preferred(b, seats.XDischarge, spare, c); i >= 0 {
		return &j.Drawer.Resistors[i]
	}
	return nil
}
