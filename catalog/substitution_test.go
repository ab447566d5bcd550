package catalog_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// Which side of a figure is safe, and whether the wrong side refuses. Source beside each row; where
// none is named, the collection of substitution rules of the trade this table was made from (from
// memory unless it names a document).
func TestSafeSides(t *testing.T) {
	for _, row := range []struct {
		kind        catalog.Kind
		role, field string
		safe        string
		hard        bool
	}{
		{catalog.KindSwitcher, "switcher", "breakdown", ">=", true},              // AN-23; SLVAFK6
		{catalog.KindSwitcher, "switcher", "limit_min", ">=", true},              // AN-23 steps 8, 15; AN-30 eq. 17
		{catalog.KindSwitcher, "switcher", "limit_max", "<=", true},              // AN-23 steps 18-20
		{catalog.KindSwitcher, "switcher", "frequency", "within", false},         // AN-23 step 17
		{catalog.KindBridge, "bridge", "reverse", ">=", true},                    //
		{catalog.KindCapacitor, "bulk capacitor", "volts", ">=", true},           // crest of 264 V is 373 V
		{catalog.KindCapacitor, "bulk capacitor", "capacitance", ">=", true},     // AN-23 table 5
		{catalog.KindCapacitor, "bulk capacitor", "heat", ">=", false},           //
		{catalog.KindCapacitor, "output capacitor", "ripple", ">=", true},        //
		{catalog.KindCapacitor, "Y capacitor", "capacitance", "<=", true},        // touch current, IEC 60384-14 notes
		{catalog.KindRectifier, "output rectifier", "reverse", ">=", true},       // AN-23 step 6
		{catalog.KindRectifier, "output rectifier", "average", ">=", true},       // AN-23 step 20
		{catalog.KindRectifier, "output rectifier", "recovery", "<=", true},      // 500 ns refused in a published table
		{catalog.KindRectifier, "output rectifier", "forward", "<=", false},      //
		{catalog.KindRectifier, "output rectifier", "leakage", "<=", false},      //
		{catalog.KindClamp, "drain clamp", "breakdown", "within", true},          // SLVAFK6; AN-23
		{catalog.KindClamp, "drain clamp", "steady", ">=", true},                 // energy balance
		{catalog.KindOptocoupler, "optocoupler", "isolation", ">=", true},        //
		{catalog.KindReference, "reference", "cathode_min", "<=", false},         // SLVS543S; soft here: the bias resistor follows
		{catalog.KindAmplifier, "amplifier", "supply_min", "<=", true},           //
		{catalog.KindAmplifier, "amplifier", "offset", "<=", false},              //
		{catalog.KindResistor, "shunt", "power", ">=", true},                     // P = I2 R
		{catalog.KindResistor, "shunt", "drift", "<=", false},                    // copper at +40 K: 13.6 %
		{catalog.KindCore, "core pair", "gap", "<=", true},                       //
		{catalog.KindCore, "core pair", "pin_creepage", ">=", true},              // AN-17 p. 5
		{catalog.KindWire, "wire, secondary", "insulation", "=", true},           // AN-19 p. 10; AN-17 p. 5
		{catalog.KindFilm, "shim", "class", ">=", false},                         //
		{catalog.KindFuse, "mains fuse", "current", "within", true},              //
		{catalog.KindThermistor, "inrush limiter", "cold", "within", true},       //
		{catalog.KindResistor, "bulk bleed, two in series", "volts", ">=", true}, // small parts bear 200 to 250 V
		{catalog.KindLED, "LED, full (voltage holds)", "forward", "<=", true},    //
		{catalog.KindOptocoupler, "optocoupler", "ratio_min", ">=", false},       //
		{catalog.KindTrimmer, "voltage trimmer", "resistance", "within", false},  // book on troubleshooting, fig. 12.5
		{catalog.KindCapacitor, "clamp capacitor", "volts", ">=", true},          //
		{catalog.KindRectifier, "clamp diode", "reverse", ">=", true},            //
		{catalog.KindCapacitor, "output capacitor", "volts", ">=", true},         //
		{catalog.KindResistor, "divider top", "resistance", "within", true},      // SLVS543S
	} {
		s, ok := catalog.SubstitutionFor(row.kind, row.role, row.field)
		require.True(t, ok, "%s %s", row.role, row.field)
		require.Equal(t, row.safe, s.Safe, "%s %s", row.role, row.field)
		require.Equal(t, row.hard, s.Hard, "%s %s", row.role, row.field)
	}
}

// Every rule names its source and its limit, and there is one rule for a figure in a role.
func TestSubstitutionsAreWhole(t *testing.T) {
	for _, k := range catalog.Kinds() {
		seen := map[string]bool{}
		all := catalog.Substitutions(k, "")
		require.NotEmpty(t, all, k)
		for _, s := range all {
			require.NotEmpty(t, s.Limit, s.Name)
			require.NotEmpty(t, s.Source.Document, s.Name)
			for _, role := range s.Roles {
				require.NotEmpty(t, role, s.Name)
				key := role + "|" + s.Field
				require.False(t, s.Field != "" && seen[key], "%s twice", key)
				seen[key] = true
				require.True(t, slices.ContainsFunc(catalog.Substitutions(k, role),
					func(o catalog.Substitution) bool { return o.Name == s.Name }))
			}
		}
	}
	_, ok := catalog.SubstitutionFor(catalog.KindCore, "core pair", "")
	require.False(t, ok)
}
