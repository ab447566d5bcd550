package stage

import (
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Switch is the power switch of the primary, in one package with its drive or apart. It is all that
// a design knows of that transistor.
type Switch struct {
	Rated         si.Voltage           // V, drain breakdown as printed
	Breakdown     si.Voltage           // V, the part of it that may be used
	BreakdownText string               // where that comes from
	OnCold, OnHot si.Resistance        // ohm, highest, at 25 C and hot
	Coss          si.Capacitance       // F, output capacitance
	Crossover     si.Time              // s, overlap of voltage and current at turn-off
	PeakMost      si.Current           // A, highest peak it bears; 0 = not stated
	JunctionAir   si.ThermalResistance // K/W, as mounted
	JunctionMost  si.Celsius           // limit of the junction
	JunctionText  string               // where that comes from
	// reckoned on aluminium of 20 K/W, which the warnings ask for
	HeatSink bool
	// reckoned on copper of the board, which the warnings ask for
	Copper bool
}

// SwitchOf is the switch inside a chip, figures completed.
func SwitchOf(p catalog.Switcher) Switch {
	s := Switch{OnCold: p.OnResistance.Value, OnHot: p.OnHot.Value, Coss: p.Coss.Value,
		Crossover: crossover, JunctionMost: junctionLimit, Copper: onCopper(p.Package),
		HeatSink: !p.JunctionAir.Firm() && inTO220(p.Package)}
	s.breaksAt(p.Breakdown)
	s.warmedBy(p.JunctionAir, "110 C, or 25 K below thermal shutdown")
	if p.Setting == "external" && p.LimitMax.Known() {
		s.PeakMost = p.LimitMax.Value
	}
	if p.JunctionMax.Known() {
		s.JunctionMost = min(junctionLimit, p.JunctionMax.Value-25)
	}
	return s
}

// breaksAt enters a breakdown voltage with the part of it that may be used.
func (s *Switch) breaksAt(v catalog.Datum[si.Voltage]) {
	s.Rated, s.Breakdown = v.Value, v.Value*BreakdownGuess
	s.BreakdownText = "0.85 x breakdown voltage, from memory"
	if v.Firm() {
		s.Breakdown = v.Value * BreakdownUse
		s.BreakdownText = "0.90 x breakdown voltage (common practice, no source)"
	}
}

// warmedBy enters the thermal resistance as mounted; one from memory is widened by a fifth, an
// assumed one is cautious already. The limit is in words.
func (s *Switch) warmedBy(air catalog.Datum[si.ThermalResistance], limit string) {
	s.JunctionAir = air.Value
	if air.Basis == catalog.Estimated {
		s.JunctionAir = air.Value * 1.2
	}
	s.JunctionText = limit
	if !air.Firm() {
		s.JunctionText += "; thermal resistance estimated, +20 %"
	}
}

func inTO220(pack string) bool {
	return strings.Contains(strings.ReplaceAll(pack, "-", ""), "TO220")
}

// onCopper reports that a thermal resistance holds only with copper on the board: every package
// that is not bolted to something.
func onCopper(pack string) bool {
	return pack != "" && !inTO220(pack) && !strings.Contains(pack, "TO-3")
}
