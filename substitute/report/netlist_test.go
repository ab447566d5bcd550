package report_test

import (
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/search"
	"sparewright/substitute/stage"
	"sparewright/testdata/outside"
)

// simulate runs a deck in batch. The exit status says nothing: ngspice ends with 0 when it has
// failed, so the words of failure are looked for in what it printed.
func simulate(t *testing.T, deck string) string {
	t.Helper()
	dir := t.TempDir()
	name := filepath.Join(dir, "deck.cir")
	require.NoError(t, os.WriteFile(name, []byte(deck), 0o644))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "ngspice", "-b", name)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	for _, word := range []string{"doAnalyses:", "Error", "nan", " failed!", "singular"} {
		require.NotContains(t, string(out), word, deck)
	}
	return string(out)
}

// printed reads "name = value" from a line of its own.
func printed(t *testing.T, out, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(printedWord(t, out, name), 64)
	require.NoError(t, err)
	return v
}

func printedWord(t *testing.T, out, name string) string {
	t.Helper()
	found := regexp.MustCompile(`(?m)^ *`+name+` = (\S+)\s*$`).FindAllStringSubmatch(out, -1)
	require.Len(t, found, 1, "%s in\n%s", name, out)
	return found[0][1]
}

// within holds a figure against another within a share of it. NaN never passes.
func within(t *testing.T, got, want, rel float64, what ...any) {
	t.Helper()
	require.True(t, math.Abs(got-want) <= rel*math.Abs(want), "got %v, want %v within %v: %v", got,
		want, rel, what)
}

// netlistBench is the built-in drawer, prepared once.
var netlistBench = sync.OnceValue(func() *advise.Workbench {
	return advise.NewWorkbench(exchange.Demo())
})

// wideBench is the built-in drawer with an op-amp entered by its figures, as a builder would: it
// works from 2.2 V and bears 60 V, so that one cell and ten cells, which the amplifiers of the
// drawer cannot serve, are simulated too. The figures are invented.
var wideBench = sync.OnceValue(func() *advise.Workbench {
	s := exchange.Demo()
	s.Lots = append(s.Lots, inventory.Lot{ID: 9001, Count: 2, Bin: "Z1", Condition: inventory.New,
		Part: catalog.Amplifier{
			Named: catalog.Named{Name: "wide-supply dual"}, Function: "dual",
			SupplyMin: catalog.Of[si.Voltage](2.2), SupplyMax: catalog.Of[si.Voltage](60),
			SupplyCurrent: catalog.Of[si.Current](1e-3), Offset: catalog.Of[si.Voltage](1e-3),
			BiasCurrent: catalog.Of[si.Current](50e-9),
			InputLow:    catalog.Of[si.Voltage](0), Headroom: catalog.Of[si.Voltage](0.2),
			Source: catalog.Of[si.Current](20e-3), Sink: catalog.Of[si.Current](10e-3)}})
	return advise.NewWorkbench(s)
})

// pullBench is the built-in drawer with no amplifier but those whose plus input is their own
// reference, one of them measured: its builds pull the LED of the optocoupler down.
var pullBench = sync.OnceValue(func() *advise.Workbench {
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(s.Lots, func(l inventory.Lot) bool {
		a, is := l.Part.(catalog.Amplifier)
		return is && a.Function != "combined"
	})
	return advise.NewWorkbench(s)
})

// pullChargers have limits wide enough for the references of pullBench.
func pullChargers(t *testing.T) []substitute.Target {
	return []substitute.Target{usualCharger(t, "lifepo4", "", 4, 0.5, 195),
		usualCharger(t, "lead-acid-agm", "cyclic", 6, 0.5, 195),
		usualCharger(t, "lead-acid-agm", "float", 12, 0.5, 195)}
}

