package stage

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/stock"
)

// Drive is the chip that controls a power switch, in one package with it or apart, and how it is
// set. It is all that a design knows of that chip.
type Drive struct {
	Name    string // its designation, for texts
	Control string // kind of control in the words of its data sheet: fixed-frequency, on-off
	// whether the feedback lets a whole pulse come or not, so that each runs to the limit; else it
	// sets the duty, or else the peak current
	Gated, SetsDuty bool

	Freq      si.Interval[si.Frequency] // lowest and highest switching frequency, Hz
	Frequency si.Frequency              // typical, Hz
	Duty      si.Ratio                  // maximum that is guaranteed
	DutyText  string                    // where that comes from, unless it is published
	Delay     si.Time                   // s, from the limit reached to the switch off
	LeastOn   si.Time                   // s, shortest pulse

	Threshold  si.Interval[si.Voltage]        // V, at a sense resistor; zero: limit fixed inside
	Sense      *stock.Stock[catalog.Resistor] // that resistor; nil where the limit is fixed inside
	Limit      si.Interval[si.Current]        // A, of the primary current
	LimitShare si.Ratio                       // of the lowest limit that may be used
	Usable     si.Current                     // A, highest peak to design for: that share of it
	LimitText  string                         // where that share comes from

	Feedback  Feedback
	Supply    Supply
	Pins      string   // what its other pins want
	Class     si.Power // W, the maker's power class with the switch inside; 0 = none known
	ClassText string
}

// Feedback is the pin that an optocoupler works on.
type Feedback struct {
	Kind       string // pulls-down, pulls-enable, feeds-in or feeds-control; empty = not known
	Pin        string
	Stop       si.Current                    // A, surely stops the switching
	Span       catalog.Datum[si.Current]     // A, least change from full power to none
	Resistance si.Resistance                 // ohm, that the optocoupler works into
	Store      catalog.Datum[si.Capacitance] // F, least capacitor there
	Overload   string                        // timed = the pin is charged while a start lasts
}

// Supply is what a drive runs on.
type Supply struct {
	Self         bool                      // from the drain, without a bias winding
	Start        string                    // inside, pin or resistor; empty = not known
	StartCurrent si.Current                // A, highest before it starts, through that resistor
	StartVolts   catalog.Datum[si.Voltage] // V, at which it starts
	SoftStart    catalog.Datum[si.Time]    // s, longest
	Min, Max     catalog.Datum[si.Voltage] // V, at which it stops, highest; highest allowed
	Overvoltage  catalog.Datum[si.Voltage] // V, at which its overvoltage protection may act
	Latches      bool                      // stays off after that or overheating
	Current      si.Current                // A, while switching
}

// DriveOf is the drive in a chip that has its switch inside, figures completed. A limit that a
// sense resistor sets is open until WithSense.
func DriveOf(p catalog.Switcher) Drive {
	d := Drive{Name: p.Designation(), Control: p.Control, Gated: p.Control == "on-off",
		SetsDuty:  p.Law == "duty",
		Freq:      si.Interval[si.Frequency]{Low: p.FrequencyMin.Value, High: p.FrequencyMax.Value},
		Frequency: p.Frequency.Value, Duty: p.DutyMax.Value, Delay: p.Delay.Value, Pins: p.Pins,
		Feedback: feedbackOf(p), Supply: supplyOf(p)}
	if !p.DutyMax.Firm() {
		d.DutyText = "maximum duty of the switcher, from memory or assumed 0.6"
	}
	d.LeastOn = d.leastOn(p.LeastOn)
	if p.Setting == "external" {
		d.Threshold = si.Interval[si.Voltage]{Low: p.SenseMin.Value, High: p.SenseMax.Value}
		d.LimitShare = shareOf(p.SenseMin.Firm())
		d.LimitText = "lowest limit of threshold and sense resistor x 0.96 (AN-30), from memory " +
			"x 0.90 (AN-23)"
		return d
	}
	d.LimitShare = shareOf(p.LimitMin.Firm())
	d.LimitText = "0.90 x lowest current limit, limit from memory (AN-23 step 8)"
	if p.LimitMin.Firm() {
		d.LimitText = "0.96 x lowest current limit (AN-30 eq. 17)"
	}
	if d.Gated {
		d.LimitShare = 1
	}
	return d.limitedTo(si.Interval[si.Current]{Low: p.LimitMin.Value, High: p.LimitMax.Value})
}

func feedbackOf(p catalog.Switcher) Feedback {
	return Feedback{Kind: p.Feedback, Pin: p.FeedbackPin, Stop: p.FeedbackStop.Value,
		Span: p.FeedbackSpan, Resistance: p.FeedbackOhm.Value, Store: p.FeedbackStore,
		Overload: p.Overload}
}

func supplyOf(p catalog.Switcher) Supply {
	return Supply{Self: p.SelfSupply == "yes", Start: p.Start,
		StartCurrent: p.StartCurrent.Value, StartVolts: p.SupplyStart, SoftStart: p.SoftStart,
		Min: p.SupplyMin, Max: p.SupplyMax, Overvoltage: p.Overvoltage,
		Latches: p.Latches == "yes", Current: p.SupplyCurrent.Value}
}

// shareOf the lowest limit may be used.
func shareOf(firm bool) si.Ratio {
	if firm {
		return LimitUse
	}
	return LimitUseGuess
}

func (d Drive) limitedTo(limit si.Interval[si.Current]) Drive {
	d.Limit, d.Usable = limit, limit.Low*si.Current(d.LimitShare)
	return d
}

// WithSense is a drive with a resistor at its threshold, both at the ends of their tolerance.
func (d Drive) WithSense(r *stock.Stock[catalog.Resistor]) Drive {
	ohm, tol := float64(r.Part.Resistance.Value), float64(r.Part.Tolerance.Value)
	d.Sense = r
	return d.limitedTo(si.Interval[si.Current]{
		Low:  si.Current(float64(d.Threshold.Low) / (ohm * (1 + tol))),
		High: si.Current(float64(d.Threshold.High) / (ohm * (1 - tol)))})
}

// What a drive whose sheet prints no least on-time cannot go below. One that sets the peak
// current does not look at it after turn-on; 250 to 300 ns are usual. One that sets the duty has a
// least duty; 2.7 % is the largest of the TOP221-227 family. Both from memory.
const (
	blanking  si.Time  = 300e-9
	leastDuty si.Ratio = 0.027
)

// leastOn is the shortest pulse, as printed or what its kind cannot go below.
func (d *Drive) leastOn(printed catalog.Datum[si.Time]) si.Time {
	switch {
	case printed.Known():
		return printed.Value
	case d.SetsDuty:
		return si.Time(float64(leastDuty) / float64(d.Frequency))
	}
	return blanking + d.Delay
}

// Gauges hold the supply from a bias winding against what the chip stops at and what it bears.
func (s *Supply) Gauges(b si.Interval[si.Voltage]) []substitute.Gauge {
	return []substitute.Gauge{substitute.Least(substitute.ChkBiasLow, b.Low,
		s.Min.Value*biasSpare), substitute.Most(
		substitute.ChkBiasHigh, b.High*BiasSpike, s.Max.Value)}
}
