package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// chemistryWords are the values of --chemistry.
var chemistryWords = []string{"li-ion", "li-ion-4v35", "lifepo4", "lead-acid-agm", "lead-acid-gel",
	"lead-acid-flooded",
	"nimh", "nicd"}

// Words of --case and --duty.
var (
	caseWords = []string{"sealed", "vented", "open"}
	dutyWords = []string{"cyclic", "float"}
)

// targetFlags holds what the call says about the wanted charger, as typed. advise, survey and shop
// share it; each makes one with newTargetFlags, takes its flags into its own and reads the fields
// after check.
type targetFlags struct {
	chemistry *choice                 // "" when not given
	cells     *whole                  // cells in series; 0 when not given
	volts     *quantity[si.Voltage]   // charge voltage; alternative to cells
	current   *quantity[si.Current]   // charge current
	mains     *mains                  // lowest and highest mains voltage, rms
	line      *quantity[si.Frequency] // lowest mains frequency
	enclosure *choice                 // --case
	ambient   *quantity[si.Celsius]   // air around the case
	box       *box                    // outer size of the case; zero sides when not given
	duty      *choice                 // "" when not given
}

// newTargetFlags sets the defaults: 195-265 V, 50 Hz, sealed, 35 degrees.
func newTargetFlags() *targetFlags {
	t := &targetFlags{
		chemistry: &choice{words: chemistryWords},
		cells:     &whole{low: 1, high: substitute.MostCells},
		volts:     &quantity[si.Voltage]{},
		current:   &quantity[si.Current]{},
		mains:     &mains{value: si.Interval[si.Voltage]{Low: 195, High: 265}},
		line:      &quantity[si.Frequency]{value: 50},
		enclosure: &choice{words: caseWords, word: "sealed"},
		ambient:   &quantity[si.Celsius]{value: 35},
		box:       &box{},
		duty:      &choice{words: dutyWords},
	}
	return t
}

// flags returns the options that describe the wanted charger.
func (t *targetFlags) flags() []cli.Flag {
	return []cli.Flag{
		&cli.GenericFlag{Name: "chemistry", Value: t.chemistry,
			Usage: "battery `WORD`: li-ion, li-ion-4v35, lifepo4, " +
				"lead-acid-agm, lead-acid-gel, lead-acid-flooded, nimh, nicd"},
		&cli.GenericFlag{Name: "cells", Value: t.cells, Usage: "`N` cells in series"},
		&cli.GenericFlag{Name: "volts", Value: t.volts,
			Usage: "charge voltage `V` of the pack, instead of --cells"},
		&cli.GenericFlag{Name: "current", Value: t.current,
			Usage: "charge current `A`, such as 1A or 500mA"},
		&cli.GenericFlag{Name: "mains", Value: t.mains,
			Usage: "mains voltage `RANGE`, such as 85-265 (default 195-265); 230 alone is " +
				"230 V +-10 %"},
		&cli.GenericFlag{Name: "line", Value: t.line,
			Usage: "lowest mains frequency `HZ` (default 50)"},
		&cli.GenericFlag{Name: "case", Value: t.enclosure,
			Usage: "`WORD`: sealed, vented or open (default sealed)"},
		&cli.GenericFlag{Name: "ambient", Value: t.ambient,
			Usage: "air temperature `C` around the case (default 35)"},
		&cli.GenericFlag{Name: "box", Value: t.box,
			Usage: "outer `SIZE` of the case in mm, such as 90x60x40, or 9x6x4cm"},
		&cli.GenericFlag{Name: "duty", Value: t.duty,
			Usage: "`WORD` for lead-acid: cyclic or float"},
	}
}

// typed writes the options of the call that describe the charger, as they are typed again.
func (t *targetFlags) typed(c *cli.Context) string {
	var out strings.Builder
	for _, f := range t.flags() {
		if name := f.Names()[0]; c.IsSet(name) {
			out.WriteString(" --" + name + " " + shellWord(f.(*cli.GenericFlag).Value.String()))
		}
	}
	return out.String()
}

// check refuses a target that contradicts itself or lies outside what the model covers; the limits
// are those of substitute. With whole true the battery and the current must have been given; survey
// passes false.
func (t *targetFlags) check(whole bool) error {
	switch {
	case whole && !t.chemistry.given():
		return wrongCall("--chemistry", "",
			"missing; say what is to be charged").try("sparewright help targets")
	case t.cells.given() && t.volts.given():
		return wrongCall("--volts", t.volts.text,
			"--cells says the voltage already; give one of the two")
	case whole && !t.cells.given() && !t.volts.given():
		return wrongCall("--cells", "", "missing; say how many cells in series, or the charge "+
			"voltage with --volts").
			try("sparewright help targets")
	case whole && !t.current.given():
		return wrongCall("--current", "",
			"missing; say the charge current, such as 1A").try("sparewright help targets")
	case t.duty.given() && t.chemistry.given() && t.chemistry.word[:4] != "lead":
		return wrongCall("--duty", t.duty.word,
			"only lead-acid batteries know cyclic and float duty")
	}
	if t.volts.given() && !(t.volts.value > 0) {
		return wrongCall("--volts", t.volts.text, "must be above 0 V")
	}
	var err error
	if t.current.given() {
		err = substitute.CheckCurrent(t.current.value)
	}
	if err == nil {
		err = t.conditions().CheckConditions()
	}
	return t.refused(err)
}
