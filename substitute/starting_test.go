package substitute_test

import (
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// wantedOf is a charge that a switcher of the built-in drawer is large enough for, and not too
// large; a lithium pack of three cells at 0.5 A where nothing is said.
var wantedOf = map[string]substitute.Target{
	// a supply from its own drain heats it beyond 110 C at 0.5 A
	"NCP1014":    {Cells: 3, Current: 0.25},
	"VIPer16L":   {Cells: 3, Current: 0.25}, // 6 W sealed
	"FSDM0565RB": {Cells: 4, Current: 1},
}

// builtWith is the best build around one switcher of the built-in drawer, less the lots that drop
// names.
func builtWith(t *testing.T, chip string, mains si.Voltage,
	drop func(inventory.Lot) bool) *substitute.Build {
	t.Helper()
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(slices.Clone(s.Lots), func(l inventory.Lot) bool {
		return l.Part.Kind() == catalog.KindSwitcher && l.Part.Designation() != chip ||
			l.Part.Kind() == catalog.KindTransformer || l.Part.Kind() == catalog.KindAdapter ||
			drop != nil && drop(l)
	})
	wanted, ok := wantedOf[chip]
	if !ok {
		wanted = substitute.Target{Cells: 3, Current: 0.5}
	}
	target, err := substitute.Target{Chemistry: "li-ion", Cells: wanted.Cells,
		Current: wanted.Current, MainsMin: mains, MainsMax: 265, Line: 50, Case: substitute.Sealed,
		Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	r := advise.Advise(target, s, advise.Options{Builds: 1})
	require.NotEmpty(t, r.Builds, "no build with %s: %+v", chip, r.Refused)
	return &r.Builds[0]
}

func usesOf(b *substitute.Build, role string) (out []substitute.PartUse) {
	for _, p := range b.Parts {
		if p.Role.String() == role {
			out = append(out, p)
		}
	}
	return out
}

// A chip that has no source inside never starts without a resistor from the bulk voltage. By hand
// for the KA5M0365R, which takes up to 170 uA before it starts at 15 V (from memory; the table): at
// 85 V the crest is 120.2 V less two diodes of about 1 V, so 102 V/(1.25 x 170 uA) = 481 kohm, 240
// kohm each: of the drawer 220 kohm 0.6 W, each at half of 375 V with 0.16 W. At 195 V 257 V give
// 605 kohm each: the 470 kohm of 200 V, each at 187 V with 0.074 of 0.25 W.
func TestStartResistor(t *testing.T) {
	for mains, want := range map[si.Voltage]string{85: "220k 0.6 W 350 V", 195: "470k 1 %"} {
		uses := usesOf(builtWith(t, "KA5M0365R", mains, nil), "start resistor, two in series")
		require.Len(t, uses, 1)
		require.Equal(t, want, uses[0].Designation)
		require.Equal(t, 2.0, uses[0].Quantity)
	}
	// without such resistors they are to be bought, and the build is not called feasible
	b := builtWith(t, "KA5M0365R", 195, func(l inventory.Lot) bool {
		p, is := l.Part.(catalog.Resistor)
		return is && p.Resistance.Value > 400e3 && p.Resistance.Value < 700e3 ||
			is && p.Resistance.Value > 140e3 && p.Resistance.Value < 340e3
	})
	uses := usesOf(b, "start resistor, two in series")
	require.Len(t, uses, 1)
	require.Equal(t, "buy", uses[0].Source)
	// the highest of E12 below 605 kohm
	require.Equal(t, "resistor 560k 0.5 W 350 V", uses[0].Designation)
	require.Equal(t, substitute.NeedsParts, b.Verdict)
	// one with a start-up pin or a source inside needs none, but the pin has to be joined
	b = builtWith(t, "FSDM0565RB", 195, nil)
	require.Empty(t, usesOf(b, "start resistor, two in series"))
	require.Contains(t, b.Warnings, "join the start-up pin of the switcher to bulk +: without it "+
		"the chip never starts")
	b = builtWith(t, "NCP1014", 195, nil)
	require.Empty(t, usesOf(b, "start resistor, two in series"))
	for _, w := range b.Warnings {
		require.NotContains(t, w, "start-up pin")
	}
}

// The 5 uA of a feedback pin carry it from 3 V to 6 V in 3 V x C/5 uA (KA5x03xx-SERIES Rev 1.0.5: 5
// uA; the volts from memory): with nothing but 20 pF of wiring that is 12 us, and no output comes
// up so fast. With 27 nF or more it is above 16 ms, longer than the 10 to 15 ms of a soft start.
func TestFeedbackCapacitor(t *testing.T) {
	for chip, least := range map[string]float64{"FSDM0565RB": 27e-9, "KA5M0365R": 15e-9} {
		b := builtWith(t, chip, 195, nil)
		uses := usesOf(b, "feedback capacitor")
		require.Len(t, uses, 1, chip)
		require.GreaterOrEqual(t, float64(b.Regulation.Loops.Filter), least, chip)
		require.Less(t, float64(b.Regulation.Loops.Filter), 4*least, chip)
	}
	require.Empty(t, usesOf(builtWith(t, "NCP1014", 195, nil), "feedback capacitor"))
}

// In a VIPer16 the optocoupler belongs at COMP: pulling FB of its own amplifier down asks for more,
// not for less.
func TestFeedbackPinIsNamed(t *testing.T) {
	b := builtWith(t, "VIPer16L", 195, nil)
	require.Contains(t, b.Warnings, "the optocoupler goes to the switcher's pin COMP; its other "+
		"pins: FB to source")
	require.Equal(t, "COMP", b.Drawing.FeedbackPin)
}

// An X capacitor above 0.1 uF has to be down to 34 V a second after pulling the plug (IEC 60335-1
// 22.5, from memory), and the bleed lies behind the bridge. By hand for 220 nF and 20 % at a crest
// of 375 V: 1 s/(264 nF x ln(375/34)) = 1.58 Mohm, 789 kohm each: the 470 kohm of the drawer, each
// at 133 V rms with 0.037 of 0.25 W and 187 of 200 V. Without resistors the capacitor is not taken;
// the 3 W ones of the drawer would do from 11.7 kohm up, where each burns (265 V/2)^2/11.7 kohm =
// 1.5 W.
func TestXCapacitorIsDischarged(t *testing.T) {
	large := func(l inventory.Lot) bool {
		p, is := l.Part.(catalog.Capacitor)
		return is && (p.Safety == "X2" || p.Safety == "Y2") && p.Capacitance.Value < 200e-9
	}
	b := builtWith(t, "NCP1014", 195, large)
	require.Equal(t, "X2 220n", usesOf(b, "X capacitor")[0].Designation)
	uses := usesOf(b, "X discharge, two in series")
	require.Len(t, uses, 1)
	require.Equal(t, "470k 1 %", uses[0].Designation)
	require.Equal(t, 2.0, uses[0].Quantity)
	b = builtWith(t, "NCP1014", 195, func(l inventory.Lot) bool {
		p, is := l.Part.(catalog.Resistor)
		return large(l) || is && (p.Resistance.Value > 45e3 && p.Resistance.Value < 800e3 ||
			p.Rating.Value >= 3)
	})
	require.Equal(t, "buy", usesOf(b, "X capacitor")[0].Source)
	require.Equal(t, substitute.NeedsParts, b.Verdict)
	require.Empty(t, usesOf(builtWith(t, "NCP1014", 195, nil), "X discharge, two in series"))
}

// Where the loops no longer live a chip that feeds itself gives all its limit passes. By hand for
// NCP1014 (0.495 A at most) at 6 V and a drop of 0.6 V with n times as many turns on the primary: n
// x 6.6 V reflected, so n x 373/(373 + n x 6.6) x 0.495 A, and a tenth more; 146 on 18 turns give
// 3.9 A where a quarter was asked for. A lithium cell that low wants a tenth of that.
func TestDeepPackIsWarnedOf(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 2, Current: 0.25, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	builds := advise.Advise(target, exchange.Demo(), advise.Options{Builds: 100}).Builds
	i := slices.IndexFunc(builds, func(b substitute.Build) bool {
		return b.Switcher.Designation == "NCP1014"
	})
	require.GreaterOrEqual(t, i, 0)
	b := builds[i]
	ratio := float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	said :=
		regexp.MustCompile(
			`^below ([0-9.]+) V at the output only the switcher's limit holds the current: up to ([0-9.]+) A$`)
	i = slices.IndexFunc(b.Warnings, said.MatchString)
	require.GreaterOrEqual(t, i, 0, b.Warnings)
	figures := said.FindStringSubmatch(b.Warnings[i])
	volts, err := strconv.ParseFloat(figures[1], 64)
	require.NoError(t, err)
	amps, err := strconv.ParseFloat(figures[2], 64)
	require.NoError(t, err)
	// a Schottky pair of 20 A drops 0.45 V at a quarter of that, hot (from memory)
	reflected := ratio * (volts + 0.45)
	most := 1.1 * ratio * (1 - reflected/(reflected+373)) * 0.495
	require.Equal(t, "STPS20H100CT", usesOf(&b, "output rectifier")[0].Designation)
	require.InDelta(t, most, amps, 0.02*most+0.05,
		"rounded to a tenth; the drop of the rectifier is 0.4 to 0.8 V")
	// 8.4 V over a tenth of 0.25 A, 5 % low, is 354 ohm; the next of E12 (IEC 60063) is 390 ohm
	require.Contains(t, b.Warnings, "measure a pack before it is put on: below 6 V charge it "+
		"through 390 Ω, 0.5 W or more, in its plus lead until it stands above that; below 3 V, or "+
		"not risen within half an hour, it is waste")
}

// Triple-insulated wire ends where it is stripped: at the pins of the former only if these are 6 mm
// from core and mains pins, which the rule of the barrier asks for (5.0 and 5.8 mm of IEC
// 60950-1/62368-1 test reports).
func TestBarePinsOfInsulatedWire(t *testing.T) {
	const said = "lead the ends of the secondary out in their own insulation, not to the " +
		"former's pins: bare pins need 6 mm to core and mains pins"
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 0.5, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	for _, pins := range []catalog.Datum[si.Length]{{}, catalog.Of(si.Length(5e-3)),
		catalog.Of(si.Length(6.5e-3))} {
		s := exchange.Demo()
		s.Lots = slices.Clone(s.Lots)
		for i, l := range s.Lots {
			if p, is := l.Part.(catalog.Core); is {
				p.PinCreepage = pins
				s.Lots[i].Part = p
			}
		}
		b := advise.Advise(target, s, advise.Options{Builds: 1}).Builds[0]
		require.Equal(t, "triple-insulated secondary", b.Transformer.Barrier)
		require.Equal(t, pins.Value < 6e-3, slices.Contains(b.Warnings, said))
	}
}
