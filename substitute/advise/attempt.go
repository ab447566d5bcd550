package advise

import (
	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/bill"
	"sparewright/substitute/loops"
	"sparewright/substitute/search"
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
	j.Complete = a.complete
	return a
}

func (a *Attempt) Looper() *loops.Looper { return a.writer.Looper }

// All is every pair of switcher and core with its best design, as far as its loops are steady.
func (a *Attempt) All() (found []stage.Measured, refused []substitute.Refusal) {
	found, refused = a.Pairs()
	return a.Looper().SteadyOnes(found, refused)
}

// Builds is All written out. A design of which a hard limit fails once its last parts are chosen is no
// build: nothing that breaks a limit is ever called feasible.
func (a *Attempt) Builds() (builds []substitute.Build, refused []substitute.Refusal) {
	found, refused := a.All()
	for i := range found {
		b := a.Assemble(&found[i])
		if why, broken := substitute.Broken(&b); broken {
			refused = append(refused, why)
			continue
		}
		builds = append(builds, b)
	}
	return builds, refused
}

// complete reports that for a design no more is missing than for every build of the search, and
// that its loops are steady.
func (a *Attempt) complete(m *stage.Measured) bool {
	b := a.Assemble(m)
	_, broken := substitute.Broken(&b)
	return !broken && b.Score.Missing <= a.Missing && loops.Steady(b.Regulation.Loops)
}

// Assemble writes a design out.
func (a *Attempt) Assemble(m *stage.Measured) substitute.Build { return a.writer.Assemble(m) }

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
