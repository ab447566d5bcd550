package main

import (
	"sparewright/catalog"
	"sparewright/inventory"
)

// What the plate of a donor lends to a part without print is taken here, on the word plate alone.

// plateSide tells on which side of the barrier a line about a part is meant, for kinds that lie on
// one side; a line about a capacitor or a rectifier is about the output unless it says otherwise.
func (p *partLine) plateSide() inventory.BoundSide {
	switch p.Kind {
	case catalog.KindRectifier:
		if p.Typed("technology") == "standard" {
			return inventory.MainsSide
		}
		return inventory.OutputSide
	case catalog.KindCapacitor:
		return inventory.OutputSide
	case catalog.KindTransformer, catalog.KindAdapter:
		return inventory.BothSides
	case catalog.KindChoke:
		if p.Typed("use") == "output" {
			return inventory.OutputSide
		}
	}
	return inventory.MainsSide
}

// unprintedVolts is the voltage by the plate of the donor, on the word plate; without it the plate
// is only offered. It says nothing of a safety capacitor: what stands across the barrier or the
// mains is not bounded by the output of a plate.
func (p *partLine) unprintedVolts(value, safety string) (string, error) {
	b, text, known := p.fromThePlate("volts")
	switch {
	case safety != "":
		return "", wrongCall("capacitor", value,
			"the voltage is missing; write the one printed beside "+safety+", such as 400V")
	case known && p.fromPlate:
		return text, nil
	case known:
		return "", wrongCall("capacitor", value,
			"the voltage is missing; write it behind, such as 50V, or plate for at least "+
				b.Text()+" by the plate of the donor")
	}
	return "", wrongCall("capacitor", value, "the voltage is missing; write it behind, such as 50V")
}

// fromThePlate is what the plate says of one figure, as an estimate to be typed.
func (p *partLine) fromThePlate(name string) (inventory.Bound, string, bool) {
	for _, b := range p.plate.For(p.Kind, p.plateSide()) {
		if b.Field == name {
			return b, "~" + b.Exact(), true
		}
	}
	return inventory.Bound{}, "", false
}

// takeFromPlate adds the figures that are not typed and that the plate bounds, each as an estimate
// with a remark.
func (p *partLine) takeFromPlate(donor string) error {
	if !p.fromPlate {
		return nil
	}
	lent := false
	for _, b := range p.plate.For(p.Kind, p.plateSide()) {
		text := "~" + b.Exact()
		if b.Printed {
			text = b.Exact()
		}
		if typed := p.Typed(b.Field); typed != "" && typed != text {
			continue // printed on the part, or typed
		}
		if b.Field == "passed" && p.Typed("topology") != "flyback" {
			continue // others pass power on without keeping it in a gap
		}
		p.Add(b.Field, text)
		lent = true
		if b.Printed {
			p.Remark("%s %s by the plate of this donor", b.Field, b.Text())
			continue
		}
		p.Remark("%s at least %s as %s of this donor, by its plate", b.Field, b.Text(), b.Place)
	}
	if lent {
		return nil
	}
	switch {
	case !p.plate.Known():
		return wrongCall("donor", donor,
			"its plate is not known; write donor \"name\" plate \"12 V 1 A\" before")
	case p.Kind == catalog.KindTransformer:
		return wrongCall("plate", "", "its power says something of a flyback transformer only; "+
			"write flyback if it was one")
	}
	return wrongCall("plate", "", "it says nothing of a "+string(p.Kind)+
		" that is not written on the line")
}
