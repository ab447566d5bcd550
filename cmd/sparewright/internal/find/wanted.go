package find

import (
	"errors"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute"
)

// Conditions turns the options that describe the mains and the housing into a target without a
// battery, as survey wants it.
func (t *TargetFlags) Conditions() substitute.Target {
	out := substitute.Target{MainsMin: t.mains.Value.Low, MainsMax: t.mains.Value.High,
		Line: t.line.Value,
		Case: substitute.Case(t.enclosure.Word), Ambient: t.ambient.Value}
	if t.box.Given() {
		out.Box = &substitute.Box{Length: t.box.Sides[0], Width: t.box.Sides[1],
			Height: t.box.Sides[2]}
	}
	return out
}

// Target checks the options and turns them into the wanted charger with the voltages of its pack.
func (t *TargetFlags) Target() (substitute.Target, error) {
	if err := t.check(true); err != nil {
		return substitute.Target{}, err
	}
	wanted := t.Conditions()
	wanted.Chemistry, wanted.Duty, wanted.Cells, wanted.Current = t.chemistry.Word, t.duty.Word,
		t.cells.Value, t.current.Value
	resolved, err := wanted.Resolve(t.volts.Value)
	return resolved, t.refused(err)
}

// refused words a fault of the target as a wrong call, with the text that was typed.
func (t *TargetFlags) refused(err error) error {
	return faultOfCall(err, map[string]string{"volts": t.volts.Text, "current": t.current.Text,
		"mains": t.mains.Text,
		"line":  t.line.Text, "ambient": t.ambient.Text, "box": t.box.Text, "cells": t.cells.Text})
}

// faultOfCall words a fault of a target as a wrong call; typed has the texts of the options by
// their names.
func faultOfCall(err error, typed map[string]string) error {
	var fault substitute.TargetFault
	if !errors.As(err, &fault) {
		return err
	}
	return frame.WrongCall("--"+fault.Option, frame.Or(typed[fault.Option], fault.Given),
		fault.Why).Try("sparewright help targets")
}
