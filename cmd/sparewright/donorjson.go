package main

import (
	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// donorJSON is one donor. Rating is there when anything of the plate was understood.
type donorJSON struct {
	Name   string     `json:"name"`
	Was    string     `json:"was,omitempty"`
	Plate  string     `json:"plate,omitempty"`
	Rating *plateJSON `json:"rating,omitempty"`
	State  string     `json:"state,omitempty"`
	Note   string     `json:"note,omitempty"`
	Lots   int        `json:"lots"`
}

// plateJSON is what of a plate was understood.
type plateJSON struct {
	InputLow  float64      `json:"input_low_v,omitempty" figures:"entered"`
	InputHigh float64      `json:"input_high_v,omitempty" figures:"entered"`
	InputDC   bool         `json:"input_dc,omitempty"`
	Settings  bool         `json:"two_settings,omitempty"`
	LineLow   float64      `json:"line_low_hz,omitempty" figures:"entered"`
	LineHigh  float64      `json:"line_high_hz,omitempty" figures:"entered"`
	Input     float64      `json:"input_a,omitempty" figures:"entered"`
	InputW    float64      `json:"input_w,omitempty" figures:"entered"`
	Outputs   []outputJSON `json:"outputs,omitempty"`
	OutputW   float64      `json:"output_w,omitempty" figures:"entered"`
	Unread    []string     `json:"not_understood,omitempty"`
}

type outputJSON struct {
	Low     float64 `json:"low_v" figures:"entered"`
	High    float64 `json:"high_v" figures:"entered"`
	Current float64 `json:"current_a,omitempty" figures:"entered"`
	AC      bool    `json:"ac,omitempty"`
}

// boundJSON is a figure a part in that place was good for.
type boundJSON struct {
	Place   string       `json:"place"`
	Kind    catalog.Kind `json:"kind"`
	Figure  string       `json:"figure"`
	AtLeast float64      `json:"at_least" figures:"entered"`
	Unit    string       `json:"unit"`
	Basis   string       `json:"basis"`
	Why     string       `json:"why"`
}

type offerJSON struct {
	Lot int64 `json:"lot"`
	boundJSON
}

// donorPageJSON is the document of one donor.
type donorPageJSON struct {
	Donor  donorJSON          `json:"donor"`
	Bounds []boundJSON        `json:"at_least" figures:"entered"`
	Lots   []exchange.LotJSON `json:"lots"`
	Offers []offerJSON        `json:"offers"`
}

func donorEntry(d inventory.Donor, lots int) donorJSON {
	out := donorJSON{Name: d.Name, Was: d.Was, Plate: d.Plate, State: d.State,
		Note: d.Note, Lots: lots}
	if p := inventory.ParsePlate(d.Plate); p.Known() || len(p.Unread) > 0 {
		out.Rating = ratingDocument(p)
	}
	return out
}

func ratingDocument(p inventory.Plate) *plateJSON {
	in := p.Input
	out := &plateJSON{InputLow: float64(in.Low), InputHigh: float64(in.High), InputDC: in.DC,
		Settings: in.Settings,
		LineLow:  float64(in.LineLow), LineHigh: float64(in.LineHigh), Input: float64(in.Current),
		InputW:  float64(in.Watts),
		OutputW: float64(p.Watts), Unread: p.Unread}
	for _, o := range p.Outputs {
		out.Outputs = append(out.Outputs,
			outputJSON{float64(o.Low), float64(o.High), float64(o.Current), o.AC})
	}
	return out
}

func boundDocument(b inventory.Bound) boundJSON {
	return boundJSON{b.Place, b.Kind, or(b.Field, "power"), b.Value, b.Unit(), basisPlate, b.Why}
}

func donorDocument(d inventory.Donor, lots []inventory.Lot) donorPageJSON {
	p := inventory.ParsePlate(d.Plate)
	doc := donorPageJSON{Donor: donorEntry(d, len(lots)), Bounds: []boundJSON{},
		Lots:   exchange.LotsDocument(lots).Lots,
		Offers: []offerJSON{}}
	for _, b := range p.Bounds() {
		doc.Bounds = append(doc.Bounds, boundDocument(b))
	}
	for _, o := range p.Offers(lots) {
		doc.Offers = append(doc.Offers, offerJSON{o.Lot, boundDocument(o.Bound)})
	}
	return doc
}

func donorsDocument(list []donorCount) any {
	out := struct {
		Donors []donorJSON `json:"donors"`
	}{[]donorJSON{}}
	for _, d := range list {
		out.Donors = append(out.Donors, donorEntry(d.Donor, len(d.lots)))
	}
	return out
}
