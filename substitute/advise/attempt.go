package advise

import (
	"slices"

	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/bill"
	"sparewright/substitute/loops"
	"sparewright/substitute/search"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
)

// Attempt is one search of a workbench for a target, with what writes its findings out.
type Attempt struct {
	*search.Job
	writer *bill.Writer
}

func NewAttempt(w *Workbench, t substitute.Target) *Attempt {
	j := search.NewJob(w.PartsBench, w.NetworkBench, t)
	a := &Attempt{j, bill.NewWriter(loops.NewLooper(j.Measurer, j.Designer))}
	j.Judge = a.judge
	return a
}

func (a *Attempt) Looper() *loops.Looper { return a.writer.Looper }

// Builds is every pair of switcher and core with its best design, written out.
func (a *Attempt) Builds() (builds []substitute.Build, refused []substitute.Refusal) {
	found, refused := a.Pairs()
	for i := range found {
		builds = append(builds, a.Assemble(&found[i]))
	}
	return builds, refused
}

// judge refuses a design whose loops may oscillate or that breaks a hard limit once its last parts
// are chosen: nothing that does so is ever called feasible.
func (a *Attempt) judge(m *stage.Measured, brief bool) search.Verdict {
	if brief && !a.Looper().Stands(m) {
		return search.Verdict{Refusal: substitute.Refusal{
			Check: substitute.CheckNames[substitute.ChkPhaseVoltage].Name}}
	}
	if why, sways := a.Looper().Sways(m); sways {
		return search.Verdict{Refusal: why}
	}
	f := a.writer.Finish(m)
	if why, broken := f.Broken(); broken {
		v := search.Verdict{Refusal: why}
		if slices.Contains(ofCeiling, why.Check) {
			v.Ceiling = m.Ceiling(a.Target)
		}
		return v
	}
	v := search.Verdict{Missing: f.Score().Missing, Margin: f.Score().Margin}
	for _, u := range f.ToBuy() {
		switch {
		case u.Role == seats.PackSwitch && a.writer.NoSwitch():
		case u.Role == seats.GuardLEDResistor || u.Role == seats.PackSwitch:
			v.Ceiling = m.Ceiling(a.Target)
			v.Open++
		case u.Role.ByTurns():
			v.Open++
		}
	}
	return v
}

// ofCeiling are the checks of the protection that only a lower ceiling of the output betters.
var ofCeiling = []string{substitute.CheckNames[substitute.ChkGuardLED].Name,
	substitute.CheckNames[substitute.ChkSwitchOpen].Name}

// Assemble writes a design out.
func (a *Attempt) Assemble(m *stage.Measured) substitute.Build {
	f := a.writer.Finish(m)
	return f.Build()
}

// adapterBuilds tries every adapter of the drawer with our regulation in place of its own.
func (a *Attempt) adapterBuilds() (builds []substitute.Build, refused []substitute.Refusal) {
	all, refused := adapter.NewFitter(a.writer).AdapterBuilds()
	for i := range all {
		if why, broken := substitute.Broken(&all[i]); broken {
			refused = append(refused, why)
			continue
		}
		builds = append(builds, all[i])
	}
	return builds, refused
}
