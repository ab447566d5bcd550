package substitute

import (
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// designer works out regulation networks for one target.
type designer struct {
	*networkBench
	target   Target
	controls map[si.Current]*control
	loops    map[int]loopsAnswer
	barred   []Refusal // of networks that were asked for
}

func newDesigner(w *networkBench, t Target) *designer {
	return &designer{networkBench: w, target: t, controls: map[si.Current]*control{}, loops: map[int]loopsAnswer{}}
}

// controlFor designs the regulation network for a feedback current once; nil when there is none.
func (j *designer) controlFor(stop si.Current) *control {
	if c, seen := j.controls[stop]; seen {
		return c
	}
	t := j.target
	key := controlKey{t.Set, t.Empty, t.Absolute, t.BandLow, t.BandHigh, t.Current, stop}
	j.network.mu.Lock()
	a, seen := j.network.controls[key]
	j.network.mu.Unlock()
	if !seen {
		a.control, a.refusal, a.ok = j.regulate(j.drawer, stop)
		j.network.mu.Lock()
		j.network.controls[key] = a
		j.network.mu.Unlock()
	}
	if !a.ok {
		if !slices.Contains(j.barred, a.refusal) {
			j.barred = append(j.barred, a.refusal)
		}
		j.controls[stop] = nil
		return nil
	}
	j.controls[stop] = &a.control
	return &a.control
}

// cellLow is a cell of a strong new pack, in ohm; common practice, no source.
const cellLow = 5e-3

// connection is a full pack of strong cells put on a charger whose output is a short.
func (j *designer) connection(c *control) regulation.Connection {
	return regulation.Connection{Pack: j.target.Absolute, Cells: cellLow * si.Resistance(j.target.Cells), Leads: leadLeast,
		Shunt: c.current.Shunt.Ohm}
}

// connectGauge holds the input of the amplifier at the far end of the shunt, the output capacitor being taken for a short.
func (j *designer) connectGauge(c *control) gauge {
	k := j.connection(c)
	return most(chkConnectInput, k.InputCurrent(j.inputOhm()), inputBears)
}
