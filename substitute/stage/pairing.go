package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
)

// FitClamp chooses the clamp of a design for its leakage.
func (j *Chooser) FitClamp(d *Design, reflected si.Voltage, g *Gist) {
	d.Clamp = j.ChooseClamp(*d, reflected, g)
}

// Better is the order among designs of one pair: smallest margin, then loss, then films, then
// turns.
func (m *Measured) Better(o *Measured) bool {
	if m.Margin != o.Margin {
		return m.Margin > o.Margin
	}
	if a, b := substitute.Milli(m.Loss.Total()), substitute.Milli(o.Loss.Total()); a != b {
		return a < b
	}
	if m.Gap.Layers != o.Gap.Layers {
		return m.Gap.Layers < o.Gap.Layers
	}
	if m.Np != o.Np {
		return m.Np < o.Np
	}
	if m.Ns != o.Ns {
		return m.Ns < o.Ns
	}
	return m.Gap.Shim < o.Gap.Shim
}

// Like reports that two designs of one switcher and core are the same for all that is judged.
func (m *Measured) Like(o *Measured) bool {
	a, b := &m.Clamp, &o.Clamp
	return m.Np == o.Np && m.Ns == o.Ns && m.Gap == o.Gap && m.Rect == o.Rect &&
		m.Plan.Barrier == o.Plan.Barrier && m.Plan.Split == o.Plan.Split &&
		a.Lowest == b.Lowest && a.Voltage == b.Voltage && a.Steady == b.Steady && a.Text == b.Text
}

// Ceiling is the highest voltage that the output reaches with nothing holding the converter: the
// drain clamp, seen through the transformer, ends it; at least the highest of the pack.
func (m *Measured) Ceiling(t substitute.Target) si.Voltage {
	return max(t.Absolute, si.Voltage(float64(m.ClampTop)*float64(m.Ns)/float64(m.Np))-m.Rect.Drop)
}
