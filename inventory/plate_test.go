package inventory_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
)

// What plates say, written down by reading them as a person does. The forms are those usual on
// adapters (from memory); no plate of a real make is copied.
func TestParsePlate(t *testing.T) {
	for text, want := range map[string]string{
		"100-240V~ 50/60Hz 0.5A, 5V 2A": "mains 100 V to 240 V, 50 Hz to " +
			"60 Hz, 500 mA in; output 5 V, 2 A",
		"INPUT: 100-240VAC 50-60HZ 350MA OUTPUT: 12VDC 1000MA": "mains 100 V to 240 V, 50 Hz to " +
			"60 Hz, 350 mA in; output 12 V, 1 A",
		"Input AC 230V 50Hz 8VA Output DC 9V 600mA": "mains 230 V, 50 Hz, 8 W in; output 9 V, 600 mA",
		"12 V 1 A":                       "output 12 V, 1 A",
		"12V ⎓ 1.5A":                     "output 12 V, 1.5 A",
		"19,5V = 3,34A 65W":              "output 19.5 V, 3.34 A; rated output 65 W",
		"5V2A":                           "output 5 V, 2 A",
		"PRI: 230V~ 50Hz SEC: 12V~ 10VA": "mains 230 V, 50 Hz; output 12 V AC; rated output 10 W",
		"230V~ 50Hz 12V~ 0.8A":           "mains 230 V, 50 Hz; output 12 V AC, 800 mA",
		"115/230V~ 2A/1A 60/50Hz; +5V 10A, +12V 3A, -12V 0.3A": "mains 115 V or 230 V, " +
			"50 Hz to 60 Hz, 2 A in; output 5 V, 10 A; output 12 V, 3 A; output 12 V, 300 mA",
		"5V/9V/12V 3A/2A/1.5A":  "output 5 V, 3 A; output 9 V, 2 A; output 12 V, 1.5 A",
		"OUTPUT 5V 3A or 9V 2A": "output 5 V, 3 A; output 9 V, 2 A",
		"5V, 12V 1A":            "output 5 V; output 12 V, 1 A",
		"100V-240V~, 1,000mA":   "mains 100 V to 240 V, 1 A in",
		"Entrée 220-240V~ 50Hz 60mA Sortie 3-12V 300mA": "mains 220 V to 240 V, " +
			"50 Hz, 60 mA in; output 3 V to 12 V, 300 mA",
		"INPUT 12VDC 2A OUTPUT 19V 1A":                                 "input 12 V DC, 2 A in; output 19 V, 1 A",
		"OUTPUT: 120V DC 0.1A":                                         "output 120 V, 100 mA",
		"I/P: 230V 50Hz O/P: 24V --- 0.8A":                             "mains 230 V, 50 Hz; output 24 V, 800 mA",
		"MODEL XY-1200 Class II, made nowhere, 24 V 0.8 A, for indoor": "output 24 V, 800 mA",
	} {
		p := inventory.ParsePlate(text)
		require.Equal(t, want, p.String(), text)
		require.True(t, p.Known(), text)
	}
	require.Equal(t, []string{"1A"}, inventory.ParsePlate("115/230V~ 2A/1A").Unread)
	for _, text := range []string{"", "nothing to read", "0V 0A", "99999V", "1e9", "V A W",
		"~~~ === ---", "\x00\xff"} {
		p := inventory.ParsePlate(text)
		require.False(t, p.Known(), text)
		require.Empty(t, p.Bounds(), text)
		require.Empty(t, p.String(), text)
	}
	require.Equal(t, []string{"99999V"}, inventory.ParsePlate("99999V").Unread)
}

// boundsOf lists the bounds of a plate by place and figure.
func boundsOf(text string) map[string]float64 {
	out := map[string]float64{}
	for _, b := range inventory.ParsePlate(text).Bounds() {
		out[b.Place+" "+b.Field] = b.Value
	}
	return out
}

