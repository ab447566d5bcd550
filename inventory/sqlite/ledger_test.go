package sqlite

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
)

// bench is a drawer and what a builder keeping tally by hand would have written down, in
// thousandths so that the tally is exact.
type bench struct {
	s     *Store
	ids   []int64
	unit  map[int64]inventory.Unit
	count map[int64]int64
	held  map[string]map[int64]int64
}

func (b *bench) setAside(id int64) (n int64) {
	for _, lots := range b.held {
		n += lots[id]
	}
	return n
}

// amount draws something sensible or too much.
func (b *bench) amount(t *rapid.T, id int64) int64 {
	if b.unit[id] == inventory.Metres {
		return int64(rapid.IntRange(1, 9000).Draw(t, "millimetres"))
	}
	return 1000 * int64(rapid.IntRange(1, 9).Draw(t, "pieces"))
}

func (b *bench) lot(t *rapid.T) int64 { return rapid.SampledFrom(b.ids).Draw(t, "lot") }

func (b *bench) put(t *rapid.T) {
	id := b.lot(t)
	n := b.amount(t, id)
	l, err := b.s.Lot(ctx, id)
	require.NoError(t, err)
	l.Count = float64(n) / 1000
	ids, err := b.s.Put(ctx, []inventory.Lot{l}, "found", noon)
	require.NoError(t, err)
	require.Equal(t, []int64{id}, ids)
	b.count[id] += n
}

// asked requires an Overdraw exactly when the tally says so.
func (b *bench) asked(t *rapid.T, id, n int64, err error) (granted bool) {
	if n > b.count[id]-b.setAside(id) {
		var over inventory.Overdraw
		require.ErrorAs(t, err, &over)
		return false
	}
	require.NoError(t, err)
	return true
}

func (b *bench) take(t *rapid.T) {
	id := b.lot(t)
	n := b.amount(t, id)
	_, err := b.s.Take(ctx, id, float64(n)/1000, "used", noon)
	if b.asked(t, id, n, err) {
		b.count[id] -= n
	}
}

func (b *bench) reserve(t *rapid.T) {
	id := b.lot(t)
	n := b.amount(t, id)
	purpose := rapid.SampledFrom([]string{"p", "q"}).Draw(t, "purpose")
	err := b.s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: float64(n) / 1000}}, purpose, noon)
	if b.asked(t, id, n, err) {
		if b.held[purpose] == nil {
			b.held[purpose] = map[int64]int64{}
		}
		b.held[purpose][id] += n
	}
}

func (b *bench) settle(t *rapid.T, consume bool) {
	purpose := rapid.SampledFrom([]string{"p", "q"}).Draw(t, "purpose")
	var err error
	if consume {
		_, err = b.s.Consume(ctx, purpose, noon)
	} else {
		_, err = b.s.Release(ctx, purpose, noon)
	}
	if len(b.held[purpose]) == 0 {
		require.ErrorIs(t, err, inventory.ErrNoPurpose)
		return
	}
	require.NoError(t, err)
	for id, n := range b.held[purpose] {
		if consume {
			b.count[id] -= n
		}
	}
	delete(b.held, purpose)
}

// agree holds the drawer against the tally: counts, ledger sums, set-asides, nothing negative.
func (b *bench) agree(t *rapid.T) {
	var rows []struct {
		ID     int64   `db:"id"`
		Count  float64 `db:"count"`
		Ledger float64 `db:"ledger"`
		Held   float64 `db:"held"`
	}
	require.NoError(t, b.s.file.DB.Select(&rows, `
SELECT id, count, (SELECT sum(delta) FROM movement WHERE lot = lot.id) AS ledger,
       coalesce((SELECT sum(count) FROM set_aside WHERE lot = lot.id), 0) AS held
FROM lot ORDER BY id`))
	require.Len(t, rows, len(b.ids))
	for _, r := range rows {
		require.Equal(t, float64(b.count[r.ID])/1000, r.Count)
		require.Equal(t, r.Count, inventory.RoundCount(r.Ledger))
		require.Equal(t, float64(b.setAside(r.ID))/1000, inventory.RoundCount(r.Held))
		require.GreaterOrEqual(t, r.Count, inventory.RoundCount(r.Held))
	}
}

// close looks at the drawer through its own methods.
func (b *bench) close(t *rapid.T) {
	for _, id := range b.ids {
		l, err := b.s.Lot(ctx, id)
		require.NoError(t, err)
		require.Equal(t, float64(b.count[id])/1000, l.Count)
		require.Equal(t, float64(b.setAside(id))/1000, l.SetAside)
	}
	r, err := b.s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	require.NoError(t, b.s.Close())
}

func TestLedgerKeepsTheTally(t *testing.T) {
	dir := t.TempDir()
	run, operations := 0, 0
	steps := flag.Lookup("rapid.steps")
	usual := steps.Value.String()
	require.NoError(t, steps.Value.Set("120")) // on average, in each of 100 drawers
	defer func() { require.NoError(t, steps.Value.Set(usual)) }()
	counted := func(work func(*rapid.T)) func(*rapid.T) {
		return func(t *rapid.T) {
			operations++
			work(t)
		}
	}
	keepsTheTally := func(t *rapid.T) {
		run++
		path := filepath.Join(dir, fmt.Sprintf("%d.db", run))
		s, err := Create(ctx, path)
		require.NoError(t, err)
		defer os.Remove(path)
		// thousands of commits; what is tested here is arithmetic
		_, err = s.file.DB.Exec("PRAGMA synchronous = OFF")
		require.NoError(t, err)
		first := []inventory.Lot{lot(resistor(10), 5), lot(resistor(22), 1), lot(wire(), 12.345)}
		ids, err := s.Put(ctx, first, "found", noon)
		require.NoError(t, err)
		b := &bench{s: s, ids: ids, unit: map[int64]inventory.Unit{}, count: map[int64]int64{},
			held: map[string]map[int64]int64{}}
		for i, id := range ids {
			b.unit[id], b.count[id] = first[i].Unit(), []int64{5000, 1000, 12345}[i]
		}
		t.Repeat(map[string]func(*rapid.T){
			"put": counted(b.put), "take": counted(b.take),
			"reserve": counted(b.reserve), "": b.agree,
			"release": counted(func(t *rapid.T) { b.settle(t, false) }),
			"consume": counted(func(t *rapid.T) { b.settle(t, true) }),
		})
		b.close(t)
	}
	for operations < 10_000 {
		rapid.Check(t, keepsTheTally)
	}
	t.Logf("CASES %s: %d operations in %d drawers", t.Name(), operations, run)
}

func TestTwoWritersLoseNothing(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 100))[0]
	var wg sync.WaitGroup
	failures := make(chan error, 200)
	for range 2 {
		wg.Go(func() {
			own, err := Open(ctx, s.file.Path, ReadWrite)
			if err != nil {
				failures <- err
				return
			}
			defer own.Close()
			for range 50 {
				if _, err := own.Take(ctx, id, 1, "used", noon); err != nil {
					failures <- err
				}
			}
		})
	}
	wg.Wait()
	close(failures)
	for err := range failures {
		require.NoError(t, err)
	}
	got, err := s.Lot(ctx, id)
	require.NoError(t, err)
	require.Zero(t, got.Count)
	moves, err := s.Movements(ctx, id)
	require.NoError(t, err)
	require.Len(t, moves, 101)
	batches := map[int64]bool{}
	for _, m := range moves {
		batches[m.Batch] = true
	}
	require.Len(t, batches, 101, "each transaction has its own number")
	sound(t, s)
}
