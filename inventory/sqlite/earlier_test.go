package sqlite

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
)

// A drawer file and an export of the last version that said "lamp" for an LED: both were made by
// that version, with a figure and a reading of the adapter's lamp_resistor, and with a resistor
// whose own name is "lamp". The file is brought to the present words, its changes can still be
// undone, and import reads the export as the very same lots.
func TestDrawerOfEarlierWords(t *testing.T) {
	b, err := os.ReadFile("testdata/form-3-lamp.drawer")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "old.db")
	require.NoError(t, os.WriteFile(path, b, 0o600))
	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	defer s.Close()
	sound(t, s)

	led, err := s.Lot(ctx, 1)
	require.NoError(t, err)
	require.Equal(t, catalog.KindLED, led.Part.Kind())
	require.Equal(t, "red", led.Part.(catalog.LED).Colour)
	require.Equal(t, 10.0, led.Count)
	brick, err := s.Lot(ctx, 4)
	require.NoError(t, err)
	require.Equal(t, si.Resistance(470), brick.Part.(catalog.Adapter).LEDResistor.Value)
	require.Len(t, brick.Measured, 1)
	require.Equal(t, "led_resistor", brick.Measured[0].Field)
	require.InDelta(t, 466, brick.Measured[0].Value, 0)
	named, err := s.Lot(ctx, 3)
	require.NoError(t, err)
	require.Equal(t, "lamp", named.Part.Designation())
	require.Equal(t, "lamp_resistor", named.Note)

	held, err := os.ReadFile("testdata/form-3-lamp.csv")
	require.NoError(t, err)
	then, faults := exchange.Read(strings.NewReader(string(held)), "old.csv")
	require.Empty(t, faults)
	require.Empty(t, then.Notes, "every row is known as one that export wrote")
	now, faults := exchange.Read(strings.NewReader(exported(t, s)), "new.csv")
	require.Empty(t, faults)
	require.Equal(t, then, now)

	_, err = s.Undo(ctx, 2, noon) // the take and the second reading
	require.NoError(t, err)
	brick, err = s.Lot(ctx, 4)
	require.NoError(t, err)
	require.Equal(t, "led_resistor", brick.Measured[0].Field)
	require.InDelta(t, 468, brick.Measured[0].Value, 0)
	sound(t, s)
}