// The bounds worked out by hand: 5 V x 2 A = 10 W; root 2 x 240 V = 339.4 V; 10 W / (root 2 x 100
// V) = 70.71 mA.
func TestBoundsOfAPlate(t *testing.T) {
	got := boundsOf("100-240V~ 50/60Hz 0.5A, 5V 2A")
	want := map[string]float64{"transformer ": 10, "output capacitor volts": 5,
		"output rectifier reverse": 5,
		"output rectifier average": 2, "output choke current": 2, "mains fuse volts": 240,
		"mains fuse current":  0.5,
		"mains choke current": 0.5, "bulk capacitor volts": 339.41, "mains bridge reverse": 339.41,
		"mains switch breakdown": 339.41, "mains bridge average": 0.070711}
	require.Len(t, got, len(want))
	for name, v := range want {
		require.InEpsilon(t, v, got[name], 1e-4, name)
	}
	// Two settings: a doubler charges each capacitor to the peak of the lower (root 2 x 115 V =
	// 162.6 V), the pair and with it bridge and switch to that of the higher (root 2 x 230 V =
	// 325.3 V).
	settings := boundsOf("115/230V~ 1A 12V 1A")
	require.InEpsilon(t, 162.63, settings["bulk capacitor volts"], 1e-4)
	require.InEpsilon(t, 325.27, settings["mains switch breakdown"], 1e-4)
	// A bare transformer has neither rectifier nor capacitors, and equipment fed with 12 V no mains
	// side.
	bare := boundsOf("230V~ 50Hz 40mA 12V~ 0.5A")
	require.InEpsilon(t, 6, bare["transformer "], 1e-9)
	require.Len(t, bare, 4)
	require.NotContains(t, boundsOf("INPUT 12VDC 2A OUTPUT 19V 1A"), "bulk capacitor volts")
	// Outputs may be alternatives: 18 W is the strongest, not 15 + 18. Printed watts count when the
	// outputs can give them.
	require.InEpsilon(t, 18, boundsOf("5V 3A or 9V 2A")["transformer "], 1e-9)
	require.InEpsilon(t, 30, boundsOf("5V 3A, 9V 2A 30W")["transformer "], 1e-9)
	require.InEpsilon(t, 12, boundsOf("12V 1A 18W")["transformer "], 1e-9)
}

// Of several outputs nobody knows which one a part came from: the lowest counts.
func TestBoundsForAPart(t *testing.T) {
	p := inventory.ParsePlate("100-240V~ 0.5A 12V 1A, 5V 3A")
	var got []string
	for _, b := range p.For(catalog.KindRectifier, inventory.OutputSide) {
		got = append(got, b.Field+" "+b.Text())
	}
	require.Equal(t, []string{"reverse 5 V", "average 1 A"}, got)
	require.Empty(t, p.For(catalog.KindRectifier, inventory.MainsSide))
	fuse := p.For(catalog.KindFuse, inventory.MainsSide)
	require.Len(t, fuse, 1, "at least 0.5 A is no rating to protect by")
	require.Equal(t, "volts", fuse[0].Field)
}

// The parts that stay whole, by hand: 12 V x 2 A = 24 W passed a flyback transformer; an adapter
// has exactly the plate it has. Nothing is said where the plate leaves a choice, nor of a
// transformer for 50 Hz.
func TestPlateOfWholeParts(t *testing.T) {
	said := func(plate string, k catalog.Kind) map[string]float64 {
		got := map[string]float64{}
		for _, b := range inventory.ParsePlate(plate).For(k, inventory.BothSides) {
			require.Equal(t, k == catalog.KindAdapter, b.Printed)
			got[b.Field] = b.Value
		}
		return got
	}
	require.Equal(t, map[string]float64{"passed": 24},
		said("100-240V~ 0.8A, 12V 2A", catalog.KindTransformer))
	require.Empty(t, said("230V~ 50Hz 40mA 12V~ 0.5A", catalog.KindTransformer))
	require.Equal(t, map[string]float64{"volts": 12, "amps": 2, "mains_min": 100, "mains_max": 240},
		said("100-240V~ 0.8A, 12V 2A", catalog.KindAdapter))
	require.Equal(t, map[string]float64{"volts": 12, "amps": 1},
		said("115/230V~ 12V 1A", catalog.KindAdapter), "two settings are no range")
	require.Equal(t, map[string]float64{"mains_min": 100, "mains_max": 240},
		said("100-240V~ 12V", catalog.KindAdapter))
	require.Empty(t, said("100-240V~ 5V 3A, 9V 2A", catalog.KindAdapter))
	require.Empty(t, said("230V~ 50Hz 12V~ 0.5A", catalog.KindAdapter))
}

