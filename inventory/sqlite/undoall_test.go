package sqlite

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
)

// whole is all that a reader of the drawer can see, as bytes: lots that are not empty, donors,
// set-asides.
func whole(t require.TestingT, path string) string {
	s, err := Open(ctx, path, ReadOnly)
	require.NoError(t, err)
	defer s.Close()
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	donors, err := s.Donors(ctx)
	require.NoError(t, err)
	asides, err := s.SetAsides(ctx, "")
	require.NoError(t, err)
	raw, err := json.Marshal([]any{fmt.Sprintf("%#v", snapshot), donors, asides})
	require.NoError(t, err)
	return string(raw)
}

// changer plays a builder who does anything a command can do to a drawer.
type changer struct {
	t    *rapid.T
	dir  string
	path string
	n    int
}

func (c *changer) with(work func(*Store) error) error {
	s, err := Open(ctx, c.path, ReadWrite)
	require.NoError(c.t, err)
	defer s.Close()
	_, err = s.file.DB.Exec("PRAGMA synchronous = OFF")
	require.NoError(c.t, err)
	return work(s)
}

func (c *changer) lot() inventory.Lot {
	l := lot(resistor(float64(rapid.SampledFrom([]int{10, 22, 47}).Draw(c.t, "ohm"))), 3)
	if rapid.Bool().Draw(c.t, "wire") {
		l = lot(wire(), 2.5)
	}
	l.Donor = rapid.SampledFrom([]string{"", "brick", "board"}).Draw(c.t, "donor")
	if rapid.Bool().Draw(c.t, "read") && l.Unit() == inventory.Pieces {
		l.Measured = []inventory.Measurement{
			{Field: "power", Value: 0.25, Error: 0.1, Text: "0.25"}}
	}
	return l
}

// change does one thing; an error means that it was refused, which is no concern of this test.
func (c *changer) change() {
	t := c.t
	c.n++
	text := func(what string) *string {
		s := rapid.SampledFrom([]string{"", "x", "y", "=1+1"}).Draw(t, what)
		return &s
	}
	id := int64(rapid.IntRange(1, 6).Draw(t, "lot"))
	purpose := rapid.SampledFrom([]string{"p", "q"}).Draw(t, "purpose")
	donor := rapid.SampledFrom([]string{"brick", "board", "third"}).Draw(t, "donor")
	kind := rapid.SampledFrom([]string{"put", "put", "take", "edit", "words", "measure", "donor",
		"rename", "describe", "reserve", "reserve",
		"release", "consume", "import", "replace", "together", "restore"}).Draw(t, "kind")
	if kind == "restore" {
		c.restore()
		return
	}
	_ = c.with(func(s *Store) (err error) {
		switch kind {
		case "put":
			_, err = s.Put(ctx, []inventory.Lot{c.lot(),
				c.lot()}[:rapid.IntRange(1, 2).Draw(t, "lots")], "put", noon)
		case "take":
			_, err = s.Take(ctx, id, 1, "take", noon)
		case "edit":
			tested := inventory.New
			_, err = s.Edit(ctx, id, Change{Bin: text("bin"), Note: text("note"),
				Condition: &tested}, noon)
		case "words":
			other := resistor(float64(rapid.SampledFrom([]int{10, 22, 33}).Draw(t, "other")))
			_, err = s.Edit(ctx, id, Change{Bin: text("bin"), Part: other}, noon)
		case "measure":
			_, err = s.Measure(ctx, id, inventory.Measurement{Field: "resistance",
				Value: 10 + float64(c.n)/3, Error: 0.01, Text: "r"}, noon)
		case "donor":
			_, _, err = s.EditDonor(ctx, donor,
				DonorChange{State: text("state"), Plate: text("plate")}, noon)
		case "rename":
			to := rapid.SampledFrom([]string{"brick", "board", "fourth"}).Draw(t, "to")
			_, _, err = s.EditDonor(ctx, donor, DonorChange{Name: &to}, noon)
		case "describe":
			err = s.DescribeDonor(ctx, inventory.Donor{Name: donor, Note: *text("note")}, noon)
		case "reserve":
			err = s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 1}, {Lot: 1, Count: 1}}, purpose,
				noon)
		case "release":
			_, err = s.Release(ctx, purpose, noon)
		case "consume":
			_, err = s.Consume(ctx, purpose, noon)
		case "import", "replace":
			_, err = s.ImportWithDonors(ctx, []inventory.Lot{c.lot(), c.lot()},
				[]inventory.Donor{{Name: donor, Was: *text("was")}},
				kind == "replace", noon)
		case "together":
			err = s.Together(ctx, "change", "several", noon, func(s *Store) error {
				if _, err := s.Edit(ctx, id, Change{Bin: text("bin")}, noon); err != nil {
					return err
				}
				_, err := s.Measure(ctx, id,
					inventory.Measurement{Field: "power", Value: float64(c.n), Error: 0.01,
						Text: "p"}, noon)
				return err
			})
		}
		return err
	})
}

