package stage

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// Frame is what stands around the transformer and is settled before turns and core: mains side,
// output capacitors, the parts that may rectify or clamp.
type Frame struct {
	Target     substitute.Target
	BusMax     si.Voltage
	BridgeDrop si.Voltage
	Bulk       stock.CapacitorSet
	BulkLow    si.Capacitance
	Bleed      si.Resistance // both bleed resistors in series
	BleedStock *stock.Stock[catalog.Resistor]
	Output     stock.CapacitorSet

	BridgeStock    *stock.Stock[catalog.Bridge]
	suppressors    []ClampChoice
	clampResistors []*stock.Stock[catalog.Resistor]
	clampStores    []catalog.Capacitor // that may hold the voltage of such a resistor
	Rectifiers     []RectifierChoice
}

// newFrame settles the frame of a target from what the drawer holds.
func newFrame(d *stock.Drawer, t substitute.Target) *Frame {
	j := &Frame{Target: t, BridgeDrop: 1.0, BusMax: flyback.BusPeak(t.MainsMax, 0.7)}
	j.chooseBridge(d)
	j.Bulk = j.chooseBulk(d)
	j.BulkLow = j.Bulk.Least
	j.chooseBleed(d)
	j.Output = j.chooseOutput(d)
	j.Rectifiers = j.rectifierChoices(d.Rectifiers)
	j.clampParts(d)
	return j
}

// BridgeUse is the share of its reverse rating a mains bridge may see: 600 V for 230 V mains (from
// memory).
const BridgeUse = 0.7

func (j *Frame) chooseBridge(d *stock.Drawer) {
	asked := Asked(j.Target, j.BusMax)
	if i := stock.Preferred(stock.NewBasket(), seats.Bridge, d.Bridges, &asked); i >= 0 {
		j.BridgeStock = &d.Bridges[i]
		j.BridgeDrop = j.BridgeStock.Part.Forward.Value
	}
}
