// Package si holds the physical quantities the rest of the program speaks in.
//
// Every quantity is its own float64 type whose value is always in the SI base unit named in its
// comment (temperature in degrees Celsius being the one exception, as every data sheet uses it).
// Prefixes exist only at the door: Parse brings them in, Format takes them out.
package si

// Quantities, each in the unit named beside it.
type (
	Voltage           float64 // V
	Current           float64 // A
	Power             float64 // W
	Energy            float64 // J
	Charge            float64 // C
	Resistance        float64 // ohm
	Capacitance       float64 // F
	Inductance        float64 // H
	InductanceFactor  float64 // H per turn squared (AL)
	Reluctance        float64 // 1/H
	Frequency         float64 // Hz
	Time              float64 // s
	Length            float64 // m
	Area              float64 // m2
	Volume            float64 // m3
	Mass              float64 // kg
	FluxDensity       float64 // T
	LossDensity       float64 // W/m3
	Celsius           float64 // degC
	Kelvin            float64 // K, a temperature difference
	ThermalResistance float64 // K/W
	LineResistance    float64 // ohm/m
	LineMass          float64 // kg/m
	TempCo            float64 // 1/K
	Ratio             float64 // 1; percentages are ratios
)

// Quantity is any of the types above.
type Quantity interface{ ~float64 }

// Mu0 is the magnetic constant in H/m. Source: CODATA 2018 gives 1.25663706212e-6, which equals 4
// pi 1e-7 within 6e-10; the older exact value is kept because every published example uses it.
const Mu0 = 4e-7 * 3.141592653589793

// Prefix factors for writing literals: 12*si.Milli.
const (
	Giga  = 1e9
	Mega  = 1e6
	Kilo  = 1e3
	Milli = 1e-3
	Micro = 1e-6
	Nano  = 1e-9
	Pico  = 1e-12
)

// CopperResistivity20 is the resistivity of annealed copper at 20 degC in ohm metre. Source: IEC
// 60028 (1/58e6).
const CopperResistivity20 = 1.0 / 58e6

// CopperTempCo is the temperature coefficient of resistance of copper at 20 degC in 1/K. Source:
// IEC 60028, 3.93e-3.
const CopperTempCo TempCo = 3.93e-3

// CopperResistivity returns the resistivity of copper in ohm metre at temperature t.
func CopperResistivity(t Celsius) float64 {
	return CopperResistivity20 * (1 + float64(CopperTempCo)*(float64(t)-20))
}
