package catalog_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// toward is the side on which a figure of the tables may differ from a printed one: the cautious
// end counts where documents disagree.
type toward int

const (
	low   toward = -1 // a rating: less is cautious
	equal toward = 0
	high  toward = 1 // a loss or a delay: more is cautious
)

// holds is one figure of the tables that a printed figure bears on.
type holds struct {
	// lowest, typical or highest of the document; with a number behind it that part of "a/b/c"
	column string
	field  string
	side   toward
}

// bearings lists the printed figures that the tables hold, by the first words of their names; the
// others are context.
var bearings = map[catalog.Kind]map[string][]holds{
	catalog.KindSwitcher: {
		"current limit, first":                 {{"lowest", "limit_min", low}},
		"current limit, second":                {{"highest", "limit_max", high}},
		"current limit ":                       {}, // at another slope
		"current limit":                        {{"lowest", "limit_min", low}, {"typical", "limit", equal}, {"highest", "limit_max", high}},
		"drain current, smallest of the limit": {{"lowest", "limit_min", low}},
		"on-resistance 25/125":                 {{"highest0", "on_resistance", high}, {"highest1", "on_hot", high}},
		"on-resistance 25 C":                   {{"highest", "on_resistance", high}},
		"on-resistance 1":                      {{"highest", "on_hot", high}},
		"breakdown":                            {{"lowest", "breakdown", low}},
		"delay":                                {{"typical", "delay", high}, {"highest", "delay", high}},
		"maximum duty":                         {{"lowest", "duty_max", low}},
		"CONTROL current at 0":                 {{"highest", "feedback_stop", high}},
		"CONTROL upper restart":                {{"typical", "supply_start", high}},
		"dynamic impedance of CONTROL":         {{"highest", "feedback_resistance", high}},
		"feedback pull-up":                     {{"typical", "feedback_resistance", high}},
		"feedback input resistance":            {{"typical", "feedback_resistance", high}},
		"feedback stop current":                {{"typical", "feedback_stop", high}},
		"feedback source current":              {{"highest", "feedback_stop", high}, {"lowest", "feedback_span", low}},
		"supply current":                       {{"typical", "supply_current", high}, {"highest", "supply_current", high}},
		"operating current":                    {{"typical", "supply_current", high}},
		"internal consumption":                 {{"typical", "supply_current", high}},
		"frequency, light load":                {},
		"frequency":                            {{"lowest", "frequency_min", low}, {"typical", "frequency", equal}, {"highest", "frequency_max", high}},
		"jittered frequency":                   {{"lowest", "frequency_min", low}, {"highest", "frequency_max", high}},
		"junction to air":                      {{"typical", "junction_air", high}, {"highest", "junction_air", high}},
		"thermal shutdown":                     {{"lowest", "junction_max", low}},
		"supply over-voltage":                  {{"lowest", "overvoltage", low}, {"lowest", "supply_max", low}},
		"supply stop":                          {{"typical", "supply_min", high}, {"highest", "supply_min", high}},
		"supply restart/stop":                  {{"highest", "supply_min", high}},
		"supply valley":                        {{"highest", "supply_min", high}},
		"supply working":                       {{"highest", "supply_max", low}},
		"supply start":                         {{"typical", "supply_start", high}, {"highest", "supply_start", high}},
		"soft start":                           {{"typical", "soft_start", high}, {"highest", "soft_start", high}},
		"output capacitance":                   {{"typical", "coss", high}},
		"sense threshold":                      {{"lowest", "sense_min", low}, {"typical", "sense", equal}, {"highest", "sense_max", high}},
		"least on time":                        {{"typical", "least_on", high}},
		"power 230 V adapter/open":             {{"typical0", "sealed_230v", low}, {"typical1", "open_230v", low}, {"typical2", "sealed_wide", low}, {"typical3", "open_wide", low}},
		"power 230 V adapter / wide":           {{"typical0", "sealed_230v", low}, {"typical1", "sealed_wide", low}, {"typical2", "open_230v", low}, {"typical3", "open_wide", low}},
		"power single voltage / wide":          {{"typical0", "open_230v", low}, {"typical1", "open_wide", low}},
		"power 195-265 V / 85-265 V":           {{"typical0", "open_230v", low}, {"typical1", "open_wide", low}},
	},
	catalog.KindOptocoupler: {
		"transfer ratio at":    {},
		"transfer ratio":       {{"lowest", "ratio_min", low}, {"highest", "ratio_max", high}},
		"forward voltage":      {{"highest", "forward", high}},
		"collector voltage":    {{"lowest", "collector", low}},
		"isolation":            {{"lowest", "isolation", low}},
		"creepage":             {{"lowest", "creepage", low}},
		"cut-off frequency at": {{"typical", "cut_off", low}},
	},
	catalog.KindAmplifier: {
		"offset over temperature":                   {{"highest", "offset", high}},
		"bias current over temperature":             {{"highest", "bias_current", high}},
		"supply current, 5 V":                       {}, // the tables hold that of the highest supply
		"supply current, ":                          {{"highest", "supply_current", high}},
		"supply current per amplifier":              {{"highest x2", "supply_current", high}},
		"output source current over temperature":    {{"lowest", "source", low}},
		"output source current":                     {{"lowest", "source", low}},
		"output sink current over temperature":      {{"lowest", "sink", low}},
		"output below positive rail, 30 V, 2 kohm":  {{"highest", "headroom_30v", high}},
		"output below positive rail, 30 V, 10 kohm": {{"highest", "headroom_30v", high}},
		"output below positive rail, 5 V, 2 kohm":   {{"highest", "headroom", high}},
		"output below positive rail at 1 mA":        {{"highest", "headroom_30v", high}},
	},
	catalog.KindReference: {
		"reference against":            {},
		"reference input current":      {{"highest", "input_current", high}},
		"reference":                    {{"lowest", "vref_min", low}, {"typical", "vref", equal}, {"highest", "vref_max", high}},
		"least cathode current":        {{"highest", "cathode_min", high}},
		"cathode voltage, recommended": {{"highest", "cathode_volts", low}},
		"cathode current, recommended": {{"highest", "cathode_max", low}},
	},
	catalog.KindClamp: {
		"stand-off":               {{"lowest", "standoff", equal}},
		"clamping voltage":        {{"highest", "clamping", high}},
		"temperature coefficient": {{"highest", "drift", high}},
		"junction to air":         {{"typical", "junction_air", high}},
		"pulse power":             {{"lowest", "pulse", low}},
		"largest junction":        {{"highest", "junction_max", low}},
	},
}

