package stock

import (
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// soldSuppressor is a suppressor of the 1500 W family by its number, which says the nominal
// breakdown; suffix A is 5 %.
func soldSuppressor(name string) (catalog.Part, bool) {
	volts, is := strings.CutPrefix(strings.TrimSuffix(name, "A"), "1.5KE")
	v, err := strconv.ParseFloat(volts, 64)
	return catalog.Clamp{Named: catalog.Named{Name: name}, Breakdown: catalog.Of(si.Voltage(v)),
			Tolerance: catalog.Of(si.Ratio(0.05)),
			Steady:    catalog.Of(si.Power(1.5)), Pulse: catalog.Of(si.Power(1500))},
		is && err == nil && v > 0
}
