package substitute

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// clampChoice is how the drain is held: a suppressor, or a resistor with a capacitor; both with a fast diode.
type clampChoice struct {
	tvs     *stock[catalog.Clamp]
	r       *stock[catalog.Resistor]
	lowest  si.Voltage           // at working load, cold
	highest si.Voltage           // breakdown of a suppressor at 25 C, upper tolerance
	dynamic si.Resistance        // of a suppressor
	voltage si.Voltage           // least that it can be at the highest current limit
	air     si.ThermalResistance // of a suppressor
	steady  si.Power
	text    string // what to buy when the drawer has neither
}

// clampParts lists suppressors for the drain, and resistors that can burn clamp power.
func (j *job) clampParts(d *drawer) {
	for i := range d.clamps {
		if p := d.clamps[i].part; p.Breakdown.Value >= 60 {
			c := suppressor(p)
			c.tvs = &d.clamps[i]
			j.suppressors = append(j.suppressors, c)
		}
	}
	for i := range d.resistors {
		p := d.resistors[i].part
		if !d.resistors[i].buy && p.Rating.Or(0) >= 1 && p.Resistance.Value >= 5e3 && p.Resistance.Value <= 1e6 && p.Type != "fusible" && p.Type != "shunt" {
			j.clampResistors = append(j.clampResistors, &d.resistors[i])
		}
	}
}

// clampsFor calls try with every clamp on hand, fitted to a design with a leakage; with the suppressor to buy when there is none.
func (j *job) clampsFor(d design, reflected si.Voltage, leak, primary si.Inductance, try func(clampChoice)) {
	peak, f := d.v.usable, d.v.frequency
	highest := d.v.limit.High + flyback.Overshoot(j.busMax, primary, d.v.delay)
	for _, c := range j.suppressors {
		c.voltage = c.top(leak, highest, f, reflected, max(25, j.coolest))
		try(c)
	}
	for _, r := range j.clampResistors {
		c := clampChoice{r: r, steady: r.part.Rating.Value / 2, lowest: flyback.ClampVoltage(leak, peak, f, r.part.Resistance.Value, reflected)}
		c.voltage = c.top(leak, highest, f, reflected, 25)
		try(c)
	}
	if len(j.suppressors) == 0 && len(j.clampResistors) == 0 {
		v := clampAbove * reflected * 1.06
		c := suppressor(catalog.Clamp{Breakdown: catalog.Of(v), Tolerance: catalog.Of(si.Ratio(0.05)), Steady: catalog.Of(si.Power(5)),
			Pulse: catalog.Of(si.Power(1500))})
		c.voltage = c.top(leak, highest, f, reflected, max(25, j.coolest))
		c.text = fmt.Sprintf("suppressor %.0f V 5 %%, 1500 W pulse, 5 W steady", float64(v))
		try(c)
	}
}

// soldSuppressor is a suppressor of the 1500 W family by its number, which says the nominal breakdown; suffix A is 5 %.
func soldSuppressor(name string) (catalog.Part, bool) {
	volts, is := strings.CutPrefix(strings.TrimSuffix(name, "A"), "1.5KE")
	v, err := strconv.ParseFloat(volts, 64)
	return catalog.Clamp{Named: catalog.Named{Name: name}, Breakdown: catalog.Of(si.Voltage(v)), Tolerance: catalog.Of(si.Ratio(0.05)),
		Steady: catalog.Of(si.Power(1.5)), Pulse: catalog.Of(si.Power(1500))}, is && err == nil && v > 0
}

// chooseClamp guesses the clamp that leaves most room towards breakdown, reflected voltage and its own power. The search does not
// rely on it: it measures all.
func (j *job) chooseClamp(d design, reflected si.Voltage, leak, primary si.Inductance) clampChoice {
	best, bestRoom := clampChoice{}, math.Inf(-1)
	j.clampsFor(d, reflected, leak, primary, func(c clampChoice) {
		room := min(most(chkDrain, j.busMax+c.voltage, d.v.breakdown).from(float64(j.busMax)).room(),
			least(chkClampAbove, c.lowest, clampAbove*reflected).room(),
			most(chkClampPower, c.burns(leak, d.v.usable, d.v.frequency, reflected), c.steady).room())
		if room > bestRoom {
			best, bestRoom = c, room
		}
	})
	return best
}
