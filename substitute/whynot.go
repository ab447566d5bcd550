package substitute

import "sparewright/catalog/si"

// NearMiss is the nearest design of a switcher and core that cannot be built, in full: all hard
// limits it breaks and every place for which the drawer holds nothing.
type NearMiss struct {
	Switcher string    `json:"switcher"`
	Core     string    `json:"core"`
	Failing  []Check   `json:"failing"`
	Empty    []PartUse `json:"empty"`
}

// Way is what kind of change a cure is.
type Way string

// The ways, the cheapest first: readings and changes of what is wanted cost nothing.
const (
	ByMeasuring Way = "measure"
	ByCase      Way = "case"
	ByBox       Way = "box"
	ByCurrent   Way = "current"
	ByBuying    Way = "buy"
)

// Cure is a change with which the answer is yes, found by asking again with it.
type Cure struct {
	Way     Way          `json:"way"`
	Measure []LotReading `json:"measure,omitempty"`   // where each reads what is printed on it
	Case    Case         `json:"case,omitempty"`      // instead of the wanted one
	Box     *Box         `json:"box,omitempty"`       // the same
	Current si.Current   `json:"current_a,omitempty"` // the highest of those tried
	Buy     []PartUse    `json:"buy,omitempty"`
}

// LotReading is one figure to read of a lot.
type LotReading struct {
	Lot         int64    `json:"lot"`
	Bin         string   `json:"bin,omitempty"`
	Designation string   `json:"designation"`
	Field       string   `json:"figure"`
	Error       si.Ratio `json:"error"` // of the meter
}

// Apply is the target with what a cure changes of it.
func (c *Cure) Apply(t Target) Target {
	if c.Case != "" {
		t.Case = c.Case
	}
	if c.Box != nil {
		t.Box = c.Box
	}
	if c.Current > 0 {
		t.Current = c.Current
	}
	return t
}
