package substitute

import (
	"sparewright/catalog/si"
)

// DonorReading is what is known of a transformer that is used unopened. Only ratios of turns can be
// read from outside, so that several whole turns agree with the readings; the build is reckoned
// with the first of Turns and checked at all its corners.
type DonorReading struct {
	Lot         int64  `json:"lot"`
	Designation string `json:"designation"`
	// primary to secondary turns over the errors of the meters
	RatioLow     si.Ratio      `json:"ratio_low"`
	RatioHigh    si.Ratio      `json:"ratio_high"`
	Candidates   int           `json:"candidates"` // whole turns that agree with the readings
	Turns        []DonorTurns  `json:"turns"`      // the likeliest of them
	SafeCurrent  si.Current    `json:"safe_current_a"`
	SafeBasis    string        `json:"safe_current_basis"`
	Leakage      si.Inductance `json:"leakage_h"`
	PrimaryOhm   si.Resistance `json:"primary_ohm"`
	SecondaryOhm si.Resistance `json:"secondary_ohm"`
	Former       string        `json:"former,omitempty"`
}

// DonorTurns are whole turns that agree with the readings.
type DonorTurns struct {
	Primary   int `json:"primary"`
	Secondary int `json:"secondary"`
	Bias      int `json:"bias"`
}

// Carrier names what carries the power of a build: the core wound, the transformer reused, or the
// whole adapter.
func (b *Build) Carrier() string {
	if b.Adapter != nil {
		return b.Adapter.Designation
	}
	return b.Core.Designation
}

// ChipName is the switcher of a build, or the chip of the adapter it is made of.
func (b *Build) ChipName() string {
	if b.Adapter != nil {
		return b.Adapter.Chip
	}
	return b.Switcher.Designation
}
