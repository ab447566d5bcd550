package stage

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// BareCore is a core of the drawer ready to be computed with: geometry, ferrite with its limits,
// space for the winding, and every gap that can be made in it from the films on hand.
type BareCore struct {
	index     int // in the workbench
	Stock     stock.Stock[catalog.Core]
	Geometry  magnetics.Geometry
	Former    magnetics.Former
	ferrite   catalog.Ferrite
	loss      magnetics.Steinmetz
	lossSpare float64 // factor for grades whose loss is known hot only
	LossRange lossRange
	Mu        si.Ratio
	MuBand    si.Interval[si.Ratio]
	FluxLimit si.FluxDensity
	fluxBasis string
	Rise      si.ThermalResistance
	riseBasis string
	Residual  si.Length
	ResBand   si.Interval[si.Length]
	Ground    si.Length
	GndBand   si.Interval[si.Length]
	Gaps      []MadeGap // ascending AL
	Notes     []string
	NeedsBuy  string // former that must be bought, or empty
}

// MadeGap is one way to set the gap: the ground gap as found plus a stack of films under all legs.
type MadeGap struct {
	Films  []FilmCount
	Shim   si.Length
	Al     si.InductanceFactor
	Band   si.Interval[si.InductanceFactor]
	Layers int
}

// FilmCount is so many layers of the film with this index in the drawer.
type FilmCount struct {
	Film  int
	Count int
}

// Figures of practice used when a former's space is not stated. "From memory": walls of moulded
// formers are 0.7 to 1.0 mm.
const (
	formerWall   = 0.9e-3 // m, thickness of the former's tube and cheeks
	formerPlay   = 0.2e-3 // m, between tube and centre leg
	windowToLegs = 0.3e-3 // m, that stays free before the outer leg
)

// bareCores prepares every core of the drawer; a core whose geometry is not known well enough is
// returned as a refusal.
func bareCores(d *stock.Drawer) (cores []BareCore, refused []substitute.Refusal) {
	for _, s := range d.Cores {
		c, why := newBareCore(s)
		if why != "" {
			refused = append(refused, substitute.Refusal{Core: s.Name(),
				Check: "core figures", Why: why,
				Cure: cureOutline(s)})
			continue
		}
		c.index = len(cores)
		c.Gaps = c.makeGaps(d.Films)
		cores = append(cores, c)
	}
	return cores, refused
}

// cureOutline names the calls that make area and path of a core known.
func cureOutline(s stock.Stock[catalog.Core]) string {
	lot := "LOT"
	if len(s.Lots) > 0 {
		lot = fmt.Sprint(s.Lots[0].Lot)
	}
	return fmt.Sprintf("name its shape (change %s --set shape=NAME), or read it with a caliper: "+
		"identify core --family WORD --a MM --b MM "+
		"--c MM --d MM --e MM --f MM --store %s; of EPC, PQ and RM the maker's area and "+
		"path are needed", lot, lot)
}

func newBareCore(s stock.Stock[catalog.Core]) (BareCore, string) {
	p := s.Part
	if !p.Area.Known() || !p.Path.Known() {
		return BareCore{}, "effective area and path are not known"
	}
	c := BareCore{Stock: s}
	c.Geometry = GeometryOf(p)
	c.ferrite = ferriteOf(p)
	c.setFerrite(p)
	c.setGap(p)
	c.setFormer(p)
	c.setRise(p)
	if c.Former.Width <= 0 || c.Former.Height <= 0 {
		return c, "the window is not known, so the space for the winding is not"
	}
	return c, ""
}

// GeometryOf maps a core to plain quantities. What its record does not know is left to what it
// knows: the smallest section falls back on the effective area, the legs on their drawing
// dimensions and then on the area. Range: area and path must be known.
func GeometryOf(p catalog.Core) magnetics.Geometry {
	g := magnetics.Geometry{
		Area: p.Area.Value, AreaMin: p.AreaMin.Value, Path: p.Path.Value,
		Volume:   p.Volume.Value,
		RoundLeg: p.CentreLeg == "round", Bar: p.Family == "EI",
		LegWidth: p.F.Value, LegDepth: p.C.Value, WindowWidth: p.WindowWidth.Value,
		WindowHeight: p.WindowHeight.Value,
		OverallWidth: p.A.Value, OverallDepth: p.C.Value, OverallHeight: heightOf(p),
	}
	if g.Bar {
		g.BarHeight = p.I.Value
	}
	side := math.Sqrt(float64(g.Area))
	if g.LegWidth == 0 {
		g.LegWidth = si.Length(side)
	}
	if g.RoundLeg || g.LegDepth == 0 || p.CentreLeg == "flat" {
		g.LegDepth = si.Length(float64(g.Area) / float64(g.LegWidth))
	}
	if g.WindowWidth == 0 && p.E.Known() && p.F.Known() {
		g.WindowWidth = (p.E.Value - p.F.Value) / 2
	}
	if g.WindowHeight == 0 && p.D.Known() {
		g.WindowHeight = 2 * p.D.Value
		if g.Bar {
			g.WindowHeight = p.D.Value
		}
	}
	return g
}

