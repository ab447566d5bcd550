package substitute_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// This file recomputes a build with an unopened transformer and one of a whole adapter, figure by
// figure, from the readings of their lots. Nothing of the engine's formulas is called.

// auditDeclared: what is taken over whole was declared whole by its builder, and its lot says so.
func auditDeclared(a audit) {
	role, word := "adapter", ""
	if a.build.Kind == substitute.DonorTransformer {
		role = "transformer, unopened"
	}
	for _, u := range a.uses(role) {
		switch p := a.part(u).(type) {
		case catalog.Transformer:
			word = p.Barrier
		case catalog.Adapter:
			word = p.Barrier
			a.isTrue(p.State == "working" && p.Regulation == "secondary", "%s is %s, regulated %s",
				u.Designation, p.State, p.Regulation)
		}
		a.isTrue(u.Source == "drawer" && u.Quantity == 1, "%s: %g from %s", u.Designation,
			u.Quantity, u.Source)
	}
	a.isTrue(word == "yes", "the barrier is declared %q", word)
	judged(a, "barrier declared whole by the builder", 1.0, 1.0, exact)
}

// donorBuild is the best build of a kind for three Li-ion cells at 1 A from the demo drawer.
// nothingToWind is the built-in drawer without cores: what is reused whole is all that is left to
// search.
func nothingToWind() inventory.Snapshot {
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(s.Lots, func(l inventory.Lot) bool {
		return l.Part.Kind() == catalog.KindCore
	})
	return s
}

func donorBuild(t *testing.T, kind substitute.BuildKind) audit {
	t.Helper()
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	found := ofKind(advise.Advise(target, nothingToWind(), advise.Options{Builds: 1000}).Builds,
		kind)
	require.NotEmpty(t, found)
	return newAudit(t, exchange.Demo(), target, &found[0])
}

// trio are whole turns of primary, secondary and bias.
type trio struct{ np, ns, nb float64 }

// allTurns tries every whole number of turns against every reading by itself: an inductance L (1 +-
// e) goes with the square of the turns, so that two of them leave their ratio within
// sqrt((1+e)/(1-e)); a ratio of voltages is good to +- e. The primary has at least the turns that
// its inductance needs on a core of permeability 3000 without joint, mu0 mu A/l a turn squared, and
// those that keep 0.55 T at the knee.
func allTurns(p catalog.Transformer, core catalog.Core, meter, scope float64) (out []trio) {
	l := float64(p.Inductance.Value)
	within := func(r, read, e float64) bool { return r >= read*(1-e)-1e-9 && r <= read*(1+e)+1e-9 }
	root := math.Sqrt((1 + meter) / (1 - meter))
	area, path := float64(core.Area.Value), float64(core.Path.Value)
	for np := 1.0; np <= 250; np++ {
		if np*np*4e-7*math.Pi*3000*area/path < l*(1-meter) ||
			np*area*0.55 < l*(1-meter)*float64(p.Saturation.Value) {
			continue
		}
		for ns := 1.0; ns <= 80; ns++ {
			read := math.Sqrt(l / float64(p.Secondary.Value))
			if n := np / ns; !within(n, float64(p.Ratio.Value), scope) || n < read/root-1e-9 ||
				n > read*root+1e-9 {
				continue
			}
			for nb := 1.0; nb <= 80; nb++ {
				if within(np/nb, float64(p.BiasRatio.Value), scope) {
					out = append(out, trio{np, ns, nb})
				}
			}
		}
	}
	return out
}

// ends are the turns at which one figure of all is lowest or highest.
func ends(all []trio, figures ...func(trio) float64) (out []trio) {
	for _, f := range figures {
		low, high := all[0], all[0]
		for _, t := range all {
			if f(t) < f(low) {
				low = t
			}
			if f(t) > f(high) {
				high = t
			}
		}
		out = append(out, low, high)
	}
	return out
}

// settledDonor is the stage of an unopened transformer with some turns, run until nothing moves:
// windings with three times their d.c. resistance at the temperature they reach, core of an unknown
// ferrite, clamp at its lowest voltage.
type settledDonor struct {
	f             figures
	bus           float64
	c             cycle
	through       float64
	input         float64
	loss          spent
	coil, inside  float64
	first, second float64 // rms of both windings, A
}

