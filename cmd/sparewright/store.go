package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/urfave/cli/v2"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// snapshot reads the drawer this call is about: the built-in one with --demo, else the drawer file,
// which stays as it is.
func (env *environment) snapshot(c *cli.Context) (inventory.Snapshot, error) {
	builtIn, err := demo(c)
	if err != nil {
		return inventory.Snapshot{}, err
	}
	if builtIn {
		return exchange.Demo(), nil
	}
	var snapshot inventory.Snapshot
	err = env.reading(c, func(s *sqlite.Store) error {
		snapshot, err = s.Snapshot(env.ctx)
		return err
	})
	return snapshot, err
}

// drawer reads lots and donors of the drawer this call is about.
func (env *environment) drawer(c *cli.Context) (exchange.Drawer, error) {
	builtIn, err := demo(c)
	if err != nil {
		return exchange.Drawer{}, err
	}
	if builtIn {
		return exchange.Drawer{Lots: exchange.Demo().Lots, Donors: exchange.DemoDonors()}, nil
	}
	var d exchange.Drawer
	err = env.reading(c, func(s *sqlite.Store) error {
		snapshot, err := s.Snapshot(env.ctx)
		if err != nil {
			return err
		}
		d.Lots = snapshot.Lots
		d.Donors, err = s.Donors(env.ctx)
		return err
	})
	return d, err
}

// reading opens the drawer file for work that changes nothing.
func (env *environment) reading(c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := env.drawersPath(c)
	if err != nil {
		return err
	}
	s, err := sqlite.Open(env.ctx, path, sqlite.ReadOnly)
	return closing(s, err, work)
}

// changing opens the drawer file for work that changes it.
func (env *environment) changing(c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := env.drawersPath(c)
	if err != nil {
		return err
	}
	defer env.holdOn()()
	s, err := sqlite.Open(env.ctx, path, sqlite.ReadWrite)
	return closing(s, err, env.booking(work))
}

// booking runs work that changes the drawer and notes what it booked.
func (env *environment) booking(work func(*sqlite.Store) error) func(*sqlite.Store) error {
	return func(s *sqlite.Store) error {
		err := work(s)
		if n := s.Booked(); n > 0 {
			env.stands(fmt.Sprintf("the change (batch %d)", n), undoHint)
		}
		return err
	}
}

// filling opens the drawer file for work that puts something in, makes it when missing and says so.
func (env *environment) filling(c *cli.Context, work func(*sqlite.Store) error) error {
	path, err := env.drawersPath(c)
	if err != nil {
		return err
	}
	defer env.holdOn()()
	s, err := sqlite.Create(env.ctx, path)
	return closing(s, err, func(s *sqlite.Store) error {
		err := env.booking(work)(s)
		switch {
		case !s.Created():
		case err != nil && s.Booked() == 0:
			return errors.Join(err, s.Discard())
		default:
			env.note("created the drawer file %s", s.Path())
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

// lotNumber reads the number of a lot as list shows it.
func lotNumber(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 || n > math.MaxInt32 || text[0] == '+' {
		return 0, wrongCall("lot", text, "not the number of a lot").try("sparewright list")
	}
	return n, nil
}

// counted writes a count with its unit where that is not pieces.
func counted(n float64, unit inventory.Unit) string {
	if unit == inventory.Metres {
		return inventory.FormatCount(n) + " m"
	}
	return inventory.FormatCount(n)
}

// sameDrawers returns the option that makes a suggested command work on the drawer file of this
// call.
func sameDrawers(c *cli.Context) string {
	if !c.IsSet("drawers") {
		return ""
	}
	return " --drawers " + shellWord(c.String("drawers"))
}
