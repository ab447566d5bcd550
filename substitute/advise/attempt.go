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

// complete reports that for a design no more is missing than for every build of the search, and
// that its loops are steady.
func (a *Attempt) complete(m *stage.Measured) bool {
	b := a.Assemble(m)
	return b.Score.Missing <= a.Missing && loops.Steady(b.Regulation.Loops)
}

// Assemble writes a design out.
func (a *Attempt) Assemble(m *stage.Measured) substitute.Build { return a.writer.Assemble(m) }

// adapterBuilds tries every adapter of the drawer with our regulation in place of its own.
func (a *Attempt) adapterBuilds() (builds []substitute.Build, refused []substitute.Refusal) {
	return adapter.NewFitter(a.writer).AdapterBuilds()
}
