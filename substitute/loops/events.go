package loops

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Practice of what happens to a charger beside charging. Sources beside the figures.
const (
	startsInside  si.Current = 2e-3   // that a chip takes from the bus to start, from memory
	startsThrough si.Current = 0.3e-3 // left through a start resistor; common practice, no source
	// x its rated current, which opens a miniature fuse within two minutes (IEC 60127-2, 2.1 x)
	fuseOpens = 2.1
	// ohm of leads, fuse and a pack switch whose gate gets little in a short, the most; from memory
	shortLeads = 1.0
	// of what a fuse lets through at most, which surely does not melt it; from memory
	fuseStays = 0.25
	// of the charging current, into a lithium cell below its lowest voltage (makers of cells and
	// their protection, from memory)
	preChargeShare = 0.1
	// of the lowest voltage of a lithium pack, below which it is waste: copper dissolves; from
	// memory
	wasteBelow = 0.5
)

// events is what happens to a charger beside charging.
type events struct{ connecting }

// startsWith is the current that charges the supply capacitor of a chip that stands still.
func startsWith(s *stage.Supply) si.Current {
	if s.Start == "resistor" {
		return startsThrough
	}
	return startsInside
}

// burstShare is the share of the time that a chip runs whose output is shorted or too low for its
// bias winding: running, it empties its supply capacitor by what it draws, standing still that is
// charged again, both through the same two thresholds. A chip that feeds itself never stands still.
func burstShare(s *stage.Supply) float64 {
	if s.Self {
		return 1
	}
	start := float64(startsWith(s))
	return start / (start + float64(s.Current))
}

// startPeak is how far OUT runs up when the mains comes on and no pack is there: as when a pack is
// taken off, and where the optocoupler feeds the chip's control pin the pin has run down meanwhile,
// to where the chip stops at worst, and has to be filled first.
func (j events) startPeak(m *stage.Measured, c *control.Control,
	l substitute.LoopChoice) si.Voltage {
	mid, tau := tasks{j.Looper}.voltageAnswerOf(c, l.Damping, l.Capacitor)
	u := j.unload(m, c, mid, tau)
	if m.V.Feedback.Kind == "feeds-control" {
		u.Delay += si.Time(float64(ChipStore) * (controlStart - controlStop) / j.feeds(m, c))
	}
	return j.Target.Set + u.Rise()
}

// feeds is what the optocoupler at its lowest ratio brings into a control pin beyond what the chip
// takes, in A, while OUT is at the set point and the amplifier at its end.
func (j events) feeds(m *stage.Measured, c *control.Control) float64 {
	k := c.Circuit()
	ends := k.Headroom
	if c.Drive == regulation.PullDown {
		ends = k.OutputLow
	}
	light := float64(j.Target.Set-ends-k.JoinDrop-k.Forward) / float64(c.LED.Resistor.High)
	return max(light*float64(k.Ratio)-float64(m.V.Supply.Current), float64(c.Need)/10)
}

// EventGauges hold what happens when a charger is started, plugged, unplugged, shorted or gets a
// pack below its lowest voltage against the parts it happens to.
func EventGauges(j *Looper, m *stage.Measured, c *control.Control, l substitute.LoopChoice,
	b *stock.Basket) []substitute.Gauge {
	return events{connecting{j}}.gauges(m, c, l, b)
}

func (j events) gauges(m *stage.Measured, c *control.Control, l substitute.LoopChoice,
	b *stock.Basket) []substitute.Gauge {
	out := []substitute.Gauge{
		substitute.Most(substitute.ChkStart, l.StartPeak, j.OutputBears(c)).From(
			float64(j.Target.Set)),
		substitute.Most(substitute.ChkConnectFuse, j.connectThrough(c),
			fuseStays*si.Ratio(j.reversedThrough(b))),
		{Id: substitute.ChkGroundShort,
			Value: j.reversedThrough(b) * float64(c.Current.Shunt.Ohm), Limit: j.shuntBears(c)},
		substitute.Most(substitute.ChkDeep, j.deepCurrent(m, c),
			control.CurrentCeiling*j.Target.Current),
	}
	if bears := j.switchBears(b); bears > 0 {
		idle := j.connection(c)
		idle.Pack, idle.Output = j.Target.Empty, j.Target.Set
		out = append(out,
			substitute.Most(substitute.ChkConnectSwitch, Surge(j.Looper, c), bears),
			substitute.Most(substitute.ChkConnectIdle, -idle.Peak(), bears))
	}
	if average := m.Rect.Rated(); average > 0 {
		out = append(out, substitute.Most(substitute.ChkShort, j.shortCurrent(m, c, b), average))
	}
	if j.lithium() {
		ohm, _ := j.preCharge()
		out = append(out, substitute.Most(substitute.ChkPreCharge,
			si.Current(float64(j.Target.Set)/float64(ohm)/0.95), preChargeShare*j.Target.Current))
	}
	return out
}

