package seats

import (
	"math"
)

// plainly is a fixed text to buy by.
func plainly(text string) func(*Circuit) string { return func(*Circuit) string { return text } }

// nearInSteps prefers a figure near to a value, in ratio.
func nearInSteps(field string, value float64) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 {
		return math.Abs(math.Log(p.Figure(field) / value))
	}
}

// plainNear prefers a resistor near to a value, in ratio, and of those near the least close one:
// the others are kept for dividers.
func plainNear(value float64) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 {
		return math.Abs(math.Log(p.Figure("resistance")/value)) -
			0.1*math.Log10(p.Figure("tolerance"))
	}
}

// nearTo prefers a figure near to a value.
func nearTo(field string, value float64) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 { return math.Abs(p.Figure(field) - value) }
}

// least and most prefer the smallest and the largest of a figure.
func least(field string) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 { return p.Figure(field) }
}

func most(field string) func(*Circuit, Figures) float64 {
	return func(_ *Circuit, p Figures) float64 { return -p.Figure(field) }
}
