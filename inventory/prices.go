package inventory

// Money is an amount of money in ten-thousandths of whatever the builder counts in; the program
// knows no currency.
type Money int64

// MoneyUnit is one whole unit.
const MoneyUnit Money = 10_000

// Float is the amount in whole units.
func (m Money) Float() float64 { return float64(m) / float64(MoneyUnit) }

// Price is what one piece, or one metre, of a part costs at a source.
type Price struct {
	// as a shopping list names the part; AnyPart stands for every part not listed
	Designation string
	Each        Money
	Source      string // "" when the builder named none
}

// AnyPart is the designation of a price that holds for every part the list does not name.
const AnyPart = "*"

// Terms are what a source charges beside its prices: postage once for each purchase, and the least
// value of parts it sells.
type Terms struct {
	Source           string
	Postage, Minimum Money
}

// PriceList is what the builder would have to pay, in the builder's own figures.
type PriceList struct {
	Prices []Price // in the order given
	Terms  []Terms // one for every source that has any
}
