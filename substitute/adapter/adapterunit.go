package adapter

import (
	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Figures of a whole adapter that nobody states. Sources beside them.
const (
	zenerUse    = 0.95 // of the zener voltage, its lower tolerance (5 % parts)
	ledForward  = 1.4  // V, highest of an optocoupler's LED
	cathodeMost = 36.0 // V, highest cathode voltage of the usual shunt references
	lowMainsUse = 0.9  // of the lowest mains on the plate: supply tolerance of IEC 60038
	hottestRoom = 40.0 // C, mains adapters are made for (from memory)
	// of an adapter at its plate power, for the valley of its bus (from memory)
	plateEfficiency = 0.75
	ownEfficiency   = 0.80 // for its losses in a ranking (from memory)
	// primary inductance over leakage where only that was read: 4 % leak much (from memory)
	leakageShare = 25
	// transfer ratio of an optocoupler nobody read: 80 % when new, half of it aged (from memory)
	ledRatio    = 0.4
	lowestBend  = 1.0 // V, between these outputs a limit is sought
	highestBend = 100.0

	// Hz of a chip whose sheet names none, for the stage that its loops are worked out with (from
	// memory)
	unreadFrequency   = 67e3
	unreadCapacitance = 100e-6 // F at the output
)

// adapterUnit is a whole adapter ready to be computed with: its plate, what was read off its board,
// its chip from the tables, and the parts that were exchanged.
type adapterUnit struct {
	stock  *stock.Stock[catalog.Adapter]
	part   catalog.Adapter
	chip   catalog.Switcher
	listed bool // the chip is known
	busMax si.Voltage
	// valley at the lowest mains and the power of the plate; 0 when the bulk capacitor was not read
	busMin si.Voltage
	// primary to secondary turns; 0 when neither it nor the reflected voltage was read
	ratio si.Ratio
	swaps []swap
	held  catalog.Clamp // suppressor that was put at the drain; empty for its own
}

// openAdapter works out an adapter at a mains. The crest counts whole, without the drops of a
// bridge nobody read.
func openAdapter(s *stock.Stock[catalog.Adapter], d *stock.Drawer, mains si.Interval[si.Voltage],
	line si.Frequency) *adapterUnit {
	u := &adapterUnit{stock: s, part: s.Part, busMax: flyback.BusPeak(mains.High, 0)}
	u.chip, u.listed = chipNamed(s.Part.Chip, d)
	p := u.part
	if p.Bulk.Known() {
		u.busMin, _ = flyback.BusValley(mains.Low, line, p.Bulk.Value*0.8,
			u.watts()/plateEfficiency, 1)
	}
	switch {
	case p.Reflected.Known():
		u.ratio = flyback.TurnsRatio(p.Reflected.Value, p.Volts.Value+u.drop())
	case p.Ratio.Known():
		u.ratio = p.Ratio.Value
	}
	return u
}

// chipNamed finds the chip of an adapter in the tables, else among the switchers of the drawer.
func chipNamed(name string, d *stock.Drawer) (catalog.Switcher, bool) {
	if name == "" {
		return catalog.Switcher{}, false
	}
	if row, ok := catalog.SwitcherNamed(name); ok {
		return complete.Part(row).(catalog.Switcher), true
	}
	for i := range d.Switchers {
		if d.Switchers[i].Name() == name {
			return d.Switchers[i].Part, true
		}
	}
	return catalog.Switcher{}, false
}

func (u *adapterUnit) watts() si.Power {
	return si.Power(float64(u.part.Volts.Value) * float64(u.part.Amps.Value))
}

func (u *adapterUnit) drop() si.Voltage { return u.part.RectifierDrop.Value }

// capacitance is that of the output capacitors; where it was not read nothing is called feasible,
// and what replaces them is chosen for a usual one.
func (u *adapterUnit) capacitance() si.Capacitance {
	return u.part.Capacitance.Or(unreadCapacitance)
}

// amps is what the adapter gives at an output: no more watts than its plate above the plate's
// voltage, no more amperes below.
func (u *adapterUnit) amps(out si.Voltage) si.Current {
	return min(u.part.Amps.Value, si.Current(float64(u.watts())/float64(out)))
}

// reflected is the reflected voltage at an output. It goes with the voltage of the secondary,
// rectifier included.
func (u *adapterUnit) reflected(out si.Voltage) si.Voltage {
	return flyback.Reflected(u.ratio, out+u.drop())
}

// usableBreakdown is the drain voltage that may be used.
func (u *adapterUnit) usableBreakdown() si.Voltage {
	if u.part.Breakdown.Firm() {
		return u.part.Breakdown.Value * stage.BreakdownUse
	}
	return u.part.Breakdown.Value * stage.BreakdownGuess
}

func (u *adapterUnit) drainBasis() string {
	if u.part.Breakdown.Firm() {
		return "0.90 x breakdown voltage (common practice, no source)"
	}
	return "0.85 x breakdown voltage, from memory"
}

// clampAt is the voltage of its drain clamp at an output, lowest and highest. A suppressor keeps
// its own; a resistor settles where it burns what the leakage inductance brings, at the highest
// limit of the chip and at the lowest.
func (u *adapterUnit) clampAt(out si.Voltage) (low, high si.Voltage) {
	p := u.part
	if p.Clamp == "suppressor" {
		held := u.held
		if !held.Breakdown.Known() {
			held = complete.DrainSuppressor(p.ClampVolts, p.ClampPulse)
		}
		return stage.SuppressorBand(held, u.peakHigh())
	}
	c, vr := u.chip, u.reflected(out)
	low = flyback.ClampVoltage(p.Leakage.Value, c.LimitMin.Value, c.FrequencyMin.Value,
		p.ClampOhm.Value, vr)
	return low, flyback.ClampVoltage(p.Leakage.Value, u.peakHigh(), c.FrequencyMax.Value,
		p.ClampOhm.Value, vr)
}

// peakHigh is the highest current that the drain clamp takes over: the highest limit of the chip,
// and what the current still rises in its delay. Where the leakage was not read the inductance is
// the least with which the adapter can give its plate: the power of all pulses, L I^2 f/2.
func (u *adapterUnit) peakHigh() si.Current {
	c := u.chip
	top, f := float64(c.LimitMax.Value), float64(c.FrequencyMax.Value)
	primary := si.Inductance(2 * float64(u.watts()) / (top * top * f))
	if u.part.Leakage.Known() {
		primary = u.part.Leakage.Value * leakageShare
	}
	return c.LimitMax.Value + flyback.Overshoot(u.busMax, primary, c.Delay.Value)
}

// supplyAt is the chip's supply from its bias winding at an output: it goes with the secondary.
func (u *adapterUnit) supplyAt(out si.Voltage) si.Voltage {
	p := u.part
	turns := float64(p.ChipSupply.Value+stage.BiasDiode) / float64(p.Volts.Value+u.drop())
	return si.Voltage(turns*float64(out+u.drop())) - stage.BiasDiode
}

// feedbackNeed is the least output at which its own reference and optocoupler still stop the chip.
func (u *adapterUnit) feedbackNeed() si.Voltage {
	p := u.part
	led := regulation.LEDNeed(u.chip.FeedbackStop.Value, ledRatio)
	return p.Vref.Value + ledForward + si.Voltage(float64(p.LEDResistor.Value)*float64(led))
}

// bendLimit is one thing that gives up when the output is moved.
type bendLimit struct {
	id    substitute.CheckID
	up    bool   // binds when the output rises, else when it falls
	fixed bool   // does not depend on the output
	own   bool   // belongs to its own regulator, which ours takes out
	lack  string // what must be read first; no gauge then
	basis string
	at    func(out si.Voltage) substitute.Gauge
}

// limiting says what gives up first when an adapter's output or mains moves.
type limiting struct{ *adapterUnit }

// limits lists all that gives up, with what must be read first where it is not known.
func (u *adapterUnit) limits() []bendLimit {
	l := limiting{u}
	out := append(l.outputLimits(), l.mainsLimits()...)
	out = append(out, l.supplyLimits()...)
	return append(out, l.feedbackLimits()...)
}

// reading is one thing that must be known, and what to read when it is not.
type reading struct {
	known bool
	what  string
}

// unread names the first of several things that was not read.
func unread(all ...reading) string {
	for _, a := range all {
		if !a.known {
			return a.what
		}
	}
	return ""
}

const readRatio = "reflected voltage at the drain, or turns ratio"

// outputLimits are those of the output side: capacitor, rectifier, protection.
func (u limiting) outputLimits() []bendLimit {
	p := u.part
	out := []bendLimit{
		{id: substitute.ChkOutputVoltage, up: true,
			lack: unread(reading{p.CapacitorVolts.Known(),
				"voltage of the output capacitor (capacitor_volts)"},
				reading{p.Capacitance.Known(), "capacitance at the output (capacitance)"}),
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkOutputVoltage, v,
					p.CapacitorVolts.Value/stage.OutputFault)
			}},
		{id: substitute.ChkReverse, up: true, lack: unread(reading{u.ratio > 0, readRatio},
			reading{p.RectifierReverse.Known(), "type or reverse voltage of the output rectifier"}),
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkReverse,
					flyback.RectifierReverse(v, u.busMax,
						u.ratio), p.RectifierReverse.Value*stage.ReverseUse)
			}},
	}
	if p.Protection != "none" {
		out = append(out, bendLimit{id: substitute.ChkZener, up: true,
			lack: unread(reading{p.Protection == "zener" && p.Zener.Known(),
				"protection at the output: its zener voltage, or that there is none"}),
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkZener, v, p.Zener.Value*zenerUse)
			}})
	}
	return out
}

