package swap

import (
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/bill"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// need is one figure or word that a part must have in its place in a build. Which side is safe, and whether the wrong side
// refuses, stands in the table of substitutions; a rule with two sides takes low and high.
type need struct {
	Field     string
	Low, High float64 // NaN = no limit on that side
	Words     []string
	unknown   float64 // what stands in for a figure that is not known; NaN = it must be known
	guide     bool    // no limit, only an explanation where the search finds no way
}

func atLeast[Q si.Quantity](field string, q Q) need {
	return need{Field: field, Low: float64(q), High: math.NaN(), unknown: math.NaN()}
}

func atMost[Q si.Quantity](field string, q Q) need {
	return need{Field: field, Low: math.NaN(), High: float64(q), unknown: math.NaN()}
}

func within[Q si.Quantity](field string, low, high Q) need {
	return need{Field: field, Low: float64(low), High: float64(high), unknown: math.NaN()}
}

func oneOf(field string, words ...string) need { return need{Field: field, Words: words} }

// or says what stands in for an unknown figure, as in the search.
func (n need) or(v float64) need { n.unknown = v; return n }

// asGuide makes a need an explanation only.
func (n need) asGuide() need { n.guide = true; return n }

// notMains are the junctions faster than a mains diode.
var notMains = []string{"schottky", "ultrafast", "fast"}

// seat is one role of one lot in a build.
type seat struct {
	Role seats.ID
	Lot  int64
	Part catalog.Part // completed, as the search sees it
}

// Needs lists what the present numbers of a build ask of a part for a seat, in the words of the catalog. They are those of the
// search, for the turns, gap and networks as they are.
func (s *Swapper) Needs(at seat, c catalog.Part) []need {
	t, b := s.Target, s.Build
	switch p := at.Part.(type) {
	case catalog.Rectifier:
		return s.rectifierNeeds(at, p, c.(catalog.Rectifier))
	case catalog.Capacitor:
		return s.capacitorNeeds(at, p, c.(catalog.Capacitor))
	case catalog.Resistor:
		return s.resistorNeeds(at, p)
	case catalog.Bridge:
		amps := 3 * float64(t.Set) * float64(t.Current) / 0.7 / float64(t.MainsMin)
		return []need{atLeast("reverse", b.Stage.BusMax/stage.BridgeUse), atLeast("average", si.Current(amps))}
	case catalog.Clamp:
		if at.Role == seats.OutputStop {
			return []need{s.stopNeed(c.(catalog.Clamp))}
		}
		tolerance := 1 + c.(catalog.Clamp).Tolerance.Or(0.05)
		highest := (CheckNamed(b, substitute.ChkDrain).Limit - float64(b.Stage.BusMax)) / 1.05 / float64(tolerance)
		return []need{within("breakdown", max(60, stage.ClampAbove*b.Transformer.Reflected*si.Voltage(tolerance)), si.Voltage(highest)),
			atLeast("steady", si.Power(CheckNamed(b, substitute.ChkClampPower).Value/0.8)).or(1)}
	case catalog.Fuse:
		return s.fuseNeeds(at.Role, p)
	case catalog.Thermistor, catalog.Choke:
		return s.mainsNeeds(at.Role)
	case catalog.Optocoupler:
		return []need{atLeast("isolation", si.Voltage(control.IsolationLeast)), oneOf("output", "", "phototransistor"),
			atLeast("ratio_min", p.RatioMin.Value)}
	case catalog.Amplifier:
		return []need{oneOf("function", "dual", "combined"), atMost("input_low", si.Voltage(0)).or(0), atLeast("supply_max", t.Absolute),
			atMost("supply_min", t.Empty), atMost("offset", 0.05*b.Regulation.Sense).or(7e-3)}
	case catalog.Reference:
		return []need{atMost("vref", si.Voltage(3)), atMost("cathode_min", p.CathodeMin.Or(1e-3)).or(1e-3)}
	case catalog.Trimmer:
		return []need{oneOf("track", "", "cermet", "wirewound"), within("resistance", p.Resistance.Value/2, 2*p.Resistance.Value)}
	case catalog.Lamp:
		return []need{atMost("forward", si.Voltage(control.IndicatorDrop)).or(2), atLeast("current", b.Regulation.LampHave).or(20e-3)}
	case catalog.Switcher:
		return []need{atLeast("breakdown", si.Voltage(CheckNamed(b, substitute.ChkDrain).Value/stage.BreakdownUse))}
	case catalog.Film:
		if at.Role == seats.Tape {
			return []need{oneOf("form", "tape"), oneOf("insulates", "yes")}
		}
		return []need{oneOf("shim", "yes"), atLeast("class", b.CoilHot+bill.FilmSpare)}
	case catalog.Wire:
		insulation := oneOf("insulation", "triple-insulated", p.Insulation)
		return []need{insulation, within("diameter", 0.8*p.Diameter.Value, 1.25*p.Diameter.Value)}
	}
	return nil
}

func (s *Swapper) rectifierNeeds(at seat, p, c catalog.Rectifier) []need {
	t, b := s.Target, s.Build
	switch at.Role {
	case seats.OutputRectifier:
		out := []need{oneOf("technology", "schottky", "ultrafast"), atLeast("reverse", b.Stage.ReverseVoltage/stage.ReverseUse),
			atLeast("average", t.Current/stage.RectifierUse/si.Current(c.Legs.Or(1))), atMost("forward", p.Forward.Or(1)).or(1)}
		if c.Technology != "schottky" { // which has none; what its sheet gives is charge
			out = append(out, atMost("recovery", si.Time(75e-9)).or(100e-9))
		}
		return out
	case seats.ClampDiode:
		return []need{oneOf("technology", notMains...), atLeast("reverse", max(600, 1.2*(b.Stage.BusMax+b.Stage.Clamp))),
			atMost("recovery", si.Time(500e-9)).or(500e-9), atLeast("average", si.Current(0.5))}
	case seats.BiasRectifier:
		reverse := b.Stage.BiasMax + b.Stage.BusMax*si.Voltage(float64(b.Transformer.BiasTurns)/float64(b.Transformer.PrimaryTurns))
		return []need{oneOf("technology", notMains...), atLeast("reverse", reverse/stage.ReverseUse), within("average", si.Current(0.1), 3)}
	}
	return []need{oneOf("technology", notMains...), atLeast("reverse", t.Absolute), atMost("average", si.Current(1))}
}

func (s *Swapper) capacitorNeeds(at seat, p, c catalog.Capacitor) []need {
	t, b := s.Target, s.Build
	switch at.Role {
	case seats.BulkCapacitor:
		return []need{oneOf("dielectric", "electrolytic"), atLeast("volts", b.Stage.BusMax), atLeast("capacitance", p.Capacitance.Value).asGuide(),
			atLeast("heat", si.Celsius(105)).or(85)}
	case seats.OutputCapacitor:
		return []need{oneOf("dielectric", "electrolytic", "polymer"), within("volts", t.Absolute*stage.OutputFault, 200),
			atLeast("capacitance", si.Capacitance(80e-6)), atLeast("ripple", b.Stage.CapacitorRipple)}
	case seats.ChipSupply, seats.BiasCapacitor:
		volts := si.Voltage(25)
		if b.Transformer.BiasTurns > 0 {
			volts = b.Stage.BiasMax * stage.BiasSpike * 1.1
		}
		return []need{oneOf("dielectric", "electrolytic"), within("volts", volts, 100), within("capacitance", si.Capacitance(8e-6), 50e-6)}
	case seats.XCapacitor:
		return []need{oneOf("safety", "X2", "X1", "Y2"), within("capacitance", si.Capacitance(47e-9), bill.MostX)}
	case seats.YCapacitor:
		farad := stage.TouchLimit / stage.TouchCurrent(t, 1, c.Tolerance)
		return []need{oneOf("safety", "Y1"), atMost("capacitance", si.Capacitance(farad))}
	case seats.ClampCapacitor:
		least := 0.0
		if r, ok := s.partIn(seats.ClampResistor).(catalog.Resistor); ok {
			least = 10 / (float64(r.Resistance.Value) * float64(b.Switcher.Frequency))
		}
		return []need{oneOf("dielectric", "film", "ceramic"), oneOf("safety", ""), atLeast("volts", 1.5*b.Stage.Clamp),
			within("capacitance", si.Capacitance(least), 47e-9)}
	}
	return []need{oneOf("dielectric", "polymer", "film", "ceramic", "ceramic-class1"), oneOf("safety", ""), atLeast("volts", si.Voltage(25)),
		within("capacitance", si.Capacitance(10e-9), 220e-9)}
}

func (s *Swapper) resistorNeeds(at seat, p catalog.Resistor) []need {
	t, b := s.Target, s.Build
	near := within("resistance", p.Resistance.Value/2, 2*p.Resistance.Value).asGuide()
	switch at.Role {
	case seats.Shunt:
		high := min(2, control.SenseMost/float64(t.Current))
		least := control.SenseLeast / float64(t.Current) / stock.MaxParallel // up to so many in series
		return []need{within("resistance", si.Resistance(least), si.Resistance(stock.MaxParallel*high)),
			atLeast("power", 2*b.Regulation.ShuntPower/si.Power(s.piecesIn(at.Role))).or(0.25)}
	case seats.BulkBleed:
		bus := b.Stage.BusMax
		most := stage.MostBleed(b.Stage.BulkCapacity, bus)
		return []need{oneOf("type", "", "film", "carbon", "wirewound", "shunt"), atLeast("volts", bus/2).or(200),
			atMost("resistance", most/2)}
	case seats.XDischarge:
		x, _ := s.partIn(seats.XCapacitor).(catalog.Capacitor)
		most := bill.MostDischarge(t, x.Capacitance.Value)
		return []need{oneOf("type", "", "film", "carbon", "wirewound", "shunt"), atLeast("volts", t.MainsMax*math.Sqrt2/2).or(200),
			atMost("resistance", most)}
	case seats.StartResistor:
		most := s.mostStart()
		return []need{oneOf("type", "", "film", "carbon", "wirewound", "shunt"), atLeast("volts", b.Stage.BusMax/2).or(200),
			within("resistance", most/stage.StartRange, most)}
	case seats.ClampResistor:
		return []need{atLeast("power", si.Power(1)), within("resistance", si.Resistance(5e3), 1e6)}
	case seats.LimitResistor:
		return []need{near}
	case seats.LoopInput, seats.SenseInput:
		near = within("resistance", si.Resistance(control.LoopInputLow), control.LoopInputHigh)
	case seats.VoltageDamping, seats.CurrentDamping:
		near = within("resistance", si.Resistance(control.DampingLeast), control.DampingMost)
	}
	return []need{near, oneOf("type", "", "film", "carbon", "wirewound", "shunt"), atMost("power", si.Power(0.999)).or(0.25)}
}

// mostStart is the most that each resistor may have which starts the switcher of the build.
func (s *Swapper) mostStart() si.Resistance {
	c, _ := s.partIn(seats.Switcher).(catalog.Switcher)
	return stage.MostStart(flyback.BusPeak(s.Target.MainsMin, s.Build.Drawing.Bridge), c.StartCurrent.Value)
}

// stopNeed is that of the suppressor across the output.
func (s *Swapper) stopNeed(p catalog.Clamp) need {
	tolerance := p.Tolerance.Or(0.05)
	bears := CheckNamed(s.Build, substitute.ChkUnload).Limit
	return within("breakdown", s.Target.Absolute*control.StopAbove/si.Voltage(1-tolerance), si.Voltage(bears/control.StopClamps/float64(1+tolerance)))
}

// mainsCurrent is the rms current from the mains, as the search reckons it.
func (s *Swapper) mainsCurrent() float64 {
	return float64(s.Build.Stage.InputPower-s.Build.Losses.Bridge) / float64(s.Target.MainsMin) / 0.55
}

// fuseNeeds are those of the two fuses. The search may choose a larger mains fuse; a stand-in never is larger.
func (s *Swapper) fuseNeeds(role seats.ID, p catalog.Fuse) []need {
	t := s.Target
	if role == seats.OutputFuse {
		return []need{within("current", 1.25*t.Current, max(1, 4*t.Current))}
	}
	return []need{within("current", si.Current(2*s.mainsCurrent()), p.Current.Value), atLeast("volts", t.MainsMax-15).or(250),
		oneOf("speed", "", "time-lag")}
}

// mainsNeeds are those of chokes and the inrush limiter.
func (s *Swapper) mainsNeeds(role seats.ID) []need {
	most := si.Current(1.5 * s.mainsCurrent())
	switch role {
	case seats.InrushLimiter:
		return []need{within("cold", si.Resistance(3), 35), atLeast("current", most).or(1)}
	case seats.MainsChoke:
		return []need{oneOf("use", "common-mode"), atLeast("inductance", si.Inductance(2e-3)), atLeast("current", most)}
	}
	return []need{oneOf("use", "output"), atMost("inductance", si.Inductance(47e-6)), atLeast("current", 1.3*s.Target.Current)}
}

// Bound is one limit a stand-in was held against: a figure or word of the part, or a check of the build.
type Bound struct {
	Parameter string  `json:"parameter"`
	Value     float64 `json:"value"`
	Limit     float64 `json:"limit"`
	Unit      string  `json:"unit,omitempty"`
	Sense     string  `json:"sense"` // min, max or word
	Has       string  `json:"has,omitempty"`
	Wants     string  `json:"wants,omitempty"`
	Hard      bool    `json:"hard"`
	Passed    bool    `json:"passed"`
	Why       string  `json:"why,omitempty"`

	Redo  string  `json:"-"` // what the search can work out anew
	Guide bool    `json:"-"`
	room  float64 // share of the limit that is free
}

// against holds a part against a need.
func (n need) against(p catalog.Part, role seats.ID) Bound {
	rule, _ := catalog.SubstitutionFor(p.Kind(), role.String(), n.Field)
	b := Bound{Parameter: n.Field, Hard: rule.Hard, Redo: rule.Redo, Guide: n.guide, Why: rule.Limit}
	v, known := figureOf(p, n.Field)
	if n.Words != nil {
		b.Sense, b.Has, b.Wants = "word", v.Text, strings.Join(wordsOf(n.Words), ", ")
		b.Passed = slices.Contains(n.Words, v.Text)
		if b.room = 1; b.Wants == "" {
			b.Wants = "none"
		}
		return b
	}
	f, _ := catalog.FieldNamed(p.Kind(), n.Field)
	b.Unit = plainUnit(f.Unit)
	number := v.Number
	if !known {
		number = n.unknown
	}
	b.holdWithin(number, n)
	if math.IsNaN(number) {
		b.Value, b.Has = 0, "not known"
	}
	return b
}

// plainUnit is a unit as the JSON contract writes it.
func plainUnit(unit string) string {
	switch unit {
	case "Ω":
		return "ohm"
	case "°C":
		return "C"
	}
	return unit
}

// wordsOf lists the allowed words once each, without the empty one that stands for a word not given.
func wordsOf(all []string) []string {
	var out []string
	for _, w := range all {
		if w != "" && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// holdWithin takes the nearer of the two limits of a need.
func (b *Bound) holdWithin(v float64, n need) {
	b.Value, b.room = v, math.Inf(1)
	if !math.IsNaN(n.Low) {
		g := substitute.Gauge{Value: v, Limit: n.Low, Lowest: true}
		b.Limit, b.Sense, b.room = n.Low, "min", g.Margin()
		if n.Low == 0 {
			b.room = math.Inf(1)
		}
	}
	if !math.IsNaN(n.High) {
		if r := (substitute.Gauge{Value: v, Limit: n.High}).Margin(); r < b.room {
			b.Limit, b.Sense, b.room = n.High, "max", r
		}
	}
	b.Passed = b.room >= -1e-9
}

// figureOf returns one figure or word of a part; false when it is not known.
func figureOf(p catalog.Part, field string) (catalog.Value, bool) {
	for _, v := range catalog.Describe(p).Values {
		if v.Field == field {
			return v, true
		}
	}
	return catalog.Value{}, false
}

// CheckNamed returns a check of a build; the zero Check when it has none of that kind.
func CheckNamed(b *substitute.Build, id substitute.CheckID) substitute.Check {
	i := slices.IndexFunc(b.Checks, func(c substitute.Check) bool { return c.Name == substitute.CheckNames[id].Name })
	if i < 0 {
		return substitute.Check{}
	}
	return b.Checks[i]
}
