// Package compensation chooses what keeps a control loop from oscillating: input resistor,
// capacitor, damping resistor and lead capacitor around an error amplifier that drives an
// optocoupler, which steers a converter into a capacitor.
//
// The loop is a chain of small signals, each from Kirchhoff's laws on its parts: amplifier of
// finite bandwidth, resistor and LED of the optocoupler, the feedback pin with its capacitor as one
// node, the law of the chip, output capacitor, choke, and load. It is opened at the LED, through
// which every path goes, and looked at in all corners of its parts. Quantities only; neither the
// catalog of parts nor the drawer is known here.
package compensation
