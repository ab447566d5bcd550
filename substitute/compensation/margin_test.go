package compensation

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/testdata/outside"
)

// deck is the circuit of a loop as parts on a bench: op-amp as a source with one pole, resistors
// and capacitors round it, LED, optocoupler, feedback pin, converter as a current source behind an
// ideal line for its delay and a coil for its right-half-plane zero, output capacitors, choke and
// load. It is cut at the LED: x is its current, back what returns.
func deck(l Loop, p Parts) string {
	var d strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&d, format+"\n", args...) }
	line("* one loop, cut at the LED of its optocoupler")
	line("vx x 0 dc 0 ac 1")
	if l.Pin.Store > 0 {
		line("rpole x opto 1\ncpole opto 0 %g", 1/(2*math.Pi*float64(l.Pin.Transistor)))
		line("gopto 0 pin opto 0 %g", float64(l.Ratio))
		line("rpin pin 0 %g\nrstore pin store %g\ncstore store 0 %g", float64(l.Pin.Resistance),
			float64(l.Pin.StoreSeries), float64(l.Pin.Store))
	} else {
		line("gopto 0 pin x 0 %g", float64(l.Ratio))
		line("rpin pin 0 %g\ncpin pin 0 %g", float64(l.Pin.Resistance), float64(l.Pin.Capacitance))
	}
	// volts for the amperes through the pin's own resistance
	line("efed fed 0 pin 0 %g", 1/float64(l.Pin.Resistance))
	filter := 1e-15
	if l.Pin.Filter > 0 {
		filter = 1 / (2 * math.Pi * float64(l.Pin.Filter))
	}
	line("rfilter fed slow 1\ncfilter slow 0 %g", filter)
	line("eline near 0 slow 0 2\nrline near send 50\ntline send 0 late 0 z0=50 "+
		"td=%g\nrend late 0 50", math.Max(1e-12, float64(l.Delay)))
	line("gcoil 0 coil late 0 1\nlcoil coil 0 %g\nrcoil coil 0 1e9", rightCoil(l))
	line("ezero drive 0 late coil 1")
	line("gstage 0 bus drive 0 %g", float64(l.Gain))
	line("rseries bus plate %g\ncout plate 0 %g", float64(l.Output.Series)+1e-9,
		float64(l.Output.Capacitance))
	if l.Output.Stage > 0 {
		line("rstage bus 0 %g", float64(l.Output.Stage))
	}
	line("rchoke bus coilend %g\nlchoke coilend out %g", float64(l.Output.ChokeOhm)+1e-9,
		float64(l.Output.Choke)+1e-15)
	if l.Output.Behind > 0 {
		line("rbehind out platebehind %g\ncbehind platebehind 0 %g",
			float64(l.Output.BehindSeries)+1e-9, float64(l.Output.Behind))
	}
	watched := "out"
	if l.Output.Shunt > 0 {
		line("rbattery out sense %g\nrshunt sense 0 %g", float64(l.Output.Battery)+1e-9,
			float64(l.Output.Shunt))
		watched = "sense"
	} else {
		line("rload out 0 %g", float64(l.Output.Load))
	}
	amplifier(line, l.Amplifier, p, watched)
	line(".control\nset units=degrees\nac dec 200 1 %g", l.top())
	line("let turn = vp(back)\nlet gain = vm(back)")
	line("meas ac cross when gain=1 fall=last\nmeas ac phase find turn when gain=1 fall=last")
	line("print cross\nprint phase\nquit 0\n.endc\n.end")
	return d.String()
}

// rightCoil is the inductance in H over which a current makes what a right-half-plane zero takes
// off.
func rightCoil(l Loop) float64 {
	if l.Right == 0 {
		return 1e-15
	}
	return 1 / (2 * math.Pi * float64(l.Right))
}

func amplifier(line func(string, ...any), a Amplifier, p Parts, watched string) {
	line("gopen 0 open plus minus 1\nropen open 0 1e5\ncopen open 0 %g\neamp amp 0 open 0 1",
		1/(2*math.Pi*float64(a.Bandwidth)))
	line("cloop amp mid %g\nrdamp mid minus %g", float64(p.Capacitor), float64(p.Damping)+1e-6)
	node := "plus"
	if a.Inverting {
		node = "minus"
		line("vplus plus 0 0")
	}
	switch {
	case a.Top > 0:
		line("rtop %s %s %g\nrbottom %s 0 %g\nclead %s %s %g", watched, node, float64(a.Top), node,
			float64(a.Bottom), watched, node, float64(p.Lead)+1e-18)
	case a.Inverting:
		line("rinput %s minus %g", watched, float64(p.Input))
	default:
		line("rsense %s plus 2200", watched) // no current: the input takes none
	}
	if !a.Inverting {
		line("rinput minus level %g\nrlevel level 0 %g", float64(p.Input), float64(a.Behind)+1e-6)
	}
}

