package adapter

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// Bending is how far the output of a whole adapter can be moved by its divider, and what binds.
type Bending struct {
	Lot         int64         `json:"lot"`
	Designation string        `json:"designation"`
	Bin         string        `json:"bin,omitempty"`
	State       string        `json:"state"`
	Barrier     string        `json:"barrier"`
	Regulation  string        `json:"regulation"`
	Chip        string        `json:"chip,omitempty"`
	PlateVolts  si.Voltage    `json:"plate_v"`
	PlateAmps   si.Current    `json:"plate_a"`
	PlateWatts  si.Power      `json:"plate_w"`
	MainsMin    si.Voltage    `json:"mains_min_v"`
	MainsMax    si.Voltage    `json:"mains_max_v"`
	Ratio       si.Ratio      `json:"turns_ratio,omitzero"` // primary over secondary
	Range       BendRange     `json:"range"`
	Limits      []BendLimit   `json:"limits"`
	Amps        []BendAmps    `json:"amps"`
	Asked       *BendAsked    `json:"asked,omitempty"`
	Widen       []BendStep    `json:"widen"`
	Divider     []BendDivider `json:"divider"`
	// what must be read before any of it is called feasible
	Measure  []string `json:"measure"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
}

// BendRange is the lowest and highest output, and what binds there. The highest is 0 when some
// limit holds nowhere.
type BendRange struct {
	Low    si.Voltage `json:"low_v"`
	LowBy  string     `json:"low_by"`
	High   si.Voltage `json:"high_v"`
	HighBy string     `json:"high_by"`
}

// BendLimit is one thing that gives up.
type BendLimit struct {
	Name string `json:"name"`
	// up: binds when the output rises; down; or fixed: does not depend on the output
	End     string     `json:"end"`
	Output  si.Voltage `json:"output_v,omitzero"` // at which it binds
	Plate   float64    `json:"plate_value"`       // at the plate's output
	Value   float64    `json:"value"`             // where it binds; for a fixed one as it is
	Limit   float64    `json:"limit"`
	Unit    string     `json:"unit,omitempty"`
	Passed  bool       `json:"passed_at_plate"`
	Basis   string     `json:"basis"`
	Measure string     `json:"measure,omitempty"` // what was not read; no figures then
}

// BendAmps is the current the adapter gives at an output.
type BendAmps struct {
	Output si.Voltage `json:"output_v"`
	Amps   si.Current `json:"current_a"`
}

// BendAsked is the answer for one output and current.
type BendAsked struct {
	Output    si.Voltage `json:"output_v"`
	Current   si.Current `json:"current_a"`
	Feasible  bool       `json:"feasible"`
	Reflected si.Voltage `json:"reflected_v,omitzero"`
	// crest of the highest mains and the reflected voltage
	Unspiked si.Voltage         `json:"drain_before_spike_v,omitzero"`
	Checks   []substitute.Check `json:"checks"`
	Why      string             `json:"why,omitempty"`
}

// BendStep is a part of the drawer that moves the limit which binds, on top of the steps before it.
type BendStep struct {
	Role        seats.ID  `json:"role"`
	Lot         int64     `json:"lot"`
	Bin         string    `json:"bin,omitempty"`
	Designation string    `json:"designation"`
	Quantity    int       `json:"quantity"`
	Moves       string    `json:"moves"` // the limit it moves
	Range       BendRange `json:"range"`
}

// BendDivider is the upper leg of its divider for an output.
type BendDivider struct {
	Output si.Voltage    `json:"output_v"`
	Top    si.Resistance `json:"top_ohm"`
	// the nearest of one to three resistors of the drawer
	Have   si.Resistance `json:"have_ohm,omitzero"`
	Wiring string        `json:"wiring,omitempty"`
	Lots   []int64       `json:"lots,omitempty"`
	Low    si.Voltage    `json:"output_low_v,omitzero"` // with the tolerance of those
	High   si.Voltage    `json:"output_high_v,omitzero"`
}

// BendSpec is what is asked of an adapter: the mains it must live on, and an output with a current,
// zero when only the limits are.
type BendSpec struct {
	Mains   si.Interval[si.Voltage]
	Line    si.Frequency
	Output  si.Voltage
	Current si.Current
}

// Bend answers how far the adapter of a lot can be bent. It is false when the lot holds no adapter
// that can be used.
func Bend(s inventory.Snapshot, lot int64, spec BendSpec) (Bending, bool) {
	w := control.NewNetworkBench(stock.OpenDrawer(s))
	for i := range w.Drawer.Adapters {
		a := &w.Drawer.Adapters[i]
		for _, p := range a.Lots {
			if p.Lot == lot {
				return bend(w, a, p, spec), true
			}
		}
	}
	return Bending{}, false
}

func bend(w *control.NetworkBench, a *stock.Stock[catalog.Adapter], place stock.Place,
	spec BendSpec) Bending {
	u := bending{openAdapter(a, w.Drawer, spec.Mains, spec.Line)}
	p := u.part
	out := Bending{Lot: place.Lot, Bin: place.Bin, Designation: a.Name(), State: p.State,
		Barrier: p.Barrier, Regulation: p.Regulation, Chip: p.Chip,
		PlateVolts: p.Volts.Value, PlateAmps: p.Amps.Value, PlateWatts: u.watts(),
		MainsMin: spec.Mains.Low, MainsMax: spec.Mains.High,
		Ratio: u.ratio, Range: u.reach(), Limits: []BendLimit{}, Widen: []BendStep{},
		Divider: []BendDivider{}, Measure: u.unread(),
		Notes: u.notes(), Cautions: append(substitute.MainsCautions(),
			"An adapter that was changed has lost its approval.",
			"A moved divider makes a supply, not a charger: nothing limits the current into a "+
				"battery, nor ends at its full voltage "+
				"by proof.")}
	for _, l := range u.limits() {
		out.Limits = append(out.Limits, u.limitOut(l))
	}
	outputs := []si.Voltage{p.Volts.Value}
	if out.Range.High > 0 {
		outputs = append(outputs, out.Range.Low, out.Range.High)
	}
	if spec.Output > 0 {
		out.Asked = u.asked(spec)
		outputs = append(outputs, spec.Output)
	}
	for _, v := range ascending(outputs) {
		out.Amps = append(out.Amps, BendAmps{v, u.amps(v)})
		if d, ok := u.divider(w.Legs, v); ok {
			namePieces(w, &d)
			out.Divider = append(out.Divider, d)
		}
	}
	out.Widen = append(out.Widen, u.widen(w.Drawer)...)
	return out
}

// binding is the output at which a limit begins to fail, sought by halving between the lowest and
// the highest output reckoned with. bound is false when it holds, or fails, at all of them.
func (l *bendLimit) binding() (at si.Voltage, bound, holds bool) {
	low, high := float64(lowestBend), float64(highestBend)
	goodLow, goodHigh := l.at(si.Voltage(low)).Passed(), l.at(si.Voltage(high)).Passed()
	if goodLow == goodHigh {
		return 0, false, goodLow
	}
	for range 60 {
		mid := (low + high) / 2
		if l.at(si.Voltage(mid)).Passed() == goodLow {
			low = mid
		} else {
			high = mid
		}
	}
	if l.up {
		return si.Voltage(low), true, true
	}
	return si.Voltage(high), true, true
}

// bending moves the output of an adapter.
type bending struct{ *adapterUnit }

// reach is the range that the known limits leave.
func (u bending) reach() BendRange {
	r := BendRange{High: si.Voltage(math.Inf(1))}
	for _, l := range u.limits() {
		if l.lack != "" {
			continue
		}
		at, bound, holds := l.binding()
		switch {
		case !bound && !holds:
			return BendRange{LowBy: substitute.CheckNames[l.id].Name,
				HighBy: substitute.CheckNames[l.id].Name}
		case !bound:
		case l.up && at < r.High:
			r.High, r.HighBy = at, substitute.CheckNames[l.id].Name
		case !l.up && at > r.Low:
			r.Low, r.LowBy = at, substitute.CheckNames[l.id].Name
		}
	}
	if r.HighBy == "" || r.Low > r.High {
		return BendRange{LowBy: r.LowBy, HighBy: r.HighBy}
	}
	return r
}

// unread lists what must be read or said before the adapter is called fit for anything.
func (u bending) unread() []string {
	out := []string{}
	add := func(what string) {
		for _, w := range out {
			if w == what {
				return
			}
		}
		out = append(out, what)
	}
	for _, l := range u.limits() {
		if l.lack != "" {
			add(l.lack)
		}
	}
	return out
}

// notes says what no limit tells.
func (u bending) notes() []string {
	out := []string{}
	switch {
	case u.part.State == "dead":
		out = append(out, "it is dead: mend it first, and try it with a load at its own voltage")
	case u.part.State != "working":
		out = append(out, "nobody has tried it: load it at its own voltage before it is bent")
	}
	for _, l := range u.limits() {
		if l.lack == "" && !l.own && !l.at(u.part.Volts.Value).Passed() {
			out = append(out, "at its own plate it breaks our limit of "+
				substitute.CheckNames[l.id].Name+": read those figures again, or its "+
				"maker cut it finer")
		}
	}
	if u.part.Barrier != "yes" {
		out = append(out, "its barrier is not declared whole: no charger may be made of it "+
			"(barrier=yes only when its class II mark "+
			"and approval are seen)")
	}
	if u.part.Regulation == "primary" {
		out = append(out, "its divider sits on the mains side: change it unplugged and "+
			"discharged only; it holds about 5 %, too "+
			"loose for lithium")
	}
	return out
}

func (u bending) limitOut(l bendLimit) BendLimit {
	end := "down"
	if l.up {
		end = "up"
	}
	if l.fixed {
		end = "fixed"
	}
	out := BendLimit{Name: substitute.CheckNames[l.id].Name, End: end,
		Unit: substitute.CheckNames[l.id].Unit, Basis: l.words(), Measure: l.lack}
	if l.lack != "" {
		return out
	}
	g := l.at(u.part.Volts.Value)
	out.Plate, out.Value, out.Limit, out.Passed = g.Value, g.Value, g.Limit, g.Passed()
	if at, bound, _ := l.binding(); bound {
		b := l.at(at)
		out.Output, out.Value, out.Limit = at, b.Value, b.Limit
	}
	return out
}

// words is the basis of a limit.
func (l *bendLimit) words() string {
	if l.basis != "" {
		return l.basis
	}
	return substitute.CheckNames[l.id].Basis
}

// asked holds one output and current against every limit; nothing unknown ever passes.
func (u bending) asked(spec BendSpec) *BendAsked {
	i := spec.Current
	if i == 0 {
		i = u.amps(spec.Output)
	}
	out := &BendAsked{Output: spec.Output, Current: i, Feasible: true}
	if u.ratio > 0 {
		out.Reflected = u.reflected(spec.Output)
		out.Unspiked = u.busMax + out.Reflected
	}
	watts := si.Power(float64(spec.Output) * float64(i))
	for _, g := range []substitute.Gauge{
		substitute.Most(substitute.ChkPlatePower, watts,
			u.watts()), substitute.Most(substitute.ChkPlateCurrent, i, u.part.Amps.Value)} {
		out.hold(g, "")
	}
	for _, l := range u.limits() {
		if l.lack == "" {
			out.hold(l.at(spec.Output), l.words())
		}
	}
	for _, what := range u.unread() {
		out.refuse("cannot be called feasible: measure " + what)
	}
	if u.part.State != "working" {
		out.refuse("cannot be called feasible: it has not been tried with a load")
	}
	if u.part.Barrier != "yes" {
		out.refuse("cannot be called feasible: its barrier is not declared whole")
	}
	return out
}

func (a *BendAsked) hold(g substitute.Gauge, basis string) {
	a.Checks = append(a.Checks, g.Check(basis))
	if !g.Passed() {
		a.refuse(substitute.CheckNames[g.Id].Name)
	}
}

// refuse keeps the first reason; a limit that is broken comes before a figure that is not known.
func (a *BendAsked) refuse(why string) {
	if a.Feasible {
		a.Feasible, a.Why = false, why
	}
}

// ascending sorts outputs and drops doubles.
func ascending(vs []si.Voltage) []si.Voltage {
	var out []si.Voltage
	for _, v := range vs {
		i := 0
		for i < len(out) && out[i] < v {
			i++
		}
		if v > 0 && (i == len(out) || out[i] != v) {
			out = append(out[:i], append([]si.Voltage{v}, out[i:]...)...)
		}
	}
	return out
}
