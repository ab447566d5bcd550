package bench

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/frame"
)

// A designation that the tables know says its kind. 1N5822: 40 V 3 A Schottky rectifier (JEDEC
// registration); 1N4733A: 5.1 V zener (JEDEC registration); BZX55C5V1 by the European type key;
// P6KE200A: 200 V suppressor; all from memory.
func TestDesignationAloneSaysItsKind(t *testing.T) {
	for line, want := range map[string]catalog.Kind{
		"LM358": catalog.KindAmplifier, "TL431A x3": catalog.KindReference,
		"PC817 x2 B4": catalog.KindOptocoupler,
		"1N5822":      catalog.KindRectifier, "P6KE200A": catalog.KindClamp,
		"suppressor P6KE200A": catalog.KindClamp,
		"1N4733A x4":          catalog.KindZener, "BZX55C5V1": catalog.KindZener,
		"EF20 N87 gap 0.35mm x2": catalog.KindCore,
		"TOP223 x2 bin B2":       catalog.KindSwitcher, "DB107": catalog.KindBridge,
		"wire 0.3 10m":   catalog.KindWire,
		"TIW 0.30 mm 3m": catalog.KindWire, "lm358": catalog.KindAmplifier,
		"KBP 206":      catalog.KindBridge,
		"\"LM358\" x2": catalog.KindAmplifier,
	} {
		a := parsed(t, line)
		require.Equal(t, "put", a.Verb, line)
		require.Equal(t, want, a.Lot.Part.Kind(), line)
	}
}

// Every designation of the tables is understood alone, as its kind or as one of the kinds asked
// back.
func TestEveryListedDesignationIsUnderstoodAlone(t *testing.T) {
	asked := 0
	for _, kind := range catalog.Kinds() {
		switch kind {
		case catalog.KindWire, catalog.KindFilm: // which need a length
			continue
		case catalog.KindCore, catalog.KindCapacitor:
			// whose rows are named with their maker, or by a value
			continue
		}
		for _, name := range catalog.Designations(kind) {
			a, err := ParseLine(name, Setting{})
			if len(kindsCalled(name)) > 1 {
				require.ErrorContains(t, err, "may be a ", name)
				require.ErrorContains(t, err, string(kind), name)
				asked++
				continue
			}
			if err != nil { // a figure that its row does not have
				require.ErrorContains(t, err, "; give ", name)
				continue
			}
			require.Equal(t, kind, a.Lot.Part.Kind(), name)
		}
	}
	require.Less(t, asked, 30)
	t.Log(asked, "asked back")
}

// What is neither is refused on one line that says what to write.
func TestUnknownFirstWordSaysWhatToWrite(t *testing.T) {
	for line, cure := range map[string]string{"4k7 x3": "write r 4k7",
		"104K": "write c 104K or r 104K", "TL43": "TL431",
		"foo": "put KIND", "rectifiers UF4007": "did you mean rectifier",
		"2N3055": "of no use here"} {
		_, err := ParseLine(line, Setting{})
		require.ErrorContains(t, err, cure, line)
		require.NotContains(t, strings.Join(frame.Complaint(err), "\n"), "\n", line)
	}
}
