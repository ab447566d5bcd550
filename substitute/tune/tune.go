// Package tune judges what was measured on a build and says what to change next.
package tune

import (
	"fmt"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/control"
	"sparewright/substitute/loops"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Bench is what was measured on a build that has been wound or wired, every value with its error.
// What was not measured is left zero.
type Bench struct {
	// in the order taken; the last is the stack that lies in the core now
	Stacks      []StackReading
	Reference   magnetics.Known[si.Voltage]
	Legs        []LegReading
	SetVoltages []SetReading[si.Voltage]
	SetCurrents []SetReading[si.Current]
	Leakage     magnetics.Known[si.Inductance] // of the primary with the secondary shorted
}

// StackReading is the primary inductance with films in the core.
type StackReading struct {
	AsBuilt    bool // the stack of the sheet; Layers is then empty
	Layers     []LayerReading
	Inductance magnetics.Known[si.Inductance]
}

// LayerReading names a film of the drawer by lot, or by designation where Lot is 0.
type LayerReading struct {
	Lot         int64
	Designation string
	Count       int
}

// LegReading is a resistor measured before it was fitted: the whole leg of a network, or one of its
// parts, counted from 1. The roles are those of Regulation.Networks and the two trimmers.
type LegReading struct {
	Role seats.ID
	Part int // 0 for the whole leg
	Ohm  magnetics.Known[si.Resistance]
}

// Where a set point was read: as the trimmer stands, at its lower or upper stop, or before the set
// resistor of a measured step went in.
const (
	AtPresent = "present"
	AtBare    = "bare"
	AtLow     = "low"
	AtHigh    = "high"
)

// SetReading is a set point that was measured.
type SetReading[Q si.Quantity] struct {
	End   string
	Value magnetics.Known[Q]
}

// Words of Verdict in a Tuning.
const (
	TuneGood     = "good"     // inside its limits, meter error included
	TuneLow      = "low"      // too low
	TuneHigh     = "high"     // too high
	TuneUnsure   = "unsure"   // a limit lies within the error of the meter
	TuneStrained = "strained" // between the walls, but another limit fails
	TuneBroken   = "broken"   // a limit is broken, or could be
	TuneDoubt    = "doubt"    // the readings contradict the parts
)

// Tuning is the answer to a Bench: for everything measured a verdict and the next thing to do.
type Tuning struct {
	Target substitute.Target `json:"target"`
	Rank   int               `json:"rank"`
	// false when for something measured nothing in stock helps
	Helped     bool              `json:"helped"`
	Inductance *InductanceTuning `json:"inductance,omitempty"`
	Voltage    *SetTuning        `json:"voltage,omitempty"`
	Step       *StepTuning       `json:"measured_step,omitempty"`
	Current    *SetTuning        `json:"current,omitempty"`
	Stage      *StageTuning      `json:"stage,omitempty"`
	Cautions   []string          `json:"cautions"`
}

// BenchFault says which reading cannot be used, why, and what to type instead. Option is the
// command-line name.
type BenchFault struct{ Option, Given, Why string }

func (f BenchFault) Error() string { return fmt.Sprintf("--%s %q: %s", f.Option, f.Given, f.Why) }

// Tuner is one build on the bench, ready for any number of readings.
type Tuner struct {
	bench  *loops.Looper
	m      *stage.Measured
	ctl    *control.Control
	build  *substitute.Build
	window substitute.Window
}

// NewTuner takes a build that Advise gave for the same target and the same drawer. It reports false
// when the build needs parts that are not in the drawer.
func NewTuner(w *advise.Workbench, t substitute.Target, b *substitute.Build) (*Tuner, bool) {
	if b.Verdict != substitute.Feasible {
		return nil, false
	}
	j := advise.NewAttempt(only(w, b), t)
	found, _ := j.Pairs()
	at := slices.IndexFunc(found, func(m stage.Measured) bool {
		return m.Np == b.Transformer.PrimaryTurns && m.Ns == b.Transformer.SecondaryTurns &&
			m.V.Drive.Name == b.Switcher.Designation &&
			holds(m.V.Stock.Lots, b.Switcher.Lot) && holds(m.C.Stock.Lots, b.Core.Lot) &&
			m.Inductance == b.Transformer.Inductance
	})
	if at < 0 {
		return nil, false
	}
	m := &found[at]
	u := &Tuner{bench: j.Looper().On(m.Of), m: m,
		ctl: j.ControlFor(m.V.Feedback.Stop), build: b}
	u.window = u.bench.OpenWindow(u.m)
	return u, true
}

// only is the workbench with no other core than that of a build: what a core comes to does not
// depend on the others. The switchers stay, since all of them settle the control circuit.
func only(w *advise.Workbench, b *substitute.Build) *advise.Workbench {
	n, parts := *w, *w.PartsBench
	parts.Cores = nil
	for _, c := range w.Cores {
		if holds(c.Stock.Lots, b.Core.Lot) {
			parts.Cores = append(parts.Cores, c)
		}
	}
	n.PartsBench = &parts
	return &n
}

func holds(places []stock.Place, lot int64) bool {
	return slices.ContainsFunc(places, func(p stock.Place) bool { return p.Lot == lot })
}

// Tune judges what was measured and says what to do next. An error is a BenchFault.
func (u *Tuner) Tune(b Bench) (Tuning, error) {
	if err := u.plausible(b); err != nil {
		return Tuning{}, err
	}
	out := Tuning{Target: u.bench.Target, Rank: u.build.Rank, Helped: true,
		Cautions: substitute.Cautions(u.bench.Target)}
	if len(b.Stacks) > 0 {
		x, err := stacks{u}.inductance(b.Stacks)
		if err != nil {
			return out, err
		}
		out.Inductance = &x
		out.Helped = out.Helped && x.helped()
	}
	if err := (setting{u}).sets(b, &out); err != nil {
		return out, err
	}
	if b.Leakage.Value > 0 {
		s := u.stage(b)
		out.Stage = &s
		out.Helped = out.Helped && (s.Holds || s.Swap != nil)
	}
	return out, nil
}

// plausible refuses readings that are a slip of the pen or of the unit.
func (u *Tuner) plausible(b Bench) error {
	far := func(value, expected, factor float64) bool {
		return !(value >= expected/factor && value <= expected*factor)
	}
	for _, r := range b.Stacks {
		if l := r.Inductance.Value; far(float64(l), float64(u.m.Inductance), believable) {
			return BenchFault{"reading", si.Text(l),
				fmt.Sprintf("cannot be the primary of this build, which is near %s; write the "+
					"unit, such as 300uH", si.Text(u.m.Inductance))}
		}
	}
	for _, r := range b.SetVoltages {
		if v := r.Value.Value; far(float64(v), float64(u.bench.Target.Set), 3) {
			return BenchFault{"set-voltage", si.Text(v),
				fmt.Sprintf("is far from %s; read it at the output, in volts",
					si.Text(u.bench.Target.Set))}
		}
	}
	for _, r := range b.SetCurrents {
		if i := r.Value.Value; far(float64(i), float64(u.bench.Target.Current), 5) {
			return BenchFault{"set-current", si.Text(i),
				fmt.Sprintf("is far from %s; write the unit, such as 950mA",
					si.Text(u.bench.Target.Current))}
		}
	}
	if v := b.Reference.Value; v != 0 && far(float64(v), float64(u.ctl.Vref), 2) {
		return BenchFault{"reference", si.Text(v),
			fmt.Sprintf("is no reference of %s; feed it through its bias resistor and "+
				"read again", si.Text(u.ctl.Vref))}
	}
	if l := b.Leakage.Value; l != 0 && l >= u.m.Inductance/2 {
		return BenchFault{"leakage", si.Text(l),
			"is as much as the primary itself; short the secondary and measure again"}
	}
	return nil
}

// believable is the factor from the inductance of the build beyond which a reading is a slip: a
// pair without its gap gives ten to thirty times as much.
const believable = 50

// LegRoles lists the roles of a LegReading.
func LegRoles() []seats.ID {
	return []seats.ID{seats.DividerTop, seats.DividerBottom, seats.VoltageTrimmer, seats.Shunt,
		seats.SenseTop, seats.SenseBottom, seats.CurrentTrimmer}
}

// relative is the error of a reading as a ratio, the wider side.
func relative[Q si.Quantity](k magnetics.Known[Q]) si.Ratio {
	return si.Ratio(max(float64(k.Band.High-k.Value), float64(k.Value-k.Band.Low)) /
		float64(k.Value))
}

// spareResistors is the stock for networks less everything the build takes.
func (u setting) spareResistors() resistors.Stock {
	var uses []resistors.Use
	for i := range u.bench.Drawer.Resistors {
		s := &u.bench.Drawer.Resistors[i]
		n := 0.0
		for _, p := range u.build.Parts {
			if p.Source == "drawer" && holds(s.Lots, p.Lot) {
				n += p.Quantity
			}
		}
		if n > 0 {
			uses = append(uses, resistors.Use{Lot: int64(i + 1), Ohm: s.Part.Resistance.Value,
				Count: int(n + 0.5)})
		}
	}
	return u.bench.Legs.WithoutLots(uses)
}
