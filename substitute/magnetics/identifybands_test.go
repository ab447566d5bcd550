package magnetics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// A band claims to hold the truth 19 times out of 20. Each method is run on 1,000 simulated
// sessions with known truth and readings that scatter by the stated errors (two standard
// deviations); the share of bands that hold the truth must lie in 90 to 98 %.

// bench draws readings around the truth.
type bench struct{ r *rand.Rand }

func newBench(seed uint64) bench { return bench{rand.New(rand.NewPCG(6, seed))} }

// read is a reading of x by an instrument good for the relative error e, 19 times out of 20.
func (b bench) read(x, e float64) float64 { return x * (1 + b.r.NormFloat64()*e/2) }

// between draws a bell curve of which 19 of 20 draws lie between low and high.
func (b bench) between(low, high float64) float64 {
	return (low+high)/2 + b.r.NormFloat64()*(high-low)/4
}

func coverage(t *testing.T, name string, seed uint64,
	session func(b bench) (low, high, truth float64)) {
	t.Helper()
	t.Run(name, func(t *testing.T) {
		b, held := newBench(seed), 0
		for range 1000 {
			low, high, truth := session(b)
			if truth >= low && truth <= high {
				held++
			}
		}
		t.Logf("%d of 1000 bands hold the truth", held)
		require.GreaterOrEqual(t, held, 900, name)
		require.LessOrEqual(t, held, 980, name)
	})
}

func ends[Q si.Quantity](e magnetics.Estimate[Q]) (low, high float64) {
	return float64(e.Band.Low), float64(e.Band.High)
}

// e25 is the E25/13/7 of the Magnetics 2013 catalog, pp. 24-25.
func e25(t *testing.T) magnetics.Geometry {
	t.Helper()
	g, err := magnetics.GeometryFromOutline(outlineOf("E", 25.05, 12.6, 7.2, 9, 17.95, 7.25))
	require.NoError(t, err)
	g.Area, g.AreaMin, g.Path, g.Volume = mm2(51.8), mm2(51.8), mm(57.8), mm3(2990)
	return g
}

var (
	grade      = magnetics.Within[si.Ratio](2300, 0.25)
	cleanJoint = magnetics.Known[si.Length]{Value: 7e-6, Band: magnetics.ResidualJointBand()}
)

func TestInductanceFactorCoverage(t *testing.T) {
	session := func(counts ...int) func(b bench) (float64, float64, float64) {
		return func(b bench) (float64, float64, float64) {
			al := 50e-9 * math.Exp(3*b.r.Float64())
			lead := 0.25e-6 * b.r.Float64()
			var readings []magnetics.Reading
			scale := b.read(1, 0.02/math.Sqrt2) // half the variance is common to all readings
			for _, n := range counts {
				l := scale * b.read(al*float64(n*n)+lead, 0.02/math.Sqrt2)
				readings = append(readings,
					magnetics.Reading{Turns: n, Inductance: si.Inductance(l)})
			}
			e, _, err := magnetics.IdentifyAL(readings, 0.02)
			require.NoError(t, err)
			low, high := ends(e)
			return low, high, al
		}
	}
	coverage(t, "20 and 40 turns", 1, session(20, 40))
	coverage(t, "15, 25 and 40 turns", 2, session(15, 25, 40))
}

// A closed pair knows no stray field: AL = mu0 Ae/(le/mu_i + joint) is the definition (IEC 60205),
// written out here.
func TestPermeabilityCoverage(t *testing.T) {
	coverage(t, "permeability", 3, func(b bench) (float64, float64, float64) {
		g := e25(t)
		mu := 1500 + 1500*b.r.Float64()
		joint := b.between(4e-6, 11e-6)
		al := 4e-7 * math.Pi * 51.8e-6 * b.read(1, 0.03) / (57.8e-3/mu + max(0, joint))
		e, err := magnetics.IdentifyPermeability(magnetics.Pair{Geometry: g, AreaError: 0.03},
			magnetics.Within(si.InductanceFactor(b.read(al, 0.02)), 0.02), cleanJoint)
		require.NoError(t, err)
		low, high := ends(e)
		return low, high, mu
	})
}