// ledEnd adds the LED: driven up by the amplifier, or pulled down from the output.
func ledEnd(l Loop, text string) string {
	back := fmt.Sprintf("eback back 0 amp 0 %g\n", 1/float64(l.LED))
	if l.Amplifier.Inverting {
		back = fmt.Sprintf("eback back 0 out amp %g\n", 1/float64(l.LED))
	}
	return strings.Replace(text, ".control\n", back+".control\n", 1)
}

func simulated(t *testing.T, text string) (cross, phase float64) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "loop.cir")
	require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	out, err := exec.CommandContext(ctx, "ngspice", "-b", name).CombinedOutput()
	require.NoError(t, err, string(out))
	read := func(what string) float64 {
		found := regexp.MustCompile(`(?m)^ *`+what+
			` = (\S+)\s*$`).FindAllStringSubmatch(string(out), -1)
		require.Len(t, found, 1, "%s in\n%s\n%s", what, out, text)
		v, err := strconv.ParseFloat(found[0][1], 64)
		require.NoError(t, err)
		return v
	}
	return read("cross"), read("phase")
}

// bench holds loops of the size met in builds, driven up and pulled down, with every kind of pin.
func bench() map[string]struct {
	Loop
	Parts
} {
	type row = struct {
		Loop
		Parts
	}
	up := Amplifier{Top: 15e3, Bottom: 2600, Bandwidth: 0.7e6}
	level := Amplifier{Behind: 2e3, Bandwidth: 0.7e6}
	pulled := Pin{Resistance: 2800, Capacitance: 40e-9}
	out := Output{Capacitance: 680e-6, Series: 21e-3, Choke: 4.7e-6, ChokeOhm: 15e-3, Behind: 10e-6,
		BehindSeries: 1, Load: 16.8, Stage: 16.8}
	pack := Output{Capacitance: 680e-6, Series: 21e-3, Choke: 4.7e-6, ChokeOhm: 15e-3,
		Behind: 10e-6, BehindSeries: 1, Stage: 16.8,
		Battery: 50e-3, Shunt: 0.22}
	fsdm := Loop{Amplifier: up, LED: 3300, Ratio: 2, Pin: pulled, Gain: 2900,
		Delay: 7.6e-6, Output: out}
	idle := fsdm
	idle.Gain, idle.Output.Load, idle.Output.Stage = 290, 2000, 2000
	ccm := fsdm
	ccm.Right, ccm.Output.Behind = 9e3, 0
	amps := Loop{Amplifier: level, LED: 3300, Ratio: 2, Pin: pulled, Gain: 2900,
		Delay: 7.6e-6, Output: pack}
	ka5 := fsdm
	ka5.Gain, ka5.Output.Capacitance, ka5.Output.Load, ka5.Output.Stage, ka5.LED = 6500,
		2000e-6, 7.2, 7.2, 2200
	ncp := fsdm
	ncp.Pin, ncp.Gain, ncp.Output.Capacitance, ncp.LED, ncp.Amplifier.Top = Pin{Resistance: 18e3,
		Capacitance: 10e-9}, 6000, 1000e-6, 5e3, 6e3
	ncpAmps := amps
	ncpAmps.Pin, ncpAmps.Gain, ncpAmps.LED = ncp.Pin, 6000, 15e3
	fed := fsdm
	fed.Pin = Pin{Resistance: 15, Store: 22e-6, StoreSeries: 7.8, Transistor: 80e3, Filter: 7e3}
	fed.Gain, fed.LED = 2500, 1000
	fedAmps := amps
	fedAmps.Pin, fedAmps.Gain, fedAmps.LED = fed.Pin, 2500, 1000
	str := fsdm
	str.Pin, str.Gain = ncp.Pin, 9000
	strAmps := amps
	strAmps.Pin, strAmps.Gain, strAmps.LED = ncp.Pin, 9000, 15e3
	down := fsdm
	down.Amplifier.Inverting = true
	downAmps := amps
	downAmps.Amplifier = Amplifier{Inverting: true, Bandwidth: 0.7e6}
	gated := fsdm
	gated.Delay, gated.Gain, gated.Pin = 10e-6, 4000, Pin{Resistance: 10e3, Capacitance: 10e-9}
	return map[string]row{
		"li4, voltage":      {fsdm, Parts{10e3, 100e-9, 47e3, 0}},
		"li4, idle":         {idle, Parts{10e3, 100e-9, 47e3, 0}},
		"li4, current":      {amps, Parts{2200, 100e-9, 0, 0}},
		"lfp4, voltage":     {ccm, Parts{10e3, 100e-9, 10e3, 0}},
		"agm6, voltage":     {ka5, Parts{10e3, 47e-9, 22e3, 0}},
		"fed pin, voltage":  {fed, Parts{1000, 220e-9, 10e3, 0}},
		"fed pin, current":  {fedAmps, Parts{1000, 220e-9, 2200, 0}},
		"18 kohm pin, lead": {ncp, Parts{10e3, 1e-6, 0, 47e-9}},
		"18 kohm, current":  {ncpAmps, Parts{2200, 100e-9, 0, 0}},
		"STR, voltage":      {str, Parts{10e3, 220e-9, 4700, 0}},
		"STR, current":      {strAmps, Parts{2200, 220e-9, 1000, 0}},
		"pulled down":       {down, Parts{0, 100e-9, 10e3, 2.2e-9}},
		"pulled, current":   {downAmps, Parts{2200, 100e-9, 2200, 0}},
		"gated":             {gated, Parts{2200, 100e-9, 4700, 0}},
	}
}

