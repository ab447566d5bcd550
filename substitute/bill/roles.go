package bill

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// fill enters every part of a complete charger that the search did not choose by itself, mains inlet first.
// It returns the Y capacitor, zero when the drawer has none.
func (j *Writer) fill(b *stock.Basket, m *stage.Measured) catalog.Capacitor {
	d := j.Drawer
	j.takeFuse(b, d, m)
	stock.Pick(b, seats.InrushLimiter, d.Ntcs, 1, func(p catalog.Thermistor) bool {
		return p.Cold.Value >= 3 && p.Cold.Value <= 35 && p.Current.Or(1) >= si.Current(1.5*float64(m.Input)/float64(j.Target.MainsMin)/0.55)
	}, func(p catalog.Thermistor) float64 { return math.Abs(float64(p.Cold.Value) - 10) }, "inrush limiter 10 ohm, 1 A")
	j.takeX(b, d)
	stock.Pick(b, seats.MainsChoke, d.Chokes, 1, func(p catalog.Choke) bool {
		return p.Use == "common-mode" && p.Inductance.Value >= 2e-3 && p.Current.Value >= si.Current(1.5*float64(m.Input)/float64(j.Target.MainsMin)/0.55)
	}, func(p catalog.Choke) float64 { return math.Abs(float64(p.Inductance.Value) - 15e-3) }, "common-mode choke 10 mH")
	if j.BridgeStock != nil {
		stock.Take(b, seats.Bridge, *j.BridgeStock, 1)
	} else {
		b.Buy(seats.Bridge, "bridge 1 A 1000 V", 1, "piece", "bridge of 600 V or more, 1 A or more")
	}
	j.takeSet(b, seats.BulkCapacitor, j.Bulk)
	j.takeBleed(b)
	j.takeClamp(b, d, m)
	j.takeChipParts(b, d, m)
	stock.Take(b, seats.OutputRectifier, *m.Rect.Stock, 1)
	j.takeSet(b, seats.OutputCapacitor, j.Output)
	j.TakeOutputFuse(b)
	y, _ := stock.Pick(b, seats.YCapacitor, d.Capacitors, 1, func(p catalog.Capacitor) bool {
		return p.Safety == "Y1" && stage.TouchCurrent(j.Target, p.Capacitance.Value, p.Tolerance) <= stage.TouchLimit
	}, func(p catalog.Capacitor) float64 { return -float64(p.Capacitance.Value) }, "Y1 capacitor 1 nF 250 V ac")
	return y
}

// TakeOutputFuse picks the smallest fuse that carries the charging current with a quarter to spare.
func (j *Writer) TakeOutputFuse(b *stock.Basket) {
	fuse, ok := stock.Pick(b, seats.OutputFuse, j.Drawer.Fuses, 1, func(p catalog.Fuse) bool {
		return p.Current.Value >= 1.25*j.Target.Current && p.Current.Value <= max(1, 4*j.Target.Current)
	}, func(p catalog.Fuse) float64 { return float64(p.Current.Value) }, fmt.Sprintf("fuse %s A", stage.FuseFor(1.25*float64(j.Target.Current))))
	if !ok {
		fuse.Current.Value = j.Target.Current * 1.6
	}
	j.TakePackDiode(b, fuse)
}

func (j *Writer) takeSet(b *stock.Basket, role seats.ID, s stock.CapacitorSet) {
	if s.Stock != nil {
		stock.Take(b, role, *s.Stock, float64(s.N))
		return
	}
	b.Buy(role, s.Text, float64(s.N), "piece", s.Text)
}

// takeFuse picks the smallest time-lag fuse that carries twice the mains current; high breaking capacity first.
func (j *Writer) takeFuse(b *stock.Basket, d *stock.Drawer, m *stage.Measured) {
	mains := float64(m.Input) / float64(j.Target.MainsMin) / 0.55 // power factor of a capacitor-input rectifier, from memory
	stock.Pick(b, seats.MainsFuse, d.Fuses, 1, func(p catalog.Fuse) bool {
		return float64(p.Current.Value) >= 2*mains && float64(p.Current.Value) <= max(2, 10*mains) && p.Volts.Or(250) >= j.Target.MainsMax-15 &&
			p.Speed != "fast"
	}, func(p catalog.Fuse) float64 {
		s := float64(p.Current.Value)
		if p.Breaking.Or(35) < 100 {
			s += 10
		}
		return s
	}, fmt.Sprintf("fuse T %s A 250 V, high breaking capacity", stage.FuseFor(2*mains)))
}

func (j *Writer) takeBleed(b *stock.Basket) {
	if j.BleedStock != nil {
		stock.Take(b, seats.BulkBleed, *j.BleedStock, 2)
		return
	}
	each := j.Bleed / 2
	watts := float64(j.BusMax) * float64(j.BusMax) / 4 / float64(each)
	b.Buy(seats.BulkBleed, fmt.Sprintf("resistor %s %.1f W 350 V", si.RKM(catalog.Nearest(each*0.95, "E12")), max(0.5, math.Ceil(watts*20)/10)),
		2, "piece", "two equal ones in series; fewer ohms empty it faster but run hotter")
}

