package report

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

// Figures of the simulated switch and rectifier: good enough that what they burn stays below 0.1 % of a few watts.
const (
	switchOn       = 0.1   // ohm
	switchOff      = 50e6  // ohm
	drainFarad     = 1e-12 // F, so that the drain takes time to rise; 50 pF would move 8 % more energy
	junctionSlope  = 0.5   // ideality of the rectifier's own junction; a steeper one stops the simulator
	junctionLeak   = 1e-6  // A
	junctionOhm    = 2e-3  // ohm
	clockWidth     = 50e-9 // s, of the pulse that turns the switch on
	stepsPerPulse  = 800   // time steps in the on-time
	emptyCycles    = 6     // simulated when every cycle starts from an empty core
	fullCycles     = 24    // simulated in continuous mode
	cyclesMeasured = 4
	steepDuty      = 0.40 // above it the current threshold falls in every cycle, or the pulses alternate in width
)

// stagePoint is the steady state at a corner that a switching deck is set to.
type stagePoint struct {
	bus     si.Voltage
	op      flyback.Operating // of one pulse train; an on/off switcher runs only share of its cycles
	share   si.Ratio
	reflect si.Voltage
}

// stageAt works out the state at a corner with the power that crosses the gap at full current into a full pack.
func stageAt(b *substitute.Build, c Corner) stagePoint {
	p := stagePoint{bus: b.Stage.BusMin, share: 1, reflect: b.Transformer.Reflected}
	if c == HighMains {
		p.bus = b.Stage.BusMax
	}
	at := flyback.Point{Bus: p.bus, Reflected: p.reflect, Power: b.Stage.Throughput, Inductance: b.Transformer.Inductance,
		Frequency: b.Switcher.Frequency}
	if b.Switcher.Control != "on-off" {
		p.op = flyback.Operate(at)
		return p
	}
	p.op, p.share = flyback.OperateGated(at, (b.Switcher.LimitMin+b.Switcher.LimitMax)/2)
	p.op.Duty /= p.share
	p.op.Demag /= p.share
	return p
}

// SwitchingDeck writes the power stage of a build as a netlist for ngspice, switching at its clock: bus voltage of the corner,
// ideal switch, transformer of the printed inductance and turns, rectifier with its drop, output held at the set point,
// every pulse ended by the peak current that the full load asks for. The transformer has no leakage inductance, so that the
// drain peak is bus plus reflected voltage; with leakage true it has the printed one and the build's clamp. Run in batch it
// prints peak_current in A, flux_peak in T (in the smallest area of the core), drain_peak in V, mode (discontinuous or
// continuous) and power in W (all that crosses the gap). For an on/off switcher every cycle is used and power is that
// of the unbroken train times the share of cycles that the load needs.
func SwitchingDeck(t substitute.Target, b *substitute.Build, c Corner, leakage bool) string {
	d := &deck{}
	p := stageAt(b, c)
	d.heading("switching power stage, "+c.String()+" mains", t, b)
	period := 1 / float64(b.Switcher.Frequency)
	d.primary(b, p, leakage)
	d.secondary(t, b, p)
	d.clock(b, p, period)
	d.measurements(p, period)
	d.line(".end")
	return d.String()
}

// primary writes bus, magnetising inductance, ideal transformer, switch, and the flux as the integral of the volts a turn over
// the area.
func (d *deck) primary(b *substitute.Build, p stagePoint, leakage bool) {
	tr := b.Transformer
	np, area := float64(tr.PrimaryTurns), float64(b.Core.AreaMin)
	ratio := float64(tr.SecondaryTurns) / np
	d.line("* primary %d turns, secondary %d turns, %s H", tr.PrimaryTurns, tr.SecondaryTurns, num(float64(tr.Inductance)))
	d.line("vbus bus 0 %s", num(float64(p.bus)))
	top := "bus"
	if leakage {
		top = "inner"
		d.line("* leakage inductance, and the clamp that takes its energy")
		d.line("lleak bus inner %s ic=%s", num(float64(tr.Leakage)), num(float64(p.op.Valley)))
		d.line("rdamp bus inner 20k")
		d.line("dclamp drain clamp rectifier")
		d.line("vclamp clamp bus %s", num(float64(b.Stage.Clamp)))
	}
	d.line("lmain %s drain %s ic=%s", top, num(float64(tr.Inductance)), num(float64(p.op.Valley)))
	d.line("esecondary anode 0 drain %s %s", top, num(ratio))
	d.line("fsecondary %s drain vrectifier -%s", top, num(ratio))
	d.line("sswitch drain 0 control 0 powerswitch off")
	d.line("cdrain drain 0 %s", num(drainFarad))
	d.line(".model powerswitch sw(vt=0 vh=1 ron=%s roff=%s)", num(switchOn), num(switchOff))
	start := float64(tr.Inductance) * float64(p.op.Valley) / (np * area)
	d.line("* flux density as a voltage: volts a turn over the smallest area, integrated by one farad")
	d.line("bflux 0 flux i=(v(%s)-v(drain))/%s", top, num(np*area))
	d.line("cflux flux 0 1 ic=%s", num(start))
}

