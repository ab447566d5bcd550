// Package magnetics computes ferrite pairs and their windings for a flyback transformer: effective
// parameters from the outline, inductance factor against gap with fringing, flux density, core
// loss, skin and proximity effect, winding layout, winding resistance, leakage and temperature
// rise, and the inverse problems of someone who has only an unmarked core and a meter.
//
// All functions are pure and take plain quantities in SI units, so that a published example is one
// row of a test table. The package knows no catalogue: the caller maps its records to the types
// here.
package magnetics
