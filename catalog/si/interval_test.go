package si_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
)

func TestInterval(t *testing.T) {
	require.Equal(t, si.Interval[si.Voltage]{Low: 1, High: 3}, si.Between[si.Voltage](3, 1))
	require.Equal(t, si.Interval[si.Voltage]{Low: -11, High: -9}, si.Around[si.Voltage](-10, 0.1))
	i := si.Interval[si.Voltage]{Low: 2, High: 6}
	require.Equal(t, si.Voltage(4), i.Mid())
	require.Equal(t, si.Voltage(4), i.Width())
	require.True(t, i.Contains(2) && i.Contains(6) && !i.Contains(6.1))
	require.True(t, si.Exactly[si.Voltage](3).Within(i))
	require.False(t, i.Within(si.Exactly[si.Voltage](3)))
	require.Equal(t, si.Interval[si.Voltage]{Low: 2, High: 9}, i.Union(si.Exactly[si.Voltage](9)))
	require.Equal(t, si.Interval[si.Voltage]{Low: -12, High: -4}, i.Scale(-2))
}

// Source: IEC 60028: 1/58 ohm mm2/m at 20 C, 3.93e-3 per kelvin; at 100 C 1.3144 times as much
// (arithmetic).
func TestCopper(t *testing.T) {
	near(t, si.CopperResistivity(20), 1/58e6, 1e-12, "copper at 20 C")
	near(t, si.CopperResistivity(100), 1.3144/58e6, 1e-12, "copper at 100 C")
}
