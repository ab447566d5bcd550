package substitute

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// Resistors, trimmers and references stand on no shelf of the list: there are too many values to try. Where the regulation network of a target
// finds no parts, the design itself names those that help, and these are laid on a shelf of their own.

// soldTrimmer begins the name of a trimmer as it is bought.
const soldTrimmer = "trimmer "

// quarterWatt is the rating of a resistor whose name states none.
const quarterWatt si.Power = 0.25

// tightReference is the reference to buy where no resistor helps: the narrowest of the tables that is common (common practice, no
// source).
const tightReference = "TL431B"

// lackOf names the parts of the first cure that is nothing but a purchase, as KIND:NAME parted by semicolons. Where a divider has no
// such cure the spread of the reference is in the way, and a tighter one is named.
func lackOf(s regulation.Shortfall) string {
	for _, c := range s.Cures {
		var names []string
		for _, p := range c.Buy {
			kind := catalog.KindResistor
			if c.Trimmer {
				kind = catalog.KindTrimmer
			}
			names = append(names, string(kind)+":"+soldResistance(p, c.Trimmer))
		}
		if len(names) > 0 {
			return strings.Join(names, ";")
		}
	}
	if s.Divider() {
		names := []string{string(catalog.KindReference) + ":" + tightReference}
		for _, s := range shelves {
			for _, name := range s.names {
				if s.kind == catalog.KindAmplifier {
					names = append(names, string(s.kind)+":"+name)
				}
			}
		}
		return strings.Join(names, ";")
	}
	return ""
}

// joinLacks is what any of two pairs of amplifier and reference lacks.
func joinLacks(a, b string) string {
	names := strings.Split(a, ";")
	for _, name := range strings.Split(b, ";") {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Trim(strings.Join(names, ";"), ";")
}

// soldResistance is the name a resistor or trimmer is bought by: 4k7 1%, 0R22 1% 1W, trimmer 1k.
func soldResistance(p regulation.Piece, trimmer bool) string {
	if trimmer {
		return soldTrimmer + regulation.ValueText(p.Ohm)
	}
	name := regulation.ValueText(p.Ohm) + " " + strconv.FormatFloat(math.Round(float64(p.Tolerance)*1e4)/100, 'f', -1, 64) + "%"
	if p.Power > quarterWatt {
		name += " " + strconv.FormatFloat(float64(p.Power), 'f', -1, 64) + "W"
	}
	return name
}

// soldPart is the part of that name as it is bought: a resistor or trimmer by what its name says, anything else from the tables.
func soldPart(kind catalog.Kind, name string) (catalog.Part, bool) {
	switch kind {
	case catalog.KindResistor:
		words := strings.Fields(name)
		if len(words) < 2 {
			return nil, false
		}
		ohm, err := si.Parse[si.Resistance](words[0])
		tolerance, fault := si.Parse[si.Ratio](words[1])
		power := quarterWatt
		if len(words) == 3 && fault == nil {
			power, fault = si.Parse[si.Power](words[2])
		}
		return catalog.Resistor{Named: catalog.Named{Name: name}, Resistance: catalog.Of(ohm), Tolerance: catalog.Of(tolerance),
			Rating: catalog.Of(power)}, err == nil && fault == nil
	case catalog.KindTrimmer:
		ohm, err := si.Parse[si.Resistance](strings.TrimPrefix(name, soldTrimmer))
		return catalog.Trimmer{Named: catalog.Named{Name: name}, Resistance: catalog.Of(ohm), Track: "cermet"}, err == nil
	}
	p, _, ok := catalog.Lookup(kind, name)
	if !ok && kind == catalog.KindClamp {
		return soldSuppressor(name)
	}
	return p, ok
}

// mostLacks bounds how many times a network is asked what it lacks: voltage and current divider, shunt, bias and lamp resistor,
// of which a divider may ask twice.
const mostLacks = 8

// networked returns the workbench with the resistors, trimmers and reference added that the regulation network of a target lacks; nil when
// that is not what is missing, or no purchase helps. What helps the first divider is bought before the next is looked at, so
// that the parts are enough, not proven to be the fewest.
func (w *Workbench) networked(t Target, refused []Refusal) *Workbench {
	if !slices.ContainsFunc(refused, func(r Refusal) bool { return r.lack != "" }) {
		return nil
	}
	var added []shelf
	bench := w
	for range mostLacks {
		lacks, served := newJob(bench, t).lacks()
		if served && bench == w {
			return nil
		}
		grown := false
		for _, lack := range lacks {
			kind, name, _ := strings.Cut(lack, ":")
			at := slices.IndexFunc(added, func(s shelf) bool { return s.word == kind })
			if at < 0 {
				at = len(added)
				added = append(added, shelf{word: kind, kind: catalog.Kind(kind)})
			}
			if s := &added[at]; !slices.Contains(s.names, name) {
				s.names = append(s.names, name)
				grown = true
			}
		}
		if !grown {
			break
		}
		bench = w.stocked(added...)
	}
	if bench == w {
		return nil
	}
	return bench
}

// lacks are the parts that networks of this target lack, in the order of the switchers that ask for them, and whether any switcher
// has its network. Where there is no switcher, the usual one asks.
func (j *job) lacks() (names []string, served bool) {
	variants := j.variants()
	served = len(j.controlled(variants)) > 0
	if len(variants) == 0 {
		served = j.controlFor(stopGuess) != nil
	}
	for _, r := range j.refused {
		if r.lack != "" {
			names = append(names, strings.Split(r.lack, ";")...)
		}
	}
	return names, served
}
