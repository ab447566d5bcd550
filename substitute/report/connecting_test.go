package report_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/regulation"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/report/sheet"
	"sparewright/substitute/seats"
	"sparewright/testdata/outside"
)

// connectDeck puts a pack on an empty output: pack, leads, output capacitor with its series
// resistance, shunt, and the input of an amplifier behind its resistor, where a junction of 0.5 V
// or so stands for what the chip has inside.
func connectDeck(c regulation.Connection, input float64) string {
	d := &netlist.Deck{}
	d.Line("* a pack put on a dead charger")
	d.Line("vpack plus minus %s", netlist.Num(float64(c.Pack)))
	d.Line("rcells plus lead %s", netlist.Num(float64(c.Cells)))
	d.Line("rleads lead out %s", netlist.Num(float64(c.Leads)))
	d.Line("rseries out plate %s", netlist.Num(float64(c.Series)))
	d.Line("cout plate 0 %s ic=%s", netlist.Num(float64(c.Capacitance)),
		netlist.Num(float64(c.Output)))
	d.Line("rshunt minus 0 %s", netlist.Num(float64(c.Shunt)))
	d.Line("rsense minus input %s", netlist.Num(input))
	d.Line("dsense 0 input smallsignal")
	d.Line(".model smallsignal d(is=%s n=%s)", netlist.Num(netlist.SmallLeak),
		netlist.Num(netlist.SmallSlope))
	d.Line(".options reltol=1e-5")
	d.Line(".control")
	d.Line("tran 1u 5m uic")
	d.Line("let through = -i(vpack)")
	d.Line("meas tran peak max through")
	d.Line("let heat = v(minus)*v(minus)/%s", netlist.Num(float64(c.Shunt)))
	d.Line("meas tran energy integ heat")
	d.Line("let entering = -(v(minus)-v(input))/%s", netlist.Num(input))
	d.Line("meas tran input max entering")
	d.Line("meas tran lowest min v(input)")
	for _, name := range []string{"peak", "energy", "input", "lowest"} {
		d.Line("print %s", name)
	}
	d.Line("quit 0\n.endc\n.end")
	return d.String()
}

// What a pack does to a dead charger against ngspice: peak and energy within 1 %, the current at
// the amplifier never below the simulated one, and the input itself held above -0.8 V by the diode.
func TestPackOnDeadChargerAgainstSimulator(t *testing.T) {
	outside.Need(t, "ngspice")
	for _, c := range []regulation.Connection{
		{Pack: 17, Cells: 20e-3, Leads: 30e-3, Shunt: 0.22, Series: 21e-3, Capacitance: 816e-6},
		{Pack: 14.7, Cells: 30e-3, Leads: 60e-3, Shunt: 0.1, Series: 11e-3, Capacitance: 2400e-6},
		{Pack: 8.5, Cells: 120e-3, Leads: 60e-3, Shunt: 0.47, Series: 50e-3, Capacitance: 264e-6},
	} {
		out := simulate(t, connectDeck(c, 2200))
		within(t, float64(c.Peak()), printed(t, out, "peak"), 0.01, "peak")
		within(t, float64(c.ShuntEnergy()), printed(t, out, "energy"), 0.01, "energy")
		ours, theirs := float64(c.InputCurrent(2200)), printed(t, out, "input")
		require.GreaterOrEqual(t, ours, theirs)
		require.Less(t, ours, theirs+1/2200.0, "no more than the drop of a diode above it")
		require.Greater(t, printed(t, out, "lowest"), -0.8)
	}
}

// Every build has what keeps a pack from destroying its amplifier, in its parts, its netlist and
// its circuit, and holds the limit: SENSE, LEVEL and REF reach an amplifier only through a
// resistor.
func TestEveryBuildBearsAPackOnADeadCharger(t *testing.T) {
	for _, e := range simulatedBuilds(t) {
		b := &e.build
		require.NotEmpty(t, sheet.PartFor(b, seats.SenseClamp), e.target.Name)
		deck := netlist.RegulationDeck(e.target, b, netlist.TrimmerSet)
		require.Contains(t, deck, "\ndsense 0 sense ")
		require.Contains(t, deck, "\nrsense sensepoint sense ")
		circuit := string(sheet.BatteryCircuit(e.target, b))
		require.Contains(t, circuit, "D10")
		if !sheet.Down(b) {
			require.NotEmpty(t, sheet.PartFor(b, seats.SenseInput), e.target.Name)
			require.Contains(t, circuit, "R19")
		}
		held := false
		for _, c := range b.Checks {
			if c.Name == "amplifier input current, pack put on a dead charger" {
				held = c.Passed && c.Hard
			}
		}
		require.True(t, held, e.target.Name)
		// reversed: either a diode stands there or the missing part is named
		said := strings.Contains(strings.Join(b.Warnings, "\n"), "the wrong way round destroys")
		require.Equal(t, sheet.PartFor(b, seats.PackDiode) == "", said, e.target.Name)
	}
}
