package codes

import (
	"fmt"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// Two families of names carry a voltage. In one it is the breakdown voltage, in the other the
// stand-off voltage, which lies lower: SMBJ170A breaks down at 189 to 209 V, P6KE170A at 162 to 179
// V (makers' data sheets of the series SMBJ and P6KE). The value is the pulse power of the series.
var (
	byBreakdown = map[string]si.Power{"P4KE": 400, "P6KE": 600, "1.5KE": 1500, "P4SMA": 400,
		"P6SMA": 600, "P6SMB": 600,
		"1.5SMC": 1500}
	byStandoff = map[string]si.Power{"SMAJ": 400, "SMBJ": 600, "SMCJ": 1500, "1.5SMCJ": 1500,
		"SMDJ": 3000, "3.0SMCJ": 3000,
		"5.0SMDJ": 5000, "SMF": 200, "SMA6J": 600, "SA": 500, "5KP": 5000, "15KP": 15000}
	suppressorName = pattern.OnFirstUse(`^(P4KE|P6KE|1\.5KE|P4SMA|P6SM[AB]|1\.5SMCJ?|SM[ABCD]J|` +
		`SMA6J|3\.0SMCJ|5\.0SMDJ|SMF|SA|5KP|15KP)-?([0-9]{1,3}(?:\.[0-9])?)(CA|A|C|)$`)
	suffixes = map[string]string{"": "no A: 10 %", "A": "A: 5 %", "C": "C: both directions, 10 %",
		"CA": "CA: both directions, 5 %"}
)

// standoffShare is the stand-off voltage over the lowest breakdown voltage, in both families: 170 V
// to 189 V, 171 V to 190 V (the same sheets; single rows are rounded by up to 2 %).
const standoffShare = 0.9

// lowStandoff are the rows of the stand-off family that do not follow the share: lowest and highest
// breakdown with A, from the data sheet of the series SMBJ.
var lowStandoff = map[string][2]float64{"5": {6.40, 7.00}, "5.0": {6.40, 7.00}}

// suppressorReadings reads a type name. The suffix A stands for 5 % of breakdown voltage, none for
// 10 %; C for both directions.
func suppressorReadings(mark string) []Reading {
	m := suppressorName().FindStringSubmatch(strings.ToUpper(strings.ReplaceAll(mark, " ", "")))
	if m == nil {
		return nil
	}
	v, _ := strconv.ParseFloat(m[2], 64)
	tol := 0.1
	if strings.HasSuffix(m[3], "A") {
		tol = 0.05
	}
	r := Reading{Kind: catalog.KindClamp, Both: strings.HasPrefix(m[3], "C"),
		Standard: TypeKey, rank: 1, Tolerance: Tolerance{Below: si.Ratio(tol),
			Above: si.Ratio(tol)}}
	suffix := suffixes[m[3]]
	if power, ok := byStandoff[m[1]]; ok {
		low, high := v/standoffShare, v/standoffShare*(1+tol)/(1-tol)
		if row, odd := lowStandoff[m[2]]; odd && tol == 0.05 {
			low, high = row[0], row[1]
		}
		r.Power, r.Standoff, r.Derived, r.Volts = power, si.Voltage(v), true,
			si.Voltage((low+high)/2)
		r.How = fmt.Sprintf("the number is the stand-off voltage, breakdown %.3g to %.3g V; %s",
			low, high, suffix)
		return validSuppressor(r, v)
	}
	r.Power, r.Volts = byBreakdown[m[1]], si.Voltage(v)
	r.Standoff = si.Voltage(v * (1 - tol) * standoffShare)
	r.How = "the number is the breakdown voltage; " + suffix
	return validSuppressor(r, v)
}

// validSuppressor drops numbers that no suppressor is made for.
func validSuppressor(r Reading, number float64) []Reading {
	if number < 3 || number > 600 {
		return nil
	}
	return []Reading{r}
}
