// Package complete fills in what a part does not state: from the tables of catalog, from what
// follows of what it does state, and with cautious stand-ins. One file a family of kinds.
package complete

import "sparewright/catalog"

// Part fills in what a part does not state and never changes what it does state. In this order:
// figures from the table row of the designation (for cores the shape and the ferrite, for wires the
// diameter), figures that follow from stated ones (marked estimated), and cautious stand-ins
// (marked assumed; their source or "common practice, no source" stands beside each in the code).
// Cautious means towards the failure the figure guards against: assumed ratings and outputs are
// low, assumed tolerances, losses, leakages and thermal resistances are high, the assumed largest
// duty is low (0.6).
//
// A figure that nothing can be said about stays unknown, for example the transfer ratio of an
// unlisted optocoupler. Part of a completed part is the part itself.
func Part(p catalog.Part) catalog.Part {
	switch p := p.(type) {
	case catalog.Core:
		return core(p)
	case catalog.Wire:
		return wire(p)
	case catalog.Film:
		return film(catalog.Listed(p))
	case catalog.Switcher:
		return switcher(catalog.Listed(p))
	case catalog.Rectifier:
		return rectifier(catalog.Listed(p))
	case catalog.Bridge:
		return bridge(catalog.Listed(p))
	case catalog.Clamp:
		return clamp(catalog.Listed(p))
	case catalog.Optocoupler:
		return optocoupler(catalog.Listed(p))
	case catalog.Amplifier:
		return amplifier(catalog.Listed(p))
	case catalog.Reference:
		return reference(catalog.Listed(p))
	case catalog.Resistor:
		return resistor(p)
	case catalog.Trimmer:
		return trimmer(p)
	case catalog.Capacitor:
		return capacitor(catalog.Listed(p))
	case catalog.Choke:
		return choke(p)
	case catalog.LED:
		return led(p)
	case catalog.Fuse:
		return fuse(p)
	case catalog.Thermistor:
		return thermistor(p)
	case catalog.Zener:
		return zener(p)
	case catalog.Transformer:
		return transformer(p)
	case catalog.Adapter:
		return adapter(p)
	case catalog.Controller:
		return catalog.Listed(p)
	case catalog.Transistor:
		return transistor(catalog.Listed(p))
	}
	return p
}
