package substitute

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Case is how the finished charger is housed; it decides the power class and the air temperature
// around the parts.
type Case string

// The three ways.
const (
	Sealed Case = "sealed"
	Vented Case = "vented"
	Open   Case = "open"
)

// Target is one wanted charger. The fields up to Box are the builder's words; Resolve fills the
// rest from the battery tables.
type Target struct {
	Chemistry string       `json:"chemistry"`
	Duty      string       `json:"duty,omitempty"` // cyclic or float, lead-acid only
	Cells     int          `json:"cells"`
	Current   si.Current   `json:"current_a" figures:"entered"`
	MainsMin  si.Voltage   `json:"mains_min_v" figures:"entered"`
	MainsMax  si.Voltage   `json:"mains_max_v" figures:"entered"`
	Line      si.Frequency `json:"line_hz" figures:"entered"`
	Case      Case         `json:"case"`
	Ambient   si.Celsius   `json:"ambient_c" figures:"entered"`
	Box       *Box         `json:"box,omitempty" figures:"entered"`

	Name     string     `json:"name"`
	Set      si.Voltage `json:"set_v"`
	BandLow  si.Voltage `json:"band_low_v"`
	BandHigh si.Voltage `json:"band_high_v"`
	Empty    si.Voltage `json:"empty_v"`
	Absolute si.Voltage `json:"absolute_v"`
}

// Box is the outside of the housing.
type Box struct {
	Length si.Length `json:"length_m"`
	Width  si.Length `json:"width_m"`
	Height si.Length `json:"height_m"`
}

// UsualBox stands in when the builder gives no box: a common plug-top adapter size; common
// practice, no source.
var UsualBox = Box{0.090, 0.055, 0.040}

// Surface is the outside area of the box in m2.
func (b Box) Surface() si.Area {
	l, w, h := float64(b.Length), float64(b.Width), float64(b.Height)
	return si.Area(2 * (l*w + l*h + w*h))
}

// TargetFault says which word of a wanted charger cannot be used, why, and what to type instead.
type TargetFault struct {
	Option string // command-line name of the option without dashes
	Given  string
	Why    string
}

func (f TargetFault) Error() string { return fmt.Sprintf("--%s %q: %s", f.Option, f.Given, f.Why) }

// limits of what the model covers. Mains and line figures are the public networks of IEC 60038; the
// rest keeps typing slips out.
const (
	lowestMains, highestMains = 80, 280 // V
	LowestCurrent             = 0.05    // A
	highestCurrent            = 10      // A
	// V, extra-low voltage limit of IEC 61140 for d.c. is 120 V; 60 V is the touchable one
	highestSet = 60
)

// MostCells is the greatest number of cells in series: 24 lead-acid or nickel ones stay below the
// touchable voltage.
const MostCells = 24

// Resolve checks the builder's words and fills in the voltages of the pack. volts, when not zero,
// is the pack's full-charge voltage and stands in for the number of cells; a label such as "18 V"
// never does.
func (t Target) Resolve(volts si.Voltage) (Target, error) {
	b, err := findBattery(rowOf(t.Chemistry), t.Duty)
	if err != nil {
		return t, err
	}
	if volts != 0 {
		if t.Cells, err = cellsFor(b, volts, t.Cells); err != nil {
			return t, err
		}
	}
	if err := t.checkWords(); err != nil {
		return t, err
	}
	n := si.Voltage(t.Cells)
	t.Duty = b.Duty
	t.Set, t.Empty, t.Absolute = n*b.CellSet, n*b.CellEmpty, n*b.CellAbsolute
	t.BandLow, t.BandHigh = n*b.CellLow, n*b.CellHigh
	t.Name = t.title()
	if t.Set > highestSet {
		return t, TargetFault{"cells", fmt.Sprint(t.Cells),
			fmt.Sprintf("sets %.1f V; this tool stops at %d V", float64(t.Set), highestSet)}
	}
	return t, nil
}

func (t Target) title() string {
	words := map[string]string{"li-ion": "Li-ion", "li-ion-4v35": "Li-ion 4.35 V",
		"lifepo4":       "LiFePO4",
		"lead-acid-agm": "lead-acid AGM", "lead-acid-gel": "lead-acid gel",
		"lead-acid-flooded": "lead-acid flooded", "nimh": "NiMH/NiCd"}
	name := words[rowOf(t.Chemistry)]
	if name == "" {
		name = t.Chemistry
	}
	if t.Duty != "" {
		return fmt.Sprintf("%s %d V %s", name, 2*t.Cells, t.Duty)
	}
	return fmt.Sprintf("%s %dS", name, t.Cells)
}

// findBattery returns the per-cell row of a chemistry; lead-acid without a duty counts as cyclic.
func findBattery(chemistry, duty string) (catalog.Battery, error) {
	var words []string
	known := false
	for _, b := range catalog.Batteries() {
		if b.Chemistry != chemistry {
			if len(words) == 0 || words[len(words)-1] != b.Chemistry {
				words = append(words, b.Chemistry)
			}
			continue
		}
		known = true
		if b.Duty == duty || (duty == "" && b.Duty == "cyclic") {
			return b, nil
		}
	}
	if known {
		return catalog.Battery{}, TargetFault{"duty", duty,
			"only lead-acid has a duty, cyclic or float; leave it out"}
	}
	return catalog.Battery{}, TargetFault{"chemistry", chemistry,
		"not known; one of " + joinWords(words)}
}

func joinWords(words []string) string {
	seen := map[string]bool{}
	text := ""
	for _, w := range words {
		if seen[w] {
			continue
		}
		seen[w] = true
		if text != "" {
			text += ", "
		}
		text += w
	}
	return text
}

