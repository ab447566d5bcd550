package main

import (
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/shop"
)

// The tests of the commands ask the same few questions of the same drawer hundreds of times; what
// is asked in this process is searched once. Sessions of README and of testdata/script run the real
// program and search every time.
func init() {
	searches, shopping = kept(advise.Advise), keptShopping(shop.Shop)
}

// kept remembers answers by what was asked, to the last figure of the drawer. Where all builds are
// known with what cures refusals, fewer of them are the first of these: TestFewerBuildsAreTheFirst
// holds the search to it.
func kept(search searching) searching {
	var mu sync.Mutex
	known := map[string]substitute.Result{}
	return func(t substitute.Target, s inventory.Snapshot, o advise.Options) substitute.Result {
		drawer := fmt.Sprintf("%+v", s)
		all := advise.Options{Builds: mostBuilds, Buy: true}
		mu.Lock()
		defer mu.Unlock()
		if answer, ok := known[question(t, all)+drawer]; ok && cutsDown(o) &&
			anyFromDrawer(answer) {
			answer.Builds = slices.Clone(answer.Builds[:min(len(answer.Builds), asked(o))])
			answer.Refused = slices.Clone(answer.Refused)
			return answer
		}
		key := question(t, o) + drawer
		answer, ok := known[key]
		if !ok {
			answer = search(t, s, o)
			known[key] = answer
		}
		return answer
	}
}

// cutsDown reports that a question differs from that for all builds and cures only in how many
// builds are wanted, or leaves refusals and purchases out.
func cutsDown(o advise.Options) bool {
	return o.Refused == 0 && !o.Single && o.Held.Primary == 0 &&
		(o.Quiet && o.Drawer || o.Buy && !o.Drawer && o.Builds != 1)
}

// asked is how many builds a question wants.
func asked(o advise.Options) int {
	if o.Builds == 0 {
		return 20
	}
	return o.Builds
}

func question(of ...any) string {
	text, err := json.Marshal(of)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// keptShopping remembers shopping lists.
func keptShopping(shops func(substitute.Target, inventory.Snapshot,
	shop.ShopOptions) shop.Purchase) func(
	substitute.Target, inventory.Snapshot, shop.ShopOptions) shop.Purchase {
	var mu sync.Mutex
	known := map[string]shop.Purchase{}
	return func(t substitute.Target, s inventory.Snapshot, o shop.ShopOptions) shop.Purchase {
		key := question(t, o) + fmt.Sprintf("%+v", s)
		mu.Lock()
		defer mu.Unlock()
		list, ok := known[key]
		if !ok {
			list = shops(t, s, o)
			known[key] = list
		}
		return list
	}
}

// The first builds that are found when a few are wanted, and nothing else, are the first of all.
// These searches are not kept.
func TestFewerBuildsAreTheFirst(t *testing.T) {
	for _, row := range []substitute.Target{target(t, "li-ion", 8, 0.5), target(t, "lifepo4", 4, 1),
		target(t, "li-ion", 6, 1)} {
		t.Run(row.Name, func(t *testing.T) {
			all := advise.Advise(row, exchange.Demo(), advise.Options{Builds: mostBuilds})
			require.True(t, anyFromDrawer(all))
			for _, few := range []int{1, 3} {
				some := advise.Advise(row, exchange.Demo(),
					advise.Options{Builds: few, Drawer: true, Quiet: true})
				require.Equal(t, question(all.Builds[:min(few, len(all.Builds))]),
					question(some.Builds))
			}
		})
	}
}
