package stage

import (
	"fmt"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// ClampChoice is how the drain is held: a suppressor, or a resistor with a capacitor; both with a
// fast diode.
type ClampChoice struct {
	Tvs     *stock.Stock[catalog.Clamp]
	R       *stock.Stock[catalog.Resistor]
	Lowest  si.Voltage           // at working load, cold
	highest si.Voltage           // breakdown of a suppressor at 25 C, upper tolerance
	dynamic si.Resistance        // of a suppressor
	Voltage si.Voltage           // least that it can be at the highest current limit
	drift   float64              // of the breakdown of a suppressor, 1/K
	air     si.ThermalResistance // of a suppressor
	hottest si.Celsius           // junction of a suppressor
	Steady  si.Power
	Text    string // what to buy when the drawer has neither
}

// clampParts lists suppressors for the drain, and resistors that can burn clamp power.
func (j *Frame) clampParts(d *stock.Drawer) {
	asked := Asked(j.Target, j.BusMax)
	holds, burns := stock.Suits[catalog.Clamp](seats.DrainClamp, &asked),
		stock.Suits[catalog.Resistor](seats.ClampResistor, &asked)
	for i := range d.Clamps {
		if holds(&d.Clamps[i]) {
			c := suppressor(d.Clamps[i].Part)
			c.Tvs = &d.Clamps[i]
			j.suppressors = append(j.suppressors, c)
		}
	}
	for i := range d.Resistors {
		if !d.Resistors[i].Buy && burns(&d.Resistors[i]) {
			j.clampResistors = append(j.clampResistors, &d.Resistors[i])
		}
	}
	keeps := stock.Suits[catalog.Capacitor](seats.ClampCapacitor, &seats.Circuit{})
	for i := range d.Capacitors {
		if keeps(&d.Capacitors[i]) {
			j.clampStores = append(j.clampStores, d.Capacitors[i].Part)
		}
	}
}

// ClampPeriods is how many time constants of a clamp resistor with its capacitor a period is short
// of: what it stores barely falls from pulse to pulse (common practice, no source).
const ClampPeriods = 10

// stored reports that the drawer holds the capacitor that a resistor clamp needs. One that is to be
// bought must not displace a suppressor on hand.
func (j *Frame) stored(c *ClampChoice, f si.Frequency) bool {
	least := ClampPeriods / (float64(c.R.Part.Resistance.Value) * float64(f))
	return slices.ContainsFunc(j.clampStores, func(p catalog.Capacitor) bool {
		return float64(p.Capacitance.Value) >= least &&
			p.Volts.Value >= seats.ClampStoreSpare*c.Voltage
	})
}

// ClampsFor calls try with every clamp on hand, fitted to a design wound in a way; with the
// suppressor to buy when there is none.
func (j *Chooser) ClampsFor(d Design, reflected si.Voltage, g *Gist, try func(ClampChoice)) {
	primary := d.Primary(d.Gap.Al)
	leak := max(g.Leakage, LeastLeakage*primary)
	most := g.leakHigh(primary, leak, d.Donor)
	highest := j.highestPeak(&d)
	for _, c := range j.suppressors {
		c.Voltage = c.top(most, highest, d.V.Freq.High, reflected, max(25, j.Coolest))
		try(c)
	}
	for _, r := range j.clampResistors {
		c := ClampChoice{R: r, Steady: r.Part.Rating.Value / 2,
			Lowest: flyback.ClampVoltage(leak, d.V.Usable, d.V.Frequency,
				r.Part.Resistance.Value, reflected)}
		c.Voltage = c.top(most, highest, d.V.Freq.High, reflected, 25)
		if len(j.suppressors) == 0 || j.stored(&c, d.V.Frequency) {
			try(c)
		}
	}
	if len(j.suppressors) == 0 && len(j.clampResistors) == 0 {
		v := ClampAbove * reflected * 1.06
		bought := complete.DrainSuppressor(catalog.Of(v), catalog.Of(si.Power(1500)))
		bought.Steady = catalog.Of(si.Power(5))
		c := suppressor(bought)
		c.Voltage = c.top(most, highest, d.V.Freq.High, reflected, max(25, j.Coolest))
		c.Text = fmt.Sprintf("suppressor %.0f V 5 %%, 1500 W pulse, 5 W steady", float64(v))
		try(c)
	}
}

// Burns is a lower bound of what the clamp of a design burns while no pulse is shorter than peak
// and no fewer than f come a second.
func (d *Design) Burns(g *Gist, peak si.Current, f si.Frequency, reflected si.Voltage) si.Power {
	primary := d.Primary(d.Gap.Al)
	return d.Clamp.burns(g.leakHigh(primary, max(g.Leakage, LeastLeakage*primary), d.Donor),
		peak, f, reflected)
}

// SuppressorBand is the voltage above the bus at which a suppressor holds a drain: lowest cold at
// working load, highest at a peak current with the suppressor as hot as it may be. It is for a
// suppressor in an adapter whose leakage nobody read, so that what it burns is not known; otherwise
// the rule is that of a stage.
func SuppressorBand(p catalog.Clamp, peak si.Current) (low, high si.Voltage) {
	c := suppressor(p)
	return c.Lowest, c.top(0, peak, 0, 0, c.hottest)
}

// ChooseClamp guesses the clamp that leaves most margin towards breakdown, reflected voltage and
// its own power. The search does not rely on it: it measures all.
func (j *Chooser) ChooseClamp(d Design, reflected si.Voltage, g *Gist) ClampChoice {
	best, bestMargin := ClampChoice{}, math.Inf(-1)
	leak := max(g.Leakage, LeastLeakage*d.Primary(d.Gap.Al))
	j.ClampsFor(d, reflected, g, func(c ClampChoice) {
		margin := min(substitute.Most(substitute.ChkDrain, j.BusMax+c.Voltage,
			d.V.Breakdown).From(float64(j.BusMax)).Margin(),
			substitute.Least(substitute.ChkClampAbove, c.Lowest, ClampAbove*reflected).Margin(),
			substitute.Most(substitute.ChkClampPower,
				c.burns(leak, d.V.Usable, d.V.Frequency, reflected), c.Steady).Margin())
		if margin > bestMargin {
			best, bestMargin = c, margin
		}
	})
	return best
}

// clampSpike is in V: forward recovery of the clamp diode and stray inductance, 10 to 20 V (from
// memory).
const clampSpike = 13.0

// suppressor is the part of a clampChoice for one of the drawer or to be bought.
func suppressor(p catalog.Clamp) ClampChoice {
	tol := 1 + float64(p.Tolerance.Value)
	high := p.Breakdown.Value * si.Voltage(tol)
	c := ClampChoice{Lowest: p.Breakdown.Value / si.Voltage(tol), highest: high,
		drift:   float64(p.Drift.Value),
		dynamic: p.Resistance.Value, air: p.JunctionAir.Value, hottest: p.JunctionMax.Value}
	c.Steady = p.Steady.Value * 0.8
	return c
}

// top is the voltage above the bus at a peak current, the suppressor at a temperature.
func (c *ClampChoice) top(leak si.Inductance, peak si.Current, f si.Frequency, reflected si.Voltage,
	hot si.Celsius) si.Voltage {
	if c.R != nil {
		return flyback.ClampVoltage(leak, peak, f, c.R.Part.Resistance.Value, reflected) +
			clampSpike
	}
	return flyback.SuppressorVoltage(c.highest, c.drift, hot, c.dynamic, peak) + clampSpike
}

// burns is what the clamp burns with a leakage, a peak and so many pulses a second.
func (c *ClampChoice) burns(leak si.Inductance, peak si.Current, f si.Frequency,
	reflected si.Voltage) si.Power {
	if c.R != nil {
		v := float64(flyback.ClampVoltage(leak, peak, f, c.R.Part.Resistance.Value, reflected))
		return si.Power(v * v / float64(c.R.Part.Resistance.Value))
	}
	return flyback.ClampLoss(leak, peak, f, c.Lowest, reflected)
}