// mainsLimits are those of the drain: reflected voltage, clamp, duty.
func (u limiting) mainsLimits() []bendLimit {
	p := u.part
	clamp := unread(reading{u.ratio > 0, readRatio},
		reading{p.Clamp == "suppressor" || p.Clamp == "resistor", "what clamps the drain"},
		reading{p.Clamp != "suppressor" || p.ClampVolts.Known(),
			"voltage printed on the suppressor at the drain (clamp_volts)"},
		reading{p.Clamp != "resistor" ||
			p.ClampOhm.Known() && p.Leakage.Known() && u.listed && u.chip.LimitMax.Known(),
			"clamp resistor, leakage inductance and type of the chip"})
	current := reading{p.Clamp != "suppressor" ||
		u.listed && u.chip.LimitMax.Known() && u.chip.FrequencyMax.Known(),
		"type of the chip, for its highest current"}
	chip := reading{p.Breakdown.Known(), "type of the chip, or its breakdown voltage"}
	return []bendLimit{
		{id: substitute.ChkReflected, up: true, lack: unread(reading{u.ratio > 0, readRatio}, chip),
			basis: u.drainBasis(), at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkReflected,
					flyback.DrainPeak(u.busMax, u.reflected(v)), u.usableBreakdown()).From(
					float64(u.busMax))
			}},
		{id: substitute.ChkDrain, up: true, fixed: p.Clamp == "suppressor",
			lack: unread(reading{clamp == "", clamp}, chip, current), basis: u.drainBasis(),
			at: func(v si.Voltage) substitute.Gauge {
				_, high := u.clampAt(v)
				return substitute.Most(substitute.ChkDrain, flyback.DrainPeak(u.busMax, high),
					u.usableBreakdown()).From(float64(u.busMax))
			}},
		{id: substitute.ChkClampAbove, up: true, lack: clamp,
			at: func(v si.Voltage) substitute.Gauge {
				low, _ := u.clampAt(v)
				return substitute.Least(substitute.ChkClampAbove, low,
					stage.ClampAbove*u.reflected(v))
			}},
		{id: substitute.ChkDuty, up: true,
			lack: unread(reading{u.ratio > 0, readRatio}, reading{u.busMin > 0, "bulk capacitor"},
				reading{u.listed, "type of the chip"}),
			basis: "longest duty of the chip, continuous mode at the plate's power",
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkDuty,
					flyback.ContinuousDuty(u.busMin, u.reflected(v)), u.chip.DutyMax.Value)
			}},
		{id: substitute.ChkBulkVoltage, up: true, fixed: true,
			lack: unread(reading{p.BulkVolts.Known(),
				"voltage of the bulk capacitor (bulk_volts)"}),
			at: func(si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkBulkVoltage, u.busMax, p.BulkVolts.Value)
			}},
	}
}

