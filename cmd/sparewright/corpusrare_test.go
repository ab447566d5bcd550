package main

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute/regulation/resistors"
)

// partWay is a figure at a part of its range, by ratio where it is above nothing, or the first word
// allowed.
func partWay(f catalog.Field, part float64) catalog.Value {
	v := catalog.Value{Field: f.Name, Numeric: f.Numeric, Basis: catalog.Published}
	switch {
	case f.Numeric && f.Low > 0:
		v.Number = f.Low * math.Pow(f.High/f.Low, part)
	case f.Numeric:
		v.Number = f.Low + (f.High-f.Low)*part
	case len(f.Words) > 0:
		v.Text = f.Words[0]
	default:
		v.Text = "odd"
	}
	return v
}

// partWith is a lot of a kind with what it must have and as many of the other figures as do not
// contradict each other; the rest is left over.
func partWith(k catalog.Kind, figures []catalog.Field) (l inventory.Lot, left []catalog.Field) {
	r := catalog.Record{Kind: k, Designation: "odd " + string(k)}
	for _, f := range catalog.Schema(k) {
		if f.Required {
			r.Values = append(r.Values, partWay(f, 0.5))
		}
	}
	lot := func(r catalog.Record) (inventory.Lot, error) {
		p, err := catalog.Build(r)
		if err != nil {
			return inventory.Lot{}, err
		}
		l := inventory.Lot{Part: p, Count: 2, Condition: inventory.Conditions()[0]}
		return l, l.Validate()
	}
	l, _ = lot(r)
	for _, f := range figures {
		fits := f.Required
		for at := 0; at <= 200 && !fits; at++ { // from the middle outwards
			step := float64((at+1)/2) / 200
			if at%2 == 1 {
				step = -step
			}
			more := r
			more.Values = append(slices.Clone(r.Values), partWay(f, 0.5+step))
			with, err := lot(more)
			if fits = err == nil; fits {
				l, r = with, more
			}
		}
		if !fits {
			left = append(left, f)
		}
	}
	return l, left
}

// goesWithAWord are figures that parts have only with another word than the first one; everyFigure
// puts them by hand.
var goesWithAWord = map[string]bool{"amplifier vref": true, "amplifier vref_min": true,
	"amplifier vref_max": true,
	"capacitor safety":   true}

// everyFigure is a list of a drawer with parts of every kind that together have every figure.
func (c *corpusMaker) everyFigure() {
	var lots []inventory.Lot
	for _, k := range catalog.Kinds() {
		figures := slices.DeleteFunc(slices.Clone(catalog.Schema(k)), func(f catalog.Field) bool {
			return goesWithAWord[string(k)+" "+f.Name]
		})
		for len(figures) > 0 {
			l, left := partWith(k, figures)
			require.Less(c.t, len(left), len(figures), "%s: %v fits no part", k, figures)
			lots, figures = append(lots, l), left
		}
	}
	var csv strings.Builder
	require.NoError(c.t, exchange.Write(&csv, exchange.Drawer{Lots: lots}, true))
	mine := []string{"--drawers", filepath.Join(c.dir, "figures.db")}
	c.add("import", 0, append(ask("import", c.file("figures.csv", csv.String())), mine...)...)
	c.add("put", 0, append(ask("put", "amplifier", "odd pair", "function=combined", "supply_min=3V",
		"supply_max=32V", "vref_min=2.4V",
		"vref=2.5V", "vref_max=2.6V"), mine...)...)
	c.add("put", 0, append(ask("put", "capacitor", "odd Y", "dielectric=film", "safety=Y1",
		"capacitance=1nF", "volts=400V"), mine...)...)
	c.add("list", 0, append(ask("list"), mine...)...)
}

// measured are documents of a build that a measurement finishes.
func (c *corpusMaker) measured() {
	box := filepath.Join(c.dir, "bricks.db")
	c.add("import", 0, ask("import", filepath.Join("..", "..", "testdata", "drawers", "bricks.csv"),
		"--drawers", box)...)
	c.add("advise", 0, fourCellsFrom(box, "advise")...)
	// what readings of lots, another case and a larger box would cure
	c.add("advise", 1, ask("advise", "--chemistry", "lead-acid-agm", "--duty", "float",
		"--cells", "6", "--current", "500mA", "--drawers", box)...)
	c.add("advise", 1, ask("advise", "--chemistry", "li-ion", "--cells", "4", "--current", "1",
		"--box", "55x40x30", "--demo")...)
	c.add("tune", 0, fourCellsFrom(box, "tune", "--set-voltage", "bare=15.92V")...)
	c.add("tune", 0, fourCellsFrom(box, "tune", "--set-voltage", "16.6V")...)
}

// rare are documents with what the usual ones do not hold.
func (c *corpusMaker) rare() {
	c.everyFigure()
	c.measured()
	c.add("plan", 0, ask("plan", "--want", "lifepo4 4 2A", "--want", "li-ion 4 1A", "--demo")...)
	// with parts to buy
	c.add("sheet", 0, ask("sheet", demoTarget("lifepo4", "4", "2")...)...)
	// with a thicker shim
	c.add("sheet", 0, ask("sheet", append([]string{"--pick", "4"}, fourCells...)...)...)
	bare := demoFile(c.t, func(kind, _ string) bool { return kind != "switcher" })
	c.add("shop", 0, fourCellsFrom(bare, "shop")...)
	prices := c.file("equal.csv",
		"designation,price,source\nFSDM0565RB,3,shop\nKA5M0365R,3,shop\n*,50,shop\n")
	c.add("shop", 0, fourCellsFrom(bare, "shop", "--prices", prices)...)
	c.add("swapoutside", 0, ask("swap", "--kind", "capacitor", "--need",
		"capacitance=10uF-1mF volts>=16V", "--demo")...)
	odd := []string{"--drawers", filepath.Join(c.dir, "odd.db")}
	c.add("donor", 0, append(ask("donor", "bell transformer", "--plate",
		"INPUT 230V~ OUTPUT 12V~ 0.5A"), odd...)...)
	c.add("put", 0, append(ask("put", "adapter", "odd brick", "volts=5V", "amps=1A"), odd...)...)
	c.add("bend", 0, append(ask("bend", "1"), odd...)...)
	c.manyResistors()
}

// manyResistors is a search among more resistors than it holds.
func (c *corpusMaker) manyResistors() {
	csv := "kind,designation,count,figures\n"
	for i := range resistors.AssortmentLimit + 10 {
		csv += fmt.Sprintf("resistor,odd %d,1,resistance=%dohm\n", i, 1000+i)
	}
	mine := []string{"--drawers", filepath.Join(c.dir, "many.db")}
	c.add("import", 0, append(ask("import", c.file("many.csv", csv)), mine...)...)
	c.add("network", 0, append(ask("network", "1234ohm", "--parts", "1"), mine...)...)
}
