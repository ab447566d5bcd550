package sqlite

import (
	"context"
	"errors"
	"slices"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// Imported counts what an import did, or would do, to the lots of the drawer.
type Imported struct {
	Added     int // new lots
	Changed   int // lots that got another count
	Unchanged int // lots that had the count already (with replace only)
	Emptied   int // lots that are not in the file (with replace only)
	Donors    int // donors that were not known, or otherwise
}

// ImportWithDonors is Import that notes what is known of donors in the same transaction, in place
// of what was noted of them before. Donors that are not listed stay as they are, also with replace.
func (s *Store) ImportWithDonors(ctx context.Context, lots []inventory.Lot,
	donors []inventory.Donor, replace bool,
	now time.Time) (Imported, error) {
	if err := validImport(lots, donors); err != nil {
		return Imported{}, err
	}
	var done Imported
	err := s.recorded(ctx, kindImport, "import", now, func(tx *sqlx.Tx, b batch) error {
		p, err := s.plan(ctx, tx, lots, donors, replace)
		if err != nil {
			return err
		}
		done = p.tally
		return p.carryOut(ctx, b)
	})
	if err != nil {
		return Imported{}, err
	}
	return done, nil
}

// PreviewWithDonors tells what ImportWithDonors would do.
func (s *Store) PreviewWithDonors(ctx context.Context, lots []inventory.Lot,
	donors []inventory.Donor,
	replace bool) (Imported, error) {
	if err := validImport(lots, donors); err != nil {
		return Imported{}, err
	}
	var would Imported
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		p, err := s.plan(ctx, tx, lots, donors, replace)
		would = p.tally
		return err
	})
	if err != nil {
		return Imported{}, err
	}
	return would, nil
}

// importPlan is what an import comes to: lots to put, and new counts for lots already there.
type importPlan struct {
	shelf  shelf
	puts   []inventory.Lot
	counts []recount
	donors []inventory.Donor // those to be written
	tally  Imported
}

type recount struct {
	lot   inventory.Lot
	count float64
}

func (s *Store) plan(ctx context.Context, tx *sqlx.Tx, lots []inventory.Lot,
	donors []inventory.Donor,
	replace bool) (importPlan, error) {
	sh, err := s.loadShelf(ctx, tx, everything())
	if err != nil {
		return importPlan{}, err
	}
	p := importPlan{shelf: sh}
	if err := p.compareDonors(ctx, tx, donors); err != nil {
		return importPlan{}, err
	}
	listed := inventory.Coalesce(lots)
	if !replace {
		p.add(listed)
		return p, nil
	}
	err = p.replace(listed)
	return p, err
}

// validImport checks everything handed in before anything is done.
func validImport(lots []inventory.Lot, donors []inventory.Donor) error {
	faults := []error{validAll(lots)}
	for _, d := range donors {
		faults = append(faults, d.Validate())
	}
	return errors.Join(faults...)
}

// compareDonors finds the donors that are new or known otherwise.
func (p *importPlan) compareDonors(ctx context.Context, tx *sqlx.Tx,
	listed []inventory.Donor) error {
	if len(listed) == 0 {
		return nil
	}
	known, err := loadDonors(ctx, tx)
	if err != nil {
		return err
	}
	for _, d := range listed {
		if !slices.Contains(known, d.Tidy()) {
			p.donors = append(p.donors, d.Tidy())
		}
	}
	p.tally.Donors = len(p.donors)
	return nil
}

func (p *importPlan) add(listed []inventory.Lot) {
	p.puts = listed
	for _, l := range listed {
		if _, known := p.shelf.lots[l.Identity()]; known {
			p.tally.Changed++
		} else {
			p.tally.Added++
		}
	}
}

// replace compares the list with every lot in the drawer. Of several equal lots in the drawer the
// oldest takes the count.
func (p *importPlan) replace(listed []inventory.Lot) error {
	wanted := make(map[int64]float64, len(listed))
	for _, l := range listed {
		if known, ok := p.shelf.lots[l.Identity()]; ok {
			wanted[known.ID] = inventory.RoundCount(l.Count)
		} else {
			p.puts = append(p.puts, l)
			p.tally.Added++
		}
	}
	for _, l := range p.shelf.all {
		count := wanted[l.ID]
		switch {
		case count < l.SetAside:
			return inventory.Overdraw{Lot: l.ID, Asked: inventory.RoundCount(l.Count - count),
				Available: inventory.RoundCount(l.Available()), SetAside: l.SetAside,
				Unit: l.Unit()}
		case count == l.Count && count > 0:
			p.tally.Unchanged++
		case count == l.Count: // empty before and after
		case count == 0:
			p.tally.Emptied++
			p.counts = append(p.counts, recount{l, 0})
		default:
			p.tally.Changed++
			p.counts = append(p.counts, recount{l, count})
		}
	}
	return nil
}

func (p *importPlan) carryOut(ctx context.Context, b batch) error {
	for _, c := range p.counts {
		if err := b.move(ctx, c.lot.ID, inventory.RoundCount(c.count-c.lot.Count),
			c.count); err != nil {
			return err
		}
	}
	for _, l := range p.puts {
		if _, err := p.shelf.put(ctx, b, l); err != nil {
			return err
		}
	}
	for _, d := range p.donors { // behind the lots, which may name them
		if err := writeDonor(ctx, b.tx, d); err != nil {
			return err
		}
	}
	return nil
}