// settledDonor balances a transformer with turns at an inductance and a frequency; bus zero is the
// valley at lowest mains.
func (a audit) settledDonor(p catalog.Transformer, t trio, l, hz, bus float64) settledDonor {
	d := settledDonor{f: a.figures()}
	f := &d.f
	f.n = t.np / t.ns
	for i, out := range []float64{f.empty, f.absolute} {
		f.bias[i] = (out+f.rectDrop+f.sense)*t.nb/t.ns - 0.7
	}
	f.chip = float64(f.sw.SupplyCurrent.Value) * f.bias[1]
	f.leak = max(float64(p.Leakage.Value), 0.01*f.l)
	f.setClamp(a) // the demo build holds its drain with a suppressor
	f.leak = max(float64(p.Leakage.Value), 0.01*f.l)
	s := powerCycle{reflected: f.reflected(f.set), l: l, f: hz}
	d.through, d.input, d.coil = f.set*f.current*1.1, f.set*f.current*1.2, 60
	area := float64(f.core.Area.Value)
	for range 30 {
		if s.bus = bus; bus == 0 {
			s.bus = mains{vac: float64(a.target.MainsMin), line: float64(a.target.Line),
				drop: f.drop, c: f.bulk, power: d.input}.halfWave().valley
		}
		d.c = s.carrying(d.through)
		i := s.currents(d.c)
		d.first, d.second = i.rms, i.secondRMS*f.n
		hot := 3 * (1 + 3.93e-3*(d.coil-20)) // copper, IEC 60028
		primary, secondary := d.first*d.first*float64(p.PrimaryOhm.Value)*hot,
			d.second*d.second*float64(p.SecondaryOhm.Value)*hot
		bleed := s.bus * s.bus / f.bleed
		d.loss = spent{sw: f.switchLoss(s.bus, d.c.peak, i.rms, hz, d.c.flows()),
			copper: primary + secondary,
			core: f.coreLoss(a.build, l*(d.c.peak-d.c.start)/(t.np*area), t.np, s.bus,
				hz), clamp: f.clampPower(d.c.peak, f.clamp.low, hz, f.leak),
			rectifier: f.current * f.rectDrop, shunt: f.current * f.sense, other: f.own*f.set +
				f.chip + bleed}
		d.through = f.set*f.current + d.loss.rectifier + d.loss.shunt + f.own*f.set + secondary +
			d.loss.core + d.loss.clamp + f.chip
		d.input = d.through + d.loss.sw + primary + bleed
		d.loss.bridge = 2 * f.drop * d.input / s.bus
		d.inside = sealedAir(float64(a.target.Ambient), d.loss.total(), surface(a.target))
		d.coil = d.inside + (d.loss.core+d.loss.copper)*f.rise(a.build)
	}
	d.bus = s.bus
	return d
}

