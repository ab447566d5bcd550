package find

import (
	"slices"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute"
)

// ChemistryWords are the values of --chemistry.
var ChemistryWords = []string{"li-ion", "li-ion-4v35", "lifepo4", "lead-acid-agm", "lead-acid-gel",
	"lead-acid-flooded",
	"nimh", "nicd"}

// Words of --case and --duty.
var (
	caseWords = []string{"sealed", "vented", "open"}
	dutyWords = []string{"cyclic", "float"}
)

// TargetFlags holds what the call says about the wanted charger, as typed. advise, survey and shop
// share it; each makes one with NewTargetFlags, takes its flags into its own and reads the fields
// after check.
type TargetFlags struct {
	chemistry *frame.Choice                 // "" when not given
	cells     *frame.Whole                  // cells in series; 0 when not given
	volts     *frame.Quantity[si.Voltage]   // charge voltage; alternative to cells
	current   *frame.Quantity[si.Current]   // charge current
	mains     *frame.Mains                  // lowest and highest mains voltage, rms
	line      *frame.Quantity[si.Frequency] // lowest mains frequency
	enclosure *frame.Choice                 // --case
	ambient   *frame.Quantity[si.Celsius]   // air around the case
	box       *frame.Box                    // outer size of the case; zero sides when not given
	duty      *frame.Choice                 // "" when not given
}

// NewTargetFlags sets the defaults: 195-265 V, 50 Hz, sealed, 35 degrees.
func NewTargetFlags() *TargetFlags {
	t := &TargetFlags{
		chemistry: &frame.Choice{Words: ChemistryWords},
		cells:     &frame.Whole{Low: 1, High: substitute.MostCells},
		volts:     &frame.Quantity[si.Voltage]{},
		current:   &frame.Quantity[si.Current]{},
		mains:     &frame.Mains{Value: si.Interval[si.Voltage]{Low: 195, High: 265}},
		line:      &frame.Quantity[si.Frequency]{Value: 50},
		enclosure: &frame.Choice{Words: caseWords, Word: "sealed"},
		ambient:   &frame.Quantity[si.Celsius]{Value: 35},
		box:       &frame.Box{},
		duty:      &frame.Choice{Words: dutyWords},
	}
	return t
}

// Flags returns the options that describe the wanted charger.
func (t *TargetFlags) Flags() []cli.Flag {
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

// given tells whether the call describes a charger at all.
func (t *TargetFlags) given(c *cli.Context) bool {
	return slices.ContainsFunc(t.Flags(), func(f cli.Flag) bool { return c.IsSet(f.Names()[0]) })
}

// check refuses a target that contradicts itself or lies outside what the model covers; the limits
// are those of substitute. With whole true the battery and the current must have been given; survey
// passes false.
func (t *TargetFlags) check(whole bool) error {
	switch {
	case whole && !t.chemistry.Given():
		return frame.WrongCall("--chemistry", "",
			"missing; say what is to be charged").Try("sparewright help targets")
	case t.cells.Given() && t.volts.Given():
		return frame.WrongCall("--volts", t.volts.Text,
			"--cells says the voltage already; give one of the two")
	case whole && !t.cells.Given() && !t.volts.Given():
		return frame.WrongCall("--cells", "",
			"missing; say how many cells in series, or the charge "+
				"voltage with --volts").
			Try("sparewright help targets")
	case whole && !t.current.Given():
		return frame.WrongCall("--current", "",
			"missing; say the charge current, such as 1A").Try("sparewright help targets")
	case t.duty.Given() && t.chemistry.Given() && t.chemistry.Word[:4] != "lead":
		return frame.WrongCall("--duty", t.duty.Word,
			"only lead-acid batteries know cyclic and float duty")
	}
	if t.volts.Given() && !(t.volts.Value > 0) {
		return frame.WrongCall("--volts", t.volts.Text, "must be above 0 V")
	}
	var err error
	if t.current.Given() {
		err = substitute.CheckCurrent(t.current.Value)
	}
	if err == nil {
		err = t.Conditions().CheckConditions()
	}
	return t.refused(err)
}