func (j *Writer) takeClamp(b *stock.Basket, d *stock.Drawer, m *stage.Measured) {
	c := m.Clamp
	switch {
	case c.Tvs != nil:
		stock.Take(b, seats.DrainClamp, *c.Tvs, 1)
	case c.R != nil:
		stock.Take(b, seats.ClampResistor, *c.R, 1)
		least := 10 / (float64(c.R.Part.Resistance.Value) * float64(m.V.Frequency))
		volts := 1.5 * float64(c.Voltage)
		stock.Pick(b, seats.ClampCapacitor, d.Capacitors, 1, func(p catalog.Capacitor) bool {
			return (p.Dielectric == "film" || p.Dielectric == "ceramic") && p.Safety == "" && float64(p.Volts.Value) >= volts &&
				float64(p.Capacitance.Value) >= least && p.Capacitance.Value <= 47e-9
		}, func(p catalog.Capacitor) float64 { return float64(p.Capacitance.Value) },
			fmt.Sprintf("film or ceramic capacitor, %.2g nF or more, %.0f V", least/si.Nano, math.Ceil(volts/100)*100))
	default:
		b.Buy(seats.DrainClamp, c.Text, 1, "piece", c.Text)
	}
	stock.Pick(b, seats.ClampDiode, d.Rectifiers, 1, func(p catalog.Rectifier) bool {
		return p.Reverse.Value >= max(600, 1.2*(j.BusMax+c.Voltage)) && p.Technology != "standard" && p.Recovery.Or(500e-9) <= 500e-9 && p.Average.Value >= 0.5
	}, func(p catalog.Rectifier) float64 { return float64(p.Recovery.Or(500e-9)) }, "ultrafast diode 1 A 1000 V")
}

// takeChipParts takes what the switcher needs around it: its sense resistor, bias rectifier and supply capacitor.
func (j *Writer) takeChipParts(b *stock.Basket, d *stock.Drawer, m *stage.Measured) {
	stock.Take(b, seats.Switcher, *m.V.Stock, 1)
	if m.V.Sense != nil {
		stock.Take(b, seats.LimitResistor, *m.V.Sense, 1)
	}
	if m.Nb > 0 {
		reverse := float64(m.Bias.High) + float64(j.BusMax)*float64(m.Nb)/float64(m.Np)
		stock.Pick(b, seats.BiasRectifier, d.Rectifiers, 1, func(p catalog.Rectifier) bool {
			return float64(p.Reverse.Value)*stage.ReverseUse >= reverse && p.Technology != "standard" && p.Average.Value >= 0.1 && p.Average.Value <= 3
		}, func(p catalog.Rectifier) float64 { return float64(p.Average.Value) }, fmt.Sprintf("fast diode 0.2 A, %.0f V", math.Ceil(reverse/stage.ReverseUse/50)*50))
	}
	volts := si.Voltage(25)
	if m.Nb > 0 {
		volts = m.Bias.High * stage.BiasSpike * 1.1
	}
	supply := func(role seats.ID) {
		stock.Pick(b, role, d.Capacitors, 1, func(p catalog.Capacitor) bool {
			return p.Dielectric == "electrolytic" && p.Volts.Value >= volts && p.Volts.Value <= 100 && p.Capacitance.Value >= 8e-6 &&
				p.Capacitance.Value <= 50e-6
		}, func(p catalog.Capacitor) float64 { return math.Abs(float64(p.Capacitance.Value) - loops.ChipStore) },
			fmt.Sprintf("electrolytic 22 uF %.0f V", math.Ceil(float64(volts)/10)*10))
	}
	supply(seats.ChipSupply)
	j.takeStart(b, d, m)
	if m.V.Stock.Part.Feedback == "feeds-control" { // the optocoupler feeds the pin from behind the bias rectifier
		supply(seats.BiasCapacitor)
	}
}

// takeStart takes what charges the supply capacitor of a chip that has no source for it inside: two equal resistors in series
// from bulk +, which at the crest of the lowest mains carry startSpare times what the chip takes before it starts. Each stands
// half the bus voltage and twice its power.
func (j *Writer) takeStart(b *stock.Basket, d *stock.Drawer, m *stage.Measured) {
	part := m.V.Stock.Part
	if part.Start != "resistor" {
		return
	}
	most := float64(stage.MostStart(flyback.BusPeak(j.Target.MainsMin, j.BridgeDrop), part.StartCurrent.Value))
	half := float64(j.BusMax) / 2
	stock.Pick(b, seats.StartResistor, d.Resistors, 2, func(p catalog.Resistor) bool {
		r := float64(p.Resistance.Value)
		return r <= most && r >= most/stage.StartRange && float64(p.Volts.Or(200)) >= half && half*half/r <= 0.5*float64(p.Rating.Or(0.25)) && p.Type != "fusible"
	}, func(p catalog.Resistor) float64 { return -float64(p.Resistance.Value) },
		fmt.Sprintf("resistor %s %.1f W 350 V", si.RKM(catalog.Nearest(si.Resistance(most*0.85), "E12")), max(0.5, math.Ceil(half*half/most/0.85*20)/10)))
}
