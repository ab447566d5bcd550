package stage

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// TransformerOut sums up the transformer of a design.
func (m *Measured) TransformerOut() substitute.Transformer {
	p := m.Plan
	return substitute.Transformer{PrimaryTurns: m.Np, SecondaryTurns: m.Ns, BiasTurns: m.Nb,
		Inductance:    m.Inductance,
		InductanceLow: m.Band.Low, InductanceHigh: m.Band.High, WallPower: m.WallPower,
		WallSaturation: m.WallFlux,
		FluxPeak:       m.fluxPeak, FluxSwing: m.FluxSwing, Reflected: m.Reflected, Leakage: m.Leak,
		Barrier:    p.Barrier.String(),
		WindowFill: si.Ratio(p.Fill), Margin: p.margin, Order: "primary, secondary"}
}

// Basis says where a limit comes from when that depends on the part.
func (j *Conditions) Basis(m *Measured, id substitute.CheckID) string {
	switch id {
	case substitute.ChkSafeCurrent:
		return m.Donor.SafeBasis
	case substitute.ChkFlux:
		return m.C.fluxBasis
	case substitute.ChkClass:
		return m.V.ClassText
	case substitute.ChkDrain:
		return m.V.BreakdownText
	case substitute.ChkPower, substitute.ChkPowerEmpty:
		return m.V.LimitText
	case substitute.ChkJunction:
		return m.V.JunctionText
	case substitute.ChkBulkRipple:
		return j.bulkBasis()
	case substitute.ChkRectifierHot:
		text := fmt.Sprintf("%.0f C, %.0f K below what such parts bear; %.0f K/W to the air",
			float64(m.Rect.hottest), rectifierSpare, float64(m.Rect.air))
		if m.Rect.sink {
			text += " on aluminium of 20 K/W"
		}
		return text + " (from memory)"
	case substitute.ChkCoilHot:
		return substitute.CheckNames[id].Basis + "; rise by " + m.C.riseBasis
	case substitute.ChkDuty:
		return m.V.DutyText
	}
	return ""
}