// restore brings back a backup that was made a few changes before, or makes one.
func (c *changer) restore() {
	copied := filepath.Join(c.dir, "copy.db")
	if _, err := os.Stat(copied); err != nil {
		s, err := Open(ctx, c.path, ReadOnly)
		require.NoError(c.t, err)
		defer s.Close()
		_, err = s.Backup(ctx, copied, false, noon)
		require.NoError(c.t, err)
		return
	}
	_, err := Restore(ctx, copied, c.path, noon)
	require.NoError(c.t, err)
}

// turn takes the last change back, or makes it again, as the commands do.
func (c *changer) turn(step func(*Store) ([]Undone, error), restore func() (Restored, error)) {
	var first inventory.RestoreFirst
	err := c.with(func(s *Store) error { _, err := step(s); return err })
	if errors.As(err, &first) {
		_, err = restore()
	}
	require.NoError(c.t, err)
}

// undo is one step of the command.
func (c *changer) undo() {
	c.turn(func(s *Store) ([]Undone, error) { return s.Undo(ctx, 1, noon) },
		func() (Restored, error) { return UndoRestore(ctx, c.path, noon) })
}

// redo is one step of the command.
func (c *changer) redo() {
	c.turn(func(s *Store) ([]Undone, error) { return s.Redo(ctx, 1, noon) },
		func() (Restored, error) { return RedoRestore(ctx, c.path, noon) })
}

// undoTo and redoTo go on until the drawer looks otherwise, since some changes cannot be seen from
// outside, such as a restore of what is there; then it must look as wanted.
func (c *changer) undoTo(want, now string) { c.stepTo(c.undo, want, now) }
func (c *changer) redoTo(want, now string) { c.stepTo(c.redo, want, now) }

func (c *changer) stepTo(step func(), want, now string) {
	for range 50 {
		step()
		if got := whole(c.t, c.path); got != now {
			require.Equal(c.t, want, got)
			return
		}
	}
	require.Fail(c.t, "no step changes anything")
}

// Whatever was done to the drawer, undo after undo shows it as it was before every single change,
// the last one first, to the byte; redo after redo shows it forward again; and so once more. What
// is done after an undo cuts off what was taken back.
func TestUndoAndRedoOfEverything(t *testing.T) {
	root := t.TempDir()
	run := 0
	rapid.Check(t, func(t *rapid.T) {
		run++
		c := &changer{t: t, dir: filepath.Join(root, fmt.Sprint(run))}
		defer os.RemoveAll(c.dir)
		c.path = filepath.Join(c.dir, "drawers.db")
		s, err := Create(ctx, c.path)
		require.NoError(t, err)
		require.NoError(t, s.Close())
		states := []string{whole(t, c.path)}
		sofar := func() {
			if now := whole(t, c.path); now != states[len(states)-1] {
				states = append(states, now)
			}
		}
		for range rapid.IntRange(1, 10).Draw(t, "changes") {
			c.change()
			sofar()
		}
		for i := len(states) - 2; i >= 0; i-- {
			c.undoTo(states[i], states[i+1])
		}
		for i := 1; i < len(states); i++ {
			c.redoTo(states[i], states[i-1])
		}
		back := rapid.IntRange(0, len(states)-1).Draw(t, "back")
		for i := len(states) - 2; i >= len(states)-1-back; i-- {
			c.undoTo(states[i], states[i+1])
		}
		states = states[:len(states)-back]
		for range 3 {
			c.change()
			sofar()
		}
		for i := len(states) - 2; i >= 0; i-- {
			c.undoTo(states[i], states[i+1])
		}
		r, err := Examine(ctx, c.path)
		require.NoError(t, err)
		require.Empty(t, r.Problems)
	})
}
