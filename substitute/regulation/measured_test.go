package regulation

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// ordinary is a random drawer of E12 resistors: some values are missing, tolerance and drift are
// those of metal or carbon film (1 % and 100 ppm/K, 2 % and 50 ppm/K, 5 % and 200 ppm/K would be
// hopeless; makers' series sheets, from memory).
func ordinary(r *rand.Rand) resistors.Stock {
	var pieces []resistors.Piece
	e12 := []float64{10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82} // IEC 60063
	for _, decade := range []float64{10, 100, 1000, 10000} {
		for _, v := range e12 {
			if r.IntN(5) == 0 {
				continue
			}
			kind := [][2]float64{{0.01, 100e-6}, {0.01, 50e-6}, {0.02, 50e-6}}[r.IntN(3)]
			pieces = append(pieces, resistors.Piece{Lot: int64(len(pieces) + 1),
				Ohm: si.Resistance(v * decade), Tolerance: si.Ratio(kind[0]),
				Drift: si.TempCo(kind[1]),
				Count: 1 + r.IntN(10), Power: 0.25, Volts: 250})
		}
	}
	return resistors.NewStock(pieces)
}

// lithium is a measured divider for a pack of n cells of 4.20 V that never see more than 4.25 V, on
// one of the usual references (2.495 V of 2, 1 and 0.5 %; TI SLVS543S) and a dual amplifier.
func lithium(r *rand.Rand) MeasuredSpec {
	n := si.Voltage(2 + r.IntN(7))
	off := []si.Voltage{0.02, 0.01, 0.005}[r.IntN(3)] * 2.495
	return MeasuredSpec{VoltageSpec: VoltageSpec{Set: 4.2 * n, Absolute: 4.25 * n,
		Vref: si.Interval[si.Voltage]{Low: 2.495 - off, High: 2.495 + off}, VrefNominal: 2.495,
		Offset: 7e-3, BiasCurrent: 250e-9},
		Least: 4.1 * n, Meter: HandMeter, Drift: 92e-6 * 35, Warm: 35}
}

// built is one builder's charger: every part anywhere in its tolerance, mostly at an end of it, and
// one meter with one error.
type built struct {
	r             *rand.Rand
	spec          MeasuredSpec
	top, bottom   float64
	vref, bias    float64
	meter         float64
	hotTop, hotBt float64 // factors of the legs once hot
	hotRef        float64
}

func within(r *rand.Rand, half float64) float64 {
	if r.IntN(3) > 0 {
		return half * float64(2*r.IntN(2)-1)
	}
	return half * (2*r.Float64() - 1)
}

// leg draws a network of parts, and by how much it grows once hot.
func (b *built) leg(n resistors.Network, pieces []resistors.Piece) (ohm, hot float64) {
	var cold, warm [3]float64
	for i := range n.N {
		cold[i] = float64(n.Values[i]) * (1 + within(b.r, float64(n.Tolerances[i])))
		warm[i] = cold[i] *
			(1 + within(b.r, float64(pieces[n.Pieces[i]].Drift)*float64(b.spec.Warm)))
	}
	ohm = resistors.Combine(n.Wiring, cold[0], cold[1], cold[2])
	return ohm, resistors.Combine(n.Wiring, warm[0], warm[1], warm[2]) / ohm
}

func build(r *rand.Rand, spec MeasuredSpec, v VoltageNetwork, pieces []resistors.Piece) *built {
	b := &built{r: r, spec: spec}
	b.top, b.hotTop = b.leg(v.Top, pieces)
	b.bottom, b.hotBt = b.leg(v.Bottom, pieces)
	mid, half := float64(spec.Vref.Mid()), float64(spec.Vref.Width())/2
	b.vref = mid + within(r, half) + within(r, float64(spec.Offset))
	b.bias = within(r, float64(spec.BiasCurrent))
	b.meter, b.hotRef = 1+within(r, float64(spec.Meter)), 1+within(r, float64(spec.Drift))
	return b
}

// out is the output with set in ohm across the bottom leg, 0 for nothing there: Kirchhoff's current
// law at the feedback node, where the amplifier holds the reference.
func (b *built) out(set float64, hot bool) float64 {
	top, bottom, vref := b.top, b.bottom, b.vref
	if hot {
		top, bottom, vref = top*b.hotTop, bottom*b.hotBt, vref*b.hotRef
	}
	current := vref/bottom + b.bias
	if set > 0 {
		current += vref / set
	}
	return vref + current*top
}

// TestMeasuredStepNeverOvercharges draws 100,000 chargers: parts, meters, drift and heat. Whatever
// the builder does with the table, the pack stays below its limit: before the step, after it, and
// for every reading that is in the table there is a resistor that ends inside what is accepted.
func TestMeasuredStepNeverOvercharges(t *testing.T) {
	draws := 100_000
	if testing.Short() {
		draws = 5_000
	}
	r := rand.New(rand.NewPCG(14, 1))
	designs, stepped := 0, 0
	for n := 0; n < draws; {
		stock, spec := ordinary(r), lithium(r)
		v, ok := DesignMeasured(spec, stock)
		if !ok {
			n++
			continue
		}
		designs++
		limit := float64(spec.Absolute)
		for range 2000 {
			n++
			b := build(r, spec, v, stock.Pieces)
			require.LessOrEqual(t, b.out(0, true), limit, "the step forgotten")
			reading := si.Voltage(b.out(0, false) * b.meter)
			set := 0.0
			if !v.Step.Lies(reading) {
				c, then, named := v.Step.Name(reading)
				require.True(t, named, "%v reads %g V of %v", v.Step, float64(reading),
					v.Step.Before)
				stepped++
				set, _ = b.leg(c.Network, stock.Pieces)
				after := si.Voltage(b.out(set, false) * b.meter)
				require.True(t, after >= then.Low-1e-3 && after <= then.High+1e-3,
					"reads %g V of %v",
					float64(after), then)
				require.True(t, v.Step.Lies(after) || min(after-v.Step.Accept.Low,
					v.Step.Accept.High-after) > -1e-3, "%g V is outside %v", float64(after),
					v.Step.Accept)
			}
			if after := si.Voltage(b.out(set, false) * b.meter); v.Step.Lies(after) {
				hot := b.out(set, true)
				require.LessOrEqual(t, hot, limit, "accepted at %g V", float64(after))
				require.GreaterOrEqual(t, hot, float64(v.WorstLow)-1e-3)
			}
		}
	}
	require.Greater(t, designs, draws/2500)
	require.Greater(t, stepped, draws/3)
	t.Logf("%d designs, %d steps taken", designs, stepped)
}

// TestMeasuredStepNamesFromTheTable: the table has no gaps, and what it names is in the stock
// beside the two legs.
func TestMeasuredStepNamesFromTheTable(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 2))
	for range 40 {
		stock, spec := ordinary(r), lithium(r)
		v, ok := DesignMeasured(spec, stock)
		if !ok {
			continue
		}
		s := v.Step
		require.LessOrEqual(t, float64(s.Choices[0].From),
			float64(s.Before.Low)*(1-float64(s.Meter)))
		for i, c := range s.Choices {
			next := s.Accept.Low
			if i+1 < len(s.Choices) {
				next = s.Choices[i+1].From
			}
			require.InDelta(t, float64(next), float64(c.To), 1e-9)
			require.True(t, stock.Holds(v.Top, v.Bottom, c.Network))
		}
	}
}