func TestFilmCoverage(t *testing.T) {
	for name, size := range fieldSizes {
		law := newFieldLaw(t, size)
		for i, r := range [][2]float64{{0.03, 0.1}, {0.1, 0.25}, {0.25, 0.5}} {
			coverage(t, fmt.Sprintf("%s film from two inductances, %g to %g mm", name, r[0], r[1]),
				uint64(70+i),
				func(b bench) (float64, float64, float64) {
					film, p := r[0]*1e-3*math.Pow(r[1]/r[0], b.r.Float64()), b.fieldPair(law)
					known := func(al float64) magnetics.Known[si.InductanceFactor] {
						return magnetics.Within(si.InductanceFactor(b.read(al, 0.02)), 0.02)
					}
					e, err := magnetics.IdentifyFilm(p.record(), known(p.factor(0, 0)),
						known(p.factor(0, film)), grade, cleanJoint)
					require.NoError(t, err)
					low, high := ends(e)
					return low, high, film
				})
		}
	}
	coverage(t, "film from a folded stack", 8, func(b bench) (float64, float64, float64) {
		film := 0.05e-3 + 0.1e-3*b.r.Float64()
		stack := 8*film + b.r.NormFloat64()*0.01e-3
		e, err := magnetics.FilmFromStack(magnetics.Give[si.Length](si.Length(stack), 0.02e-3), 8)
		require.NoError(t, err)
		low, high := ends(e)
		return low, high, film
	})
}

func TestSaturationCoverage(t *testing.T) {
	coverage(t, "flux at the knee", 9, func(b bench) (float64, float64, float64) {
		flux := 0.3 + 0.15*b.r.Float64()
		volts, r, knee, area := 24.0, 1.2, 1.5, 51.8e-6
		time := flux * 60 * area / (volts - r*knee/2) // the current rises evenly to the knee
		e, err := magnetics.IdentifySaturation(magnetics.Pulse{
			Volts: magnetics.Within(si.Voltage(b.read(volts, 0.01)),
				0.01), Time: magnetics.Within(si.Time(b.read(time, 0.01)), 0.01),
			Knee:       magnetics.Within(si.Current(b.read(knee, 0.05)), 0.05),
			Resistance: magnetics.Within(si.Resistance(b.read(r, 0.05)), 0.05), Turns: 60,
			Area: magnetics.Within(si.Area(b.read(area, 0.03)), 0.03),
		})
		require.NoError(t, err)
		low, high := ends(e)
		return low, high, flux
	})
}

// overallOf lists what a published table leaves to the diameter over the enamel of a copper size,
// in mm: the rows of wire_overall.csv (source there) with the limits of a grade; a least diameter
// that is not printed is that of the next thinner grade, or half of the increase.
func overallOf(t *testing.T) (sizes [][3]float64) {
	for _, r := range rows(t, "wire_overall.csv") {
		copper := number(t, r[2])
		cell := func(i int) float64 {
			if r[i] == "" {
				return 0
			}
			return number(t, r[i])
		}
		for _, grade := range [][2]int{{5, 6}, {7, 8}} {
			low, high := cell(grade[0]), cell(grade[1])
			if high == 0 {
				continue
			}
			if low == 0 && grade[0] == 7 {
				low = cell(6)
			}
			if low == 0 {
				low = (copper + high) / 2
			}
			sizes = append(sizes, [3]float64{copper, low, high})
		}
	}
	return sizes
}

