// Package inventory says what the builder has: lots of parts in drawers, the donors they came from,
// what was measured on them and what is set aside. It knows neither the database nor the terminal.
package inventory

import (
	"time"

	"sparewright/catalog"
)

// Unit is what a lot is counted in.
type Unit string

// Pieces for everything, metres for wire and tape.
const (
	Pieces Unit = "piece"
	Metres Unit = "metre"
)

// UnitOf returns the unit a part is counted in: wire and tape in metres, all else in pieces.
func UnitOf(p catalog.Part) Unit {
	switch v := p.(type) {
	case catalog.Wire:
		return Metres
	case catalog.Film:
		if v.Form == "tape" {
			return Metres
		}
	}
	return Pieces
}

// Condition is the state a lot is in.
type Condition string

// New, taken from a donor and tested, taken and untested, or damaged but kept. Damaged parts never
// enter a build.
const (
	New      Condition = "new"
	Tested   Condition = "tested"
	Untested Condition = "untested"
	Damaged  Condition = "damaged"
)

// Measurement is one figure of the part read on the bench. It takes the place of the printed figure
// of the same name.
type Measurement struct {
	Field string  // name of the figure as in catalog, such as "resistance"
	Value float64 // in the SI base unit of that figure
	Error float64 // relative error of the meter, 0.01 = 1 %
	Text  string  // as typed
}

// Lot is a number of equal parts in one place. Lots are values; a Snapshot never changes after it
// is read.
type Lot struct {
	ID        int64
	Part      catalog.Part
	Count     float64 // pieces or metres in the drawer
	SetAside  float64 // of which set aside for builds
	Bin       string
	Donor     string
	Condition Condition
	Measured  []Measurement
	Note      string
}

// Available is what is in the drawer less what is set aside.
func (l Lot) Available() float64 { return l.Count - l.SetAside }

// Unit is what this lot is counted in.
func (l Lot) Unit() Unit { return UnitOf(l.Part) }

// Snapshot is the drawer at one moment, lots in ascending ID. The engine reads nothing else.
type Snapshot struct {
	Lots []Lot
}

// Movement is one entry of the append-only ledger: what came in or went out of a lot, why and when.
type Movement struct {
	ID     int64
	Lot    int64
	Delta  float64
	Reason string
	When   time.Time
	Batch  int64 // movements written together share a number
	Undoes int64 // the earlier batch this movement takes back, 0 for none
	Undone bool  // whether a later batch took it back
}

// SetAside is a number of parts held back from a lot for a purpose named by its owner.
type SetAside struct {
	ID      int64
	Lot     int64
	Count   float64
	Purpose string
	When    time.Time
}
