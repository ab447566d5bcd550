package control

import (
	"sparewright/substitute"
	"sparewright/substitute/regulation"
)

// Circuit writes out what the design of the network reckoned with, see wishes and ledFor.
func (c *Control) Circuit() substitute.Circuit {
	a, o := c.Amp.Part, c.Opto.Part
	out := substitute.Circuit{AmplifierMin: a.SupplyMin.Value, Headroom: a.Headroom.Value,
		Offset:    a.Offset.Value,
		InputBias: a.BiasCurrent.Value, Supply: a.SupplyCurrent.Value, Source: a.Source.Value,
		CathodeMin: a.CathodeMin.Value, CathodeMax: a.CathodeMax.Value, Ratio: o.RatioMin.Value *
			RatioAged,
		Forward: o.Forward.Value, LEDs: c.Indicator, JoinDrop: c.JoinDrop(), Drive: "up"}
	if c.Ref != nil {
		out.CathodeMin, out.CathodeMax = c.Ref.Part.CathodeMin.Value, c.Ref.Part.CathodeMax.Value
	}
	if c.Drive == regulation.PullDown {
		out.Drive, out.OutputLow, out.Source = "down", sinkLow, a.Sink.Value
	}
	return out
}
