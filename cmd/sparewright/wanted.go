package main

import (
	"errors"

	"sparewright/substitute"
)

// conditions turns the options that describe the mains and the housing into a target without a
// battery, as survey wants it.
func (t *targetFlags) conditions() substitute.Target {
	out := substitute.Target{MainsMin: t.mains.value.Low, MainsMax: t.mains.value.High,
		Line: t.line.value,
		Case: substitute.Case(t.enclosure.word), Ambient: t.ambient.value}
	if t.box.given() {
		out.Box = &substitute.Box{Length: t.box.sides[0], Width: t.box.sides[1],
			Height: t.box.sides[2]}
	}
	return out
}

// target checks the options and turns them into the wanted charger with the voltages of its pack.
func (t *targetFlags) target() (substitute.Target, error) {
	if err := t.check(true); err != nil {
		return substitute.Target{}, err
	}
	wanted := t.conditions()
	wanted.Chemistry, wanted.Duty, wanted.Cells, wanted.Current = t.chemistry.word, t.duty.word,
		t.cells.value, t.current.value
	resolved, err := wanted.Resolve(t.volts.value)
	return resolved, t.refused(err)
}

// refused words a fault of the target as a wrong call, with the text that was typed.
func (t *targetFlags) refused(err error) error {
	return faultOfCall(err, map[string]string{"volts": t.volts.text, "current": t.current.text,
		"mains": t.mains.text,
		"line":  t.line.text, "ambient": t.ambient.text, "box": t.box.text, "cells": t.cells.text})
}

// faultOfCall words a fault of a target as a wrong call; typed has the texts of the options by
// their names.
func faultOfCall(err error, typed map[string]string) error {
	var fault substitute.TargetFault
	if !errors.As(err, &fault) {
		return err
	}
	return wrongCall("--"+fault.Option, or(typed[fault.Option], fault.Given),
		fault.Why).try("sparewright help targets")
}
