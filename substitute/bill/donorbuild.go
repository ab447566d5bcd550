package bill

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// turnsListed is how many of the whole turns that agree with the readings are listed.
const turnsListed = 5

// donorOut writes the transformer out in place of core, gap and windings.
func donorOut(out *substitute.Build, m *stage.Measured, b *stock.Basket) {
	d, p := m.Donor, m.Donor.Stock.Part
	out.Kind = substitute.DonorTransformer
	stock.Take(b, seats.Transformer, *d.Stock, 1)
	c := m.C
	out.Core = substitute.CoreChoice{Designation: d.Stock.Name(), Area: c.Geometry.Area,
		AreaMin: c.Geometry.AreaMin, Path: c.Geometry.Path,
		Volume: c.Geometry.Volume, Permeability: c.Mu, FluxLimit: c.FluxLimit, Ferrite: "unknown"}
	out.Gap = substitute.GapChoice{Method: "as-found", Layers: []substitute.ShimFilm{}, Fringing: 1}
	out.Transformer = m.TransformerOut()
	out.Transformer.Order = "as its maker wound it"
	r := &substitute.DonorReading{Designation: d.Stock.Name(), RatioLow: si.Ratio(1e9),
		Candidates: len(d.Turns), SafeCurrent: d.Safe,
		SafeBasis: d.SafeBasis, Leakage: p.Leakage.Value, PrimaryOhm: p.PrimaryOhm.Value,
		SecondaryOhm: p.SecondaryOhm.Value,
		Former:       p.Former, Turns: []substitute.DonorTurns{
			{Primary: m.Np, Secondary: m.Ns, Bias: m.Nb}}}
	for _, t := range d.Turns {
		n := si.Ratio(float64(t.Primary) / float64(t.Secondary))
		r.RatioLow, r.RatioHigh = min(r.RatioLow, n), max(r.RatioHigh, n)
		if u := (substitute.DonorTurns{Primary: t.Primary, Secondary: t.Secondary,
			Bias: t.Bias}); len(r.Turns) < turnsListed && u != r.Turns[0] {
			r.Turns = append(r.Turns, u)
		}
	}
	if d.OwnChip(m.V) {
		r.SafeBasis += "; with its own type of switcher that type's highest limit"
	}
	r.Lot = b.LotOf(seats.Transformer, "")
	out.Core.Lot = r.Lot
	out.Donor = r
}