func TestUnopenedTransformerRecomputed(t *testing.T) {
	a := donorBuild(t, substitute.DonorTransformer)
	b := a.build
	p := partOf[catalog.Transformer](a, "transformer, unopened")
	const meter, scope = 0.02, 0.02 // the errors written beside the readings of the lot
	auditDeclared(a)
	auditSwitcher(a)
	require.Empty(t, b.Windings)
	all := allTurns(p, a.outline(), meter, scope)
	ratio := func(t trio) float64 { return t.np / t.ns }
	supply := func(t trio) float64 { return t.nb / t.ns }
	const far = 1e6 // so that the second figure decides between equal first ones only
	corner := ends(all, func(t trio) float64 { return far*ratio(t) + supply(t) },
		func(t trio) float64 { return far*ratio(t) - supply(t) },
		func(t trio) float64 { return far*supply(t) + ratio(t) }, func(t trio) float64 {
			return far*supply(t) - ratio(t)
		},
		func(t trio) float64 { return t.np })
	require.Equal(t, len(all), b.Donor.Candidates)
	agrees(a, b.Donor.RatioLow, ratio(corner[0]), exact, "lowest ratio")
	agrees(a, b.Donor.RatioHigh, ratio(corner[1]), exact, "highest ratio")
	x := b.Transformer
	nominal := trio{float64(x.PrimaryTurns), float64(x.SecondaryTurns), float64(x.BiasTurns)}
	require.Contains(t, all, nominal)
	// 0.75 of the cold knee; 3.7 A give 2.775 A
	agrees(a, b.Donor.SafeCurrent, 0.75*3.7, exact, "safe current")
	agrees(a, x.Inductance, 0.62e-3, exact, "inductance as read")
	agrees(a, x.InductanceLow, 0.62e-3*0.98, exact, "inductance, meter low")
	agrees(a, x.InductanceHigh, 0.62e-3*1.02, exact, "inductance, meter high")
	agrees(a, x.Leakage, 8.5e-6, exact, "leakage: more than a hundredth of the inductance")

	d := a.settledDonor(p, nominal, 0.62e-3, a.middle(), 0)
	agrees(a, x.Reflected, d.f.reflected(d.f.set), exact, "reflected voltage")
	agrees(a, b.Stage.BusMin, d.bus, steady, "valley of the bus")
	agrees(a, b.Stage.PrimaryPeak, d.c.peak, steady, "primary peak")
	agrees(a, b.Stage.PrimaryRMS, d.first, steady, "primary rms")
	agrees(a, b.Stage.SecondaryRMS, d.second, steady, "secondary rms")
	agrees(a, b.Stage.Throughput, d.through, steady, "throughput")
	agrees(a, b.Losses.Copper, d.loss.copper, 2*steady, "copper loss")
	agrees(a, b.Losses.Core, d.loss.core, 3*steady, "core loss: the swing to the power of 2.9")
	agrees(a, b.Losses.Clamp, d.loss.clamp, 2*steady, "clamp loss")
	agrees(a, b.Losses.Switch, d.loss.sw, steady, "switch loss")
	agrees(a, totalOf(b.Losses), d.loss.total(), steady, "all losses")
	agrees(a, b.Score.Loss, d.loss.total(), steady, "loss that is ranked by")
	a.donorChecks(t, p, append(corner, nominal))
}

// donorChecks holds every check against the worst of the corners.
func (a audit) donorChecks(t *testing.T, p catalog.Transformer, corner []trio) {
	worst := map[string]float64{}
	see := func(name string, value float64, highest bool) {
		old, seen := worst[name]
		if !seen || highest && value > old || !highest && value < old {
			worst[name] = value
		}
	}
	ambient := 0.0
	top := 0.0 // the drain clamp at its hottest
	for _, k := range corner {
		see("through", a.settledDonor(p, k, 0.62e-3, a.middle(), 0).through, true)
		for _, l := range []float64{0.98 * 0.62e-3, 0.62e-3, 1.02 * 0.62e-3} {
			for _, hz := range []float64{a.figures().fLow, a.figures().fHigh} {
				for _, bus := range []float64{0, a.figures().busMax} {
					d := a.settledDonor(p, k, l, hz, bus)
					burnt := d.f.clampBurns(d.c.peak, hz, d.f.leakHigh(a, l))
					top = max(top, d.f.clampTop(a, d.inside+d.f.clamp.air*burnt))
					see("clamp power", burnt, true)
					see("transformer temperature", d.coil, true)
					see("air inside the case", d.inside, true)
					ambient = max(ambient, d.inside)
					if bus > 0 || hz > a.middle() {
						continue
					}
					f := d.f
					hard := powerCycle{bus: d.bus, reflected: f.reflected(f.set), l: l, f: f.fLow}
					full := hard.carrying(d.through)
					empty := hard
					empty.reflected = f.reflected(f.empty)
					see("peak current needed at lowest mains, full pack", full.peak, true)
					see("peak current needed at lowest mains, empty pack",
						empty.carrying(d.through*f.reflected(f.empty)/f.reflected(f.set)).peak,
						true)
					see("duty at lowest mains", full.on*f.fLow, true)
					see("reverse voltage of the output rectifier", f.absolute+f.busMax/f.n, true)
					see("chip supply from the bias winding, empty pack", f.bias[0], false)
					see("chip supply from the bias winding, full pack", 1.2*f.bias[1], true)
					see("reflected", f.reflected(f.set), true)
					see("power that the energy of the transformer carries",
						0.5*f.l*math.Pow(0.75*float64(p.Saturation.Value), 2)*f.f, false)
				}
			}
		}
	}
	see("drain voltage at highest mains", a.figures().busMax+top, true)
	require.Greater(t, ambient, 35.0)
	for name, value := range worst {
		if name == "reflected" || name == "through" {
			continue
		}
		agrees(a, a.check(name).Value, value, 2*steady, "value of the check "+name)
	}
	agrees(a, a.check("clamp voltage above the reflected voltage").Limit, 1.3*worst["reflected"],
		exact, "least clamp voltage")
	agrees(a, a.check("power that the energy of the transformer carries").Limit, worst["through"],
		2*steady, "power to be carried")
	// its own type of switcher needs no other proof; the demo transformer and the best build both
	// have KA5M0365R
	require.Equal(t, p.Chip, a.build.Switcher.Designation)
	require.True(t, a.hasCheck("current limit of the donor's own switcher"))
}