func part(t *testing.T, k catalog.Kind, name string, figures ...string) catalog.Part {
	t.Helper()
	var entries []catalog.Entry
	for i := 0; i < len(figures); i += 2 {
		entries = append(entries, catalog.Entry{Field: figures[i], Text: figures[i+1]})
	}
	p, err := catalog.ParseFields(k, name, entries)
	require.NoError(t, err, name)
	return p
}

// Offers are made for what nobody knows, and never for what is printed, listed or measured.
func TestOffers(t *testing.T) {
	p := inventory.ParsePlate("100-240V~ 0.5A 12V 1A")
	lots := []inventory.Lot{
		{ID: 1, Part: part(t, catalog.KindFuse, "glass", "current", "1A")},
		{ID: 2, Part: part(t, catalog.KindFuse, "T1A", "current", "1A", "volts", "250V")},
		{ID: 3, Part: part(t, catalog.KindCapacitor, "can", "dielectric", "electrolytic", "capacitance", "470u", "volts", "~6V")},
		{ID: 4, Part: part(t, catalog.KindCapacitor, "can", "dielectric", "electrolytic", "capacitance", "470u", "volts", "6.3V")},
		{ID: 5, Part: part(t, catalog.KindCapacitor, "bulk", "dielectric", "electrolytic", "capacitance", "22u", "volts", "~200V")},
		{ID: 6, Part: part(t, catalog.KindRectifier, "UF4007", "average", "~0.5A")},
		{ID: 7, Part: part(t, catalog.KindRectifier, "SOD", "technology", "schottky", "reverse", "~40V", "average", "~0.5A")},
		{ID: 8, Part: part(t, catalog.KindCapacitor, "X", "dielectric", "film", "capacitance", "100n", "volts", "~5V", "safety", "X2")},
		{ID: 9, Part: part(t, catalog.KindCapacitor, "can", "dielectric", "electrolytic",
			"capacitance", "1m", "volts", "~6V"),
			Measured: []inventory.Measurement{{Field: "volts", Value: 10, Error: 0.01}}},
		{ID: 10, Part: part(t, catalog.KindTransformer, "kept", "inductance", "1mH", "topology", "flyback")},
		{ID: 11, Part: part(t, catalog.KindTransformer, "kept", "inductance", "1mH", "topology", "forward")},
		{ID: 12, Part: part(t, catalog.KindAdapter, "whole", "volts", "12V", "amps", "1A", "mains_max", "240V")},
	}
	got := map[int64]string{}
	for _, o := range p.Offers(lots) {
		got[o.Lot] += o.Place + ", " + o.Field + " " + o.Text()
	}
	require.Equal(t, map[int64]string{
		1:  "mains fuse, volts 240 V",
		3:  "output capacitor, volts 12 V",
		5:  "bulk capacitor, volts 339 V",
		7:  "output rectifier, average 1 A",
		10: "transformer, passed 12 W",
		12: "whole adapter, mains_min 100 V",
	}, got)
}

// Whatever is typed, the reader ends, every figure is sane and every bound lies in the range of its
// figure's dimension.
func FuzzParsePlate(f *testing.F) {
	for _, s := range []string{"100-240V~ 50/60Hz 0.5A, 5V 2A", "5V/9V 3A/2A", "AC DC AC 1V",
		"1,000mA", "-5V..9V", "⎓1V~"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p := inventory.ParsePlate(text)
		for _, b := range p.Bounds() {
			if !(b.Value > 0) || math.IsInf(b.Value, 0) {
				t.Fatalf("%q: %s %s is %g", text, b.Place, b.Field, b.Value)
			}
		}
	})
}
