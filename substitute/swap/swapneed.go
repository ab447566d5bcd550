package swap

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/bill"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/loops"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// seat is one role of one lot in a build.
type seat struct {
	Role seats.ID
	Lot  int64
	Part catalog.Part // completed, as the search sees it
}

// Needs lists what the present numbers of a build ask of a part for a seat, in the words of the
// catalog. They are those of the search, for the turns, gap and networks as they are.
func (s *Swapper) Needs(at seat, c catalog.Part) []seats.Need {
	asked := s.circuit(at)
	return at.Role.In(&asked).StandInNeeds(seats.FiguresOf(c))
}

// circuit is what the numbers of the build ask of its seats.
func (s *Swapper) circuit(at seat) seats.Circuit {
	t, b := s.Target, s.Build
	c := stage.Asked(t, b.Stage.BusMax)
	c.Now = seats.FiguresOf(at.Part)
	c.Mains = stage.MainsCurrent(b.Stage.InputPower-b.Losses.Bridge, t)
	c.BleedMost = stage.MostBleed(b.Drawing.BulkHigh, b.Stage.BusMax) / 2
	s.aroundSwitcher(&c)
	c.OffsetMost, c.LEDLeast, c.ShimHeat = 0.05*b.Regulation.Sense, b.Regulation.LEDHave,
		b.CoilHot+bill.FilmSpare
	c.RectifierReverse, c.Ripple = b.Stage.ReverseVoltage/stage.ReverseUse, b.Stage.CapacitorRipple
	// a shunt is up to so many parts in series
	c.SenseLow = si.Resistance(control.SenseLeast / float64(t.Current) / stock.MaxParallel)
	c.SenseHigh = si.Resistance(stock.MaxParallel * min(2, control.SenseMost/float64(t.Current)))
	c.ShuntPower = 2 * b.Regulation.ShuntPower / si.Power(s.piecesIn(at.Role))
	c.StopLow = t.Absolute * control.StopAbove
	c.StopHigh = si.Voltage(CheckNamed(b, substitute.ChkUnload).Limit / control.StopClamps)
	fuse, _ := s.partIn(seats.OutputFuse).(catalog.Fuse)
	fuse.Current.Value = cmp.Or(fuse.Current.Value, 1.6*t.Current)
	c.FuseThrough = loops.LetThrough(fuse)
	bill.AskProtection(&c, t, b, int(s.piecesIn(seats.GuardLEDResistor)))
	return c
}

// aroundSwitcher is what clamp, bias supply and start ask.
func (s *Swapper) aroundSwitcher(c *seats.Circuit) {
	t, b := s.Target, s.Build
	drain := CheckNamed(b, substitute.ChkDrain)
	c.Breakdown = si.Voltage(drain.Value / stage.BreakdownUse)
	c.Clamp, c.ClampLow = b.Stage.Clamp, stage.ClampAbove*b.Transformer.Reflected
	c.ClampHigh = si.Voltage((drain.Limit - float64(b.Stage.BusMax)) / 1.05)
	c.ClampPower = si.Power(CheckNamed(b, substitute.ChkClampPower).Value / 0.8)
	if r, ok := s.partIn(seats.ClampResistor).(catalog.Resistor); ok {
		c.ClampPeriods = si.Capacitance(stage.ClampPeriods /
			(float64(r.Resistance.Value) * float64(b.Switcher.Frequency)))
	}
	c.ChipVolts = 25
	c.ChipStore = min(b.Regulation.Loops.ChipStore, b.Drawing.Dynamics.ChipStore)
	if b.Transformer.BiasTurns > 0 {
		c.BiasReverse = (b.Stage.BiasMax +
			b.Stage.BusMax*si.Voltage(float64(b.Transformer.BiasTurns)/
				float64(b.Transformer.PrimaryTurns))) / stage.ReverseUse
		c.ChipVolts = b.Stage.BiasMax * stage.BiasSpike * 1.1
	}
	if chip, ok := s.partIn(seats.Switcher).(catalog.Switcher); ok {
		c.StartMost = stage.MostStart(flyback.BusPeak(t.MainsMin, b.Drawing.Bridge),
			chip.StartCurrent.Value)
	}
	if x, ok := s.partIn(seats.XCapacitor).(catalog.Capacitor); ok {
		c.DischargeMost = bill.MostDischarge(t, x.Capacitance.Value)
	}
}

// Bound is one limit a stand-in was held against: a figure or word of the part, or a check of the
// build.
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

	Redo   string  `json:"-"` // what the search can work out anew
	Guide  bool    `json:"-"`
	margin float64 // share of the limit that is free
}

// against holds a part against a need.
func against(n seats.Need, p catalog.Part, role seats.ID) Bound {
	rule, _ := catalog.SubstitutionFor(p.Kind(), role.String(), n.Field)
	b := Bound{Parameter: n.Field, Hard: rule.Hard, Redo: rule.Redo, Guide: n.Guide,
		Why: rule.Limit}
	v, known := figureOf(p, n.Field)
	if n.Words != nil {
		b.Sense, b.Has, b.Wants = "word", v.Text, strings.Join(wordsOf(n.Words), ", ")
		b.Passed = slices.Contains(n.Words, v.Text)
		if b.margin = 1; b.Wants == "" {
			b.Wants = "none"
		}
		return b
	}
	f, _ := catalog.FieldNamed(p.Kind(), n.Field)
	b.Unit = plainUnit(f.Unit)
	number := v.Number
	if !known {
		number = math.NaN()
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

// wordsOf lists the allowed words once each, without the empty one that stands for a word not
// given.
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
func (b *Bound) holdWithin(v float64, n seats.Need) {
	b.Value, b.margin = v, math.Inf(1)
	if !math.IsNaN(n.Low) {
		g := substitute.Gauge{Value: v, Limit: n.Low, Lowest: true}
		b.Limit, b.Sense, b.margin = n.Low, "min", g.Distance()
		if n.Low == 0 {
			b.margin = math.Inf(1)
		}
	}
	if !math.IsNaN(n.High) {
		if r := (substitute.Gauge{Value: v, Limit: n.High}).Distance(); r < b.margin {
			b.Limit, b.Sense, b.margin = n.High, "max", r
		}
	}
	b.Passed = b.margin >= -1e-9
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
	i := slices.IndexFunc(b.Checks, func(c substitute.Check) bool {
		return c.Name == substitute.CheckNames[id].Name
	})
	if i < 0 {
		return substitute.Check{}
	}
	return b.Checks[i]
}
