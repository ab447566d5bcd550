package si

// What only tests ask for.

// UnitOf returns the base unit of Q as printed, such as "Ω"; empty for plain numbers.
func UnitOf[Q Quantity]() string { return DimensionOf[Q]().Symbol }

// ParseAs is Parse for a quantity type met at run time; the value is in the base unit of d.
func ParseAs(d *Dimension, text string) (float64, error) { return d.Parse(text) }