// heightOf is the height of the closed pair: two halves, or an E and its bar. A bar whose thickness
// is not known is taken for as thick as the yoke of the E; without that either the height is not
// known, 0.
func heightOf(p catalog.Core) si.Length {
	switch {
	case p.Family != "EI":
		return 2 * p.B.Value
	case p.B.Known() && p.I.Known():
		return p.B.Value + p.I.Value
	case p.B.Known() && p.D.Known():
		return p.B.Value + p.B.Value - p.D.Value
	}
	return 0
}

// ferriteOf is the grade's row; what is not named, or not in the table, is treated as the cautious
// unknown power ferrite.
func ferriteOf(p catalog.Core) catalog.Ferrite {
	if f, ok := catalog.FerriteNamed(p.Ferrite); ok {
		return f
	}
	f, _ := catalog.FerriteNamed("unknown-power")
	return f
}

// unknownFlux is the design limit for a ferrite of unknown grade: 80 % of the 310 to 320 mT floor
// of filter and power grades with permeability 2300 at 100 degC (maker tables, see ferrites.tsv).
const unknownFlux si.FluxDensity = 0.25

// coolerLoss is how much more than at 100 degC a power ferrite loses at 60 degC: PC44 400 against
// 300 kW/m3 at 100 kHz, 200 mT (TDK summary catalogue), the largest ratio among the grades that
// print both.
const coolerLoss = 1.35

// LossAt is the core loss at a frequency, at 60 or 100 degC, whichever is worse.
func (c *BareCore) LossAt(f si.Frequency) magnetics.LossCurve {
	out := c.loss.At(f, 60, 100)
	out.Factor *= c.lossSpare
	return out
}

// lossRange is where the loss of a grade was fitted; a bound of 0 is not known.
type lossRange struct {
	grade       string
	from, to    si.Frequency
	least, most si.FluxDensity // half the swing
	celsius     si.Celsius     // the only temperature, 0 where the fit follows it
}

func lossRangeOf(f catalog.Ferrite) lossRange {
	r := lossRange{grade: f.Name, from: f.FrequencyMin, to: f.FrequencyMax, least: f.FluxMin,
		most: f.FluxMax}
	if f.CT1 == 0 && f.CT2 == 0 {
		r.celsius = f.LossTemp
	}
	return r
}

// Warning says where a working point lies outside, or nothing. What is known at 100 degC alone is
// no matter: coolerLoss covers the cooler core.
func (r lossRange) Warning(f si.Frequency, half si.FluxDensity) string {
	var out []string
	if r.to > 0 && (f > r.to*1.001 || f < r.from*0.999) {
		out = append(out, fmt.Sprintf("%.3g kHz (known for %.3g to %.3g)", float64(f)/1e3,
			float64(r.from)/1e3, float64(r.to)/1e3))
	}
	if r.most > 0 && (half > r.most*1.001 || half < r.least*0.999) {
		out = append(out, fmt.Sprintf("%.3g mT (known for %.3g to %.3g)", float64(half)*1e3,
			float64(r.least)*1e3, float64(r.most)*1e3))
	}
	if r.celsius != 0 && r.celsius != 100 {
		out = append(out, fmt.Sprintf("60 to 100 C (known at %.0f C; %.0f %% added)",
			float64(r.celsius), 100*(coolerLoss-1)))
	}
	if len(out) == 0 {
		return ""
	}
	return fmt.Sprintf("core loss of %s is reckoned outside of what its figures were fitted for: "+
		"%s; watch its temperature in the first hour",
		r.grade, strings.Join(out, ", "))
}

