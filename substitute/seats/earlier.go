package seats

// earlierNames are names that places had in earlier versions, and their names today.
var earlierNames = map[string]string{
	"lamp resistor":                  "LED resistor",
	"lamp, charging (current holds)": "LED, charging (current holds)",
	"lamp, full (voltage holds)":     "LED, full (voltage holds)",
}
