package stage

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/stock"
)

// transistorNamed is a row of the table of transistors, completed.
func transistorNamed(t *testing.T, name string) catalog.Transistor {
	t.Helper()
	row, _, ok := catalog.Lookup(catalog.KindTransistor, name)
	require.True(t, ok, name)
	return complete.Part(row).(catalog.Transistor)
}

// invented is a controller of round figures, with a sense resistor of 0.5 ohm, 5 %.
func invented() Drive {
	r := catalog.Resistor{Resistance: catalog.Of[si.Resistance](0.5),
		Tolerance: catalog.Of[si.Ratio](0.05)}
	d := Drive{Name: "invented controller", Control: "fixed-frequency",
		Freq:      si.Interval[si.Frequency]{Low: 60e3, High: 70e3},
		Frequency: 65e3, Duty: 0.7, Delay: 200e-9, LeastOn: 400e-9,
		Threshold: si.Interval[si.Voltage]{Low: 0.9, High: 1.1}, LimitShare: LimitUse,
		Supply: Supply{Min: catalog.Of[si.Voltage](9), Max: catalog.Of[si.Voltage](28),
			Current: 3e-3}}
	return d.WithSense(&stock.Stock[catalog.Resistor]{Part: r})
}

// Threshold over resistance at the far ends of both (Ohm's law): 0.9 V/(0.5 ohm x 1.05) and
// 1.1 V/(0.5 ohm x 0.95); 0.96 of the lowest is used (AN-30 eq. 17).
func TestSenseResistorSetsTheLimit(t *testing.T) {
	d := invented()
	require.InEpsilon(t, 0.9/0.525, float64(d.Limit.Low), 1e-12)
	require.InEpsilon(t, 1.1/0.475, float64(d.Limit.High), 1e-12)
	require.InEpsilon(t, 0.96*0.9/0.525, float64(d.Usable), 1e-12)
}

// firstWound is a design with a drive and a switch on the first core of the demo drawer that holds
// 60 to 12 turns, in the middle of its gaps.
func firstWound(t *testing.T, j *Measurer, d *stock.Drawer, v *Variant) Design {
	t.Helper()
	bench := NewPartsBench(d)
	const np, ns = 60, 12
	rect := j.ChooseRectifier(np, ns)
	require.GreaterOrEqual(t, rect, 0)
	nb := j.BiasTurns(Design{V: v, Ns: ns, Rect: &j.Rectifiers[rect]})
	require.Positive(t, nb)
	for i := range bench.Cores {
		c := &bench.Cores[i]
		design := On(v, c).With(j, np, ns, nb, rect, len(c.Gaps)/2)
		if plans := bench.Shop.Plans(c, design.Planned()); len(plans) > 0 {
			design.Plan = &plans[0]
			j.FitClamp(&design, 90, &design.Plan.Gist)
			return design
		}
	}
	require.Fail(t, "no core holds the turns")
	return Design{}
}

// A controller with a switch of its own is measured as a chip with its switch inside is; nothing
// asks for such a chip. STP3NB60 (ST STP3NB60/STP3NB60FP): 600 V, 3.6 ohm at 25 C, 77 pF, 1.56 K/W
// to the case. What it conducts burns I^2 R (Joule's law), the primary current being a trapezoid
// of rms sqrt(D (a^2 + a b + b^2)/3) (mean of the square over its straight flank).
func TestSwitchApartFromItsDrive(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	drawer := stock.OpenDrawer(exchange.Demo())
	j := NewMeasurer(drawer, target)
	apart, missing := SwitchOfTransistor(transistorNamed(t, "STP3NB60"))
	require.Empty(t, missing)
	require.Equal(t, []any{si.Voltage(600), si.Resistance(3.6), si.Capacitance(77e-12)},
		[]any{apart.Rated, apart.OnCold, apart.Coss})
	require.InDelta(t, 1.56+1+20, float64(apart.JunctionAir), 1e-9)
	m := j.Measure(firstWound(t, j, drawer, &Variant{Drive: invented(), Switch: apart}))

	a, b, on := float64(m.Op.Valley), float64(m.Op.Peak), float64(m.Op.Duty)
	joule := on * (a*a + a*b + b*b) / 3 * float64(apart.OnHot)
	perfect := *m.V
	perfect.OnHot = 0
	others := SwitchLoss(&perfect, m.Op, m.bus, m.Reflected,
		si.Frequency(float64(m.frequency)*float64(m.Share)))
	require.Greater(t, joule, 0.02)
	require.InEpsilon(t, joule, float64(m.Loss.Switch-others), 1e-9)
	require.InEpsilon(t, float64(m.inside)+22.56*float64(m.Loss.Switch), float64(m.junction), 1e-9)

	limits := map[substitute.CheckID]float64{}
	for _, g := range m.Gauges[:m.Count] {
		limits[g.Id] = g.Limit
	}
	// nine tenths of its breakdown, and what the drive bears and allows
	require.InDelta(t, 540, limits[substitute.ChkDrain], 1e-9)
	require.InDelta(t, 28, limits[substitute.ChkBiasHigh], 1e-9)
	require.InDelta(t, float64(m.V.Usable), limits[substitute.ChkPower], 1e-12)
}

// A transistor of which a figure is lacking is not reckoned with.
func TestSwitchWithoutItsFigures(t *testing.T) {
	whole := transistorNamed(t, "STP3NB60")
	for _, c := range []struct {
		lack   string
		strike func(*catalog.Transistor)
	}{
		{"on-resistance", func(p *catalog.Transistor) { p.OnHot = catalog.Datum[si.Resistance]{} }},
		{"output capacitance", func(p *catalog.Transistor) {
			p.Coss = catalog.Datum[si.Capacitance]{}
		}},
		{"thermal resistance", func(p *catalog.Transistor) {
			p.JunctionCase = catalog.Datum[si.ThermalResistance]{}
		}},
	} {
		part := whole
		c.strike(&part)
		_, missing := SwitchOfTransistor(part)
		require.Equal(t, c.lack, missing)
	}
}