// setFerrite settles permeability with its band, flux limit and loss law. The flux limit is 80 % of
// the saturation published for 100 degC; never above what is known of the grade.
func (c *BareCore) setFerrite(p catalog.Core) {
	f := c.ferrite
	known := f.Name != "unknown-power" && f.Name != "unknown-filter"
	reckoned := f.Reckoned()
	c.Mu = reckoned.Permeability.Value
	tolerance := reckoned.PermeabilityTol.Value
	if p.Permeability.Basis == catalog.Measured || (p.Permeability.Known() && !known) {
		c.Mu, tolerance = p.Permeability.Value, 0.25
	}
	c.MuBand = si.Around(c.Mu, tolerance)
	if known && !f.Permeability.Known() && p.Permeability.Basis != catalog.Measured {
		c.Notes = append(c.Notes, fmt.Sprintf("permeability of %s is not listed: %.0f assumed",
			f.Name, float64(c.Mu)))
	}
	switch {
	case p.Saturation.Basis == catalog.Measured:
		c.FluxLimit, c.fluxBasis = 0.8*p.Saturation.Value,
			"80 % of the saturation measured on this core"
	case known && f.Sat100.Known():
		c.FluxLimit, c.fluxBasis = 0.8*f.Sat100.Value,
			fmt.Sprintf("80 %% of %s saturation at 100 C", f.Name)
		if !f.Sat100.Firm() {
			c.FluxLimit = min(c.FluxLimit, unknownFlux)
			c.fluxBasis += ", from memory, held to 0.25 T"
		}
	default:
		c.FluxLimit, c.fluxBasis = unknownFlux,
			"ferrite unknown: 0.25 T, 80 % of the floor of power and filter grades at 100 C"
		c.Notes = append(c.Notes, "ferrite grade unknown: cautious flux limit 0.25 T and "+
			"cautious loss class used")
	}
	c.FluxLimit = min(c.FluxLimit, 0.33)
	c.loss = magnetics.UnknownPower
	c.lossSpare = 1
	if f.K == 0 && known {
		c.Notes = append(c.Notes, fmt.Sprintf("core loss of %s is not listed: that of a cautious "+
			"power ferrite used", f.Name))
	}
	if f.K > 0 {
		c.LossRange = lossRangeOf(f)
		c.loss = magnetics.Steinmetz{K: f.K, Alpha: f.Alpha, Beta: f.Beta, Temp: f.LossTemp,
			C0: f.CT0, C1: f.CT1, C2: f.CT2}
	}
	if f.K > 0 && f.CT1 == 0 && f.CT2 == 0 {
		c.lossSpare = coolerLoss
	}
	if f.Class == "filter" {
		c.Notes = append(c.Notes, "high-permeability filter ferrite: higher loss, lower saturation")
	}
}

// setGap settles the ground gap and the joint. A measured inductance factor beats the printed gap:
// with no ground gap it gives the joint, else the gap itself.
func (c *BareCore) setGap(p catalog.Core) {
	c.Residual, c.ResBand = magnetics.ResidualJoint, magnetics.ResidualJointBand()
	c.Ground = p.Gap.Value // none where it was not measured
	spread := si.Ratio(0.05)
	switch {
	case p.Gap.Basis == catalog.Measured:
		spread = 0.10
	case p.Gap.Known() && !p.Gap.Firm():
		spread = 0.15
	}
	c.GndBand = si.Around(c.Ground, spread)
	if c.Ground > 0 {
		// grinding and feeler gauge: +-0.02 mm, as the tables of gapped sets print it
		c.GndBand.Low = max(0, min(c.GndBand.Low, c.Ground-20e-6))
		c.GndBand.High = max(c.GndBand.High, c.Ground+20e-6)
	}
	if p.AL.Basis != catalog.Measured {
		if !p.Gap.Known() {
			c.Notes = append(c.Notes, "existing gap not entered, taken as none: measure the "+
				"inductance before closing the core")
		}
		return
	}
	if c.Ground == 0 && p.Gap.Known() {
		c.Residual = magnetics.ResidualFromAL(c.Geometry, c.Mu, p.AL.Value)
		c.ResBand = si.Around(c.Residual, 0.5)
		return
	}
	low := magnetics.GapFromAL(c.Geometry, c.MuBand.Low, c.ResBand.High, p.AL.Value*1.03)
	high := magnetics.GapFromAL(c.Geometry, c.MuBand.High, c.ResBand.Low, p.AL.Value*0.97)
	c.Ground = magnetics.GapFromAL(c.Geometry, c.Mu, c.Residual, p.AL.Value)
	c.GndBand = si.Between(low, high)
}

// setFormer settles the space for the winding. What the former's figures do not say is estimated
// from the window.
func (c *BareCore) setFormer(p catalog.Core) {
	g := c.Geometry
	c.Former.Width = p.FormerWidth.Value
	c.Former.Height = p.FormerHeight.Value
	c.Former.Split = p.Former == "split"
	if c.Former.Split {
		c.Former.Width = (c.Former.Width - formerWall) / 2
	}
	wall := si.Length(2 * (formerWall + formerPlay))
	if g.RoundLeg {
		c.Former.CoreAround = math.Pi * (g.LegWidth + wall)
	} else {
		c.Former.CoreAround = 2 * (g.LegWidth + g.LegDepth + 2*wall)
	}
	if p.MeanTurn.Firm() {
		// a turn half way up the build has the published mean length
		c.Former.CoreAround = max(c.Former.CoreAround/2, p.MeanTurn.Value-math.Pi*c.Former.Height)
	}
	if !p.FormerWidth.Known() || !p.FormerHeight.Known() {
		c.Notes = append(c.Notes, "space on the former estimated from the window: measure it "+
			"before winding")
	}
	if p.Former == "none" {
		c.NeedsBuy = "former for " + p.Designation()
	}
}

