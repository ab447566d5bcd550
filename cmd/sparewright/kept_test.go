package main

import (
	"encoding/json"
	"fmt"
	"sync"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// The tests of the commands ask the same few questions of the same drawer hundreds of times; what
// is asked in this process is searched once. Sessions of README and of testdata/script run the real
// program and search every time.
func init() { searches = kept(advise.Advise) }

// kept remembers answers by what was asked, to the last figure of the drawer.
func kept(search searching) searching {
	var mu sync.Mutex
	known := map[string]substitute.Result{}
	return func(t substitute.Target, s inventory.Snapshot, o advise.Options) substitute.Result {
		question, err := json.Marshal([]any{t, o})
		if err != nil {
			return search(t, s, o)
		}
		key := string(question) + fmt.Sprintf("%+v", s)
		mu.Lock()
		defer mu.Unlock()
		answer, ok := known[key]
		if !ok {
			answer = search(t, s, o)
			known[key] = answer
		}
		return answer
	}
}
