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