// Truth of the simulated wire: IEC 60028 copper, rho = 1/58e6 ohm m and 3.93e-3/K at 20 degC, 8890
// kg/m3; enamel of 1200 to 1450 kg/m3 (from memory) up to a diameter drawn between the limits of a
// published grade.
func TestWireCoverage(t *testing.T) {
	for i, r := range []struct {
		name      string
		low, high float64 // mm
	}{{"below 0.1 mm", 0, 0.1}, {"0.1 to 0.2 mm", 0.1, 0.2}, {"0.2 to 0.5 mm", 0.2,
		0.5}, {"0.5 to 2 mm", 0.5, 2}} {
		var sizes [][3]float64
		for _, s := range overallOf(t) {
			if s[0] >= r.low && s[0] < r.high {
				sizes = append(sizes, s)
			}
		}
		require.Greater(t, len(sizes), 10, r.name)
		t.Run(r.name, func(t *testing.T) { wireCoverage(t, sizes, uint64(100*i)) })
	}
}

func wireCoverage(t *testing.T, sizes [][3]float64, seed uint64) {
	type wire struct{ d, l, ohms, mass, share float64 }
	draw := func(b bench) wire {
		s := sizes[b.r.IntN(len(sizes))]
		over := (s[1] + (s[2]-s[1])*b.r.Float64()) / s[0]
		enamel := (1200 + 250*b.r.Float64()) * (over*over - 1)
		w := wire{d: s[0] * 1e-3, l: 5 + 30*b.r.Float64(), share: enamel / (8890 + enamel)}
		section := math.Pi * w.d * w.d / 4
		w.ohms = (1 + 3.93e-3*(b.between(15, 25)-20)) / 58e6 * w.l / section
		w.mass = 8890 * section * w.l / (1 - w.share)
		return w
	}
	ohms := func(b bench, w wire) magnetics.Known[si.Resistance] {
		return magnetics.Within(si.Resistance(b.read(w.ohms, 0.01)), 0.01)
	}
	mass := func(b bench, w wire) magnetics.Known[si.Mass] {
		return magnetics.Within(si.Mass(b.read(w.mass, 0.02)), 0.02)
	}
	length := func(b bench, w wire) magnetics.Known[si.Length] {
		return magnetics.Within(si.Length(b.read(w.l, 0.01)), 0.01)
	}
	session := func(find func(b bench, w wire) (magnetics.Estimate[si.Length], error),
		truth func(w wire) float64,
	) func(b bench) (float64, float64, float64) {
		return func(b bench) (float64, float64, float64) {
			w := draw(b)
			e, err := find(b, w)
			require.NoError(t, err)
			low, high := ends(e)
			return low, high, truth(w)
		}
	}
	diameter, metres := func(w wire) float64 { return w.d }, func(w wire) float64 { return w.l }
	coverage(t, "ohms and length", seed+10,
		session(func(b bench, w wire) (magnetics.Estimate[si.Length], error) {
			return magnetics.WireFromOhms(ohms(b, w), length(b, w), magnetics.Workbench())
		}, diameter))
	coverage(t, "mass and length", seed+11,
		session(func(b bench, w wire) (magnetics.Estimate[si.Length], error) {
			return magnetics.WireFromMass(mass(b, w), length(b, w), magnetics.EnamelShare)
		}, diameter))
	coverage(t, "ohms and mass", seed+12,
		session(func(b bench, w wire) (magnetics.Estimate[si.Length], error) {
			return magnetics.WireFromOhmsAndMass(ohms(b, w), mass(b, w), magnetics.Workbench(),
				magnetics.EnamelShare)
		}, diameter))
	coverage(t, "spool by ohms", seed+13,
		session(func(b bench, w wire) (magnetics.Estimate[si.Length], error) {
			return magnetics.SpoolFromOhms(ohms(b, w),
				magnetics.Within(si.Length(b.read(w.d, 0.01)), 0.01), magnetics.Workbench())
		}, metres))
	coverage(t, "spool by mass", seed+14,
		session(func(b bench, w wire) (magnetics.Estimate[si.Length], error) {
			spool := w.mass / 5
			full := magnetics.Within(si.Mass(b.read(w.mass+spool, 0.01)), 0.01)
			empty := magnetics.Within(si.Mass(b.read(spool, 0.02)), 0.02)
			return magnetics.SpoolFromMass(full, empty,
				magnetics.Within(si.Length(b.read(w.d, 0.01)), 0.01), magnetics.EnamelShare)
		}, metres))
}

