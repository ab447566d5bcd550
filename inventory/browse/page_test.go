package browse_test

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/browse"
	"sparewright/inventory/exchange"
)

func page(t *testing.T, lots []inventory.Lot) string {
	t.Helper()
	text, err := browse.Page(lots, inventory.RunningLow(lots), exchange.DemoDonors())
	require.NoError(t, err)
	return string(text)
}

// The page is the same whatever the order of lots, holds every lot once, and reaches for nothing
// outside of itself.
func TestPage(t *testing.T) {
	lots := exchange.Demo().Lots
	turned := slices.Clone(lots)
	slices.Reverse(turned)
	text := page(t, lots)
	require.Equal(t, text, page(t, turned))
	require.Equal(t, len(lots), strings.Count(text, `<tr id="lot-`))
	require.NotContains(t, text, "ZgotmplZ")
	require.NotRegexp(t, `https?:|url\(|@import|src=`, strings.ReplaceAll(text,
		`xmlns="http://www.w3.org/2000/svg"`, ""))
}

// Every link leads to a place of the page that is there once: a lot to its donor, a donor to its
// lots.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	text := page(t, exchange.Demo().Lots)
	links := regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(text, -1)
	require.NotEmpty(t, links)
	for _, l := range links {
		require.Equal(t, 1, strings.Count(text, `id="`+l[1]+`"`), l[1])
	}
	for _, l := range exchange.Demo().Lots {
		if l.Donor != "" {
			require.Contains(t, text, `<li><a href="#lot-`+strconv.FormatInt(l.ID, 10)+`">`)
		}
	}
}

// Nothing in the drawer, or nothing found, is a page too.
func TestPageWithoutLots(t *testing.T) {
	text := page(t, nil)
	require.Contains(t, text, "No lot.")
	require.NotContains(t, text, "<table")
}

// Every colour of a text stands against every ground it is on by 4.5 at least (WCAG 2.1, success
// criterion 1.4.3, contrast ratio as defined there), in both schemes.
func TestContrast(t *testing.T) {
	text := page(t, nil)
	schemes := regexp.MustCompile(`:root\{([^}]*)\}`).FindAllStringSubmatch(text, -1)
	require.Len(t, schemes, 2)
	for _, s := range schemes {
		colours := map[string]float64{}
		colour := regexp.MustCompile(`--(\w+):#([0-9a-f]{6})`)
		for _, m := range colour.FindAllStringSubmatch(s[1], -1) {
			colours[m[1]] = luminance(t, m[2])
		}
		require.Len(t, colours, 7)
		for _, ink := range []string{"text", "soft", "link", "low"} {
			for _, ground := range []string{"ground", "bar"} {
				a, b := colours[ink], colours[ground]
				require.GreaterOrEqual(t, (max(a, b)+0.05)/(min(a, b)+0.05), 4.5, "%s on %s",
					ink, ground)
			}
		}
	}
	require.NotRegexp(t, `[;{]color:(#|\w)`, strings.ReplaceAll(text, "color:var", ""),
		"texts take their colour from the schemes")
}

// luminance is the relative luminance of sRGB (WCAG 2.1).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(v) / 255
		if c <= 0.03928 {
			sum += weight * c / 12.92
		} else {
			sum += weight * math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return sum
}
