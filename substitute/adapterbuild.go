package substitute

import (
	"sparewright/catalog/si"
	"sparewright/substitute/seats"
)

// AdapterUse is a whole adapter as a build takes it over: its own regulator taken out, ours put in
// its place.
type AdapterUse struct {
	Lot         int64         `json:"lot,omitempty"`
	Designation string        `json:"designation"`
	Chip        string        `json:"chip"`
	PlateVolts  si.Voltage    `json:"plate_v"`
	PlateAmps   si.Current    `json:"plate_a"`
	PlateWatts  si.Power      `json:"plate_w"`
	Ratio       si.Ratio      `json:"turns_ratio"`
	Reflected   si.Voltage    `json:"reflected_v"` // at the set point
	BusMax      si.Voltage    `json:"bus_max_v"`
	DrainPeak   si.Voltage    `json:"drain_peak_v"`
	Reverse     si.Voltage    `json:"rectifier_reverse_v"`
	SupplyMin   si.Voltage    `json:"chip_supply_min_v,omitzero"`
	SupplyMax   si.Voltage    `json:"chip_supply_max_v,omitzero"`
	Power       si.Power      `json:"power_w"`   // taken from it at full current into a full pack
	Current     si.Current    `json:"current_a"` // the same, control circuit included
	Swaps       []AdapterSwap `json:"swaps"`
	Steps       []string      `json:"steps"` // what to do to it, in order
}

// AdapterSwap is a part of the drawer that goes into the adapter.
type AdapterSwap struct {
	Role        seats.ID `json:"role"`
	Lot         int64    `json:"lot"`
	Designation string   `json:"designation"`
	Quantity    int      `json:"quantity"`
	Moves       string   `json:"moves"` // the limit it moves
}

// Names of checks of adapters that have no number.
const (
	CheckAdapterFigures = "adapter figures"
	CheckAdapterState   = "adapter tried with a load"
	CheckAdapterLoop    = "regulation of the adapter"
)
