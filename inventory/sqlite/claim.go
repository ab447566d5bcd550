package sqlite

import (
	"context"
	"strings"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// Claim sets aside what builds take, all of them or nothing. seen is the drawer the builds were
// worked out from: a lot that is not what it was then is a Changed, one that has too little left by
// now an Overdraw. A purpose that is in use already is a PurposeTaken, so that the same build is
// not set aside twice by a slip.
func (s *Store) Claim(ctx context.Context, claims []inventory.Claim, seen inventory.Snapshot,
	now time.Time) error {
	for _, c := range claims {
		if err := checkPurpose(c.Purpose); err != nil {
			return err
		}
	}
	return s.recorded(ctx, kindReserve, purposes(claims), now, func(tx *sqlx.Tx, _ batch) error {
		for _, c := range claims {
			held, err := s.loadSetAsides(ctx, tx, c.Purpose)
			if err != nil {
				return err
			}
			if len(held) > 0 {
				return inventory.PurposeTaken{Purpose: c.Purpose}
			}
			if err := s.unchanged(ctx, tx, c.Draws, seen); err != nil {
				return err
			}
			if err := s.setAside(ctx, tx, c.Draws, c.Purpose, now); err != nil {
				return err
			}
			if err := noteTarget(ctx, tx, c, now); err != nil {
				return err
			}
		}
		return nil
	})
}

// noteTarget keeps the charger of a claim beside it.
func noteTarget(ctx context.Context, tx *sqlx.Tx, c inventory.Claim, now time.Time) error {
	if c.Target == "" {
		return nil
	}
	_, err := tx.ExecContext(ctx,
		"INSERT OR REPLACE INTO aside_target (purpose, at, target) VALUES (?, ?, ?)",
		c.Purpose, writeTime(now), c.Target)
	return err
}

// TargetOf is what Claim was told of the charger that parts are set aside for, "" when it was told
// nothing. Nothing set aside under that name is a NoPurpose.
func (s *Store) TargetOf(ctx context.Context, purpose string) (target string, err error) {
	err = s.within(ctx, func(tx *sqlx.Tx) error {
		held, err := s.loadSetAsides(ctx, tx, purpose)
		if err != nil {
			return err
		}
		if len(held) == 0 {
			return inventory.NoPurpose{Purpose: purpose}
		}
		return tx.GetContext(ctx, &target, `
SELECT coalesce((SELECT target FROM aside_target WHERE purpose = ?1 AND at = (
	SELECT at FROM set_aside WHERE purpose = ?1 ORDER BY id LIMIT 1)), '')`, purpose)
	})
	return target, err
}

// purposes names what claims are for, as far as a reason has place for it.
func purposes(claims []inventory.Claim) string {
	var names []string
	for _, c := range claims {
		names = append(names, c.Purpose)
	}
	return inOneName(strings.Join(names, ", "))
}

// unchanged holds the lots of the draws against what was seen of them: part, place, condition and
// readings.
func (s *Store) unchanged(ctx context.Context, tx *sqlx.Tx, draws []inventory.Draw,
	seen inventory.Snapshot) error {
	for _, d := range draws {
		now, err := s.loadLot(ctx, tx, d.Lot)
		if err != nil {
			return err
		}
		then, ok := seen.Lot(d.Lot)
		if !ok || then.Identity() != now.Identity() {
			return inventory.Changed{Lot: d.Lot}
		}
	}
	return nil
}
