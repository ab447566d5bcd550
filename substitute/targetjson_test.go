package substitute_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/shop"
)

// readBack writes a target as JSON and reads it.
func readBack(t require.TestingT, target substitute.Target) (back substitute.Target) {
	text, err := json.Marshal(target)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &back))
	return back
}

// A target is all in its JSON: read back it gets the very same answer, whatever the answer is.
func TestTargetReadBackAnswersTheSame(t *testing.T) {
	drawn(t, 4)
	bench := advise.NewWorkbench(exchange.Demo())
	asked := advise.Options{Builds: 5, Refused: 5, Drawer: true}
	rapid.Check(t, func(r *rapid.T) {
		target := anyTarget(r, 20)
		back := readBack(r, target)
		require.Equal(r, target, back)
		require.Equal(r, bench.Advise(target, asked), bench.Advise(back, asked))
	})
}

// Nickel cells are refused as nickel cells and lithium as nothing of the kind, read back or not;
// and no target is answered whose voltages are not those of its pack: with a set voltage changed by
// hand it could overcharge.
func TestOnlyThePackDecidesWhatATargetHolds(t *testing.T) {
	bench := advise.NewWorkbench(exchange.Demo())
	ask := func(target substitute.Target) substitute.Result {
		return bench.Advise(target, advise.Options{Builds: 1, Drawer: true})
	}
	target := func(chemistry string) substitute.Target {
		out, err := substitute.Target{Chemistry: chemistry, Cells: 4, Current: 1, MainsMin: 195,
			MainsMax: 265, Line: 50,
			Case: substitute.Sealed, Ambient: 35}.Resolve(0)
		require.NoError(t, err)
		require.Equal(t, chemistry, out.Chemistry)
		return out
	}
	for _, chemistry := range []string{"nimh", "nicd"} {
		got := ask(readBack(t, target(chemistry)))
		require.Empty(t, got.Builds)
		require.Contains(t, got.Refused[0].Why, "nickel")
		require.Contains(t, got.Cautions[len(got.Cautions)-2], "Nickel", chemistry)
	}
	pack := target("li-ion")
	require.NotEmpty(t, ask(pack).Builds)
	for name, damage := range map[string]func(*substitute.Target){
		"set higher":     func(x *substitute.Target) { x.Set += 0.1 },
		"another limit":  func(x *substitute.Target) { x.Absolute += 0.1 },
		"wider band":     func(x *substitute.Target) { x.BandHigh += 0.1 },
		"one cell less":  func(x *substitute.Target) { x.Cells-- },
		"never resolved": func(x *substitute.Target) { x.Set, x.Absolute = 0, 0 },
		"no number":      func(x *substitute.Target) { x.Set = si.Voltage(math.NaN()) },
		"unknown":        func(x *substitute.Target) { x.Chemistry = "potato" },
	} {
		bad := pack
		damage(&bad)
		got := ask(bad)
		require.Empty(t, got.Builds, name)
		require.Equal(t, "chemistry", got.Refused[0].Check, name)
		require.NotContains(t, got.Refused[0].Why, "nickel", name)
		require.Empty(t, shop.Shop(bad, exchange.Demo(), shop.ShopOptions{}).Buy, name)
	}
}
