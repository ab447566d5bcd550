package netlist

// course is how a scenario runs.
type course struct {
	says    string
	end     float64 // s
	event   float64 // s; figures count from here
	strong  bool    // the corner with the most power, else that with the least
	largest bool    // the most output capacitor instead of the least
	bus     []point // V
	contact []point // 1: pack, load or short connected
	out     float64 // V at OUT before
	volts   bool    // the voltage loop holds before, else that of the current
	amps    float64 // A that the output gives before
	cell    float64 // ohm of a cell
	charged float64 // V of the pack at rest, as it begins
	fills   float64 // F that stands for a pack that fills up; 0: it keeps its voltage
	load    float64 // ohm in place of the pack; 0: a pack
	figures []figure
}

// Times of the scenarios, and what is at the terminals.
const (
	warmUp  = 40e-3 // s, from about the steady state into it
	watched = 120e-3
	// V/s, as a share of the set voltage, at which the full current charges a full pack further; in
	// truth that takes an hour
	fillRate  = 0.25
	fillTime  = 0.25  // s
	dropOut   = 60e-3 // s without mains: three periods
	comesBack = 0.8   // s in which a chip has started again through its resistors
	loadShare = 0.1
	loadMost  = 0.95
	shortOhm  = 10e-3 // ohm of a short at the terminals, leads apart
)

// scene lays out what happens to the build, and the figures that are read.
type scene struct{ *whole }

// courseOf lays out the scenario.
func (w scene) courseOf() {
	w.course = course{volts: true, event: warmUp, end: warmUp + watched, strong: true,
		out: w.setPoint(), bus: []point{{0, float64(w.b.Stage.BusMax)}},
		contact: step(0, warmUp, 1),
		cell:    float64(w.y.Cells), charged: float64(half(w.t))}
	map[string]func(){"start": w.starting, "step": w.stepping, "plug": w.plugging,
		"dead": w.dead, "unplug": w.unplugging, "short": w.shorting, "mains": w.dipping,
		faultName: w.failing, fullName: w.failingFull}[w.s.Name]()
}

// charging has the full current flow into the pack before the event.
func (w scene) charging() {
	w.amps, w.cell, w.contact = w.setCurrent(), BatteryOhm, []point{{0, 1}}
	w.volts = false
	w.out = w.charged + w.amps*(BatteryOhm*float64(w.t.Cells)+w.wayOhm())
}

func (w scene) starting() {
	w.says = "the mains comes on, no pack is connected"
	w.event, w.out, w.contact = 1e-3, 0, []point{{0, 0}}
	w.bus = []point{{0, 0}, {1e-3, 0}, {2e-3, float64(w.b.Stage.BusMax)}}
	w.figures = []figure{most("peak_out", "v(out)"), last("out_end", "v(out)"),
		settles("settling", "v(out)", w.setPoint(), 0.02, w.event, w.end), opened()}
}

func (w scene) stepping() {
	w.says = "resistors in place of the pack take a tenth, then 0.95, then a tenth of the full " +
		"current"
	w.strong, w.bus = false, []point{{0, float64(w.b.Stage.BusMin)}}
	back := w.event + watched/2
	w.contact = []point{{0, 0}, {w.event, 0}, {w.event + 1e-5, 1}, {back, 1}, {back + 1e-5, 0}}
	w.amps = loadShare * w.setCurrent()
	w.load = w.setPoint() / ((loadMost - loadShare) * w.setCurrent())
	w.figures = []figure{least("least_out", "v(out)"), most("peak_out", "v(out)"),
		settles("settling_loaded", "v(out)", w.setPoint(), 0.01, w.event, back),
		settles("settling_unloaded", "v(out)", w.setPoint(), 0.01, back, w.end),
		last("out_end", "v(out)"), opened()}
}

func (w scene) plugging() {
	w.says = "an empty pack of strong cells is put on the idle charger"
	w.charged = float64(w.t.Empty)
	w.figures = []figure{most("peak_pack_current", "charge"), most("peak_pack", "terminals"),
		settles("settling", "charge", w.setCurrent(), 0.05, w.event, w.end),
		last("current_end", "charge"), least("least_out", "v(out)"), opened()}
}

