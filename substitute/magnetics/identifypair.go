package magnetics

import (
	"errors"
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// Pair is a closed pair of halves on the bench: its geometry and the relative error of its area
// (0.03 for caliper readings of a small leg; makers' figures are nearer).
type Pair struct {
	Geometry  Geometry
	AreaError si.Ratio
}

// The bench words for what limits an identification.
const (
	cureMeter = "read a winding of more turns, on a finer range, or with a better meter"
	cureArea  = "measure the centre leg again, or enter the maker's area"
	cureMu    = "name the ferrite grade, or read the pair without its gap"
	cureJoint = "clean the faces and clamp with the same force"
	cureModel = "lay in known films and read the inductance at each step"
)

// IdentifyAL is the inductance factor of several test windings with its band; meter is the relative
// error the meter keeps to 19 times out of 20. Half of its variance is taken as the scale of the
// meter, common to all readings, which no further winding reduces, the other half as range and
// reading, which are new each time (common practice, no source). Errors as FitAL.
func IdentifyAL(readings []Reading, meter si.Ratio) (Estimate[si.InductanceFactor], ALFit, error) {
	fit, err := FitAL(readings, meter/2/math.Sqrt2)
	if err != nil {
		return Estimate[si.InductanceFactor]{}, fit, err
	}
	scale, own := float64(fit.AL)*float64(meter), 2*float64(fit.Deviation)
	half := si.InductanceFactor(math.Sqrt(scale*scale/2 + own*own))
	lead := float64(fit.Lead) / float64(readings[0].Inductance)
	cure := cureMeter
	if len(readings) == 1 {
		cure = "read a second winding of twice the turns: it shows a miscount and takes " +
			"the leads out"
	}
	for _, r := range readings {
		lead = math.Min(lead, float64(fit.Lead)/float64(r.Inductance))
	}
	if lead > 0.02 {
		cure = "use shorter leads, or more turns"
	}
	return Estimate[si.InductanceFactor]{fit.AL,
		si.Interval[si.InductanceFactor]{Low: fit.AL - half, High: fit.AL + half},
		[]Share{{"meter", 1, cure}}}, fit, nil
}

// NextTurns is the number of turns whose reading would help most: twice the largest so far, at
// least 20.
func NextTurns(readings []Reading) int {
	most := 10
	for _, r := range readings {
		most = max(most, r.Turns)
	}
	return 2 * most
}

// IdentifyPermeability is the initial permeability of an ungapped pair from its inductance factor
// and what its joint may be. Error: the joint alone explains more than the reading, so that there
// is no ferrite to be seen.
func IdentifyPermeability(p Pair, al Known[si.InductanceFactor],
	joint Known[si.Length]) (Estimate[si.Ratio], error) {
	e := propagate[si.Ratio](func(x []float64) float64 {
		g := p.Geometry
		g.Area = si.Area(float64(g.Area) * x[1])
		return float64(PermeabilityFromAL(g, si.InductanceFactor(x[0]), si.Length(x[2])))
	}, from(al, "inductance factor", cureMeter),
		from(Within[si.Ratio](1, p.AreaError), "area", cureArea),
		from(joint, "joint", cureJoint+"; a ring without a joint tells it best"))
	if math.IsInf(float64(e.Value), 0) {
		return e, fmt.Errorf("permeability: a joint of %.0f um alone explains the reading; check "+
			"turns and shape",
			float64(joint.Value)*1e6)
	}
	return e, nil
}

// Permeabilities that tell classes of ferrite apart, tolerances included. Power: 2000 - 25 % of N27
// to 3300 + 25 % of PC95; the least filter grade is N30, 4300 - 25 % (ferrites.tsv of the catalog;
// PC95 from memory). Powder and NiZn lie below 200 (from memory).
const (
	leastPower, mostPower = 1500, 4125
	leastFilter           = 3225
	mostPowder            = 200
)

// FerriteClass sorts a pair without visible gap by its effective permeability and path: "power"
// MnZn ferrite, "filter" ferrite of high permeability and lower saturation, "low" for powder, NiZn
// or a gap that was not seen, "either" where a joint of 4 to 11 um leaves both power and filter
// ferrite open, "unclear" for what no joint explains. A short path makes most of the readings
// "either": the joint hides the ferrite.
func FerriteClass(effective si.Ratio, path si.Length) string {
	behind := func(mu float64, joint si.Length) si.Ratio {
		return si.Ratio(1 / (1/mu + float64(joint)/float64(path)))
	}
	joint := ResidualJointBand()
	power := effective >= behind(leastPower, joint.High) &&
		effective <= behind(mostPower, joint.Low)
	filter := effective >= behind(leastFilter, joint.High)
	switch {
	case effective < mostPowder:
		return "low"
	case power && filter:
		return "either"
	case power:
		return "power"
	case filter:
		return "filter"
	}
	return "unclear"
}

// IdentifyGap is the gap ground into the centre leg, from one inductance factor, with what the
// ferrite and the joint may be and the error of the stray-field law (StrayError) in the band.
// Error: the reading is above that of the closed pair.
func IdentifyGap(p Pair, al Known[si.InductanceFactor], mu Known[si.Ratio], joint Known[si.Length],
) (Estimate[si.Length], error) {
	value := GapFromAL(p.Geometry, mu.Value, joint.Value, al.Value)
	model := strayShare(p.Geometry, mu.Value, Gap{Ground: value, Residual: joint.Value})
	e := propagate[si.Length](func(x []float64) float64 {
		g := p.Geometry
		g.Area = si.Area(float64(g.Area) * x[1])
		g.LegDepth = si.Length(float64(g.LegDepth) * x[1])
		g.AreaMin = si.Area(float64(g.AreaMin) * x[1])
		return float64(GapFromAL(g, si.Ratio(x[2]), si.Length(x[3]),
			si.InductanceFactor(x[0]*x[4])))
	}, from(al, "inductance factor", cureMeter),
		from(Within[si.Ratio](1, p.AreaError), "area", cureArea),
		from(mu, "permeability", cureMu), from(joint, "joint", cureJoint),
		from(Within[si.Ratio](1, model), "stray field", cureModel))
	e.Band.Low = max(0, e.Band.Low)
	if value <= 0 && e.Band.High <= 0 {
		return e, errors.New("gap: the reading is above that of the closed pair; check turns, " +
			"shape and ferrite grade")
	}
	return e, nil
}

// IdentifyFilm is the thickness of a film under all legs from the inductance factors before and
// after it was laid in. Error: the inductance did not fall.
func IdentifyFilm(p Pair, before, after Known[si.InductanceFactor], mu Known[si.Ratio],
	joint Known[si.Length],
) (Estimate[si.Length], error) {
	value := ShimFromAL(p.Geometry, mu.Value, joint.Value, before.Value, after.Value)
	if value <= 0 {
		return Estimate[si.Length]{}, errors.New("film: the inductance did not fall; check the " +
			"order and the clamping")
	}
	model := strayShare(p.Geometry, mu.Value, Gap{Shim: value, Residual: joint.Value})
	e := propagate[si.Length](func(x []float64) float64 {
		g := p.Geometry
		g.Area, g.OuterArea = si.Area(float64(g.Area)*x[2]), si.Area(outerArea(p.Geometry)*x[2])
		g.LegDepth, g.AreaMin = si.Length(float64(g.LegDepth)*x[2]),
			si.Area(float64(g.AreaMin)*x[2])
		return float64(ShimFromAL(g, si.Ratio(x[3]), si.Length(x[4]), si.InductanceFactor(x[0]),
			si.InductanceFactor(x[1]*x[5])))
	}, from(before, "inductance before", cureMeter), from(after, "inductance after", cureMeter),
		from(Within[si.Ratio](1, p.AreaError), "area", cureArea), from(mu, "permeability", cureMu),
		from(joint, "joint", cureJoint), from(Within[si.Ratio](1, model), "stray field",
			"measure a folded stack with the caliper instead"))
	e.Band.Low = max(0, e.Band.Low)
	return e, nil
}

// FilmFromStack is the thickness of one layer of a folded stack. Error: fewer than one layer or no
// thickness.
func FilmFromStack(stack Known[si.Length], layers int) (Estimate[si.Length], error) {
	if layers < 1 || !(stack.Value > 0) {
		return Estimate[si.Length]{}, errors.New(
			"stack: thickness and layers must be above 0; measure again")
	}
	n := float64(layers)
	return propagate[si.Length](func(x []float64) float64 { return x[0] / n },
		from(stack, "caliper", fmt.Sprintf(
			"fold to %d layers: the error is divided by their number", 2*layers))), nil
}

// Pulse is a saturation test: a voltage applied to a winding of Turns on the section Area until the
// current bends up, that is until the inductance has fallen by about a fifth, at Time after the
// start and at the current Knee through Resistance (winding, switch and shunt together).
type Pulse struct {
	Volts      Known[si.Voltage]
	Time       Known[si.Time]
	Knee       Known[si.Current]
	Resistance Known[si.Resistance]
	Turns      int
	Area       Known[si.Area]
}

// Hot is what is left of the knee at 100 degC: the lower end of 0.75 to 0.8, the usual ratio of
// saturation at 100 and at 25 degC (from memory).
const Hot si.Ratio = 0.75

// IdentifySaturation is the flux density at the knee, B = (V t - R I t/2)/(N A): the voltage left
// over from the copper, integrated over a current that rises evenly. It needs neither AL nor gap.
// Errors: no turns, or the copper takes all.
func IdentifySaturation(p Pulse) (Estimate[si.FluxDensity], error) {
	if p.Turns < 1 || !(p.Area.Value > 0) {
		return Estimate[si.FluxDensity]{},
			errors.New("saturation: turns and area must be above 0; count and measure again")
	}
	n := float64(p.Turns)
	e := propagate[si.FluxDensity](func(x []float64) float64 {
		return x[1] * (x[0] - x[2]*x[3]/2) / (n * x[4])
	},
		from(p.Volts, "voltage", "measure the voltage at the winding during the pulse"),
		from(p.Time, "time", "spread the time scale of the oscilloscope"),
		from(p.Knee, "current", "use a shunt of 1 %"),
		from(p.Resistance, "resistance",
			"measure it with four wires, or raise the voltage"), from(p.Area, "area", cureArea))
	if e.Value <= 0 {
		return e, errors.New("saturation: the resistance takes the whole voltage; check volts, " +
			"current and resistance")
	}
	return e, nil
}
