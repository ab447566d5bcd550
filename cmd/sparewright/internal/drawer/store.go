package drawer

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// Snapshot reads the drawer this call is about: the built-in one with --demo, else the drawer file,
// which stays as it is.
func Snapshot(env *frame.Environment, c *cli.Context) (inventory.Snapshot, error) {
	builtIn, err := Demo(c)
	if err != nil {
		return inventory.Snapshot{}, err
	}
	if builtIn {
		return exchange.Demo(), nil
	}
	var snapshot inventory.Snapshot
	err = Reading(env, c, func(s *sqlite.Store) error {
		snapshot, err = s.Snapshot(env.Ctx)
		return err
	})
	return snapshot, err
}

// Contents reads lots and donors of the drawer this call is about.
func Contents(env *frame.Environment, c *cli.Context) (exchange.Drawer, error) {
	builtIn, err := Demo(c)
	if err != nil {
		return exchange.Drawer{}, err
	}
	if builtIn {
		return exchange.Drawer{Lots: exchange.Demo().Lots, Donors: exchange.DemoDonors()}, nil
	}
	var d exchange.Drawer
	err = Reading(env, c, func(s *sqlite.Store) error {
		snapshot, err := s.Snapshot(env.Ctx)
		if err != nil {
			return err
		}
		d.Lots = snapshot.Lots
		d.Donors, err = s.Donors(env.Ctx)
		return err
	})
	return d, err
}

// Reading opens the drawer file for work that changes nothing.
func Reading(env *frame.Environment, c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := DrawersPath(env, c)
	if err != nil {
		return err
	}
	s, err := sqlite.Open(env.Ctx, path, sqlite.ReadOnly)
	return closing(s, err, work)
}

// Changing opens the drawer file for work that changes it.
func Changing(env *frame.Environment, c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := DrawersPath(env, c)
	if err != nil {
		return err
	}
	defer env.HoldOn()()
	s, err := sqlite.Open(env.Ctx, path, sqlite.ReadWrite)
	return closing(s, err, booking(env, work))
}

// booking runs work that changes the drawer and notes what it booked.
func booking(env *frame.Environment, work func(*sqlite.Store) error) func(*sqlite.Store) error {
	return func(s *sqlite.Store) error {
		err := work(s)
		if n := s.Booked(); n > 0 {
			env.Stands(fmt.Sprintf("the change (batch %d)", n), frame.UndoHint)
		}
		return err
	}
}

// Filling opens the drawer file for work that puts something in, makes it when missing and says so.
func Filling(env *frame.Environment, c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := DrawersPath(env, c)
	if err != nil {
		return err
	}
	defer env.HoldOn()()
	s, err := sqlite.Create(env.Ctx, path)
	return closing(s, err, func(s *sqlite.Store) error {
		err := booking(env, work)(s)
		switch {
		case !s.Created():
		case err != nil && s.Booked() == 0:
			return errors.Join(err, s.Discard())
		default:
			env.Note("created the drawer file %s", s.Path())
		}
		return err
	})
}

// closing runs the work on an opened store and closes it; the first error counts.
func closing(s *sqlite.Store, err error, work func(*sqlite.Store) error) error {
	if err != nil {
		return err
	}
	err = work(s)
	if closeErr := s.Close(); err == nil {
		err = closeErr
	}
	return err
}

// LotNumber reads the number of a lot as list shows it, or the mark on its label.
func LotNumber(text string) (int64, error) {
	n, err := inventory.ReadMark(text)
	switch {
	case err == nil:
		return n, nil
	case errors.Is(err, inventory.ErrWrongMark):
		return 0, frame.WrongCall("lot", text, err.Error()+"; scan the label again, or give "+
			"the number of the lot alone").Try("sparewright list")
	}
	n, err = strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 || n > math.MaxInt32 || text[0] == '+' {
		return 0, frame.WrongCall("lot", text, "not the number of a lot").Try("sparewright list")
	}
	return n, nil
}

// Counted writes a count with its unit where that is not pieces.
func Counted(n float64, unit inventory.Unit) string {
	if unit == inventory.Metres {
		return inventory.FormatCount(n) + " m"
	}
	return inventory.FormatCount(n)
}

// SameDrawers returns the option that makes a suggested command work on the drawer file of this
// call.
func SameDrawers(c *cli.Context) string {
	if !c.IsSet("drawers") {
		return ""
	}
	return " --drawers " + frame.ShellWord(c.String("drawers"))
}