func TestResonanceCoverage(t *testing.T) {
	frequency := func(l, c float64) float64 { return 1 / (2 * math.Pi * math.Sqrt(l*c)) }
	coverage(t, "one capacitor", 15, func(b bench) (float64, float64, float64) {
		l, c, stray := 100e-6*math.Exp(3*b.r.Float64()), 10e-9, b.between(0, 60e-12)
		f := frequency(l, b.read(c, 0.01)+stray)
		e, err := magnetics.ResonanceInductance(
			magnetics.Within(si.Frequency(b.read(f, 0.005)), 0.005),
			magnetics.Within[si.Capacitance](10e-9,
				0.01), magnetics.Give[si.Capacitance](30e-12, 30e-12))
		require.NoError(t, err)
		low, high := ends(e)
		return low, high, l
	})
	coverage(t, "two capacitors", 16, func(b bench) (float64, float64, float64) {
		l, stray := 100e-6*math.Exp(3*b.r.Float64()), 500e-12*b.r.Float64()
		f1, f2 := frequency(l, b.read(1e-9, 0.01)+stray), frequency(l, b.read(10e-9, 0.01)+stray)
		r, err := magnetics.ResonanceWithTwo(
			magnetics.Within(si.Frequency(b.read(f1, 0.005)), 0.005),
			magnetics.Within(si.Frequency(b.read(f2, 0.005)),
				0.005), magnetics.Within[si.Capacitance](1e-9, 0.01),
			magnetics.Within[si.Capacitance](10e-9, 0.01))
		require.NoError(t, err)
		low, high := ends(r.Inductance)
		return low, high, l
	})
}

// The published inductance factors of testdata/reference/al_gap.csv (source of each row there) give
// back the printed gap: the band, taken with the grade's permeability of 20 % and a clean joint,
// meets the printed gap and its tolerance, which is half of the last printed digit where none is
// stated. AL is good for 5 %, for EFD15 for the printed 10 % (AL 100) and 15 % (AL 160). Left out
// are rows without a gap. The six rows of E65/32/27 from 1.5 mm up are contradicted by the field
// solution: the pair is the EF20 of fem_al.csv 3.25 times as large and 1.5 times as deep (edges by
// their length), which makes 1.5 mm 572 nH, printed 526.
func TestPublishedInductanceFactorsGiveTheGap(t *testing.T) {
	n, off := 0, 0
	for _, r := range rows(t, "al_gap.csv") {
		gap, al := number(t, r[2]), number(t, r[3])
		if gap == 0 {
			continue
		}
		g, mu, _, tol := tablePair(t, r[0], r[1], gap)
		tol, printed := max(tol, 0.005), ratio(0.05)
		if r[0] == "EFD15" {
			printed = map[float64]si.Ratio{100: 0.10, 160: 0.15}[al]
		}
		e, err := magnetics.IdentifyGap(magnetics.Pair{Geometry: g, AreaError: 0.02},
			magnetics.Within(nH(al), printed),
			magnetics.Within(ratio(mu), 0.2), cleanJoint)
		require.NoError(t, err, r)
		t.Logf("%-20s %-5s %.2f mm: %.3f, band %.3f .. %.3f", r[0], r[1], gap, inMM(e.Value),
			inMM(e.Band.Low), inMM(e.Band.High))
		if r[0] == "E65/32/27" && gap >= 1.5 {
			off++
			require.Greater(t, inMM(e.Value), gap, r)
			continue
		}
		require.LessOrEqual(t, inMM(e.Band.Low), gap+tol, r)
		require.GreaterOrEqual(t, inMM(e.Band.High), gap-tol, r)
		n++
	}
	require.Equal(t, 39, n)
	require.Equal(t, 6, off)
}