// usualCharger is a usual target under the conditions of the examples.
func usualCharger(t *testing.T, chemistry, duty string, cells int, current si.Current,
	lowest si.Voltage) substitute.Target {
	t.Helper()
	target, err := substitute.Target{Chemistry: chemistry, Duty: duty, Cells: cells,
		Current: current, MainsMin: lowest,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	return target
}

// usualChargers are lithium-ion of one to ten cells, LiFePO4 of four and eight, lead-acid of 6, 12
// and 24 V.
func usualChargers(t *testing.T) []substitute.Target {
	var out []substitute.Target
	for n := 1; n <= 10; n++ {
		out = append(out, usualCharger(t, "li-ion", "", n, 0.5, 195),
			usualCharger(t, "li-ion", "", n, 1, 195))
	}
	for _, n := range []int{4, 8} {
		out = append(out, usualCharger(t, "lifepo4", "", n, 0.5, 195),
			usualCharger(t, "lifepo4", "", n, 1, 195))
	}
	for _, duty := range []string{"cyclic", "float"} {
		for _, n := range []int{3, 6, 12} {
			out = append(out, usualCharger(t, "lead-acid-agm", duty, n, 0.5, 195))
		}
	}
	return out
}

type simulated struct {
	target substitute.Target
	build  substitute.Build
}

// bestBuilds is the best build of every usual charger that has one, drawn up once.
var bestBuilds = struct {
	sync.Once
	all []simulated
}{}

// soundBuilds are those of simulatedBuilds that keep every limit.
func soundBuilds(t *testing.T) (out []simulated) {
	for _, e := range simulatedBuilds(t) {
		if _, broken := substitute.Broken(&e.build); !broken {
			out = append(out, e)
		}
	}
	require.GreaterOrEqual(t, len(out), 17)
	return out
}

func simulatedBuilds(t *testing.T) []simulated {
	bestBuilds.Do(func() {
		for _, target := range usualChargers(t) {
			r := netlistBench().Advise(target, advise.Options{Builds: 1, Refused: 1})
			if len(r.Builds) > 0 {
				bestBuilds.all = append(bestBuilds.all, simulated{target, r.Builds[0]})
			}
		}
		for _, cells := range []int{1, 9, 10} {
			target := usualCharger(t, "li-ion", "", cells, 0.5, 195)
			// no overvoltage protection works there: one cell is too little for reference and LED,
			// nine are more than a reference bears; the regulation is simulated all the same
			a := advise.NewAttempt(wideBench(), target)
			a.Judge = func(m *stage.Measured, _ bool) (v search.Verdict) {
				v.Refusal, _ = a.Looper().Sways(m)
				return v
			}
			found, _ := a.Pairs()
			require.NotEmpty(t, found, target.Name)
			b := a.Assemble(&found[0])
			_, broken := substitute.Broken(&b)
			require.True(t, broken, target.Name)
			bestBuilds.all = append(bestBuilds.all, simulated{target, b})
		}
		for _, target := range pullChargers(t) {
			r := pullBench().Advise(target, advise.Options{Builds: 1, Refused: 1})
			require.NotEmpty(t, r.Builds, target.Name)
			require.Equal(t, "down", r.Builds[0].Regulation.Circuit.Drive)
			bestBuilds.all = append(bestBuilds.all, simulated{target, r.Builds[0]})
		}
		// builds whose current regulation ends just below the empty pack
		target := usualCharger(t, "li-ion", "", 2, 1, 195)
		for _, b := range netlistBench().Advise(target,
			advise.Options{Builds: 40, Refused: 1}).Builds {
			if b.Regulation.LowestRegulated > 0.99*target.Empty {
				bestBuilds.all = append(bestBuilds.all, simulated{target, b})
				break
			}
		}
	})
	require.GreaterOrEqual(t, len(bestBuilds.all), 20)
	return bestBuilds.all
}

// What advise prints against what ngspice makes of the parts it lists, at the set point and at both
// trimmer ends: 0.5 %.
func TestLoopsStandWhereAdviseSays(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	cells := map[string]bool{}
	for _, e := range simulatedBuilds(t) {
		b, r := &e.build, e.build.Regulation
		cells[e.target.Name] = true
		name := e.target.Name + " " + b.Switcher.Designation
		volts, amps := float64(e.target.Set), float64(e.target.Current)
		if r.Trimmer == 0 {
			volts = float64(r.SetLow)
		}
		if r.SenseTrimmer == 0 {
			amps = float64(r.CurrentLow)
		}
		out := simulate(t, netlist.RegulationDeck(e.target, b, netlist.TrimmerSet))
		within(t, printed(t, out, "set_voltage"), volts, 0.005, name)
		within(t, printed(t, out, "set_current"), amps, 0.005, name)
		require.InDelta(t, float64(r.LowestRegulated), printed(t, out, "lowest_regulated"),
			netlist.SweepStep, name)

		out = simulate(t, netlist.RegulationDeck(e.target, b, netlist.TrimmerLow))
		within(t, printed(t, out, "set_voltage"), float64(r.SetLow), 0.005, name)
		within(t, printed(t, out, "set_current"), float64(r.CurrentLow), 0.005, name)

		out = simulate(t, netlist.RegulationDeck(e.target, b, netlist.TrimmerHigh))
		within(t, printed(t, out, "set_voltage"), float64(r.SetHigh), 0.005, name)
		within(t, printed(t, out, "set_current"), float64(r.CurrentHigh), 0.005, name)
	}
	for _, name := range []string{"Li-ion 2S", "Li-ion 3S", "Li-ion 4S", "Li-ion 5S", "Li-ion 6S",
		"Li-ion 7S", "LiFePO4 4S",
		"lead-acid AGM 12 V cyclic"} {
		require.Contains(t, cells, name)
	}
}

// What a full pack gives to the circuit with the mains off, against ngspice on the same netlist
// with its converter off and the pack 2 % below the set point, where the LED is dark. Ours is the
// most of all corners at the highest voltage the network allows: 2 to 4 % more output and the
// reference resistor up to 5 % low, so never below and at most 14 % above.
func TestIdleDrawAgainstSimulator(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	for _, e := range simulatedBuilds(t) {
		deck, _, cut := strings.Cut(netlist.RegulationDeck(e.target, &e.build, netlist.TrimmerSet),
			".control\n")
		require.True(t, cut)
		deck += ".control\nset numdgt=9\nalter vrun = 0\nalter rbattery = 1e-3\n" +
			"alter vbattery = " + netlist.Num(0.98*float64(e.target.Set)) +
			"\nop\nlet idle_draw = -i(vbattery)\nprint idle_draw\nquit 0\n.endc\n.end\n"
		drawn, ours := printed(t, simulate(t, deck), "idle_draw"),
			float64(e.build.Regulation.IdleDraw)
		require.GreaterOrEqual(t, ours, drawn, e.target.Name)
		require.LessOrEqual(t, ours, drawn*1.14, e.target.Name)
	}
}

// A charge from empty to full: the current stays until the battery stands at the knee, then the
// voltage holds.
func TestChargeFromEmptyToFull(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	for _, e := range simulatedBuilds(t) {
		curve := chargeCurve(t, e)
		r := e.build.Regulation
		amps := float64(e.target.Current)
		if r.SenseTrimmer == 0 {
			amps = float64(r.CurrentLow)
		}
		node := float64(e.target.Set)
		if r.Trimmer == 0 {
			node = float64(r.SetLow)
		}
		knee := float64(r.KneeVoltage) + node - float64(e.target.Set)
		require.Less(t, curve[0].battery, float64(e.target.Empty)*1.02, e.target.Name)
		crossed := false
		for i, p := range curve {
			if p.battery < knee*0.999 {
				within(t, p.amps, amps, 0.005, e.target.Name, p.battery)
			}
			if !crossed && p.amps < 0.99*amps {
				crossed = true
				// the current has fallen by a hundredth somewhere between this point and the last
				require.InDelta(t, knee+0.01*float64(r.Sense), p.battery,
					0.001*node+p.battery-curve[i-1].battery, e.target.Name)
			}
			// a pack above the set point of a fixed divider feeds the output itself
			if crossed && p.amps > 0 {
				within(t, p.output, node, 0.0005, e.target.Name, "output past the knee")
			}
		}
		require.True(t, crossed, e.target.Name)
		require.Less(t, curve[len(curve)-1].amps, 0.2*amps, e.target.Name)
	}
}

type chargePoint struct{ battery, amps, output float64 }

// chargeCurve sweeps the battery from empty to full.
func chargeCurve(t *testing.T, e simulated) []chargePoint {
	d := &netlist.Deck{}
	d.Line("* charge")
	d.Regulation(e.target, &e.build, netlist.TrimmerSet)
	from, to := float64(e.target.Empty), float64(e.target.Set)
	step := (to - from) / 400
	d.Line(".control\nset numdgt=9\nset width=200\ndc vbattery %s %s %s", netlist.Num(from),
		netlist.Num(to+step/4), netlist.Num(step))
	d.Line("let battery = v(out)-v(minus)\nlet amps = i(vbattery)\nlet node = v(out)")
	d.Line("print battery amps node\nquit 0\n.endc\n.end")
	out := simulate(t, d.String())
	var curve []chargePoint
	for _, m := range regexp.MustCompile(
		`(?m)^\d+\s+\S+\s+(\S+)\s+(\S+)\s+(\S+)\s*$`).FindAllStringSubmatch(out, -1) {
		var f [3]float64
		for i := range f {
			v, err := strconv.ParseFloat(m[i+1], 64)
			require.NoError(t, err)
			f[i] = v
		}
		curve = append(curve, chargePoint{f[0], f[1], f[2]})
	}
	require.Len(t, curve, 401, out)
	return curve
}

// stageExamples are builds of all kinds: discontinuous, continuous and on/off, narrow and wide
// mains.
func stageExamples(t *testing.T) []simulated {
	var out []simulated
	seen := map[string]int{}
	for _, target := range []substitute.Target{usualCharger(t, "li-ion", "", 3, 0.5, 195),
		usualCharger(t, "li-ion", "", 7, 0.5, 195), usualCharger(t, "li-ion", "", 3, 1, 85),
		usualCharger(t, "li-ion", "", 4, 1, 195), usualCharger(t, "li-ion", "", 4, 0.5, 85),
		usualCharger(t, "li-ion", "", 2, 0.15, 195)} {
		for _, b := range netlistBench().Advise(target,
			advise.Options{Builds: 40, Refused: 1}).Builds {
			kind := target.Name + b.Switcher.Control + b.Stage.Mode
			if b.Kind == substitute.DonorAdapter {
				continue // its stage is its maker's
			}
			if seen[kind]++; seen[kind] == 1 {
				out = append(out, simulated{target, b})
			}
		}
	}
	return out
}

// The switching stage against the formulas, 3 %: peak, flux, drain, mode and power.
func TestStageRunsAsComputed(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	kinds := map[string]int{}
	for _, e := range stageExamples(t) {
		b := &e.build
		name := e.target.Name + " " + b.Switcher.Designation + " " + b.Stage.Mode
		kinds[b.Switcher.Control]++
		kinds[b.Stage.Mode]++
		out := simulate(t, netlist.SwitchingDeck(e.target, b, netlist.LowMains, false))
		peak := printed(t, out, "peak_current")
		within(t, peak, float64(b.Stage.PrimaryPeak), 0.03, name)
		flux := printed(t, out, "flux_peak")
		within(t, flux, float64(magnetics.FluxDensity(b.Transformer.Inductance, b.Stage.PrimaryPeak,
			b.Transformer.PrimaryTurns,
			b.Core.AreaMin)), 0.03, name)
		if b.Stage.Mode == "discontinuous" { // all of the flux is swing, printed over the mean area
			within(t, flux*float64(b.Core.AreaMin/b.Core.Area),
				float64(b.Transformer.FluxSwing), 0.03, name)
		}
		within(t, printed(t, out, "drain_peak"),
			float64(b.Stage.BusMin+b.Transformer.Reflected), 0.03, name)
		require.Equal(t, b.Stage.Mode, printedWord(t, out, "mode"), name)
		within(t, printed(t, out, "power"), float64(b.Stage.Throughput), 0.03, name)
	}
	require.GreaterOrEqual(t, kinds["discontinuous"]+kinds["continuous"], 6, kinds)
	for _, kind := range []string{"discontinuous", "continuous", "on-off", "fixed-frequency"} {
		require.NotZero(t, kinds[kind], kind)
	}
}

// At highest mains the drain is what matters; with leakage it stands at bus plus clamp.
func TestDrainAtHighestMains(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	for _, e := range stageExamples(t)[:3] {
		b := &e.build
		out := simulate(t, netlist.SwitchingDeck(e.target, b, netlist.HighMains, false))
		within(t, printed(t, out, "drain_peak"), float64(b.Stage.BusMax+b.Transformer.Reflected),
			0.03, b.Switcher.Designation)
		at := flyback.Operate(flyback.Point{Bus: b.Stage.BusMax, Reflected: b.Transformer.Reflected,
			Power:      b.Stage.Throughput,
			Inductance: b.Transformer.Inductance, Frequency: b.Switcher.Frequency})
		require.Equal(t, at.Mode.String(), printedWord(t, out, "mode"))
		out = simulate(t, netlist.SwitchingDeck(e.target, b, netlist.HighMains, true))
		within(t, printed(t, out, "drain_peak"), float64(b.Stage.DrainPeak), 0.03,
			b.Switcher.Designation)
	}
}

// Every wiring of one to three resistors must measure what regulation says it is: one ampere
// through it, volts across it.
func TestEveryWiringOfALegIsTheNetwork(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	// worked by hand: 10, 10+20, 10||20 = 20/3, 10+20+30, 10||20||30 = 60/11, 10+(20||30) = 22,
	// 10||(20+30) = 25/3
	want := []float64{10, 30, 20.0 / 3, 60, 60.0 / 11, 22, 25.0 / 3}
	parts := []int{1, 2, 2, 3, 3, 3, 3}
	for w, ohm := range want {
		d := &netlist.Deck{}
		d.Line("* one leg")
		n := resistors.Network{Wiring: resistors.Wiring(w), N: parts[w],
			Values: [3]si.Resistance{10, 20, 30}}
		d.Leg("x", "in", "0", n)
		d.Line("ione 0 in 1\n.control\nset numdgt=9\nop\nlet ohms = v(in)\nprint ohms\nquit " +
			"0\n.endc\n.end")
		within(t, printed(t, simulate(t, d.String()), "ohms"), ohm, 1e-6, w)
	}
}

// No text a person typed becomes anything but comment.
func TestTextsStayComments(t *testing.T) {
	e := simulated{target: usualCharger(t, "li-ion", "", 4, 0.5, 195)}
	e.build = netlistBench().Advise(e.target, advise.Options{Builds: 1, Refused: 1}).Builds[0]
	clean := strings.Split(netlist.RegulationDeck(e.target, &e.build, netlist.TrimmerSet), "\n")
	hostile := "x\n.control\nshell touch /tmp/owned\n.endc\r\n+ 1k\u2028.include /etc/passwd\\"
	e.build.Switcher.Designation, e.build.Core.Designation = hostile, hostile
	for i := range e.build.Parts {
		e.build.Parts[i].Designation, e.build.Parts[i].Bin = hostile, hostile
	}
	dirty := strings.Split(netlist.RegulationDeck(e.target, &e.build, netlist.TrimmerSet), "\n")
	require.Equal(t, statements(clean), statements(dirty))
	require.Len(t, dirty, len(clean))
}

// statements are the lines of a deck that a simulator acts on.
func statements(lines []string) []string {
	var out []string
	for _, l := range lines {
		if !strings.HasPrefix(l, "* ") {
			out = append(out, l)
		}
	}
	return out
}

// A comment is one line of printable ASCII that begins with an asterisk and a space and does not
// end in a backslash.
func FuzzComment(f *testing.F) {
	for _, seed := range []string{"", "10k 1%", "a\nb", "\r.end", "*#quit", "x\\",
		"\u2028.control", "\x00", "4\u00b57 \u03a9", "\xff\xfe",
		strings.Repeat("long ", 200), "\u0085.tran", "\v.op\f.end"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		line := netlist.Comment("part", text)
		require.True(t, strings.HasPrefix(line, "* part:"), "%q", line)
		require.Equal(t, 1, strings.Count(line, "\n"))
		require.True(t, strings.HasSuffix(line, "\n"))
		require.NotContains(t, line, "\\")
		require.LessOrEqual(t, len(line), 6*netlist.LongestComment)
		for _, r := range strings.TrimSuffix(line, "\n") {
			require.True(t, r >= ' ' && r <= '~', "%q", line)
		}
	})
}