// middle is the typical frequency.
func (a audit) middle() float64 { return a.figures().f }

// With a foreign switcher the highest limit and what the current still rises in the turn-off delay
// stay below the safe current.
func TestForeignSwitcherHeldAgainstTheKnee(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 0.1, MainsMin: 195,
		MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	seen := 0
	builds := ofKind(advise.Advise(target, nothingToWind(), advise.Options{Builds: 1000}).Builds,
		substitute.DonorTransformer)
	for i := range builds {
		a := newAudit(t, exchange.Demo(), target, &builds[i])
		if builds[i].Switcher.Designation == "KA5M0365R" {
			continue
		}
		f := a.figures()
		judged(a, "primary current at the highest current limit",
			f.limitHigh+f.busMax*f.delay/(0.98*0.62e-3), 0.75*3.7, exact)
		seen++
	}
	require.Positive(t, seen)
}

func TestWholeAdapterRecomputed(t *testing.T) {
	a := donorBuild(t, substitute.DonorAdapter)
	b, u := a.build, a.build.Adapter
	p := partOf[catalog.Adapter](a, "adapter")
	auditDeclared(a)
	auditVoltage(a)
	auditCurrent(a)
	rect, _ := catalog.RectifierNamed("SB5100")
	drop := float64(complete.Part(rect).(catalog.Rectifier).Forward.Value)
	bus := math.Sqrt2 * 265
	n := 74 / (12 + drop) // reflected 74 V at the plate
	set, empty, absolute := float64(a.target.Set), float64(a.target.Empty),
		float64(a.target.Absolute)
	sense := float64(b.Regulation.Shunt) * 1 // at 1 A
	own := a.ownCurrent()
	agrees(a, u.Ratio, n, exact, "turns ratio")
	agrees(a, u.BusMax, bus, exact, "crest of the highest mains")
	agrees(a, u.Reflected, n*(set+sense+drop), exact, "reflected voltage")
	// Suppressor of 120 V 5 %, 1500 W: clamping 1.32 x the highest breakdown at the rated pulse,
	// 0.108 %/K to 150 C (Good-Ark P6KE6.8 thru P6KE550CA); 13 V for diode and wires (from memory);
	// current: highest limit and what rises in its delay through the least inductance that gives
	// the plate's 18 W, 2 P/(f I2)
	chip, _ := catalog.SwitcherNamed("KA5M0365R")
	sw := complete.Part(chip).(catalog.Switcher)
	most, rate := float64(sw.LimitMax.Value), float64(sw.FrequencyMax.Value)
	peak := most + bus*float64(sw.Delay.Value)/(2*18/(most*most*rate))
	held := 126*(1+0.00108*125) + 0.32*126/(1500/(1.32*126))*peak + 13
	agrees(a, u.DrainPeak, bus+held, exact,
		"drain with its suppressor at its hottest and the chip at its highest limit")
	agrees(a, u.Reverse, absolute+sense+bus/n, exact, "reverse voltage")
	agrees(a, u.Power, (set+sense)*(1+own), exact, "power")
	agrees(a, u.Current, 1+own, exact, "current")
	bias := (16 + 0.7) / (12 + drop) // 16 V at the plate behind a silicon diode
	agrees(a, u.SupplyMin, bias*(empty+sense+drop)-0.7, exact, "chip supply, empty pack")
	agrees(a, u.SupplyMax, bias*(absolute+sense+drop)-0.7, exact, "chip supply, full pack")
	breakdown := 0.85 * float64(sw.Breakdown.Value) // from memory in the table
	require.False(t, sw.Breakdown.Firm())
	judged(a, "power taken from the adapter", (set+sense)*(1+own), 12*1.5, exact)
	judged(a, "current taken from the adapter", 1+own, 1.5, exact)
	judged(a, "drain voltage at highest mains", bus+held, breakdown, exact)
	judged(a, "drain voltage before the spike", bus+n*(absolute+sense+drop), breakdown, exact)
	judged(a, "clamp voltage above the reflected voltage", 120/1.05, 1.3*n*(set+sense+drop), exact)
	judged(a, "reverse voltage of the output rectifier", absolute+sense+bus/n, 0.8*100, exact)
	judged(a, "chip supply from the bias winding, empty pack", bias*(empty+sense+drop)-0.7,
		1.05*float64(sw.SupplyMin.Value), exact)
	judged(a, "chip supply from the bias winding, full pack", 1.2*(bias*(absolute+sense+drop)-0.7),
		sw.SupplyMax.Value, exact)
	judged(a, "bulk capacitor voltage at highest mains", bus, 400.0, exact)
	judged(a, "lowest mains voltage", 195.0, 0.9*100, exact)
	judged(a, "air around the adapter", 35.0, 40.0, exact)
	worst := float64(b.Regulation.WorstHigh)
	judged(a, "output capacitor voltage", worst, 16/1.2, exact)
	judged(a, "output against the protection zener", worst, 0.95*15, exact)
	// 1 nF and a fifth more at 265 V 60 Hz
	judged(a, "touch current through the Y capacitor", 2*math.Pi*60*1.2e-9*265, 0.25e-3, exact)
	// the valley of 33 uF less a fifth at the plate's 18 W over 75 % efficiency, 195 V less two
	// bridge diodes of 1 V
	valley := mains{vac: 195, line: 50, drop: 1, c: 33e-6 * 0.8, power: 18 / 0.75}.halfWave().valley
	vr := n * (set + sense + drop)
	judged(a, "duty at lowest mains", vr/(vr+valley), sw.DutyMax.Value, steady)
	auditChecks(a)
	a.adapterScore(t, p)
}

