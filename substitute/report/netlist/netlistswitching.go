package netlist

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
)

// Corner is the mains voltage at which the power stage is simulated.
type Corner uint8

// LowMains is the valley of the bus at the lowest mains, HighMains the crest at the highest.
const (
	LowMains Corner = iota
	HighMains
)

// String is the word of the command line.
func (c Corner) String() string { return [...]string{"low", "high"}[c] }

// Figures of the simulated switch and rectifier: good enough that what they burn stays below 0.1 %
// of a few watts.
const (
	switchOn  = 0.1  // ohm
	switchOff = 50e6 // ohm
	// F, so that the drain takes time to rise; 50 pF would move 8 % more energy
	drainFarad = 1e-12
	// ideality of the rectifier's own junction; a steeper one stops the simulator
	junctionSlope  = 0.5
	junctionLeak   = 1e-6  // A
	junctionOhm    = 2e-3  // ohm
	clockWidth     = 50e-9 // s, of the pulse that turns the switch on
	stepsPerPulse  = 800   // time steps in the on-time
	emptyCycles    = 6     // simulated when every cycle starts from an empty core
	fullCycles     = 24    // simulated in continuous mode
	cyclesMeasured = 4
	// above it the current threshold falls in every cycle, or the pulses alternate in width
	steepDuty = 0.40
)

// stagePoint is the steady state at a corner that a switching deck is set to.
type stagePoint struct {
	bus si.Voltage
	// of one pulse train; an on/off switcher runs only share of its cycles
	op      flyback.Operating
	share   si.Ratio
	reflect si.Voltage
}

// stageAt works out the state at a corner with the power that crosses the gap at full current into
// a full pack.
func stageAt(b *substitute.Build, c Corner) stagePoint {
	p := stagePoint{bus: b.Stage.BusMin, share: 1, reflect: b.Transformer.Reflected}
	if c == HighMains {
		p.bus = b.Stage.BusMax
	}
	at := flyback.Point{Bus: p.bus, Reflected: p.reflect, Power: b.Stage.Throughput,
		Inductance: b.Transformer.Inductance,
		Frequency:  b.Switcher.Frequency}
	if b.Switcher.Control != "on-off" {
		p.op = flyback.Operate(at)
		return p
	}
	p.op, p.share = flyback.OperateGated(at, (b.Switcher.LimitMin+b.Switcher.LimitMax)/2)
	p.op.Duty /= p.share
	p.op.Demag /= p.share
	return p
}

// SwitchingDeck writes the power stage of a build as a netlist for ngspice, switching at its clock:
// bus voltage of the corner, ideal switch, transformer of the printed inductance and turns,
// rectifier with its drop, output held at the set point, every pulse ended by the peak current that
// the full load asks for. The transformer has no leakage inductance, so that the drain peak is bus
// plus reflected voltage; with leakage true it has the printed one and the build's clamp. Run in
// batch it prints peak_current in A, flux_peak in T (in the smallest area of the core), drain_peak
// in V, mode (discontinuous or continuous) and power in W (all that crosses the gap). For an on/off
// switcher every cycle is used and power is that of the unbroken train times the share of cycles
// that the load needs.
func SwitchingDeck(t substitute.Target, b *substitute.Build, c Corner, leakage bool) string {
	d := &Deck{}
	p := stageAt(b, c)
	d.heading("switching power stage, "+c.String()+" mains", t, b)
	period := 1 / float64(b.Switcher.Frequency)
	s := switching{d}
	s.primary(b, p, leakage)
	s.secondary(t, b, p)
	s.clock(b, p, period)
	s.measurements(p, period)
	d.Line(".end")
	return d.String()
}

// switching writes a power stage that switches, pulse by pulse.
type switching struct{ *Deck }

// primary writes bus, magnetising inductance, ideal transformer, switch, and the flux as the
// integral of the volts a turn over the area.
func (d switching) primary(b *substitute.Build, p stagePoint, leakage bool) {
	tr := b.Transformer
	np, area := float64(tr.PrimaryTurns), float64(b.Core.AreaMin)
	ratio := float64(tr.SecondaryTurns) / np
	d.Line("* primary %d turns, secondary %d turns, %s H", tr.PrimaryTurns, tr.SecondaryTurns,
		Num(float64(tr.Inductance)))
	d.Line("vbus bus 0 %s", Num(float64(p.bus)))
	top := "bus"
	if leakage {
		top = "inner"
		d.Line("* leakage inductance, and the clamp that takes its energy")
		d.Line("lleak bus inner %s ic=%s", Num(float64(tr.Leakage)), Num(float64(p.op.Valley)))
		d.Line("rdamp bus inner 20k")
		d.Line("dclamp drain clamp rectifier")
		d.Line("vclamp clamp bus %s", Num(float64(b.Stage.Clamp)))
	}
	d.Line("lmain %s drain %s ic=%s", top, Num(float64(tr.Inductance)), Num(float64(p.op.Valley)))
	d.Line("esecondary anode 0 drain %s %s", top, Num(ratio))
	d.Line("fsecondary %s drain vrectifier -%s", top, Num(ratio))
	d.Line("sswitch drain 0 control 0 powerswitch off")
	d.Line("cdrain drain 0 %s", Num(drainFarad))
	d.Line(".model powerswitch sw(vt=0 vh=1 ron=%s roff=%s)", Num(switchOn), Num(switchOff))
	start := float64(tr.Inductance) * float64(p.op.Valley) / (np * area)
	d.Line("* flux density as a voltage: volts a turn over the smallest area, integrated " +
		"by one farad")
	d.Line("bflux 0 flux i=(v(%s)-v(drain))/%s", top, Num(np*area))
	d.Line("cflux flux 0 1 ic=%s", Num(start))
}