// Crossover and phase margin against ngspice on the same circuit: 0.5 % (200 points a decade) and
// half a degree.
func TestMarginsAgainstSimulator(t *testing.T) {
	outside.Need(t, "ngspice")
	for name, c := range bench() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := c.Loop.Margins(c.Parts)
			cross, phase := simulated(t, ledEnd(c.Loop, deck(c.Loop, c.Parts)))
			require.InEpsilon(t, cross, float64(m.Fast), 5e-3)
			if m.Slow != m.Fast {
				return // several crossovers: the last is compared
			}
			if phase > 0 {
				phase -= 360
			}
			if m.Phase > 0 {
				require.InDelta(t, 180+phase, m.Phase, 0.5)
			} else {
				require.LessOrEqual(t, 180+phase, 0.0, "ours says that it oscillates")
			}
		})
	}
}

// By hand: a pure integrator of 200/s round a loop with one pole at 4 kHz crosses over at 31.83 Hz,
// 0.46 degrees short of 90; and with a second pole at the same place it is in step where both have
// 45.72 degrees, the microsecond of the output's own way to the LED leading by 1.44: at 4101 Hz its
// gain is 200/(2 pi 4101) x cos2(45.72) = 1/264.
func TestMarginsByHand(t *testing.T) {
	l := Loop{Amplifier: Amplifier{Inverting: true, Bandwidth: 1e12}, LED: 1e3, Ratio: 1, Gain: 2,
		Pin:    Pin{Resistance: 1e3, Capacitance: si.Capacitance(1 / (2 * math.Pi * 4e3 * 1e3))},
		Output: Output{Capacitance: 1e-15, Shunt: 0.1}}
	p := Parts{Input: 10e3, Capacitor: 100e-12}
	m := l.Margins(p)
	require.InDelta(t, 31.83, float64(m.Fast), 0.15)
	l.Pin.Filter = 4e3
	m = l.Margins(p)
	// the amplifier ends at 1e5, 5000 are used: atan(1/20)
	require.InDelta(t, 180-90-2*0.456+2.86, m.Phase, 0.3)
	require.InEpsilon(t, 264, float64(m.Gain), 0.01)
}

// A loop with three integrals is conditionally stable: with lead round its crossover it is steady,
// and oscillates with less gain as with more (Nyquist; J. J. D'Azzo and C. H. Houpis, Feedback
// Control System Analysis and Synthesis, 2nd ed., 8-7, from memory).
func TestConditionalStability(t *testing.T) {
	// three integrators of 1 kHz, two zeros at 200 Hz: margin at 1 of the gain; -1 is passed at 200
	// Hz where the gain is 62
	run := func(k float64) Margins {
		var n nyquist
		n.start()
		gain := func(f float64) complex128 {
			s := complex(0, f)
			z := 1 + s/200
			return complex(k*1e6, 0) * z * z / (s + 0.01) / (s + 0.01) / (s + 0.01)
		}
		fs := grid(1e5, 40)
		n.first(gain(fs[0]))
		for i := 1; i < len(fs); i++ {
			n.step(fs[i-1], fs[i], gain(fs[i]), gain)
		}
		return n.margins()
	}
	// phase -270 + 2 atan(f/200) is -180 at f = 200: gain there k 1e6 x 2/8e6 = k/4
	require.Negative(t, run(1).Phase)
	require.Negative(t, run(3.9).Phase)
	require.Positive(t, run(4.1).Phase)
	require.Positive(t, run(100).Phase)
	require.InEpsilon(t, 25, float64(run(100).Gain), 0.01)
}

// A loop whose gain is no number is known to nobody and never counts as steady: once an adapter
// with a chip that sets the duty had a stage of 0/0, no crossover, and 180 degrees.
func TestGainThatIsNoNumberIsNoMargin(t *testing.T) {
	for _, gain := range []float64{math.NaN(), math.Inf(1)} {
		l := Loop{Amplifier: Amplifier{Inverting: true, Bandwidth: 1e6}, LED: 1e3, Ratio: 1,
			Gain:   si.Ratio(gain),
			Output: Output{Capacitance: 1e-15, Shunt: 0.1}}
		require.Negative(t, l.Margins(Parts{Input: 2200, Capacitor: 100e-9}).Phase)
	}
}
