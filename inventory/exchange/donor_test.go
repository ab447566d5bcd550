package exchange_test

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

func written(t require.TestingT, d exchange.Drawer, raw bool) string {
	var b bytes.Buffer
	require.NoError(t, exchange.Write(&b, d, raw))
	return b.String()
}

// said draws what a person may type of a donor and a file of pairs may trip over; all of it may be
// stored.
func said(most int, lines bool) *rapid.Generator[string] {
	char := rapid.OneOf(rapid.RuneFrom([]rune("ab 1\"',;=\\+-@~\n\tΩ中\U0001f50b")), rapid.Rune())
	return rapid.Map(rapid.StringOfN(char, 0, most-1, -1), func(text string) string {
		return strings.Map(func(r rune) rune {
			if lines && (r == '\n' || r == '\t') {
				return r
			}
			if unicode.IsControl(r) || inventory.TurnsWriting(r) || r == unicode.ReplacementChar {
				return 'x'
			}
			return r
		}, text)
	})
}

// Donors survive the way out and back whatever was typed about them, and the second writing gives
// the same bytes.
func TestDonorsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var d exchange.Drawer
		seen := map[string]bool{}
		for range rapid.IntRange(1, 3).Draw(t, "donors") {
			donor := inventory.Donor{Name: "n" + said(60, false).Draw(t, "name"),
				Was:   said(60, false).Draw(t, "was"),
				Plate: said(1000, true).Draw(t, "plate"), State: said(1000, true).Draw(t, "state"),
				Note: said(1000, true).Draw(t, "note")}.Tidy()
			require.NoError(t, donor.Validate())
			if seen[donor.Name] {
				continue
			}
			seen[donor.Name] = true
			d.Donors = append(d.Donors, donor)
		}
		first := written(t, d, false)
		back, faults := exchange.Read(strings.NewReader(first), "a.csv")
		require.Empty(t, faults)
		require.ElementsMatch(t, d.Donors, back.Donors)
		require.Equal(t, first, written(t, back, false))
	})
}

// A donor that a lot names and of which nothing is known needs no row; one without lots does.
func TestDonorRows(t *testing.T) {
	l, _, none := exchange.ParseLot("resistor", "10k", []string{"resistance=10k"})
	require.Empty(t, none)
	l.Count, l.Donor = 2, "named"
	got := written(t, exchange.Drawer{Lots: []inventory.Lot{l}, Donors: []inventory.Donor{
		{Name: "named"}, {Name: "lonely"}, {Name: "brick", Was: "wall adapter", Plate: "12 V; 1 A",
			State: "dead"}}}, false)
	rows := strings.Split(strings.TrimSpace(got), "\n")
	require.Equal(t, []string{"donor,brick,,,,wall adapter,dead,,plate=12 V\\; 1 A,",
		"donor,lonely,,,,,,,,"}, rows[2:])
}

func TestFaultyDonorRows(t *testing.T) {
	const header = "kind,designation,count,unit,bin,donor,condition,note,figures,measured\n"
	for row, says := range map[string]string{
		"donor,,,,,,,,,":                       `a.csv:2:7: donor "": has no name`,
		"donor,x,3,,,,,,,":                     `a.csv:2:9: count "3": a donor has none`,
		"donor,x,,,B4,,,,,":                    `bin "B4": a donor has none`,
		"donor,x,,,,,,,volts=3,":               `figure "volts": of a donor only plate=TEXT`,
		"donor,x,,,,,,,plate,":                 `figure "plate": of a donor only plate=TEXT`,
		"donor,x,,,,,,,plate=a; plate=b,":      `figure "plate": of a donor only plate=TEXT`,
		"donor,x,,,,,,,,\nDonor,x,,,,,dead,,,": `a.csv:3:1: donor "x": has a row already`,
	} {
		_, faults := exchange.Read(strings.NewReader(header+row+"\n"), "a.csv")
		require.Len(t, faults, 1, row)
		require.Contains(t, faults[0].Error(), says, row)
	}
}

// The plates of the built-in drawer are understood, and every donor a lot names is listed.
func TestDemoDonors(t *testing.T) {
	known := map[string]bool{"": true}
	described := 0
	for _, d := range exchange.DemoDonors() {
		known[d.Name] = true
		if d.Described() {
			described++
			p := inventory.ParsePlate(d.Plate)
			require.True(t, p.Input.Mains(), d.Name)
			require.NotEmpty(t, p.Outputs, d.Name)
			require.Empty(t, p.Unread, d.Name)
		}
	}
	require.Equal(t, 4, described)
	for _, l := range exchange.Demo().Lots {
		require.True(t, known[l.Donor], l.Donor)
	}
}
