package tune

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// StepTuning is what a reading says of a voltage divider that a measurement finishes.
type StepTuning struct {
	Verdict string `json:"verdict"` // of the last reading
	// as read without the set resistor
	Before si.Voltage `json:"before_v,omitempty" figures:"entered"`
	// the set resistor that this asks for
	Put string `json:"put,omitempty"`
	// both: what the meter then reads
	ExpectLow  si.Voltage `json:"expect_low_v,omitempty"`
	ExpectHigh si.Voltage `json:"expect_high_v,omitempty"`
	Present    si.Voltage `json:"present_v,omitempty" figures:"entered"` // as read with it
	// both: what it has to read in the end
	AcceptLow  si.Voltage `json:"accept_low_v"`
	AcceptHigh si.Voltage `json:"accept_high_v"`
	// both: what right parts give without it
	BeforeLow  si.Voltage `json:"before_low_v"`
	BeforeHigh si.Voltage `json:"before_high_v"`
	// error that is allowed for
	Meter si.Ratio   `json:"meter"`
	Limit si.Voltage `json:"limit_v"` // never to be exceeded
}

// helped reports that nothing has to be done any more, or what.
func (s *StepTuning) helped() bool { return s.Verdict == TuneGood || s.Put != "" }

// setStep judges the readings of a divider that a measurement finishes. The readings at the ends of
// a trimmer do not belong to it, and a meter that errs more than the step allows for says nothing.
func (u setting) setStep(read []SetReading[si.Voltage]) (*StepTuning, error) {
	k := u.ctl.Voltage.Step
	s := StepTuning{AcceptLow: k.Accept.Low, AcceptHigh: k.Accept.High, BeforeLow: k.Before.Low,
		BeforeHigh: k.Before.High, Meter: k.Meter, Limit: u.bench.Target.Absolute}
	var present si.Voltage
	for _, r := range read {
		if relative(r.Value) > k.Meter*1.001 {
			return nil, BenchFault{"set-voltage", si.Text(r.Value.Value), fmt.Sprintf(
				"this build allows for a meter off by %.1f %% at most; take a better one",
				100*float64(k.Meter))}
		}
		switch r.End {
		case AtBare:
			s.Before = r.Value.Value
		case AtPresent:
			present = r.Value.Value
		default:
			return nil, BenchFault{"set-voltage", "low, high", "this build has no voltage trimmer"}
		}
	}
	if s.Before > 0 {
		s.bare(k)
	}
	if s.Present = present; present > 0 {
		s.finished(k)
	}
	return &s, nil
}

// bare judges a reading without the resistor, and names the one to put in.
func (s *StepTuning) bare(k *regulation.MeasuredStep) {
	off := si.Voltage(k.Meter)
	switch {
	case s.Before < k.Before.Low*(1-off) || s.Before > k.Before.High*(1+off):
		s.Verdict = TuneDoubt
	case k.Lies(s.Before):
		s.Verdict = TuneGood
	default:
		s.Verdict = TuneLow
		c, then, found := k.Name(s.Before)
		if !found {
			s.Verdict = TuneDoubt
			return
		}
		s.Put, s.ExpectLow, s.ExpectHigh = c.String(), then.Low, then.High
	}
}

// finished judges a reading with it.
func (s *StepTuning) finished(k *regulation.MeasuredStep) {
	switch {
	case k.Lies(s.Present):
		s.Verdict, s.Put = TuneGood, ""
	case s.Present > k.Accept.High:
		s.Verdict = TuneBroken
	default:
		s.Verdict = TuneLow
	}
}