func (w scene) dead() {
	w.says = "a full pack of strong cells, at its highest voltage, is put on the charger without " +
		"mains"
	w.out, w.event, w.end, w.charged = 0, 1e-3, 0.1, float64(w.t.Absolute)
	w.bus, w.contact, w.largest = []point{{0, 0}}, step(0, w.event, 1), true
	w.figures = []figure{most("peak_back_current", "-charge"),
		{"shunt_energy", "meas tran shunt_energy integ heat"}, least("least_sense", "v(sense)"),
		least("least_input", "v(input)"),
		most("input_current", "(v(input)-v(sense))/"+Num(float64(w.b.Regulation.Loops.Input))),
		last("drain_end", "-charge")}
}

func (w scene) unplugging() {
	w.says = "the pack, half charged, is taken off at full current"
	w.charging()
	w.contact = step(1, w.event, 0)
	w.figures = []figure{most("peak_out", "v(out)"), last("out_end", "v(out)"),
		settles("settling", "v(out)", w.setPoint(), 0.02, w.event, w.end),
		opened()}
}

func (w scene) shorting() {
	w.says = "the leads of the idle charger are put together"
	w.load = shortOhm
	w.figures = []figure{most("peak_lead_current", "charge"),
		{"shunt_energy", "meas tran shunt_energy integ heat"}, least("least_out", "v(out)"),
		{"mean_lead_current", "meas tran mean_lead_current avg charge from=" + Num(w.event) +
			" to=" + Num(w.end)},
		last("current_end", "charge"), last("chip_runs_end", "v(active)")}
}

func (w scene) dipping() {
	w.says = "while a half charged pack is charged the mains falls from highest to lowest, goes " +
		"for three periods, and comes back at its highest"
	high, low := float64(w.b.Stage.BusMax), float64(w.b.Stage.BusMin)
	w.charging()
	gone := w.event + 40e-3
	back := gone + dropOut
	w.end = back + comesBack
	w.bus = []point{{0, high}, {w.event, high}, {w.event + 1e-3, low}, {gone, low},
		{gone + 5e-3, 0}, {back, 0}, {back + 1e-3, high}}
	w.figures = []figure{most("peak_pack_current", "charge"), most("peak_pack", "terminals"),
		least("least_pack_current", "charge"), most("peak_out", "v(out)"),
		settles("settling_step", "charge", w.setCurrent(), 0.02, w.event, gone),
		last("current_end", "charge"), opened()}
}

// failing breaks a part at full current into a half charged pack.
func (w scene) failing() {
	w.says = "fault of " + w.s.Fault.Mark + ", " + w.s.Fault.Kind + ", while a half charged pack " +
		"takes the full current"
	w.charging()
	w.figures = w.ofFault()
}

// failingFull breaks a part while the voltage loop holds and a pack is full but for the last of its
// current; if nothing ends it the pack is then charged far beyond its limit within tenths of a
// second.
func (w scene) failingFull() {
	w.says = "fault of " + w.s.Fault.Mark + ", " + w.s.Fault.Kind +
		", while a pack is nearly full, " +
		"whose further charge takes tenths of a second (in truth an hour)"
	full := w.setCurrent()
	w.amps, w.cell, w.contact, w.volts = full/2, BatteryOhm, []point{{0, 1}}, true
	w.out = w.setPoint()
	w.charged = w.out - w.amps*(BatteryOhm*float64(w.t.Cells)+w.wayOhm())
	w.fills, w.end = full/(fillRate*float64(w.t.Set)), w.event+fillTime
	w.figures = w.ofFault()
}

// ofFault are the figures of both.
func (w scene) ofFault() []figure {
	return []figure{most("peak_out", "v(out)"), most("peak_pack", "terminals"),
		most("peak_charge", "v(cell)-v(minus)"), {"over", "meas tran over integ above"},
		most("peak_pack_current", "charge"), most("lasting_current", "v(lasting)"),
		last("current_end", "charge"), last("out_end", "v(out)"), opened()}
}
