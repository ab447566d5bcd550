package exchange_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
	"sparewright/inventory/anylot"
	"sparewright/inventory/exchange"
)

func export(t require.TestingT, lots []inventory.Lot, raw bool) string {
	var b bytes.Buffer
	require.NoError(t, exchange.WriteCSV(&b, lots, raw))
	return b.String()
}

// What is written is read as the same lots, and written again gives the same bytes.
func TestExportImportExport(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anylot.Draw(t)
		first := export(t, []inventory.Lot{l}, false)
		back, faults := exchange.ReadCSV(strings.NewReader(first), "p.csv")
		require.Empty(t, faults)
		require.Len(t, back, 1)
		require.Equal(t, l.Identity(), back[0].Identity())
		require.Equal(t, l.Count, back[0].Count)
		require.Equal(t, first, export(t, back, false))
		again, faults := exchange.ReadCSV(
			strings.NewReader(strings.ReplaceAll(first, "\n", "\r\n")), "p.csv")
		require.Empty(t, faults)
		require.Equal(t, back, again, "CRLF")
	})
}

// OWASP ASVS 5.0, 1.2.10: no text field may begin with = + - @, tab or NUL.
func TestNoFormulaLeaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows, err := csv.NewReader(strings.NewReader(
			export(t, []inventory.Lot{anylot.Draw(t)}, false))).ReadAll()
		require.NoError(t, err)
		for _, row := range rows {
			for _, field := range row {
				require.False(t, field != "" &&
					strings.ContainsRune("=+-@\t\r\x00", rune(field[0])), "%q", field)
			}
		}
	})
}

func TestGuardOnAndOff(t *testing.T) {
	l, _, faults := exchange.ParseLot("fuse", "=1+1", []string{"current=1A"})
	require.Empty(t, faults)
	l.Count, l.Bin, l.Donor, l.Note = 2, "'74 heap", "'@x", "\t-"
	const head = "kind,designation,count,unit,bin,donor,condition,note,figures,measured\n"
	require.Equal(t, head+"fuse,'=1+1,2,piece,'74 heap,''@x,untested,'\t-,current=1 A,\n",
		export(t, []inventory.Lot{l}, false))
	require.Equal(t, head+"fuse,=1+1,2,piece,'74 heap,'@x,untested,\"\t-\",current=1 A,\n",
		export(t, []inventory.Lot{l}, true))
}

func TestEqualLotsAreWrittenOnceAndEmptyOnesNot(t *testing.T) {
	l, _, _ := exchange.ParseLot("fuse", "T1A", []string{"current=1A"})
	l.Count = 2
	again, empty := l, l
	again.ID, again.Count = 9, 3
	empty.Bin, empty.Count = "E", 0
	require.Equal(t, 2, strings.Count(export(t, []inventory.Lot{l, empty, again}, false), "\n"))
	require.Contains(t, export(t, []inventory.Lot{l, empty, again}, false), "fuse,T1A,5,piece")
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestWriteFails(t *testing.T) {
	require.ErrorContains(t, exchange.WriteCSV(fullDisk{}, nil, false), "no space left")
	many := exchange.Demo().Lots
	require.ErrorContains(t, exchange.WriteCSV(fullDisk{}, many, false), "no space left")
	require.ErrorContains(t, exchange.EncodeLots(fullDisk{}, many), "no space left")
}

func TestDemoRoundTrip(t *testing.T) {
	first := export(t, exchange.Demo().Lots, false)
	back, faults := exchange.ReadCSV(strings.NewReader(first), "demo")
	require.Empty(t, faults)
	require.Equal(t, first, export(t, back, false))
}

func FuzzReadCSV(f *testing.F) {
	f.Add(good + "resistor,10k,4,piece,B4,x,new,\"n\"\"\n\",resistance=10k; " +
		"tolerance=1%,resistance=9.9k+-0.1%\n")
	f.Add(good + "wire,'=w,1.5,metre,,,,,insulation=enamelled;diameter=0.3mm,\r\n")
	f.Add(
		"\ufeffkind,designation,count,figures\n" +
			"capacitor,c,some,dielectric=film;capacitance=~1u;volts=63;type\\;x\n")
	f.Add("kind,designation,count\n\"\"\"\n,,\n\r\r\n")
	f.Fuzz(func(t *testing.T, text string) {
		lots, faults := exchange.ReadCSV(strings.NewReader(text), "f")
		for _, fault := range faults {
			require.Positive(t, fault.Line)
			require.Positive(t, fault.Column)
			require.NotEmpty(t, fault.Msg)
		}
		if len(faults) > 0 {
			return
		}
		for _, l := range lots {
			require.NoError(t, l.Validate())
		}
		first := export(t, lots, false)
		back, faults := exchange.ReadCSV(strings.NewReader(first), "f")
		require.Empty(t, faults)
		require.Equal(t, first, export(t, back, false))
	})
}

// Whatever is typed for a lot, it is refused with reasons of one line, or it can be stored and goes
// out and comes back the same.
func FuzzParseLot(f *testing.F) {
	f.Add("resistor", "10k", "resistance=10k\ntolerance=1%", "resistance=9.9k+-0.1%")
	f.Add("core", "E25/13/7 N87", "former=plain", "a=25.1mm+-0.5%")
	f.Add("wire", "0.3", "insulation=enamelled\ndiameter=~0.3mm", "diameter=0.3")
	f.Fuzz(func(t *testing.T, kind, designation, pairs, reading string) {
		lot, _, faults := exchange.ParseLot(kind, designation, strings.Split(pairs, "\n"))
		for _, fault := range faults {
			require.NotEmpty(t, fault.Msg)
		}
		if len(faults) > 0 {
			return
		}
		lot.Count = 3
		if m, err := exchange.ParseReading(lot.Part.Kind(), reading); err == nil {
			lot.Measured = append(lot.Measured, m)
		}
		if lot.Validate() != nil {
			return
		}
		first := export(t, []inventory.Lot{lot}, false)
		back, readFaults := exchange.ReadCSV(strings.NewReader(first), "f")
		require.Empty(t, readFaults, first)
		require.Equal(t, first, export(t, back, false))
	})
}
