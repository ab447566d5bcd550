package stock

import (
	"sparewright/catalog"
	"sparewright/catalog/complete"
)

// Shelf is the kind of part that a purchase may add to the drawer when nothing on hand will do.
type Shelf struct {
	Word  string
	Names []string
	Kind  catalog.Kind
}

// Shelves lists what is tried, cheapest and easiest to get first. The names are rows of the
// published tables, usual in the trade; all are tried, so their order inside a shelf does not
// matter.
var Shelves = []Shelf{
	{"film", []string{"polyester film 50 um", "polyester film 75 um", "polyester film 100 um", "polyester film 125 um"}, catalog.KindFilm},
	{"rectifier", []string{"1N5822", "SB560", "SB5100", "MBR20100CT", "MUR420", "BYV32E-200", "UF5404"}, catalog.KindRectifier},
	{"clamp", []string{"1.5KE91A", "1.5KE110A", "1.5KE130A", "1.5KE150A", "1.5KE180A"}, catalog.KindClamp},
	{"wire", []string{"TIW 0.30 mm", "TIW 0.40 mm", "TIW 0.50 mm", "TIW 0.60 mm", "TIW 0.80 mm"}, catalog.KindWire},
	{"core", []string{"E16/8/5", "E20/10/6", "E25/13/7", "ETD29/16/10", "ETD34/17/11", "E30/15/7"}, catalog.KindCore},
	{"switcher", []string{"NCP1014", "NCP1055", "TOP223", "TOP224", "TOP244Y", "TOP246Y", "FSDM0565RB", "KA5M0365R", "NCP1053", "VIPer16L"}, catalog.KindSwitcher},
	{"amplifier", []string{"LM358A", "AP4310A", "TSM103A", "LM2904AV"}, catalog.KindAmplifier},
	{"optocoupler", []string{"PC817B"}, catalog.KindOptocoupler},
	{"tape", []string{"polyester tape 25 um film"}, catalog.KindFilm},
}

// BoughtFerrite is the grade reckoned with for a core to be bought.
const BoughtFerrite = "N87"

// soldCore is the name of a core of this shape as it is bought.
func soldCore(shape string) string { return shape + " " + BoughtFerrite }

// With returns a copy of the drawer that also holds the parts of a shelf, marked as to be bought.
func (d *Drawer) With(s Shelf) *Drawer {
	c := *d
	for _, name := range s.Names {
		p, ok := SoldPart(s.Kind, name)
		if !ok {
			continue
		}
		if core, is := p.(catalog.Core); is {
			core.Name, core.Shape, core.Ferrite, core.Former = soldCore(name), name,
				BoughtFerrite, "plain"
			core.Gap = catalog.Of(core.Gap.Value)
			p = core
		}
		switch v := complete.Part(p).(type) {
		case catalog.Film:
			if v.Form == "sheet" {
				v.Shim = "yes"
			}
			c.Films = append(c.Films[:len(c.Films):len(c.Films)], Bought(v))
		case catalog.Rectifier:
			c.Rectifiers = append(c.Rectifiers[:len(c.Rectifiers):len(c.Rectifiers)], Bought(v))
		case catalog.Clamp:
			c.Clamps = append(c.Clamps[:len(c.Clamps):len(c.Clamps)], Bought(v))
		case catalog.Wire:
			c.Wires = append(c.Wires[:len(c.Wires):len(c.Wires)], Bought(v))
		case catalog.Core:
			c.Cores = append(c.Cores[:len(c.Cores):len(c.Cores)], Bought(v))
		case catalog.Switcher:
			c.Switchers = append(c.Switchers[:len(c.Switchers):len(c.Switchers)], Bought(v))
		case catalog.Amplifier:
			c.Amplifiers = append(c.Amplifiers[:len(c.Amplifiers):len(c.Amplifiers)], Bought(v))
		case catalog.Resistor:
			c.Resistors = append(c.Resistors[:len(c.Resistors):len(c.Resistors)], Bought(v))
		case catalog.Reference:
			c.References = append(c.References[:len(c.References):len(c.References)], Bought(v))
		case catalog.Trimmer:
			c.Trimmers = append(c.Trimmers[:len(c.Trimmers):len(c.Trimmers)], Bought(v))
		case catalog.Optocoupler:
			c.Optos = append(c.Optos[:len(c.Optos):len(c.Optos)], Bought(v))
		}
	}
	return &c
}

func Bought[P catalog.Part](p P) Stock[P] {
	record := catalog.Describe(p)
	return Stock[P]{Part: p, Key: "buy|" + partKey(record), Count: 1000, Buy: true,
		Figures: record.Values}
}