// The open data set Kinga1BK/FIERRO2 lists PC47 (mu_i 2500) EE16 at AL 1140 nH; with le 35.0 mm and
// Ae 19.2 mm2 (from memory) a joint of 4 / 7 / 10 um gives 2040 / 2470 / 3130. The band must hold
// the grade, and the joint must be its largest cause.
func TestPublishedPermeability(t *testing.T) {
	g := magnetics.Geometry{Area: mm2(19.2), Path: mm(35)}
	e, err := magnetics.IdentifyPermeability(magnetics.Pair{Geometry: g, AreaError: 0.001},
		magnetics.Within(nH(1140), 0.001),
		magnetics.Known[si.Length]{Value: 7e-6,
			Band: si.Interval[si.Length]{Low: 4e-6, High: 10e-6}})
	require.NoError(t, err)
	near(t, float64(e.Value), 2470, 0.005)
	near(t, float64(e.Band.Low), 2040, 0.01)
	near(t, float64(e.Band.High), 3130, 0.01)
	require.Equal(t, "joint", e.Shares[0].Input)
	_, err = magnetics.IdentifyPermeability(magnetics.Pair{Geometry: g, AreaError: 0.03},
		magnetics.Within(nH(9000), 0.02), cleanJoint)
	require.ErrorContains(t, err, "alone explains the reading")
}

// A filter ferrite must never pass for a power ferrite, which saturates at 1.4 to 1.6 times its
// flux. Grades of the makers' tables, tolerances included (TDK summary catalogue 1998 p. 111;
// Magnetics 2013 catalog p. 3; N30: EPCOS, 4300 +-25 %), behind joints of 4 to 11 um, in pairs with
// a path of 20 to 100 mm; published pairs of mu_i and mu_e: N30 in RM8 2680, N87 in ETD34 1670, in
// RM8 1560, in E13/7/4 1620, and 3000 to 3300 +-25 % are power grades too (F, T, PC95).
func TestFerriteClasses(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 78))
	read := func(mu, tolerance float64) (si.Ratio, si.Length) {
		path := 0.02 * math.Pow(5, r.Float64())
		mu *= 1 + tolerance*(2*r.Float64()-1)
		return ratio(1 / (1/mu + (4e-6+7e-6*r.Float64())/path)), si.Length(path)
	}
	count := map[string]int{}
	for range 1000 {
		for mu, tolerance := range map[float64]float64{4300: 0.25, 5000: 0.2,
			7500: 0.25, 10000: 0.3} {
			class := magnetics.FerriteClass(read(mu, tolerance))
			require.Contains(t, []string{"filter", "either"}, class, mu)
			count[class]++
		}
		for mu, tolerance := range map[float64]float64{2000: 0.25, 2300: 0.25, 2400: 0.25,
			2500: 0.25, 3000: 0.2, 3300: 0.25} {
			require.Contains(t, []string{"power", "either"},
				magnetics.FerriteClass(read(mu, tolerance)), mu)
		}
		require.Equal(t, "low", magnetics.FerriteClass(ratio(20+170*r.Float64()), mm(50)))
	}
	t.Logf("filter ferrites: %v", count)
	require.Greater(t, count["filter"], 1600,
		"two in five; behind the rest the widest joint leaves a power ferrite open")
	require.Contains(t, []string{"filter", "either"}, magnetics.FerriteClass(2680, mm(38)))
	for path, mu := range map[float64]si.Ratio{78.6: 1670, 38.4: 1560, 29.7: 1620} {
		require.Contains(t, []string{"power", "either"}, magnetics.FerriteClass(mu, mm(path)))
	}
	require.Equal(t, "unclear", magnetics.FerriteClass(700, mm(50)), "a gap, or dirt")
}

