package tune

import (
	"fmt"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/control"
	"sparewright/substitute/loops"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// SetTuning is what the real values make of a set point, in V or A as Unit says. Reach is what
// every corner that the readings leave can be trimmed to, worst what no corner passes.
type SetTuning struct {
	Verdict   string  `json:"verdict"`
	Unit      string  `json:"unit"`
	Set       float64 `json:"set"`
	Limit     float64 `json:"limit"` // never to be exceeded
	Trimmer   bool    `json:"trimmer"`
	Low       float64 `json:"low"` // at the lower stop, likely
	High      float64 `json:"high"`
	WorstLow  float64 `json:"worst_low"`
	ReachLow  float64 `json:"reach_low"`
	ReachHigh float64 `json:"reach_high"`
	WorstHigh float64 `json:"worst_high"`
	Present   float64 `json:"present,omitempty" figures:"entered"` // as read
	// by which the trimmer is to raise the set point
	Turn  float64  `json:"turn,omitempty"`
	Doubt string   `json:"doubt,omitempty"`
	Notes []string `json:"notes,omitempty"`
	// reading the set point at both stops would settle it
	ReadEnds bool      `json:"read_ends,omitempty"`
	Swap     *SwapStep `json:"swap,omitempty"`
}

// SwapStep is one resistor of the drawer to put into a leg, and the set points it then gives.
type SwapStep struct {
	Role seats.ID `json:"role"`
	How  string   `json:"how"` // in place, in parallel or in series
	// which part of the leg goes, counted from 1; 0 for the whole leg
	Part        int           `json:"part,omitempty"`
	Out         si.Resistance `json:"out_ohm,omitempty"`
	In          si.Resistance `json:"in_ohm"`
	Lot         int64         `json:"lot,omitempty"`
	Bin         string        `json:"bin,omitempty"`
	Designation string        `json:"designation"`
	Leg         string        `json:"leg"` // the leg as it then is
	Low         float64       `json:"low"`
	High        float64       `json:"high"`
	ReachLow    float64       `json:"reach_low"`
	ReachHigh   float64       `json:"reach_high"`
	WorstHigh   float64       `json:"worst_high"`
}

// realParts is the control network with what was measured of it.
type realParts struct {
	wish    control.Wish
	voltage regulation.VoltageNetwork
	current regulation.CurrentNetwork
	notes   struct{ voltage, current []string }
}

// setting corrects the dividers of voltage and current.
type setting struct{ *Tuner }

// sets judges the set points of which anything was measured.
func (u setting) sets(b Bench, out *Tuning) error {
	volts, amps := len(b.SetVoltages) > 0 || b.Reference.Value > 0, len(b.SetCurrents) > 0 ||
		b.Reference.Value > 0
	for _, l := range b.Legs {
		ofVoltage := l.Role == seats.DividerTop || l.Role == seats.DividerBottom ||
			l.Role == seats.VoltageTrimmer
		volts, amps = volts || ofVoltage, amps || !ofVoltage
	}
	if !volts && !amps {
		return nil
	}
	p, err := u.real(b)
	if err != nil {
		return err
	}
	if k := u.ctl.Voltage.Step; k != nil {
		if volts = false; len(b.SetVoltages) > 0 {
			if out.Step, err = u.setStep(b.SetVoltages); err != nil {
				return err
			}
			out.Helped = out.Helped && out.Step.helped()
		}
	}
	if volts {
		s, err := u.voltage(p, b.SetVoltages)
		if err != nil {
			return err
		}
		out.Voltage = &s
		out.Helped = out.Helped && s.helped()
	}
	if amps {
		s, err := u.current(p, b.SetCurrents)
		if err != nil {
			return err
		}
		out.Current = &s
		out.Helped = out.Helped && s.helped()
	}
	return nil
}

func (s *SetTuning) helped() bool {
	return s.Verdict == TuneGood || s.Swap != nil || s.ReadEnds || s.Doubt != ""
}

// real puts what was measured in place of what was printed.
func (u setting) real(b Bench) (realParts, error) {
	j := u.bench
	p := realParts{voltage: u.ctl.Voltage, current: u.ctl.Current}
	all := j.Wishes(j.Drawer)
	p.wish = all[slices.IndexFunc(all, func(w control.Wish) bool {
		return w.Amp == u.ctl.Amp && w.Ref == u.ctl.Ref
	})]
	if k := b.Reference; k.Value > 0 {
		record, agrees := p.wish.Vref, false
		p.wish.Vref, agrees = resistors.Reconcile(record, k.Band)
		p.wish.Nominal = p.wish.Vref.Mid()
		if !agrees {
			p.wish.Nominal = k.Value
			note := fmt.Sprintf(
				"the reference reads %s, by the record it lies between %s and %s; reckoned with "+
					"both until the set point is read "+
					"at both stops",
				si.Format(k.Value, 4),
				si.Format(record.Low, 4),
				si.Format(record.High, 4),
			)
			p.notes.voltage, p.notes.current = []string{note}, []string{note}
		}
	}
	for _, l := range b.Legs {
		if err := fit(&p, l); err != nil {
			return p, err
		}
	}
	return p, nil
}

// fit enters one measured leg.
func fit(p *realParts, l LegReading) error {
	given := fmt.Sprintf("%s=%s", l.Role, si.Text(l.Ohm.Value))
	trimmer := func(has bool, t *resistors.TrimmerPiece) error {
		if !has || l.Part > 1 {
			return BenchFault{"resistor", given, "this build has no such trimmer"}
		}
		if r := float64(l.Ohm.Value / t.Ohm); !(r > 0.3 && r < 3) {
			return BenchFault{"resistor", given,
				fmt.Sprintf("is no trimmer of %s; measure the whole track",
					resistors.ValueText(t.Ohm))}
		}
		t.Ohm, t.Tolerance = l.Ohm.Value, relative(l.Ohm)
		return nil
	}
	leg := map[seats.ID]*resistors.Network{seats.DividerTop: &p.voltage.Top,
		seats.DividerBottom: &p.voltage.Bottom, seats.Shunt: &p.current.Shunt,
		seats.SenseTop: &p.current.Top, seats.SenseBottom: &p.current.Bottom}[l.Role]
	switch {
	case l.Role == seats.VoltageTrimmer:
		return trimmer(p.voltage.HasTrimmer, &p.voltage.Trimmer)
	case l.Role == seats.CurrentTrimmer:
		return trimmer(p.current.HasTrimmer, &p.current.Trimmer)
	case leg == nil:
		return BenchFault{"resistor", given,
			"no such place; one of " + strings.Join(seats.Names(LegRoles()), ", ")}
	}
	was := leg.Ohm
	if l.Part > 0 && l.Part <= leg.N {
		was = leg.Values[l.Part-1]
	}
	if r := float64(l.Ohm.Value / was); !(r > 0.1 && r < 10) {
		return BenchFault{"resistor", given,
			fmt.Sprintf("is far from %s; measure it out of the circuit",
				resistors.ValueText(was))}
	}
	m, agrees, err := leg.Read(l.Part-1, l.Ohm.Band)
	if err != nil {
		return BenchFault{"resistor", given,
			fmt.Sprintf("%s is %s: it has no part %d", l.Role, leg, l.Part)}
	}
	if *leg = m; !agrees {
		notes := &p.notes.current
		if l.Role == seats.DividerTop || l.Role == seats.DividerBottom {
			notes = &p.notes.voltage
		}
		*notes = append(
			*notes,
			fmt.Sprintf("%s reads %s, the sheet has %s: a wrong part, or measured in the "+
				"circuit; reckoned with both",
				l.Role, si.Format(l.Ohm.Value, 4), resistors.ValueText(was)),
		)
	}
	return nil
}

// readEnds sorts readings of a set point: what was found at the stops, and the last one as the
// trimmer stands.
func readEnds[Q si.Quantity](all []SetReading[Q]) (ends regulation.Ends[Q],
	present *magnetics.Known[Q]) {
	for i := range all {
		switch r := &all[i]; r.End {
		case AtLow:
			ends.Low = r.Value.Band
		case AtHigh:
			ends.High = r.Value.Band
		default:
			present = &r.Value
		}
	}
	return ends, present
}

func (u setting) voltage(p realParts, read []SetReading[si.Voltage]) (SetTuning, error) {
	t, v := u.bench.Target, p.voltage
	if !v.HasTrimmer && slices.ContainsFunc(read,
		func(r SetReading[si.Voltage]) bool { return r.End != AtPresent }) {
		return SetTuning{}, BenchFault{"set-voltage", "low, high, bare",
			"this build has no voltage trimmer and no set resistor"}
	}
	if slices.ContainsFunc(read, func(r SetReading[si.Voltage]) bool { return r.End == AtBare }) {
		return SetTuning{}, BenchFault{"set-voltage", "bare", "this build has no set resistor"}
	}
	spec := u.bench.VoltageSpec(p.wish.VoltageKey(t))
	var trimmer *resistors.TrimmerPiece
	if v.HasTrimmer {
		trimmer = &v.Trimmer
	}
	now := regulation.CheckVoltage(spec, v.Top, v.Bottom, trimmer)
	s := SetTuning{
		Unit:    "V",
		Set:     float64(t.Set),
		Limit:   float64(t.Absolute),
		Trimmer: v.HasTrimmer,
		Low:     float64(now.SetLow),
		High:    float64(now.SetHigh),
		Notes:   p.notes.voltage,
	}
	ends, present := readEnds(read)
	least := float64(t.BandLow)
	known := judgeSet(&s, now.Ends(), ends, present, least)
	if s.Verdict != TuneGood && s.Verdict != TuneDoubt {
		if all := regulation.VoltageSwaps(spec, now, known, u.spareResistors()); len(all) > 0 {
			s.Swap = swapStep(u.bench, all[0], u.ctl.Voltage.Top, u.ctl.Voltage.Bottom,
				seats.DividerTop, seats.DividerBottom)
		}
	}
	return s, nil
}

func (u setting) current(p realParts, read []SetReading[si.Current]) (SetTuning, error) {
	t, c := u.bench.Target, p.current
	if !c.HasTrimmer && slices.ContainsFunc(read,
		func(r SetReading[si.Current]) bool { return r.End != AtPresent }) {
		return SetTuning{}, BenchFault{"set-current", "low, high",
			"this build has no current trimmer"}
	}
	if slices.ContainsFunc(read, func(r SetReading[si.Current]) bool { return r.End == AtBare }) {
		return SetTuning{}, BenchFault{"set-current", "bare", "no resistor sets the current"}
	}
	spec := u.bench.CurrentSpec(p.wish)
	var trimmer *resistors.TrimmerPiece
	if c.HasTrimmer {
		trimmer = &c.Trimmer
	}
	now := regulation.CheckCurrent(spec, c.Shunt, c.Top, c.Bottom, trimmer)
	s := SetTuning{
		Unit:    "A",
		Set:     float64(t.Current),
		Limit:   float64(spec.HighLimit),
		Trimmer: c.HasTrimmer,
		Low:     float64(now.Low),
		High:    float64(now.High),
		Notes:   p.notes.current,
	}
	ends, present := readEnds(read)
	known := judgeSet(&s, now.Ends(), ends, present, float64(2*t.Current-spec.HighLimit))
	if s.Verdict != TuneGood && s.Verdict != TuneDoubt {
		if all := regulation.CurrentSwaps(spec, now, known, u.spareResistors()); len(all) > 0 {
			s.Swap = swapStep(u.bench, all[0], u.ctl.Current.Top, u.ctl.Current.Bottom,
				seats.SenseTop, seats.SenseBottom)
		}
	}
	return s, nil
}

// judgeSet holds the ends, as far as parts and readings leave them open, against set point and
// limits, and returns the ends that were read. A set point that was read counts as both ends where
// there is no trimmer.
func judgeSet[Q si.Quantity](
	s *SetTuning,
	parts, read regulation.Ends[Q],
	present *magnetics.Known[Q],
	least float64,
) regulation.Ends[Q] {
	if present != nil && !s.Trimmer {
		read = regulation.Ends[Q]{Low: present.Band, High: present.Band}
	}
	ends, fits := parts.Meets(read)
	if !fits {
		ends = parts
		for _, r := range []si.Interval[Q]{read.Low, read.High} {
			ends.High.High = max(ends.High.High, r.High)
		}
	}
	set, limit := Q(s.Set), Q(s.Limit)
	s.WorstLow, s.ReachLow, s.ReachHigh, s.WorstHigh = float64(
		ends.Low.Low,
	), float64(
		ends.Low.High,
	), float64(
		ends.High.Low,
	), float64(
		ends.High.High,
	)
	s.place(read.Low.Mid() > 0, float64(read.Low.Mid()), read.High.Mid() > 0,
		float64(read.High.Mid()))
	if present != nil {
		s.Present = float64(present.Value)
		s.WorstHigh = max(s.WorstHigh, float64(present.Band.High))
		fits = fits && present.Band.High >= ends.Low.Low && present.Band.Low <= ends.High.High
		if s.Trimmer && !present.Band.Contains(set) {
			s.Turn = s.Set - s.Present
		}
	}
	switch {
	case s.WorstHigh > s.Limit:
		s.Verdict = TuneBroken
	case !fits:
		s.Verdict = TuneDoubt
	case !s.Trimmer && s.WorstLow < least || s.Trimmer && ends.High.High < set:
		s.Verdict = TuneLow
	case s.Trimmer && ends.Low.Low > set:
		s.Verdict = TuneHigh
	case s.Trimmer && (ends.High.Low < set || ends.Low.High > set):
		s.Verdict = TuneUnsure
	default:
		s.Verdict = TuneGood
	}
	if !fits {
		s.Doubt = "the set point read is not what these parts can give: measure reference " +
			"and resistors, " +
			"look for a wrong part or a bad joint"
	}
	bothRead := read.Low != (si.Interval[Q]{}) && read.High != (si.Interval[Q]{})
	s.ReadEnds = s.Verdict != TuneGood && fits && s.Trimmer && !bothRead && ends.High.Low <= limit
	return read
}

// place puts the likely ends where they were read.
func (s *SetTuning) place(hasLow bool, low float64, hasHigh bool, high float64) {
	if hasLow {
		s.Low = low
	}
	if hasHigh {
		s.High = high
	}
}

// swapStep writes a swap out with the lot it comes from; top and bottom are the legs of the sheet.
// A leg that disagreed with its parts goes as a whole.
func swapStep[Q si.Quantity](
	j *loops.Looper,
	w regulation.Swap[Q],
	top, bottom resistors.Network,
	topRole, bottomRole seats.ID,
) *SwapStep {
	role, old := bottomRole, bottom
	if w.Top {
		role, old = topRole, top
	}
	r := j.Drawer.Resistors[w.In.Lot-1]
	s := SwapStep{
		Role:        role,
		How:         w.How.String(),
		In:          w.In.Ohm,
		Designation: r.Name(),
		Leg:         w.Leg.String(),
		Low:         float64(w.Ends.Low.Mid()),
		High:        float64(w.Ends.High.Mid()),
		ReachLow:    float64(w.Ends.Low.High),
		ReachHigh:   float64(w.Ends.High.Low),
		WorstHigh:   float64(w.Ends.High.High),
	}
	if w.How == resistors.InPlace {
		s.Out = old.Ohm
		if w.Leg.N == old.N {
			s.Part, s.Out = w.Part+1, old.Values[w.Part]
		}
	}
	s.Lot, s.Bin = freeLot(r)
	return &s
}

// freeLot is the first lot that holds a part.
func freeLot(s stock.Stock[catalog.Resistor]) (lot int64, bin string) {
	if len(s.Lots) == 0 {
		return 0, ""
	}
	return s.Lots[0].Lot, s.Lots[0].Bin
}
