package complete

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
)

// known gives an unknown figure the one of a table row, with its basis.
func known[Q si.Quantity](d *catalog.Datum[Q], row catalog.Datum[Q]) {
	if !d.Known() {
		*d = row
	}
}

// transformer takes frequency and limit of the donor from the row of its switcher. Meter
// and scope are reckoned with 3 % when their error is not said: bench instruments have 1 to 3 % and
// 2 to 3 % (common practice, no source).
func transformer(p catalog.Transformer) catalog.Transformer {
	if row, ok := catalog.SwitcherNamed(p.Chip); ok {
		row = switcher(row)
		known(&p.PassedAt, row.FrequencyMax)
		if row.Setting == "internal" {
			known(&p.PassedLimit, row.LimitMin)
		}
	}
	p.Meter.Assume(0.03)
	p.Scope.Assume(0.03)
	for _, word := range []*string{&p.Topology, &p.Barrier} {
		if *word == "" {
			*word = "unknown"
		}
	}
	return p
}

// adapter takes breakdown and rectifier figures from the rows of the types read off the
// board, and takes the drop of a rectifier nobody read for that of a Schottky one, 0.5 V (common
// practice, no source). Nothing else is filled in: what was not read must be read before it is
// relied on.
func adapter(p catalog.Adapter) catalog.Adapter {
	if row, ok := catalog.SwitcherNamed(p.Chip); ok {
		known(&p.Breakdown, row.Breakdown)
	}
	if row, ok := catalog.RectifierNamed(p.Rectifier); ok {
		row = rectifier(row)
		known(&p.RectifierReverse, row.Reverse)
		if !p.RectifierAverage.Known() {
			p.RectifierAverage = catalog.Datum[si.Current]{Value: row.Average.Value *
				si.Current(row.Legs.Or(1)), Basis: row.Average.Basis}
		}
		known(&p.RectifierDrop, row.Forward)
	}
	p.RectifierDrop.Assume(0.5)
	if p.Protection == "" && p.Zener.Known() {
		p.Protection = "zener"
	}
	for _, word := range []*string{&p.State, &p.Barrier, &p.Regulation, &p.Protection, &p.Clamp} {
		if *word == "" {
			*word = "unknown"
		}
	}
	return p
}
