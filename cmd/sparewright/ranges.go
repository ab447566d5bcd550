package main

import (
	"fmt"

	"sparewright/catalog"
)

// figureRange reads a range such as 1k-10k in the dimension of a figure.
func figureRange(f catalog.Field, text string) (low, high float64, err error) {
	if !f.Numeric {
		return 0, 0, fmt.Errorf("%s is a word, not a number", f.Name)
	}
	return f.Dimension().ParseRange(text)
}
