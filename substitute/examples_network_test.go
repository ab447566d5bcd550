package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// exactLeg is a leg of one or two resistors in series without tolerance, ohm.
func exactLeg(t *testing.T, ohms ...float64) resistors.Network {
	t.Helper()
	var pieces []resistors.Piece
	sum := 0.0
	for i, r := range ohms {
		pieces = append(pieces, resistors.Piece{Lot: int64(i + 1), Ohm: si.Resistance(r), Count: 1})
		sum += r
	}
	n, ok := resistors.NewStock(pieces).Best(si.Around(si.Resistance(sum), 1e-9), len(ohms))
	require.True(t, ok, "%v", ohms)
	return n
}

// dividerOf is the voltage divider of exact legs on an exact reference, set to the output it gives.
func dividerOf(
	t *testing.T, ref si.Interval[si.Voltage], set float64, top, bottom resistors.Network,
) regulation.VoltageNetwork {
	t.Helper()
	spec := regulation.VoltageSpec{Set: si.Voltage(set), Absolute: si.Voltage(2 * set), Vref: ref}
	return regulation.CheckVoltage(spec, top, bottom, nil)
}

// topFor is the upper resistor in ohm at which a divider with the given lower one senses out volts.
func topFor(t *testing.T, ref, out, bottom float64) float64 {
	t.Helper()
	return inverseOf(t, func(r float64) float64 {
		return float64(dividerOf(t, si.Exactly(si.Voltage(ref)), out, exactLeg(t, r),
			exactLeg(t, bottom)).SetHigh)
	}, out, 1, 1e6)
}

func procedureDivider(t *testing.T, e publishedExample) ledgerFigures {
	top := topFor(t, e.in(t, "Vref"), e.in(t, "VOUT"), e.in(t, "RK")*1e3)
	return ledgerFigures{"RI exact": lastDigit(1e-3 * top)}
}

// sharedSensing: an output that carries a share of the sense current sees the lower resistor
// divided by that share.
func sharedSensing(t *testing.T, e publishedExample) ledgerFigures {
	ref, low := e.in(t, "Vref"), e.in(t, "R lower")*1e3
	// The current through equal legs is reference over resistor.
	current := func(r float64) float64 {
		leg := exactLeg(t, r)
		return 1e3 * float64(dividerOf(t, si.Exactly(si.Voltage(ref)), 2*ref, leg, leg).Current)
	}
	upper := func(out, share, mA float64) float64 {
		return topFor(t, ref, out, inverseOf(t, func(r float64) float64 { return current(r) },
			share*mA, 1, 1e6))
	}
	// the book goes on with its rounded current
	sense, printed := current(low), e.result(t, "sense current")
	book := e.in(t, "28 W: sense current as used by the book")
	led := regulation.LEDSpec{Supply: si.Exactly(si.Voltage(e.in(t, "LED supply"))),
		Forward:   si.Voltage(e.in(t, "LED drop")),
		OutputLow: si.Voltage(ref), Need: si.Current(e.in(t, "LED current") * 1e-3), SinkMax: 50e-3}
	return ledgerFigures{
		"sense current": lastDigit(sense),
		"R from +5 V":   lastDigit(upper(5, e.in(t, "share of 5 V"), printed)),
		"R from +12 V":  lastDigit(upper(12, e.in(t, "share of 12 V"), printed)),
		"R from +24 V": lastDigit(1e-3 *
			upper(24, e.in(t, "share of 24 V"), printed)),
		// for 1 mA
		"R lower before rounding":     lastDigit(1e-3 * inverseOf(t, current, 1, 1, 1e6)),
		"LED bias resistor":           lastDigit(float64(led.Range().High)),
		"28 W example: +5 V resistor": lastDigit(upper(5, e.in(t, "28 W: share of 5 V"), book)),
		"28 W example: +12 V resistor": lastDigit(1e-3 * upper(e.in(t, "28 W: actual 12 V output"),
			e.in(t, "28 W: share of 12 V"), book)),
		"28 W example: +24 V resistor": lastDigit(1e-3 * upper(e.in(t, "28 W: actual 24 V output"),
			e.in(t, "28 W: share of 24 V"), book)),
		"28 W example: sense current with 2.7k": sourceWrong(sense, 0.926,
			"2.5 V over 2.7 kohm; the book prints 0.96 and goes on with it"),
	}
}