// connectThrough is the squared current through the output fuse while a full pack fills the empty
// output capacitor: half of C V^2 over the resistance of the loop.
func (j events) connectThrough(c *control.Control) si.Ratio {
	k := j.connection(c)
	return si.Ratio(float64(k.ShuntEnergy()) / float64(k.Shunt))
}

// Surge is what a full pack of strong cells drives into the empty output capacitor of a dead
// charger.
func Surge(j *Looper, c *control.Control) si.Current {
	return connecting{j}.connection(c).Peak()
}

// switchBears is the pulse that the pack switch and its body diode bear; 0 where its sheet is not
// known.
func (j events) switchBears(b *stock.Basket) si.Current {
	for _, s := range j.Drawer.Transistors {
		if b.Holds(seats.PackSwitch, s.Lots) {
			return seats.SwitchPulsed * s.Part.Current.Value
		}
	}
	return 0
}

// shortCurrent is what lasts in shorted leads, or in OUT shorted to control ground: the control
// circuit has lost its supply, so that only the chip's limit holds, in bursts where the bias
// winding feeds it. The output fuse ends in two minutes what is more than it holds.
func (j events) shortCurrent(m *stage.Measured, c *control.Control,
	b *stock.Basket) si.Current {
	return min(j.burstCurrent(m, c), fuseOpens*j.outputFuse(b).Current.Value)
}

// burstCurrent is the mean current into shorted leads. Where its own drop over shunt and leads
// keeps OUT above what starves the chip, it flows all the time.
func (j events) burstCurrent(m *stage.Measured, c *control.Control) si.Current {
	most := j.Unheld(m, 0)
	if out := si.Voltage(float64(most) * float64(c.Current.Shunt.Ohm+shortLeads)); m.Nb > 0 &&
		out >= j.Starves(m) {
		return most
	}
	return si.Current(burstShare(&m.V.Supply)) * most
}

// deepCurrent is the mean current into a pack below its lowest voltage: the set one while the
// control circuit still has its supply, else what the chip passes, in bursts once its bias winding
// no longer feeds it.
func (j events) deepCurrent(m *stage.Measured, c *control.Control) si.Current {
	most := max(j.Target.Current, j.burstCurrent(m, c))
	if c.Lowest > j.Starves(m) {
		most = max(most, j.Unheld(m, min(c.Lowest, j.Target.Empty)))
	}
	return most
}

// lithium reports that the pack is of lithium cells.
func (j events) lithium() bool { return !strings.HasPrefix(j.Target.Chemistry, "lead-acid") }

// preCharge is the resistor of the E12 series that lets no more than a tenth of the charging
// current into a pack without any voltage, and what it turns to heat there.
func (j events) preCharge() (si.Resistance, si.Power) {
	least := float64(j.Target.Set) / float64(preChargeShare*j.Target.Current) / 0.95
	r := catalog.Nearest(si.Resistance(least), "E12")
	for float64(r) < least {
		r = catalog.Nearest(si.Resistance(float64(r)*1.2), "E12")
	}
	return r, si.Power(float64(j.Target.Set) * float64(j.Target.Set) / float64(r))
}

// PreChargeWarning says how a lithium pack below its lowest voltage is brought up, and which is
// waste; nil for others.
func PreChargeWarning(j *Looper) []string {
	of := events{connecting{j}}
	if !of.lithium() {
		return nil
	}
	r, p := of.preCharge()
	low := float64(j.Target.Empty)
	return []string{fmt.Sprintf("measure a pack before it is put on: below %.3g V charge it "+
		"through "+
		"%s, %.2g W or more, in its plus lead until it stands above that; below %.3g V, or not "+
		"risen within half an hour, it is waste",
		low, si.Format(r, 2), math.Ceil(2*float64(p)*2)/2, wasteBelow*low)}
}
