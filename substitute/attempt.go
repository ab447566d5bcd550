package substitute

// attempt is one search of a workbench for a target, with what writes its findings out.
type attempt struct {
	*job
	writer *writer
}

func newAttempt(w *Workbench, t Target) *attempt {
	j := newJob(w.partsBench, w.networkBench, t)
	a := &attempt{j, newWriter(newLooper(j.measurer, j.designer))}
	j.complete = a.complete
	return a
}

func (a *attempt) looper() *looper { return a.writer.looper }

// all is every pair of switcher and core with its best design, as far as its loops are steady.
func (a *attempt) all() (found []measured, refused []Refusal) {
	found, refused = a.pairs()
	return a.looper().steadyOnes(found, refused)
}

// complete reports that for a design no more is missing than for every build of the search, and that its loops are steady.
func (a *attempt) complete(m *measured) bool {
	b := a.assemble(m)
	return b.Score.Missing <= a.missing && steady(b.Regulation.Loops)
}

// assemble writes a design out.
func (a *attempt) assemble(m *measured) Build { return a.writer.assemble(m) }

// adapterBuilds tries every adapter of the drawer with our regulation in place of its own.
func (a *attempt) adapterBuilds() (builds []Build, refused []Refusal) {
	return newFitter(a.writer).adapterBuilds()
}