func twoCellBridge(t *testing.T, e publishedExample) ledgerFigures {
	ref := si.Exactly(si.Voltage(e.in(t, "Vref")))
	k := func(name string) float64 { return 1e3 * e.in(t, name) }
	full := dividerOf(t, ref, e.result(t, "Vout"), exactLeg(t, k("R1"), k("R3")),
		exactLeg(t, k("R2")))
	end := dividerOf(t, ref, e.result(t, "end of charge"), exactLeg(t, k("R1")),
		exactLeg(t, k("R2"), k("R3")))
	empty := dividerOf(t, ref, e.result(t, "low battery"), exactLeg(t, k("R17")),
		exactLeg(t, k("R19")))
	return ledgerFigures{
		"Vout": lastDigit(float64(full.SetHigh)), "low battery": lastDigit(float64(empty.SetHigh)),
		"end of charge":            lastDigit(float64(end.SetHigh)),
		"bridge discharge current": lastDigit(1e6 * float64(full.Current)),
	}
}

// referenceLimits: a divider of equal exact legs doubles the reference and keeps its band.
func referenceLimits(t *testing.T, e publishedExample) ledgerFigures {
	band := func(nominal float64, tol si.Ratio) (low, high ledgerFigure) {
		leg := exactLeg(t, 1e4)
		d := dividerOf(t, si.Around(si.Voltage(nominal), tol), 2*nominal, leg, leg)
		return lastDigit(float64(d.WorstLow / 2)), lastDigit(float64(d.WorstHigh / 2))
	}
	v := ledgerFigures{}
	// V, mV, mV
	ref, sense, shunt := e.in(t, "TSM1051 Vref"), e.in(t, "Vsense"), 1e3*e.in(t, "ATL431 Vref")
	v["TSM1051 Vref min 25 C (1 %)"], v["TSM1051 Vref max 25 C (1 %)"] = band(ref, 0.01)
	v["Vref min over T (2 %)"], v["Vref max over T (2 %)"] = band(ref, 0.02)
	v["Vsense min (2 %)"], v["Vsense max (2 %)"] = band(sense, 0.02)
	v["Vsense min over T (4 %)"], _ = band(sense, 0.04)
	v["ATL431 A grade min (1 %)"], _ = band(shunt, 0.01)
	v["ATL431 B grade min (0.5 %)"], v["ATL431 B grade max (0.5 %)"] = band(shunt, 0.005)

	set := si.Current(e.in(t, "TL103W battery current"))
	pieces := []resistors.Piece{{Lot: 1,
		Ohm: si.Resistance(e.in(t, "TL103W sense resistor") * 1e-3), Count: 1, Power: 1}}
	spec := regulation.CurrentSpec{Set: set, HighLimit: 1.1 * set,
		Vref: si.Exactly(si.Voltage(2.5)), Shunts: pieces}
	shuntLeg := exactLeg(t, float64(pieces[0].Ohm))
	c := regulation.CheckCurrent(spec, shuntLeg, exactLeg(t, 24.4e3), exactLeg(t, 600), nil)
	require.InEpsilon(t, float64(flyback.ConductionLoss(set, pieces[0].Ohm)),
		float64(c.ShuntPower), 1e-9)
	v["TL103W sense voltage at 6 A"] = lastDigit(1e3 * float64(c.Sense))
	return v
}

// trimmerPoints: the source gives no position of the trimmer, only the voltage that is set with it.
func trimmerPoints(t *testing.T, e publishedExample) []publishedResult {
	var printed string
	for _, i := range e.Inputs {
		if i.Name == "setting" {
			printed = string(i.Value)
		}
	}
	return []publishedResult{{Name: "setting", Printed: printed, Unit: "V", Kind: "data"}}
}

// trimmerCharger: the trimmer as rheostat in the lower leg, which is how this program wires it. At
// the set point our position puts the output back on the printed voltage.
func trimmerCharger(t *testing.T, e publishedExample) ledgerFigures {
	ref, set := si.Exactly(si.Voltage(e.in(t, "Vref"))), e.in(t, "setting")
	track := e.in(t, "P1")
	spec := regulation.VoltageSpec{Set: si.Voltage(set), Absolute: si.Voltage(1.2 * set), Vref: ref}
	top := exactLeg(t, 1e3*e.in(t, "R7"))
	trimmer := resistors.TrimmerPiece{Ohm: si.Resistance(track), Count: 1}
	d := regulation.CheckVoltage(spec, top, exactLeg(t, 1e3*e.in(t, "R6")), &trimmer)
	put := dividerOf(t, ref, set, top, exactLeg(t, 1e3*e.in(t, "R6"), float64(d.Position)*track))
	require.InDelta(t, 13.44, float64(d.SetLow), 0.005,
		"whole track in the lower leg, arithmetic of the collection")
	span := insideBand(float64(put.SetHigh), float64(d.ReachLow), float64(d.ReachHigh),
		"span of the trimmer")
	return ledgerFigures{"setting": span}
}
