package catalog

import (
	"slices"
	"sync"

	"sparewright/catalog/si"
)

// Battery is a chemistry with its figures per cell. A chemistry that a constant-voltage charger
// cannot charge has a CellSet of zero.
type Battery struct {
	Name string
	// li-ion, li-ion-4v35, lifepo4, lead-acid-agm, lead-acid-gel, lead-acid-flooded, nimh
	Chemistry    string
	Duty         string     // cyclic or float for lead-acid, else empty
	CellSet      si.Voltage // set voltage
	CellLow      si.Voltage // band of the set voltage
	CellHigh     si.Voltage
	CellAbsolute si.Voltage // never to be exceeded
	CellEmpty    si.Voltage // where full current starts
	ChargeMin    si.Celsius // cell temperature
	ChargeMax    si.Celsius
	MaxRate      si.Ratio // largest current in parts of the capacity per hour
	HoldAllowed  bool     // may stay on the charger at the set voltage
	// how the set voltage and the absolute limit are known, the weaker of the two
	Basis  Basis
	Note   string
	Source Source
}

var batteries = sync.OnceValue(func() []Battery {
	rows := readTable("batteries.tsv")
	out := make([]Battery, len(rows))
	for i, c := range rows {
		set, absolute := datum[si.Voltage](c, "cell_set"), datum[si.Voltage](c, "cell_absolute")
		out[i] = Battery{
			Name: c.text("designation"), Chemistry: c.text("chemistry"), Duty: c.text("duty"),
			CellSet: set.Value, CellLow: datum[si.Voltage](c,
				"cell_low").Value, CellHigh: datum[si.Voltage](c, "cell_high").Value,
			CellAbsolute: absolute.Value, CellEmpty: datum[si.Voltage](c, "cell_empty").Value,
			ChargeMin: datum[si.Celsius](c, "charge_min").Value, ChargeMax: datum[si.Celsius](c,
				"charge_max").Value,
			MaxRate: datum[si.Ratio](c, "max_rate").Value, HoldAllowed: c.text("hold_allowed") ==
				"yes",
			Basis: min(set.Basis, absolute.Basis), Note: c.text("note"), Source: c.source(),
		}
	}
	return out
})

// Batteries returns the chemistries of the table. The slice is the caller's own.
func Batteries() []Battery { return slices.Clone(batteries()) }