// secondary writes the rectifier with its drop and the output, held at the set point and the shunt
// drop above control ground.
func (d switching) secondary(t substitute.Target, b *substitute.Build, p stagePoint) {
	d.Line("* rectifier: a junction of little drop, the rest of the printed drop, the output " +
		"at full pack")
	mean := float64(p.op.Secondary(turnsRatio(b)).Peak+p.op.Secondary(turnsRatio(b)).Valley) / 2
	own := junctionSlope*thermalVolts*1e-3*math.Log(mean/junctionLeak) + junctionOhm*mean
	d.Line("vrectifier anode junction 0")
	d.Line("drectifier junction drop rectifier")
	d.Line("vdrop drop out %s", Num(float64(b.Stage.RectifierDrop)-own))
	d.Line("vout out 0 %s", Num(float64(t.Set+b.Regulation.Sense)))
	d.Line(".model rectifier d(is=%s n=%s rs=%s)", Num(junctionLeak), Num(junctionSlope),
		Num(junctionOhm))
}

// clock writes the latch as a switch with hysteresis: the clock lifts its control above +1 V, the
// comparator pulls it below -1 V as the current passes the peak. At high duty in continuous mode
// the threshold falls during a cycle at half the slope of the falling current, which keeps all
// pulses equal, and meets the peak at the end of the pulse.
func (d switching) clock(b *substitute.Build, p stagePoint, period float64) {
	slope := 0.0 // A/s
	if p.op.Mode == flyback.Continuous && p.op.Duty > steepDuty {
		slope = float64(p.reflect) / float64(b.Transformer.Inductance) / 2
	}
	d.Line("* clock and current limit")
	d.Line("vclock clock 0 pulse(0 2.5 0 1n 1n %s %s)", Num(clockWidth), Num(period))
	d.Line("vramp ramp 0 pulse(0 %s 0 %s 1n 1n %s)", Num(slope*(period-2e-9)),
		Num(period-2e-9), Num(period))
	high := float64(p.op.Peak) + slope*float64(p.op.Duty)*period
	d.Line("bcontrol control 0 v=v(clock)-1-tanh((i(lmain)-%s+v(ramp))/%s)", Num(high),
		Num(1e-4*float64(p.op.Peak)))
}

// measurements writes the run and its questions.
func (d switching) measurements(p stagePoint, period float64) {
	cycles := emptyCycles
	if p.op.Mode == flyback.Continuous {
		cycles = fullCycles
	}
	end := float64(cycles) * period
	from := end - cyclesMeasured*period
	window := fmt.Sprintf("from=%s to=%s", Num(from), Num(end))
	d.Line(".options method=gear reltol=1e-4 abstol=1e-9 vntol=1e-6 gmin=1e-12")
	d.Line(".control")
	d.Line("set numdgt=9")
	d.Line("tran %s %s 0 %s uic", Num(period/200), Num(end),
		Num(float64(p.op.Duty)*period/stepsPerPulse))
	d.Line("meas tran peak max i(lmain) %s", window)
	d.Line("meas tran valley min i(lmain) %s", window)
	d.Line("meas tran fluxmax max v(flux) %s", window)
	d.Line("meas tran drainmax max v(drain) %s", window)
	d.Line("let crossing = v(anode)*i(vrectifier)")
	d.Line("meas tran mean avg crossing %s", window)
	d.Line("if peak > 0")
	d.Line("  let peak_current = peak")
	d.Line("  let flux_peak = fluxmax")
	d.Line("  let drain_peak = drainmax")
	d.Line("  let power = mean*%s", Num(float64(p.share)))
	d.Line("  print peak_current")
	d.Line("  print flux_peak")
	d.Line("  print drain_peak")
	d.Line("  print power")
	d.Line("  if valley > 0.01*peak")
	d.Line("    echo mode = continuous")
	d.Line("  else")
	d.Line("    echo mode = discontinuous")
	d.Line("  end")
	d.Line("end")
	d.Line("quit 0")
	d.Line(".endc")
}

// turnsRatio is Np/Ns.
func turnsRatio(b *substitute.Build) si.Ratio {
	return si.Ratio(b.Transformer.PrimaryTurns) / si.Ratio(b.Transformer.SecondaryTurns)
}