// secondary writes the rectifier with its drop and the output, held at the set point and the shunt drop above control ground.
func (d *deck) secondary(t substitute.Target, b *substitute.Build, p stagePoint) {
	d.line("* rectifier: a junction of little drop, the rest of the printed drop, the output at full pack")
	mean := float64(p.op.Secondary(turnsRatio(b)).Peak+p.op.Secondary(turnsRatio(b)).Valley) / 2
	own := junctionSlope*thermalVolts*1e-3*math.Log(mean/junctionLeak) + junctionOhm*mean
	d.line("vrectifier anode junction 0")
	d.line("drectifier junction drop rectifier")
	d.line("vdrop drop out %s", num(float64(b.Stage.RectifierDrop)-own))
	d.line("vout out 0 %s", num(float64(t.Set+b.Regulation.Sense)))
	d.line(".model rectifier d(is=%s n=%s rs=%s)", num(junctionLeak), num(junctionSlope), num(junctionOhm))
}

// clock writes the latch as a switch with hysteresis: the clock lifts its control above +1 V, the comparator pulls it below
// -1 V as the current passes the peak. At high duty in continuous mode the threshold falls during a cycle at half the
// slope of the falling current, which keeps all pulses equal, and meets the peak at the end of the pulse.
func (d *deck) clock(b *substitute.Build, p stagePoint, period float64) {
	slope := 0.0 // A/s
	if p.op.Mode == flyback.Continuous && p.op.Duty > steepDuty {
		slope = float64(p.reflect) / float64(b.Transformer.Inductance) / 2
	}
	d.line("* clock and current limit")
	d.line("vclock clock 0 pulse(0 2.5 0 1n 1n %s %s)", num(clockWidth), num(period))
	d.line("vramp ramp 0 pulse(0 %s 0 %s 1n 1n %s)", num(slope*(period-2e-9)), num(period-2e-9), num(period))
	high := float64(p.op.Peak) + slope*float64(p.op.Duty)*period
	d.line("bcontrol control 0 v=v(clock)-1-tanh((i(lmain)-%s+v(ramp))/%s)", num(high), num(1e-4*float64(p.op.Peak)))
}

// measurements writes the run and its questions.
func (d *deck) measurements(p stagePoint, period float64) {
	cycles := emptyCycles
	if p.op.Mode == flyback.Continuous {
		cycles = fullCycles
	}
	end := float64(cycles) * period
	from := end - cyclesMeasured*period
	window := fmt.Sprintf("from=%s to=%s", num(from), num(end))
	d.line(".options method=gear reltol=1e-4 abstol=1e-9 vntol=1e-6 gmin=1e-12")
	d.line(".control")
	d.line("set numdgt=9")
	d.line("tran %s %s 0 %s uic", num(period/200), num(end), num(float64(p.op.Duty)*period/stepsPerPulse))
	d.line("meas tran peak max i(lmain) %s", window)
	d.line("meas tran valley min i(lmain) %s", window)
	d.line("meas tran fluxmax max v(flux) %s", window)
	d.line("meas tran drainmax max v(drain) %s", window)
	d.line("let crossing = v(anode)*i(vrectifier)")
	d.line("meas tran mean avg crossing %s", window)
	d.line("if peak > 0")
	d.line("  let peak_current = peak")
	d.line("  let flux_peak = fluxmax")
	d.line("  let drain_peak = drainmax")
	d.line("  let power = mean*%s", num(float64(p.share)))
	d.line("  print peak_current")
	d.line("  print flux_peak")
	d.line("  print drain_peak")
	d.line("  print power")
	d.line("  if valley > 0.01*peak")
	d.line("    echo mode = continuous")
	d.line("  else")
	d.line("    echo mode = discontinuous")
	d.line("  end")
	d.line("end")
	d.line("quit 0")
	d.line(".endc")
}

// turnsRatio is Np/Ns.
func turnsRatio(b *substitute.Build) si.Ratio {
	return si.Ratio(b.Transformer.PrimaryTurns) / si.Ratio(b.Transformer.SecondaryTurns)
}
