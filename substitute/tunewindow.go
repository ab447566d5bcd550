package substitute

import (
	"sparewright/catalog/si"
)

// Window is the inductance with which every hard limit of the power stage holds: from the wall of
// power to the wall of saturation, or less where another limit goes first. LowBy and HighBy name
// that limit.
type Window struct {
	Low    si.Inductance `json:"low_h"`
	High   si.Inductance `json:"high_h"`
	LowBy  string        `json:"low_by,omitempty"`
	HighBy string        `json:"high_by,omitempty"`
}

func (w Window) Ends() si.Interval[si.Inductance] {
	return si.Interval[si.Inductance]{Low: w.Low, High: w.High}
}
