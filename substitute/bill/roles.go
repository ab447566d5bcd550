package bill

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// taking takes from the drawer what the places of a build need.
type taking struct{ *Writer }

// circuit is what a measured design asks of the seats that the search does not fill by itself.
func (j taking) circuit(m *stage.Measured, l substitute.LoopChoice) *seats.Circuit {
	c := j.Circuit()
	c.Mains = stage.MainsCurrent(m.Input, j.Target)
	c.BleedMost = j.Bleed / 2
	c.Clamp = m.Clamp.Voltage
	if r := m.Clamp.R; r != nil {
		ohm := float64(r.Part.Resistance.Value)
		c.ClampPeriods = si.Capacitance(stage.ClampPeriods / (ohm * float64(m.V.Frequency)))
	}
	c.ChipVolts, c.ChipStore = 25, max(loops.ChipStore, l.ChipStore)
	if m.Nb > 0 {
		reverse := float64(m.Bias.High) + float64(j.BusMax)*float64(m.Nb)/float64(m.Np)
		c.BiasReverse = si.Voltage(reverse / stage.ReverseUse)
		c.ChipVolts = m.Bias.High * stage.BiasSpike * 1.1
	}
	if m.V.Supply.Start == "resistor" {
		crest := flyback.BusPeak(j.Target.MainsMin, j.BridgeDrop)
		c.StartMost = stage.MostStart(crest, m.V.Supply.StartCurrent)
	}
	return &c
}

// fill enters every part of a complete charger that the search did not choose by itself, mains
// inlet first. It returns the Y capacitor, zero when the drawer has none.
func (j taking) fill(b *stock.Basket, m *stage.Measured,
	l substitute.LoopChoice) catalog.Capacitor {
	d, c := j.Drawer, j.circuit(m, l)
	stock.Fill(b, seats.MainsFuse, d.Fuses, c)
	stock.Fill(b, seats.InrushLimiter, d.Ntcs, c)
	j.takeX(b, c)
	stock.Fill(b, seats.MainsChoke, d.Chokes, c)
	takeOr(b, seats.Bridge, j.BridgeStock, c)
	j.takeSet(b, seats.BulkCapacitor, j.Bulk)
	takeOr(b, seats.BulkBleed, j.BleedStock, c)
	j.takeClamp(b, m, c)
	j.takeChipParts(b, m, c)
	stock.Take(b, seats.OutputRectifier, *m.Rect.Stock, 1)
	j.takeSet(b, seats.OutputCapacitor, j.Output)
	j.TakeOutputFuse(b)
	y, _ := stock.Fill(b, seats.YCapacitor, d.Capacitors, c)
	return y
}

// takeOr takes what the search settled for a seat, or enters what to buy.
func takeOr[P catalog.Part](b *stock.Basket, id seats.ID, s *stock.Stock[P], c *seats.Circuit) {
	if s == nil {
		b.BuyFor(id, c)
		return
	}
	stock.Take(b, id, *s, float64(id.Pieces()))
}

// TakeOutputFuse takes the fuse at the output, and a diode there that outlasts it.
func (j *Writer) TakeOutputFuse(b *stock.Basket) {
	c := j.Circuit()
	fuse, ok := stock.Fill(b, seats.OutputFuse, j.Drawer.Fuses, &c)
	if !ok {
		fuse.Current.Value = j.Target.Current * 1.6
	}
	j.TakePackDiode(b, fuse)
}

func (j taking) takeSet(b *stock.Basket, role seats.ID, s stock.CapacitorSet) {
	if s.Stock != nil {
		stock.Take(b, role, *s.Stock, float64(s.N))
		return
	}
	b.Buy(role, s.Text, float64(s.N), "piece", s.Text)
}

func (j taking) takeClamp(b *stock.Basket, m *stage.Measured, c *seats.Circuit) {
	switch held := m.Clamp; {
	case held.Tvs != nil:
		stock.Take(b, seats.DrainClamp, *held.Tvs, 1)
	case held.R != nil:
		stock.Take(b, seats.ClampResistor, *held.R, 1)
		stock.Fill(b, seats.ClampCapacitor, j.Drawer.Capacitors, c)
	default:
		b.Buy(seats.DrainClamp, held.Text, 1, "piece", held.Text)
	}
	stock.Fill(b, seats.ClampDiode, j.Drawer.Rectifiers, c)
}

// takeChipParts takes what the switcher needs around it: its sense resistor, bias rectifier, supply
// capacitor, and two equal resistors in series from bulk + that charge it where the chip has no
// source for that inside. At the crest of the lowest mains they carry startSpare times what the
// chip takes before it starts.
func (j taking) takeChipParts(b *stock.Basket, m *stage.Measured, c *seats.Circuit) {
	d := j.Drawer
	stock.Take(b, seats.Switcher, *m.V.Stock, 1)
	if m.V.Sense != nil {
		stock.Take(b, seats.LimitResistor, *m.V.Sense, 1)
	}
	if m.Nb > 0 {
		stock.Fill(b, seats.BiasRectifier, d.Rectifiers, c)
	}
	j.takeStore(b, m, *c)
	if m.V.Supply.Start == "resistor" {
		stock.Fill(b, seats.StartResistor, d.Resistors, c)
	}
	// the optocoupler feeds the pin from behind the bias rectifier
	if m.V.Feedback.Kind == "feeds-control" {
		stock.Fill(b, seats.BiasCapacitor, d.Capacitors, c)
	}
}

// takeStore takes the capacitor at the supply pin, the nearest to that with which the chip outlasts
// a fall of OUT.
func (j taking) takeStore(b *stock.Basket, m *stage.Measured, c seats.Circuit) {
	m.Store = loops.ChipStore
	if p, ok := stock.Fill(b, seats.ChipSupply, j.Drawer.Capacitors, &c); ok {
		m.Store = p.Capacitance.Value
	}
}