// bearing finds the entry with the longest beginning of a figure's name.
func bearing(k catalog.Kind, figure string) []holds {
	best := ""
	for name := range bearings[k] {
		if strings.HasPrefix(figure, name) && len(name) > len(best) {
			best = name
		}
	}
	return bearings[k][best]
}

// printed reads a cell of the documented collection in the base unit of the field; false when there
// is none.
func printed(t *testing.T, row map[string]string, column string, f catalog.Field) (float64, bool) {
	t.Helper()
	column, twice := strings.CutSuffix(column, " x2")
	part := -1
	if last := column[len(column)-1]; last >= '0' && last <= '9' {
		part, column = int(last-'0'), column[:len(column)-1]
	}
	text := strings.TrimPrefix(row[column], "-")
	if part >= 0 && text != "" {
		text = strings.Split(text, "/")[part]
	}
	if text == "" {
		return 0, false
	}
	unit := map[string]string{"Vrms": "V", "%/K": "", "C": "degC"}
	suffix, ok := unit[row["unit"]]
	if !ok {
		suffix = row["unit"]
	}
	if row["unit"] == "%/K" {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		return v / 100, true
	}
	v, err := f.Dimension().Parse(text + suffix)
	require.NoError(t, err, "%s %s %s", row["part"], row["figure"], column)
	if twice {
		v *= 2
	}
	return v, true
}

// farthest is how far a figure may lie on the cautious side of a printed one before it is taken for
// a slip: the widest pair of documents differs by a factor of two (bias current of the LM358 at 25
// C and over temperature).
const farthest = 2.5

