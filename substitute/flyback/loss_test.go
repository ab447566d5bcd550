package flyback

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
)

// The leakage current falls from the peak with the slope (Vc - VR)/L and flows into the clamp all
// the while: the charge summed in small steps times the clamp voltage is the energy of one pulse.
func TestClampLossAgainstFallingCurrent(t *testing.T) {
	for _, c := range []struct{ l, peak, f, clamp, vr float64 }{
		{20e-6, 0.6, 100e3, 180, 110}, {45e-6, 0.35, 66e3, 150, 120}, {10e-6, 1.2, 132e3, 250, 80},
	} {
		const dt = 1e-12 // s
		charge, i := 0.0, c.peak
		for i > 0 {
			charge += i * dt
			i -= (c.clamp - c.vr) / c.l * dt
		}
		l, pk, f := si.Inductance(c.l), si.Current(c.peak), si.Frequency(c.f)
		loss := ClampLoss(l, pk, f, si.Voltage(c.clamp), si.Voltage(c.vr))
		near(t, float64(loss), charge*c.clamp*c.f, 1e-4)

		// The resistor that burns it at this voltage settles at this voltage.
		r := ClampResistor(si.Voltage(c.clamp), loss)
		near(t, float64(ClampVoltage(l, pk, f, r, si.Voltage(c.vr))), c.clamp, 1e-9)
		// A capacitor for 5 % sag loses 5 % of its charge in a period at constant current.
		c5 := ClampCapacitor(r, f, 0.05)
		near(t, c.clamp/float64(r)/(c.f*float64(c5)), 0.05*c.clamp, 1e-9)
	}
	for _, clamp := range []si.Voltage{100, 99, si.Voltage(math.NaN())} {
		require.True(t, math.IsInf(float64(ClampLoss(1e-5, 1, 1e5, clamp, 100)), 1))
	}
}

// Straight lines crossing: v = V x, i = I (1 - x) over the time t; the integral of their product is
// V I t/6.
func TestCrossoverLossAgainstCrossingLines(t *testing.T) {
	const n = 1000
	var sum float64
	for k := range n {
		x := (float64(k) + 0.5) / n
		sum += 400 * x * 0.5 * (1 - x) * 50e-9 / n
	}
	near(t, float64(CrossoverLoss(400, 0.5, 50e-9, 100e3)), sum*100e3, 1e-5)
}

// Definitions, worked by hand: 100 pF at 350 V is 6.125 uJ; 18 W at 300 V is 60 mA through two
// diodes of 0.9 V.
func TestPlainLosses(t *testing.T) {
	near(t, float64(CapacitiveLoss(100e-12, 350, 100e3)), 0.6125, 1e-12)
	near(t, float64(BridgeLoss(18, 300, 0.9)), 0.108, 1e-12)
	near(t, float64(RectifierLoss(1, 0.5)), 0.5, 1e-12)
	near(t, float64(InductorEnergy(1e-3, 0.5)), 125e-6, 1e-12)
	near(t, float64(ValleyDelay(1e-3, 100e-12)), math.Pi*math.Sqrt(1e-13), 1e-12)
	require.Zero(t, ValleyDelay(1e-3, -1))
}

// A class II appliance may leak 0.25 mA (IEC 60335-1 clause 13.2, from memory); at 265 V 60 Hz that
// makes 2.2 nF the largest usual value (common practice, no source).
func TestTouchCurrent(t *testing.T) {
	require.Less(t, float64(TouchCurrent(2.2e-9, 265, 60)), 0.25e-3)
	require.Greater(t, float64(TouchCurrent(3.3e-9, 265, 60)), 0.25e-3)
	near(t, float64(TouchCurrent(1e-9, 230, 50)), 72.26e-6, 1e-4) // 2 pi 50 * 1 nF * 230 V by hand
}

// The charge is gone by the law of the discharge: after one time constant 1/e is left.
func TestBleed(t *testing.T) {
	near(t, float64(StoredEnergy(47e-6, 325)), 2.482, 1e-3) // 0.5 * 47e-6 * 105625 by hand
	near(t, float64(BleedTime(220e3, 47e-6, 325, si.Voltage(325/math.E))), 10.34, 1e-9)
	var v, s float64 = 325, 0
	for v > 60 { // small steps of dV/dt = -V/(R C)
		v -= v / (220e3 * 47e-6) * 1e-5
		s += 1e-5
	}
	near(t, float64(BleedTime(220e3, 47e-6, 325, 60)), s, 1e-4)
	near(t, float64(BleedResistance(47e-6, 325, 60, si.Time(s))), 220e3, 1e-4)
	require.Zero(t, BleedTime(1, 1, 50, 60))
	require.True(t, math.IsInf(float64(BleedTime(1, 1, 50, 0)), 1))
	require.True(t, math.IsInf(float64(BleedResistance(1, 50, 60, 1)), 1))
}

// Charts of the makers of painted sealed cabinets: about 25 K inside at 10 W per square foot (108
// W/m2) of a cabinet of about 1 m2, from memory. 25 % is the spread the model states for itself.
func TestSealedAirAgainstCabinetChart(t *testing.T) {
	near(t, float64(SealedAir(25, 108, 1)-25), 25, 0.25)
}

// The wall gives off exactly the loss by the two laws named in SealedWall, worked here in another
// form: Nusselt-like coefficients times area, with the radiation coefficient of two temperatures,
// (T1^2 + T2^2)(T1 + T2).
func TestSealedWallBalances(t *testing.T) {
	for _, c := range []struct{ ambient, loss, area float64 }{{35, 5, 0.0171}, {25, 3, 0.01},
		{0, 60, 0.5}, {40, 0.1, 0.02}} {
		wall := float64(SealedWall(si.Celsius(c.ambient), si.Power(c.loss), si.Area(c.area)))
		rise := wall - c.ambient
		edge := math.Sqrt(c.area / 6)
		t1, t2 := wall+273.15, c.ambient+273.15
		radiated := 0.9 * 5.670374419e-8 * (t1*t1 + t2*t2) * (t1 + t2)
		require.Positive(t, rise)
		near(t, (1.42*math.Pow(rise/edge, 0.25)+radiated)*c.area*rise, c.loss, 1e-8)
		air := float64(SealedAir(si.Celsius(c.ambient), si.Power(c.loss), si.Area(c.area)))
		near(t, 1.42*math.Pow((air-wall)/edge, 0.25)*c.area*(air-wall), c.loss/2, 1e-8)
	}
	require.Equal(t, si.Celsius(35), SealedAir(35, 0, 0.01))
	require.True(t, math.IsInf(float64(SealedAir(35, 1, 0)), 1))
	require.True(t, math.IsInf(float64(SealedAir(35, si.Power(math.NaN()), 1)), 1))
}