// cellsFor turns a full-charge voltage into whole cells; within 1 % of a whole number, else the
// nearest two are named.
func cellsFor(b catalog.Battery, volts si.Voltage, stated int) (int, error) {
	if b.CellSet == 0 {
		return 0, TargetFault{"volts", fmt.Sprint(float64(volts)),
			"this chemistry has no full-charge voltage; give --cells"}
	}
	cells := int(math.Round(float64(volts / b.CellSet)))
	near := si.Voltage(cells) * b.CellSet
	if cells < 1 || math.Abs(float64(near-volts)) > 0.01*float64(volts) {
		below := max(1, int(math.Floor(float64(volts/b.CellSet))))
		return 0, TargetFault{"volts", fmt.Sprint(float64(volts)), fmt.Sprintf(
			"is no full-charge voltage of whole %s cells; %d cells are %.2f V, "+
				"%d are %.2f V", b.Chemistry,
			below, float64(si.Voltage(below)*b.CellSet), below+
				1, float64(si.Voltage(below+1)*b.CellSet))}
	}
	if cells > MostCells {
		return 0, TargetFault{"volts", fmt.Sprint(float64(volts)),
			fmt.Sprintf("means %d cells; this tool stops at %d", cells, MostCells)}
	}
	if stated != 0 && stated != cells {
		return 0, TargetFault{"volts", fmt.Sprint(float64(volts)),
			fmt.Sprintf("means %d cells, but --cells says %d; give one of them", cells, stated)}
	}
	return cells, nil
}

func (t Target) checkWords() error {
	if t.Cells < 1 || t.Cells > MostCells {
		return TargetFault{"cells", fmt.Sprint(t.Cells),
			fmt.Sprintf("give the number of cells in series, 1 to %d", MostCells)}
	}
	if err := CheckCurrent(t.Current); err != nil {
		return err
	}
	return t.CheckConditions()
}

// CheckCurrent refuses a charging current in A outside what the model covers, with a TargetFault.
func CheckCurrent(i si.Current) error {
	if !(i >= LowestCurrent && i <= highestCurrent) {
		return TargetFault{"current", fmt.Sprint(float64(i)),
			fmt.Sprintf("give a charging current of %g A to %d A", LowestCurrent, highestCurrent)}
	}
	return nil
}

// CheckMains refuses a mains voltage in V or frequency in Hz outside the public networks, with a
// TargetFault.
func CheckMains(low, high si.Voltage, line si.Frequency) error {
	switch {
	case !(low >= lowestMains && high <= highestMains && low <= high):
		return TargetFault{"mains", fmt.Sprintf("%g-%g", float64(low), float64(high)),
			fmt.Sprintf("give the lowest and highest mains voltage within %d-%d V, such as 195-265",
				lowestMains, highestMains)}
	case !(line >= 45 && line <= 65):
		return TargetFault{"line", fmt.Sprint(float64(line)),
			"give the mains frequency, 50 or 60 Hz"}
	}
	return nil
}

// CheckConditions holds mains, case, air and box against what the model covers, whatever is to be
// charged. The error is a TargetFault. It is the only place with these limits.
func (t Target) CheckConditions() error {
	if err := CheckMains(t.MainsMin, t.MainsMax, t.Line); err != nil {
		return err
	}
	switch {
	case t.Case != Sealed && t.Case != Vented && t.Case != Open:
		return TargetFault{"case", string(t.Case), "one of sealed, vented, open"}
	case !(t.Ambient >= -10 && t.Ambient <= 60):
		return TargetFault{"ambient", fmt.Sprint(float64(t.Ambient)),
			"give the hottest surrounding air, -10 to 60 C"}
	}
	if b := t.Box; b != nil {
		for _, side := range []si.Length{b.Length, b.Width, b.Height} {
			if !(side >= 0.01 && side <= 1) {
				return TargetFault{"box", fmt.Sprint(float64(side)),
					"give outside length x width x height in millimetres, each 10 to 1000, " +
						"such as 90x55x40"}
			}
		}
	}
	return nil
}

// Unsuitable returns the reason why plain constant current, then constant voltage must not charge
// this pack. Everything is taken from the exported fields, so that a target read back from JSON
// answers the same.
func (t Target) Unsuitable() (Refusal, bool) {
	b, err := findBattery(rowOf(t.Chemistry), t.Duty)
	n := si.Voltage(t.Cells)
	switch {
	case err != nil:
		return Refusal{Check: "chemistry", Why: err.Error(),
			Cure: "use a chemistry of the battery table"}, true
	case b.CellSet == 0:
		return Refusal{Check: "chemistry",
			Cure: "use a charger with an end detection made for nickel cells",
			Why: "nickel cells have no voltage to hold: near full their voltage falls while they " +
				"warm up, so a constant voltage drives " +
				"ever more current into a hot pack"}, true
	case !(near(t.Set, n*b.CellSet) && near(t.BandLow, n*b.CellLow) &&
		near(t.BandHigh, n*b.CellHigh) &&
		near(t.Empty, n*b.CellEmpty) && near(t.Absolute, n*b.CellAbsolute)):
		return Refusal{Check: "chemistry",
			Why:  "the voltages of the target are not those of its pack",
			Cure: "let Resolve fill them in from chemistry, duty and cells"}, true
	}
	return Refusal{}, false
}

// rowOf is the chemistry under which the battery table has cells: one row serves both kinds of
// nickel cells.
func rowOf(chemistry string) string {
	if chemistry == "nicd" {
		return "nimh"
	}
	return chemistry
}

// near tells whether a voltage is another one but for the digits that documents leave out
// (si.Derived).
func near(v, w si.Voltage) bool { return math.Abs(float64(v-w)) <= 1e-5*math.Abs(float64(w)) }