// The documented collection, read apart from the tables, against the tables: no figure lies on the
// unsafe side of a printed one, none is far off, and those that can only be equal are.
func TestTablesAgainstDocuments(t *testing.T) {
	compared := 0
	for _, row := range table(t, "../testdata/documented.tsv") {
		require.NotEmpty(t, row["document"])
		require.NotEmpty(t, row["place"])
		k := catalog.Kind(row["kind"])
		if k == "can" {
			continue
		}
		p, _, ok := catalog.Lookup(k, row["part"])
		require.True(t, ok, row["part"])
		require.Equal(t, row["part"], p.Designation(), "the part has a row of its own")
		for _, h := range bearing(k, row["figure"]) {
			f, ok := catalog.FieldNamed(k, h.field)
			require.True(t, ok, h.field)
			want, ok := printed(t, row, h.column, f)
			i := slices.IndexFunc(catalog.Describe(p).Values,
				func(v catalog.Value) bool { return v.Field == h.field })
			if !ok || i < 0 {
				continue
			}
			compared++
			got := catalog.Describe(p).Values[i].Number
			checkSide(t, row, h, got, want)
		}
	}
	t.Logf("%d figures of the tables compared with documents", compared)
	require.Greater(t, compared, 500)
}

func checkSide(t *testing.T, row map[string]string, h holds, got, want float64) {
	t.Helper()
	const slack = 1e-6
	if off := got/want - 1; h.side == low && off > slack || h.side == high && off < -slack ||
		h.side == equal && math.Abs(off) > slack {
		t.Errorf("%s: %s is %g here, %q %s prints %g (%s, %s)", row["part"], h.field, got,
			row["figure"], h.column, want,
			row["document"], row["place"])
	}
	if r := got / want; r > farthest || r < 1/farthest {
		t.Errorf("%s: %s is %g here, %q %s prints %g: a slip?", row["part"], h.field, got,
			row["figure"], h.column, want)
	}
}

// The printed band of the breakdown voltage lies within that of the tables, which is no wider than
// 1.2 % either way: it lies evenly about the nominal voltage, the printed one does not.
func TestBreakdownBands(t *testing.T) {
	seen := 0
	for _, row := range table(t, "../testdata/documented.tsv") {
		if row["kind"] != "clamp" || row["figure"] != "breakdown" {
			continue
		}
		p, ok := catalog.SuppressorNamed(row["part"])
		require.True(t, ok, row["part"])
		least, err := strconv.ParseFloat(row["lowest"], 64)
		require.NoError(t, err)
		most, err := strconv.ParseFloat(row["highest"], 64)
		require.NoError(t, err)
		b, tol := float64(p.Breakdown.Value), float64(p.Tolerance.Value)
		require.LessOrEqual(t, b*(1-tol), least+1e-9, row["part"])
		require.GreaterOrEqual(t, b*(1+tol), most-1e-9, row["part"])
		require.Greater(t, b*(1-tol), 0.988*least, row["part"])
		require.Less(t, b*(1+tol), 1.012*most, row["part"])
		seen++
	}
	require.Equal(t, 105, seen)
}

// Every can is at the cautious end of the parts of its size.
func TestCansAgainstDocuments(t *testing.T) {
	cans := map[string]catalog.Can{}
	for _, c := range catalog.Cans() {
		cans[c.Name] = c
	}
	seen := 0
	for _, row := range table(t, "../testdata/documented.tsv") {
		if row["kind"] != "can" {
			continue
		}
		want, err := strconv.ParseFloat(row["highest"], 64)
		require.NoError(t, err)
		c, ok := cans[row["part"]]
		require.True(t, ok, row["part"])
		if row["figure"] == "ripple current" {
			require.LessOrEqual(t, float64(c.Ripple.Value), want+1e-9, row["part"])
		} else {
			require.GreaterOrEqual(t, float64(c.ESR.Value), want-1e-9, row["part"])
		}
		seen++
	}
	require.Equal(t, 126, seen)
}
