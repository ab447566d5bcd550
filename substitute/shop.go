package substitute

import "sparewright/inventory"

// Purchase is what to buy so that a target becomes buildable.
type Purchase struct {
	Target   Target    `json:"target"`
	Buy      []BuyLine `json:"buy"`
	Cost     float64   `json:"cost"`
	Lines    int       `json:"lines"`
	Then     *Build    `json:"then"`
	Refused  []Refusal `json:"refused"`
	Cautions []string  `json:"cautions"`
}

// BuyLine is one line of the shopping list. Cost is one a line until the builder gives prices.
type BuyLine struct {
	Role        string  `json:"role"`
	Designation string  `json:"designation"`
	Requirement string  `json:"requirement"`
	Quantity    float64 `json:"quantity"`
	Unit        string  `json:"unit"`
	Cost        float64 `json:"cost"`
}

// Shop finds the shortest list of parts that makes the target buildable; among lists of equal length the build with the best
// margins. An empty list means that nothing need be bought; no build means that no purchase of up to two kinds helps.
func Shop(t Target, s inventory.Snapshot) Purchase {
	r := Advise(t, s, Options{Builds: 1, Buy: true})
	p := Purchase{Target: t, Buy: []BuyLine{}, Refused: r.Refused, Cautions: r.Cautions}
	if len(r.Builds) == 0 {
		return p
	}
	p.Then = &r.Builds[0]
	p.Refused = []Refusal{}
	for _, u := range toBuy(p.Then.Parts) {
		p.Buy = append(p.Buy, BuyLine{Role: u.Role, Designation: u.Designation, Requirement: u.Requirement, Quantity: u.Quantity, Unit: u.Unit, Cost: 1})
		p.Cost++
	}
	p.Lines = len(p.Buy)
	return p
}
