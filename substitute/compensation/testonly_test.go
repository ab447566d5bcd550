package compensation

// What only tests ask for.

// Margins looks at every crossover and at every frequency at which the loop feeds back in step. By
// Nyquist a loop that is stable when open oscillates when its gain goes round -1: passes of the
// negative axis beyond -1, one way less the other.
func (l Loop) Margins(p Parts) Margins { return watch([]Loop{l}).margins(0, p) }

// Worst looks at a compensation in all corners.
func Worst(corners []Loop, p Parts) Margins { return watch(corners).worst(p) }
