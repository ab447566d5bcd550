package main

import (
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// Lines about what stays whole: transformers that are not opened, and adapters. Both compete with
// winding; a build takes them only when their owner has declared the barrier, which no line does by
// itself.

// transformerUse is how a line about a transformer is written.
const transformerUse = "the shape, flyback, the primary inductance, secondary 14.7uH, ratio 6.5, " +
	"leakage 8uH, " +
	"ohms 1.3R/40mR, chip NAME"

// transformerFigures are the words on a line about a transformer that take a value behind them.
var transformerFigures = map[string]string{"secondary": "secondary", "sec": "secondary",
	"bias": "bias", "ratio": "ratio",
	"turns": "primary_turns", "leakage": "leakage", "saturation": "saturation", "passed": "passed",
	"chip":   "chip",
	"former": "former", "meter": "meter", "scope": "scope"}

// topologyWords are what a donor used a transformer for.
var topologyWords = []string{"flyback", "half-bridge", "forward"}

// readTransformerLine reads what was measured at the pins of a closed transformer. A value with an
// error behind it, such as 14.7uH+-2%, is a reading.
func readTransformerLine(p *partLine) error {
	for i := 0; i < len(p.Words); i++ {
		text := p.Words[i]
		word := strings.ToLower(text)
		valued := i+1 < len(p.Words)
		switch {
		case word == "ohms" && valued:
			i++
			primary, secondary, found := strings.Cut(p.Words[i], "/")
			if !found {
				return p.Unknown(p.Words[i], "the resistance of primary and secondary as 1.3R/40mR")
			}
			p.read("primary_ohm", primary)
			p.read("secondary_ohm", secondary)
		case transformerFigures[word] != "" && valued:
			i++
			p.read(transformerFigures[word], p.Words[i])
		case isTopology(word):
			p.Add("topology", word)
		case typed.HasUnit(beforeError(text), "H") && p.Typed("inductance") == "":
			p.read("inductance", text)
		default:
			if err := p.shapeOrName(text); err != nil {
				return err
			}
		}
	}
	if p.Measured != "" {
		p.Add("inductance", "~"+beforeError(p.Measured))
	}
	if p.Typed("inductance") == "" {
		return wrongCall("transformer", "", "needs its primary inductance, such as 0.62mH")
	}
	if p.Designation == "" {
		p.Designation = strings.TrimSpace(p.Typed("shape") + " transformer")
	}
	p.sayBarrier("cut from an approved class II mains adapter, never opened, never reheated")
	return nil
}

// shapeOrName takes a word as the outline of the core, one that is none as the name of the part.
func (p *partLine) shapeOrName(text string) error {
	if _, _, ok := catalog.Lookup(catalog.KindCore, text); ok && p.Typed("shape") == "" {
		p.Add("shape", text)
		return nil
	}
	if p.Designation != "" || !strings.ContainsAny(text, " ") && p.Typed("shape") != "" {
		return p.Unknown(text, transformerUse)
	}
	p.Designation = text
	return nil
}

// read takes a value as a figure, or with an error behind it as a reading of that figure. The
// figure a part must have is estimated by its reading.
func (p *partLine) read(field, value string) {
	number := beforeError(value)
	if number == value {
		p.Add(field, value)
		return
	}
	p.readings = append(p.readings, field+"="+value)
	if field == inventory.MainFigure(p.Kind) {
		p.Add(field, "~"+number)
	}
}

// beforeError is a value without the error behind it.
func beforeError(value string) string {
	for _, sign := range []string{"+-", "+/-", "±"} {
		if number, _, found := strings.Cut(value, sign); found {
			return number
		}
	}
	return value
}

func isTopology(word string) bool {
	for _, t := range topologyWords {
		if word == t {
			return true
		}
	}
	return false
}

// sayBarrier reminds of what only the owner can say.
func (p *partLine) sayBarrier(of string) {
	if p.Typed("barrier") == "" {
		p.Remark("a build takes it only with barrier=yes, which only you can say: %s", of)
	}
}

// adapterUse is how a line about an adapter is written.
const adapterUse = "what its plate says, such as 100-240V 12V 1A, working or dead, secondary or " +
	"primary (regulation), chip NAME"

// adapterFigures are the words on a line about an adapter that take a value behind them.
var adapterFigures = map[string]string{"chip": "chip", "rectifier": "rectifier",
	"zener": "zener", "top": "top",
	"bottom": "bottom", "vref": "vref", "bulk": "bulk"}

// plateWord is a word that can stand on a plate: a figure, or what parts input from output.
var plateWord = pattern.OnFirstUse(`^(?i)(?:.*[0-9].*|[~⎓=-]+|in|input|out|output|ac|dc|to|or)[:,;]?$`)

// readAdapterLine reads the plate of a whole adapter, its state and how it is regulated.
func readAdapterLine(p *partLine) error {
	var plate []string
	for i := 0; i < len(p.Words); i++ {
		text := p.Words[i]
		word := strings.ToLower(text)
		switch {
		case adapterFigures[word] != "" && i+1 < len(p.Words):
			i++
			p.Add(adapterFigures[word], p.Words[i])
		case word == "working" || word == "dead":
			p.Add("state", word)
		case word == "secondary" || word == "primary":
			p.Add("regulation", word)
		case plateWord().MatchString(text) ||
			strings.Contains(text, " ") && inventory.ParsePlate(text).Known():
			plate = append(plate, text)
		case strings.Contains(text, " ") && p.Designation == "":
			p.Designation = text
		default:
			return p.Unknown(text, adapterUse)
		}
	}
	read := inventory.ParsePlate(strings.Join(plate, " "))
	switch {
	case len(read.Unread) > 0:
		return p.Unknown(read.Unread[0], adapterUse)
	case len(plate) > 0 && p.fromPlate:
		return wrongCall("plate", strings.Join(plate, " "),
			"is a plate already; leave it or the word plate away")
	case p.Measured != "":
		return wrongCall("measured", p.Measured,
			"an adapter goes by its plate; leave the reading away, or write it as a note")
	case p.fromPlate:
		read = p.plate
	}
	p.ofPlate(read)
	if p.Typed("volts") == "" || p.Typed("amps") == "" {
		return wrongCall("adapter", strings.Join(plate, " "),
			"needs one output with its current, such as 12V 1A; of several "+
				"outputs write volts=12V amps=1A")
	}
	if p.Designation == "" {
		p.Designation = "adapter " + spaced(p.Typed("volts")) + " " + spaced(p.Typed("amps"))
	}
	p.sayBarrier("class II marked, approved, transformer never opened or reheated")
	return nil
}

// ofPlate enters what the plate of the adapter itself says.
func (p *partLine) ofPlate(plate inventory.Plate) {
	for _, b := range plate.For(catalog.KindAdapter, inventory.BothSides) {
		p.Add(b.Field, b.Exact())
	}
}

// spaced puts a blank between the figure and the unit of a voltage or a current, however it was
// typed.
func spaced(text string) string {
	if v, err := si.Parse[si.Voltage](text); err == nil {
		return si.Text(v)
	}
	if i, err := si.Parse[si.Current](text); err == nil {
		return si.Text(i)
	}
	return text
}