// A bare copper wire of 0.3 mm has 0.2439 ohm/m and 0.6284 g/m (1/58e6 ohm m, 8890 kg/m3 of IEC
// 60028 over 0.070686 mm2).
func TestWireByHand(t *testing.T) {
	none := magnetics.BareCopper
	room := magnetics.Give[si.Celsius](20, 0)
	e, err := magnetics.WireFromOhms(magnetics.Within[si.Resistance](2.439, 0.01),
		magnetics.Within[si.Length](10, 0.01), room)
	require.NoError(t, err)
	near(t, float64(e.Value), 0.3e-3, 1e-3)
	// half of 1 % twice, as d goes with the root
	near(t, float64(e.Error()), 0.005*math.Sqrt2, 0.02)
	e, err = magnetics.WireFromMass(magnetics.Within[si.Mass](6.284e-3, 0.01),
		magnetics.Within[si.Length](10, 0.01), none)
	require.NoError(t, err)
	near(t, float64(e.Value), 0.3e-3, 1e-3)
	e, err = magnetics.WireFromOhmsAndMass(magnetics.Within[si.Resistance](2.439, 0.01),
		magnetics.Within[si.Mass](6.284e-3, 0.01),
		room, none)
	require.NoError(t, err)
	near(t, float64(e.Value), 0.3e-3, 1e-3)
	e, err = magnetics.SpoolFromOhms(magnetics.Within[si.Resistance](2.439, 0.01),
		magnetics.Within[si.Length](0.3e-3, 0.01), room)
	require.NoError(t, err)
	near(t, float64(e.Value), 10, 1e-3)
	_, err = magnetics.SpoolFromMass(magnetics.Within[si.Mass](0.05, 0),
		magnetics.Within[si.Mass](0.06, 0),
		magnetics.Within[si.Length](0.3e-3, 0.01), none)
	require.ErrorContains(t, err, "weigh again")
	_, err = magnetics.WireFromOhms(magnetics.Within[si.Resistance](0, 0),
		magnetics.Within[si.Length](1, 0), room)
	require.Error(t, err)
}

// Bench notes: E25 with 60 turns and 30 V for 53 us would see 0.50 T without copper loss; 30 V x 53
// us/(60 x 51.8 mm2).
func TestSaturationByHand(t *testing.T) {
	p := magnetics.Pulse{Volts: magnetics.Within[si.Voltage](30, 0.01),
		Time: magnetics.Within[si.Time](53e-6, 0.01), Turns: 60,
		Area: magnetics.Within(mm2(51.8), 0.03)}
	e, err := magnetics.IdentifySaturation(p)
	require.NoError(t, err)
	near(t, float64(e.Value), 0.5116, 1e-3)
	// the notes say about 3.5 % for V 1 %, time 1 %, area 3 %
	near(t, float64(e.Error()), 0.0335, 0.06)
	p.Knee, p.Resistance = magnetics.Within[si.Current](10, 0),
		magnetics.Within[si.Resistance](10, 0)
	_, err = magnetics.IdentifySaturation(p)
	require.ErrorContains(t, err, "takes the whole voltage")
}

// L = 1/((2 pi f)^2 C): 1 mH with 10 nF rings at 50.33 kHz. Bench notes: f to 0.5 % and a 1 %
// capacitor give 1.4 %, 5 % give 5.1 %.
func TestResonanceByHand(t *testing.T) {
	for tol, want := range map[si.Ratio]float64{0.01: 0.0141, 0.05: 0.051} {
		e, err := magnetics.ResonanceInductance(magnetics.Within[si.Frequency](50.33e3, 0.005),
			magnetics.Within[si.Capacitance](10e-9, tol), magnetics.Known[si.Capacitance]{})
		require.NoError(t, err)
		near(t, float64(e.Value), 1e-3, 1e-3)
		near(t, float64(e.Error()), want, 0.06)
	}
	known := magnetics.Within[si.Frequency]
	_, err := magnetics.ResonanceWithTwo(known(10e3, 0), known(20e3, 0),
		magnetics.Within[si.Capacitance](1e-9, 0),
		magnetics.Within[si.Capacitance](10e-9, 0))
	require.ErrorContains(t, err, "lower frequency")
}

