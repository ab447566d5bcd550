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
func (j *Measurer) Basis(m *Measured, id substitute.CheckID) string {
	p := m.V.Stock.Part
	switch id {
	case substitute.ChkSafeCurrent:
		return m.Donor.SafeBasis
	case substitute.ChkFlux:
		return m.C.fluxBasis
	case substitute.ChkClass:
		return m.V.ClassText
	case substitute.ChkDrain:
		if p.Breakdown.Firm() {
			return "0.90 x breakdown voltage (common practice, no source)"
		}
		return "0.85 x breakdown voltage, from memory"
	case substitute.ChkPower, substitute.ChkPowerEmpty:
		if m.V.Sense != nil {
			return "lowest limit of threshold and sense resistor x 0.96 (AN-30), from memory x " +
				"0.90 (AN-23)"
		}
		if p.LimitMin.Firm() {
			return "0.96 x lowest current limit (AN-30 eq. 17)"
		}
		return "0.90 x lowest current limit, limit from memory (AN-23 step 8)"
	case substitute.ChkJunction:
		text := "110 C, or 25 K below thermal shutdown"
		if !p.JunctionAir.Firm() {
			text += "; thermal resistance estimated, +20 %"
		}
		return text
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
		if !p.DutyMax.Firm() {
			return "maximum duty of the switcher, from memory or assumed 0.6"
		}
	}
	return ""
}
