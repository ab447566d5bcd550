package report

// Names of checks come from package substitute and tell a check in full. Tables have room for less: brief names stand in
// the table of builds and in one-line refusals, middling ones in the list of all checks of a build.
var briefNames = map[string]string{
	"peak current needed at lowest mains, full pack":              "peak current",
	"peak current needed at lowest mains, empty pack":             "peak, empty pack",
	"duty at lowest mains":                                        "duty",
	"output power":                                                "power class",
	"flux density at the highest current limit":                   "flux density",
	"shim thickness":                                              "shim thickness",
	"drain voltage at highest mains":                              "drain voltage",
	"clamp voltage above the reflected voltage":                   "clamp voltage",
	"clamp power":                                                 "clamp power",
	"reverse voltage of the output rectifier":                     "reverse voltage",
	"average current of the output rectifier":                     "rectifier amps",
	"share of pulses used at lowest mains":                        "pulses used",
	"chip supply from the bias winding, empty pack":               "supply, empty",
	"chip supply from the bias winding, full pack":                "supply, full",
	"winding build in the former":                                 "winding build",
	"creepage across the winding barrier":                         "winding creepage",
	"creepage between the pin rows":                               "pin creepage",
	"current density of the primary":                              "primary wire",
	"current density of the secondary":                            "secondary wire",
	"transformer temperature":                                     "coil heat",
	"switcher junction temperature":                               "junction heat",
	"air inside the case":                                         "air inside",
	"bulk capacitor voltage at highest mains":                     "bulk voltage",
	"valley of the bulk voltage at lowest mains":                  "bulk valley",
	"reverse voltage of the bridge":                               "bridge voltage",
	"bridge current":                                              "bridge current",
	"output capacitor voltage":                                    "output voltage",
	"ripple current of the output capacitor":                      "output ripple",
	"ripple current of the bulk capacitor":                        "bulk ripple",
	"lowest reach of the upper trimmer end":                       "upper set end",
	"highest reach of the lower trimmer end":                      "lower set end",
	"highest pack voltage, any trimmer position and corner":       "overcharge",
	"pack voltage with the trimmer wiper open":                    "open wiper",
	"highest charging current, any trimmer position and corner":   "highest current",
	"lowest reach of the upper current end":                       "upper current end",
	"shunt power":                                                 "shunt power",
	"reference current at the lowest output reckoned with":        "reference, least",
	"reference current, full pack":                                "reference, full",
	"amplifier supply, full pack":                                 "amplifier supply",
	"optocoupler lamp current at the lowest output reckoned with": "lamp current",
	"insulation barrier between mains and battery":                "mains barrier",
	"room for the windings":                                       "winding room",
	"lowest output at which the current is still regulated":       "lowest regulated",
	"optocoupler isolation":                                       "isolation",
	"touch current through the Y capacitor":                       "touch current",
	"amplifier offset against the sense voltage":                  "amplifier offset",
	"duty in continuous mode":                                     "continuous duty",
	"pack voltage with the reference hot, set on the bench":       "pack voltage, hot",
	"output when the pack is taken off at full current":           "unplugged output",
	"phase margin of the voltage loop, worst corner":              "voltage phase",
	"phase margin of the current loop, worst corner":              "current phase",
	"barrier declared whole by the builder":                       "declared barrier",
	"primary current at the highest current limit":                "core current",
	"current limit of the donor's own switcher":                   "own switcher",
	"power that the energy of the transformer carries":            "stored energy",
	"power taken from the adapter":                                "plate watts",
	"current taken from the adapter":                              "plate amperes",
	"lowest mains voltage":                                        "lowest mains",
	"air around the adapter":                                      "air around",
	"output against the protection zener":                         "protection zener",
	"output needed by reference and optocoupler lamp":             "feedback supply",
	"voltage at the reference of the adapter":                     "own reference",
	"drain voltage before the spike":                              "unspiked drain",
}

var middlingNames = map[string]string{
	"peak current needed at lowest mains, full pack":              "peak current, full pack",
	"peak current needed at lowest mains, empty pack":             "peak current, empty pack",
	"flux density at the highest current limit":                   "flux density at the highest limit",
	"reverse voltage of the output rectifier":                     "output rectifier, reverse voltage",
	"average current of the output rectifier":                     "output rectifier, average current",
	"share of pulses used at lowest mains":                        "pulses used at lowest mains",
	"creepage across the winding barrier":                         "creepage across the barrier",
	"bulk capacitor voltage at highest mains":                     "bulk voltage at highest mains",
	"ripple current of the output capacitor":                      "output capacitor, ripple current",
	"ripple current of the bulk capacitor":                        "bulk capacitor, ripple current",
	"lowest reach of the upper trimmer end":                       "upper trimmer end, lowest reach",
	"highest reach of the lower trimmer end":                      "lower trimmer end, highest reach",
	"lowest reach of the upper current end":                       "upper current end, lowest reach",
	"reference current at the lowest output reckoned with":        "reference current, least",
	"optocoupler lamp current at the lowest output reckoned with": "optocoupler lamp current, least",
	"touch current through the Y capacitor":                       "touch current by the Y capacitor",
	"clamp voltage above the reflected voltage":                   "clamp above the reflected voltage",
	"chip supply from the bias winding, empty pack":               "chip supply from bias, empty pack",
	"chip supply from the bias winding, full pack":                "chip supply from bias, full pack",
	"valley of the bulk voltage at lowest mains":                  "bulk valley at lowest mains",
	"highest pack voltage, any trimmer position and corner":       "highest pack voltage, any corner",
	"pack voltage with the trimmer wiper open":                    "pack voltage, wiper open",
	"highest charging current, any trimmer position and corner":   "highest current, any corner",
	"lowest output at which the current is still regulated":       "lowest regulated output",
	"amplifier offset against the sense voltage":                  "amplifier offset",
	"output when the pack is taken off at full current":           "output when the pack is unplugged",
	"pack voltage with the reference hot, set on the bench":       "pack voltage, reference hot",
	"phase margin of the voltage loop, worst corner":              "voltage loop, least phase margin",
	"phase margin of the current loop, worst corner":              "current loop, least phase margin",
	"barrier declared whole by the builder":                       "barrier declared by the builder",
	"primary current at the highest current limit":                "core current at the highest limit",
	"current limit of the donor's own switcher":                   "limit of the donor's own switcher",
	"power that the energy of the transformer carries":            "power by the stored energy",
	"output needed by reference and optocoupler lamp":             "output its own feedback needs",
	"voltage at the reference of the adapter":                     "voltage at its own reference",
}

// brief is the name of a check in at most 17 characters; a name nobody shortened stays whole.
func brief(check string) string {
	if n, ok := briefNames[check]; ok {
		return n
	}
	return check
}

// middling is the name of a check in at most 35 characters.
func middling(check string) string {
	if n, ok := middlingNames[check]; ok {
		return n
	}
	return check
}
