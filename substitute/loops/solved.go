package loops

import (
	"slices"
	"sync"

	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation"
)

// solved keeps the compensations that were found. The loops of a design are asked for when it
// becomes the best, when all are held to what they must keep, and when it is written out; mostly
// nothing has changed in between.
type solved struct {
	mu  sync.Mutex
	all []solution
}

// solution is the compensation of one loop. What it depends on is its task, of which the cost is a
// function: that of the voltage loop follows from the control and from what takes the pack off;
// that of the current loop from what else is in the task.
type solution struct {
	control *control.Control
	unload  regulation.Unload
	task    compensation.Task
	compensation.Answer
	brief bool // that nothing on hand will do is all that is known
}

func (s *solution) of(c *control.Control, u regulation.Unload, t *compensation.Task) bool {
	return s.control == c && s.unload == u && slices.Equal(s.task.Corners, t.Corners) &&
		slices.Equal(s.task.Nominal, t.Nominal) &&
		s.task.OnHand.Equal(t.OnHand)
}

// design answers a task, from memory when it was asked before. In brief, nothing is said of a loop
// that no parts on hand keep steady.
func (k *solved) design(c *control.Control, u regulation.Unload, t compensation.Task,
	brief bool) compensation.Answer {
	if a, known := k.recall(c, u, &t, brief); known {
		return a
	}
	var a compensation.Answer
	if brief {
		a, _ = compensation.Find(t)
	} else {
		a = compensation.Design(t)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.all = append(k.all, solution{c, u, t, a, brief && !a.Steady})
	return a
}

func (k *solved) recall(c *control.Control, u regulation.Unload, t *compensation.Task,
	brief bool) (compensation.Answer, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for i := range k.all {
		if s := &k.all[i]; (brief || !s.brief) && s.of(c, u, t) {
			return s.Answer, true
		}
	}
	return compensation.Answer{}, false
}
