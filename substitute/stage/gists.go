package stage

// gistsKept bounds the memory of ways to wind: some 40 MB.
const gistsKept = 200_000

// Gists returns what the bounds need of the ways to wind, from memory when another target already
// asked. The ways themselves are laid again for the few that stand the bounds.
func (w *PartsBench) Gists(c *BareCore, k planKey) []Gist {
	w.winding.mu.Lock()
	g, seen := w.winding.gists[k]
	w.winding.mu.Unlock()
	if seen {
		return g
	}
	plans := w.Shop.Plans(c, k)
	w.winding.mu.Lock()
	defer w.winding.mu.Unlock()
	return w.winding.keep(k, plans)
}

// keep notes the gists of plans in blocks, which cost the collector of garbage less than a slice
// for each.
func (m *windingMemory) keep(k planKey, plans []Plan) []Gist {
	const block = 4096
	if len(m.gists) >= gistsKept {
		clear(m.gists) // what is needed again is computed again
		m.block = nil
	}
	if cap(m.block)-len(m.block) < len(plans) {
		m.block = make([]Gist, 0, block)
	}
	from := len(m.block)
	for i := range plans {
		m.block = append(m.block, plans[i].Gist)
	}
	m.gists[k] = m.block[from:len(m.block):len(m.block)]
	return m.gists[k]
}