func TestMatchShapes(t *testing.T) {
	shapes := []magnetics.Shape{
		{Name: "one", Outline: outlineOf("E", 25.05, 12.6, 7.2, 9, 17.95, 7.25)},
		{Name: "two", Outline: outlineOf("E", 25.4, 9.65, 6.35, 6.4, 18.8, 6.35)},
		{Name: "round", Outline: outlineOf("ETD", 25.05, 12.6, 7.2, 9, 17.95, 7.25)},
	}
	read := outlineOf("EF", 25.1, 12.5, 7.2, 0, 0, 7.3)
	found, err := magnetics.MatchShapes(read, shapes, mm(0.05))
	require.NoError(t, err)
	require.Len(t, found, 2, "another family is not compared")
	require.Equal(t, "one", found[0].Name)
	require.Less(t, float64(found[0].Score), 1.0)
	require.Greater(t, float64(found[1].Score), 2.0)
	require.Equal(t, magnetics.Mismatch{Letter: "b", Read: mm(12.5), Listed: mm(12.6)},
		found[0].Mismatch[1])
	_, err = magnetics.MatchShapes(outlineOf("E", 25, 12, 0, 0, 0, 0), shapes, mm(0.05))
	require.ErrorContains(t, err, "fewer than three")
	p, err := magnetics.IdentifyParameters(outlineOf("E", 25.05, 12.6, 7.2, 9, 17.95, 7.25),
		mm(0.1))
	require.NoError(t, err)
	require.True(t, p.Area.Band.Contains(mm2(51.8)), "Magnetics 2013 catalog p. 24-25")
	require.True(t, p.Path.Band.Contains(mm(57.8)), "Magnetics 2013 catalog p. 24-25")
	_, err = magnetics.IdentifyParameters(outlineOf("PQ", 25.05, 12.6, 7.2, 9, 17.95, 7.25),
		mm(0.1))
	require.ErrorContains(t, err, "no formula")
}

// One turn too many or too few in 40 or 80 turns, meter 2 % as IdentifyAL takes it: noticed in nine
// cases of ten, or named as one that may not show; and of right counts few are doubted, one in a
// hundred called a contradiction.
func TestMiscountIsNoticed(t *testing.T) {
	const trials = 1000
	session := func(b bench, counted ...int) magnetics.ALFit {
		scale, al := b.read(1, 0.02/math.Sqrt2), 50e-9*math.Exp(3*b.r.Float64())
		var readings []magnetics.Reading
		for i, n := range []float64{40, 80} {
			l := scale * b.read(al*n*n+0.2e-6*b.r.Float64(), 0.02/math.Sqrt2)
			readings = append(readings, magnetics.Reading{Turns: counted[i],
				Inductance: si.Inductance(l)})
		}
		_, fit, err := magnetics.IdentifyAL(readings, 0.02)
		require.NoError(t, err)
		return fit
	}
	b, doubted, refused := newBench(81), 0, 0
	for range trials {
		f := session(b, 40, 80)
		if len(f.Suspects) > 0 {
			doubted++
		}
		if !f.Agree {
			refused++
		}
	}
	t.Logf("of %d right counts %d doubted, %d refused", trials, doubted, refused)
	require.Less(t, doubted, trials*15/100)
	require.Less(t, refused, trials*2/100)
	for _, counted := range [][]int{{39, 80}, {41, 80}, {40, 79}, {40, 81}} {
		noticed, told := 0, 0
		for range trials {
			f := session(b, counted...)
			if !f.Agree || len(f.Suspects) > 0 {
				noticed++
			} else if len(f.Unseen) > 0 {
				told++
			}
		}
		t.Logf("%v for 40 and 80: %d noticed, %d more told that it may not show",
			counted, noticed, told)
		require.Greater(t, noticed, trials*70/100)
		require.Greater(t, noticed+told, trials*97/100)
	}
}
