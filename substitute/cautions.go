package substitute

// MainsCautions stand with every answer that has to do with mains.
func MainsCautions() []string {
	return []string{
		"Mains voltage kills. Local code comes first; where mains work is reserved to licensed " +
			"persons, leave it to them.",
		"The bulk capacitor stays charged after unplugging. Unplug, wait, measure, discharge " +
			"through 1 to 10 kohm, measure again.",
		"The barrier between mains and battery must hold 3000 V ac: transformer, optocoupler, Y " +
			"capacitor, 6 mm on the board. Untested means unsafe.",
		"First power: series lamp, isolated measuring gear, no battery; a resistor as " +
			"the first load.",
		"A home-built charger is not certified. Do not sell it, lend it or leave it alone.",
	}
}

// Cautions returns what stands with every answer and every sheet. They cannot be switched off.
func Cautions(t Target) []string {
	out := MainsCautions()
	switch rowOf(t.Chemistry) {
	case "lead-acid-agm", "lead-acid-gel", "lead-acid-flooded":
		out = append(out, "Lead-acid batteries give off hydrogen: ventilate, connect before "+
			"switching on.",
			"The charge voltage holds at 25 C and does not follow the battery: warmer it should "+
				"be 3 to 5 mV a cell and kelvin lower (from memory). Never leave a hot one on.")
		if t.Duty == "cyclic" {
			out = append(out, "The cyclic voltage must not stay on: disconnect when the current "+
				"has fallen, or change to float.")
		}
	case "nimh":
		out = append(out, "Nickel packs overheat on a constant voltage: never connect them to "+
			"one of these chargers.")
	default:
		out = append(out,
			"Lithium cells burn. Charge on a base that does not, in sight, between 0 and 45 C; "+
				"stop if a cell gets warm or swells.",
			"Use only with a pack that has its own overvoltage cut-off for every cell. This "+
				"charger sees the sum only and does not stop by itself: take the pack "+
				"off when full.")
	}
	return append(out, "A reversed battery destroys what no fuse and diode guard, and blows the "+
		"fuse at best. Mark the plug, fit an output fuse.")
}
