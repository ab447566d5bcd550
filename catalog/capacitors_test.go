package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
)

// LTspice standard.cap: United Chemi-Con LXF16VB331M8X15LL 0.555 A and 0.13 ohm; LXF16VB122M10X30LL
// 1.39 A and 0.044 ohm, in the other can of the same values LXF16VB122M12X20LL 1.34 A and 0.046
// ohm; Nichicon UPL1C102MPH 1.41 A and 0.047 ohm, UPL1C102MRH6 1.27 A and 0.055 ohm.
func TestListedCapacitors(t *testing.T) {
	for name, want := range map[string][2]float64{"LXF16VB331M8X15LL": {0.555, 0.13},
		"LXF16VB122M10X30LL": {1.39, 0.044},
		"LXF 1200uF 16V":     {1.34, 0.046}, "United Chemi-Con LXF 1200uF 16V": {1.34,
			0.046}, "Nichicon PL 1000uF 16V": {1.27, 0.055}} {
		p, err := catalog.ParseFields(catalog.KindCapacitor, name, nil)
		require.NoError(t, err, "the bare name is enough: %s", name)
		c := complete.Part(p).(catalog.Capacitor)
		require.Equal(t, catalog.Of(si.Current(want[0])), c.Ripple, name)
		require.Equal(t, catalog.Of(si.Resistance(want[1])), c.ESR, name)
		require.Equal(t, catalog.Assumed, c.Heat.Basis, "the file has no temperature rating")
	}
	other := catalog.Capacitor{Named: named("LXF16VB331M8X15LL"), Dielectric: "electrolytic",
		Capacitance: catalog.Of[si.Capacitance](100e-6),
		Volts:       catalog.Of[si.Voltage](16)}
	require.Equal(t, catalog.Assumed, complete.Part(other).(catalog.Capacitor).ESR.Basis,
		"not the values of the number")
}
