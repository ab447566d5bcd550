package stage

import (
	"fmt"
)

// DonorWarnings says what nobody has seen inside an unopened transformer.
func (m *Measured) DonorWarnings() []string {
	d := m.Donor
	return []string{
		fmt.Sprintf("turns of an unopened transformer are ratios: %d sets of whole turns agree "+
			"with the readings; checks hold at "+
			"the worst of them", len(d.Turns)),
		"its wire is not seen: a.c. resistance reckoned with 3 times the d.c. one; feel it after " +
			"ten minutes at full load",
		"ferrite grade unknown: cautious loss class used",
		"unsolder it with hot air on the pins only, no heat on the windings: its insulation is " +
			"taken over, not renewed",
	}
}
