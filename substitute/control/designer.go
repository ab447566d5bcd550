package control

import (
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
)

// Designer works out regulation networks for one target.
type Designer struct {
	*NetworkBench
	Target   substitute.Target
	controls map[si.Current]*Control
	loops    map[loopsKey]loopsAnswer
	Barred   []substitute.Refusal // of networks that were asked for
}

func NewDesigner(w *NetworkBench, t substitute.Target) *Designer {
	return &Designer{NetworkBench: w, Target: t, controls: map[si.Current]*Control{},
		loops: map[loopsKey]loopsAnswer{}}
}

// ControlFor designs the regulation network for a feedback current once; nil when there is none.
func (j *Designer) ControlFor(stop si.Current) *Control {
	if c, seen := j.controls[stop]; seen {
		return c
	}
	t := j.Target
	key := controlKey{t.Set, t.Empty, t.Absolute, t.BandLow, t.BandHigh, t.Current, stop}
	j.network.mu.Lock()
	a, seen := j.network.controls[key]
	j.network.mu.Unlock()
	if !seen {
		a.control, a.refusal, a.ok = j.regulate(j.Drawer, stop)
		j.network.mu.Lock()
		j.network.controls[key] = a
		j.network.mu.Unlock()
	}
	if !a.ok {
		if !slices.Contains(j.Barred, a.refusal) {
			j.Barred = append(j.Barred, a.refusal)
		}
		j.controls[stop] = nil
		return nil
	}
	j.controls[stop] = &a.control
	return &a.control
}

// CellLow is a cell of a strong new pack, in ohm; common practice, no source.
const CellLow = 5e-3

// Connection is a full pack of strong cells put on a charger whose output is a short.
func (j *Designer) Connection(c *Control) regulation.Connection {
	return regulation.Connection{Pack: j.Target.Absolute,
		Cells: CellLow * si.Resistance(j.Target.Cells), Leads: leadLeast,
		Shunt: c.Current.Shunt.Ohm}
}

// connectGauge holds the input of the amplifier at the far end of the shunt, the output capacitor
// being taken for a short.
func (j *Designer) connectGauge(c *Control) substitute.Gauge {
	k := j.Connection(c)
	return substitute.Most(substitute.ChkConnectInput, k.InputCurrent(j.InputOhm()), inputBears)
}
