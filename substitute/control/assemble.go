package control

import (
	"sparewright/substitute"
	"sparewright/substitute/regulation"
)

// Circuit writes out what the design of the network reckoned with, see wishes and lampFor.
func (c *Control) Circuit() substitute.Circuit {
	a, o := c.Amp.Part, c.Opto.Part
	out := substitute.Circuit{AmplifierMin: a.SupplyMin.Value, Headroom: a.Headroom.Or(headroomGuess), Offset: a.Offset.Or(7e-3),
		InputBias: a.BiasCurrent.Or(500e-9), Supply: a.SupplyCurrent.Or(2e-3), Source: a.Source.Or(outputSource),
		CathodeMin: a.CathodeMin.Or(1e-3), CathodeMax: a.CathodeMax.Or(50e-3), Ratio: o.RatioMin.Value * RatioAged,
		Forward: o.Forward.Or(1.4), Lamps: c.Indicator, JoinDrop: c.JoinDrop(), Drive: "up"}
	if c.Ref != nil {
		out.CathodeMin, out.CathodeMax = c.Ref.Part.CathodeMin.Or(1e-3), c.Ref.Part.CathodeMax.Or(50e-3)
	}
	if c.Drive == regulation.PullDown {
		out.Drive, out.OutputLow, out.Source = "down", sinkLow, a.Sink.Or(outputSink)
	}
	return out
}