// adapterScore: the smallest margin of what tells builds apart, and an estimate of what is lost: a
// fifth of what the adapter takes in, and all that does not reach the pack.
func (a audit) adapterScore(t *testing.T, p catalog.Adapter) {
	b := a.build
	watts := float64(b.Adapter.Power)
	agrees(a, b.Score.Loss, math.Round(1e3*(watts/0.8-float64(a.target.Set)*1))/1e3, exact, "loss")
	require.Equal(t, 0, b.Score.Missing)
	pieces := 0.0
	for _, u := range b.Parts {
		pieces += u.Quantity
	}
	require.InDelta(t, pieces, float64(b.Score.Parts), 1e-9)
	c := a.check("reverse voltage of the output rectifier")
	require.Equal(t, c.Name, b.Score.Binding)
	require.InDelta(t, math.Floor(100*(1-c.Value/c.Limit))/100, b.Score.Margin, 1e-12)
	require.Equal(t, "working", p.State)
}

// ownCurrent is what the secondary circuit takes from the output.
func (a audit) ownCurrent() float64 {
	r := a.build.Regulation
	amp := partOf[catalog.Amplifier](a, "amplifier")
	draw := float64(r.Shunt) * float64(a.target.Current) / float64(r.SenseBottom)
	divider := (float64(a.target.Set) - float64(r.Reference)) / float64(r.Top)
	return float64(r.BiasMax) + draw + divider + float64(amp.SupplyCurrent.Value) +
		float64(r.LEDHave)
}