// setRise settles the thermal resistance of the wound part; the volume rule gets 30 % on top (its
// spread over 26 published cores).
func (c *BareCore) setRise(p catalog.Core) {
	if p.Rise.Known() {
		c.Rise, c.riseBasis = p.Rise.Value, "published thermal resistance of this shape"
		if rule := magnetics.RiseResistance(c.Geometry.Volume); rule > c.Rise {
			c.Rise, c.riseBasis = rule, "53 Ve^-0.54, the more cautious of rule and maker's figure"
		}
		return
	}
	c.Rise = magnetics.RiseResistance(c.Geometry.Volume) * 1.3
	c.riseBasis = "53 Ve^-0.54 + 30 %"
}

// Limits of what is stacked: more than three films spring, less than 0.051 mm cannot be held (AN-18
// p. 12).
const (
	MaxShimLayers = 3
	thinnestShim  = 51e-6
	thickestShim  = 1e-3
)

// makeGaps lists every gap that can be made: as found, and with one to three layers of one or two
// films of the drawer. Two ways with the same films count once.
func (c *BareCore) makeGaps(films []stock.Stock[catalog.Film]) []MadeGap {
	return c.Stacks(films, MaxShimLayers)
}

// Stacks is makeGaps with up to so many layers.
func (c *BareCore) Stacks(films []stock.Stock[catalog.Film], most int) []MadeGap {
	gaps := []MadeGap{c.gapWith(films, nil)}
	suits := stock.Suits[catalog.Film](seats.Shim, &seats.Circuit{})
	for i := range films {
		if !suits(&films[i]) {
			continue
		}
		for n := 1; n <= most; n++ {
			gaps = c.AddGap(gaps, films, []FilmCount{{i, n}})
		}
		for j := i + 1; j < len(films); j++ {
			if !suits(&films[j]) {
				continue
			}
			for n := 1; n < most; n++ {
				for m := 1; n+m <= most; m++ {
					gaps = c.AddGap(gaps, films, []FilmCount{{i, n}, {j, m}})
				}
			}
		}
	}
	sort.SliceStable(gaps, func(i, j int) bool { return gaps[i].Al < gaps[j].Al })
	return gaps
}

func (c *BareCore) AddGap(gaps []MadeGap, films []stock.Stock[catalog.Film],
	stack []FilmCount) []MadeGap {
	for _, f := range stack {
		if films[f.Film].Count < ShimQuantity(films[f.Film].Part, f.Count, c.Geometry) {
			return gaps
		}
	}
	g := c.gapWith(films, stack)
	if g.Shim < thinnestShim || g.Shim > thickestShim {
		return gaps
	}
	return append(gaps, g)
}

// ShimQuantity is what a stack takes from the film's lot: one sheet is cut into all pieces, tape
// needs a strip a leg.
func ShimQuantity(f catalog.Film, layers int, g magnetics.Geometry) float64 {
	if f.Form == "sheet" {
		return 1
	}
	return float64(layers) * 3 * (float64(max(g.LegWidth, g.LegDepth)) + 0.01)
}

func (c *BareCore) gapWith(films []stock.Stock[catalog.Film], stack []FilmCount) MadeGap {
	m := MadeGap{Films: stack}
	var thin, thick si.Length
	for _, f := range stack {
		p, n := films[f.Film].Part, si.Length(f.Count)
		m.Shim += n * p.Thickness.Value
		thin += n * p.ThicknessMin.Value
		thick += n * p.ThicknessMax.Value
		m.Layers += f.Count
	}
	m.Al = magnetics.InductanceFactor(c.Geometry, c.Mu,
		magnetics.Gap{Ground: c.Ground, Shim: m.Shim, Residual: c.Residual})
	m.Band = magnetics.InductanceFactorBand(c.Geometry, c.MuBand, c.GndBand,
		si.Interval[si.Length]{Low: thin, High: thick}, c.ResBand)
	return m
}

// Method is the word of the JSON contract for how the gap comes about.
func (c *BareCore) Method(g MadeGap) string {
	switch {
	case g.Layers == 0:
		return "as-found"
	case c.Ground > 0:
		return "as-found-plus-shim"
	}
	return "shim-all-legs"
}
