package substitute

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// frame is what stands around the transformer and is settled before turns and core: mains side, output capacitors, the parts that
// may rectify or clamp.
type frame struct {
	target     Target
	busMax     si.Voltage
	bridgeDrop si.Voltage
	bulk       capacitorSet
	bulkLow    si.Capacitance
	bleed      si.Resistance // both bleed resistors in series
	bleedStock *stock[catalog.Resistor]
	output     capacitorSet

	bridgeStock    *stock[catalog.Bridge]
	suppressors    []clampChoice
	clampResistors []*stock[catalog.Resistor]
	rectifiers     []rectifierChoice
}

// newFrame settles the frame of a target from what the drawer holds.
func newFrame(d *drawer, t Target) *frame {
	j := &frame{target: t, bridgeDrop: 1.0, busMax: flyback.BusPeak(t.MainsMax, 0.7)}
	j.chooseBridge(d)
	j.bulk = j.chooseBulk(d)
	j.bulkLow = j.bulk.least
	j.chooseBleed(d)
	j.output = j.chooseOutput(d)
	j.rectifiers = j.rectifierChoices(d.rectifiers)
	j.clampParts(d)
	return j
}

// bridgeUse is the share of its reverse rating a mains bridge may see: 600 V for 230 V mains (from memory).
const bridgeUse = 0.7

func (j *frame) chooseBridge(d *drawer) {
	amps := 1.5 * float64(j.target.Set) * float64(j.target.Current) / 0.7 / float64(j.target.MainsMin)
	for i := range d.bridges {
		p := d.bridges[i].part
		if p.Reverse.Value*bridgeUse < j.busMax || float64(p.Average.Value)*0.5 < amps {
			continue
		}
		if j.bridgeStock == nil || p.Average.Value < j.bridgeStock.part.Average.Value {
			j.bridgeStock = &d.bridges[i]
		}
	}
	if j.bridgeStock != nil {
		j.bridgeDrop = j.bridgeStock.part.Forward.Or(1.0)
	}
}