// supplyLimits are those of the chip's own supply, at both ends; a chip that feeds itself has none.
func (u limiting) supplyLimits() []bendLimit {
	if u.listed && u.chip.SelfSupply == "yes" && !u.part.ChipSupply.Known() {
		return nil
	}
	lack := unread(reading{u.listed, "type of the chip"},
		reading{u.part.ChipSupply.Known(), "supply voltage of the chip (chip_supply)"})
	at := func(which int) func(si.Voltage) substitute.Gauge {
		return func(v si.Voltage) substitute.Gauge {
			chip := stage.DriveOf(u.chip)
			return chip.Supply.Gauges(si.Exactly(u.supplyAt(v)))[which]
		}
	}
	return []bendLimit{{id: substitute.ChkBiasHigh, up: true, lack: lack, at: at(1)},
		{id: substitute.ChkBiasLow, lack: lack, at: at(0)}}
}

// feedbackLimits are those of its own reference and optocoupler. A regulator on the mains side has
// neither.
func (u limiting) feedbackLimits() []bendLimit {
	p := u.part
	if p.Regulation == "primary" {
		return nil
	}
	secondary := reading{p.Regulation == "secondary", "where it is regulated (regulation)"}
	return []bendLimit{
		{id: substitute.ChkFeedbackSupply, own: true,
			lack: unread(secondary, reading{p.Vref.Known(),
				"voltage at the tap of its divider (vref)"},
				reading{p.LEDResistor.Known(),
					"resistor of its optocoupler's LED (led_resistor)"},
				reading{u.listed, "type of the chip"}),
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Least(substitute.ChkFeedbackSupply, v, u.feedbackNeed())
			}},
		{id: substitute.ChkCathode, up: true, own: true, lack: unread(secondary),
			at: func(v si.Voltage) substitute.Gauge {
				return substitute.Most(substitute.ChkCathode, v, si.Voltage(cathodeMost))
			}},
	}
}
