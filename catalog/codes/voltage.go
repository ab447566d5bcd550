package codes

import (
	"math"
	"strconv"
	"strings"

	"sparewright/catalog/si"
)

// voltageSteps are the letters of the voltage code of capacitors, steps of the R10 series between 1
// and 10 V; the figure before them is the power of ten: 1E is 25 V, 2J 630 V, 3D 2 kV. Sources: A,
// C, E, H, J, K, B, D, F, V, G, W: a printed EIA table and the ladder of JIS C 5101-1, which is
// from memory where that table has no row.
var voltageSteps = map[byte]float64{
	'A': 1, 'B': 1.25, 'C': 1.6, 'D': 2, 'E': 2.5, 'F': 3.15, 'V': 3.5, 'G': 4, 'W': 4.5, 'H': 5,
	'J': 6.3, 'K': 8,
}

// oddVoltages are the codes outside the ladder: 0L, 2P, 2Q, 2Z of the same table; 2S from memory.
var oddVoltages = map[string]si.Voltage{"0L": 5.5, "2Q": 110, "2Z": 180, "2P": 220, "2S": 275}

// VoltageCode reads a two-character voltage code such as 1H, 50 V dc. It is printed in capitals;
// small letters mean nothing else in such a code and are taken.
func VoltageCode(text string) (si.Voltage, bool) {
	code := strings.ToUpper(text)
	if v, ok := oddVoltages[code]; ok {
		return v, true
	}
	if len(code) != 2 || code[0] < '0' || code[0] > '4' {
		return 0, false
	}
	step, ok := voltageSteps[code[1]]
	v, _ := strconv.ParseFloat(strconv.FormatFloat(step*math.Pow10(int(code[0]-'0')), 'g', 6, 64),
		64)
	return si.Voltage(v), ok
}
