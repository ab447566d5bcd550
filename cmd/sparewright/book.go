package main

import "github.com/urfave/cli/v2"

// line is one line of the book.
func line(name, group, about string, command func(*environment) *cli.Command) entry {
	return entry{name: name, group: group, about: about, make: command}
}

// book lists every command of the program in order. A new command is one line here.
func book() []entry {
	return []entry{
		line("put", groupDrawer, "put parts into the drawer", putCommand),
		line("take", groupDrawer, "take parts out of a lot", takeCommand),
		line("change", groupDrawer, "note a reading, a new bin or condition of a lot", changeCommand),
		line("bench", groupDrawer, "log parts from standard input, one line a lot", benchCommand),
		line("undo", groupDrawer, "take back the last change, whatever it was", undoCommand),
		line("redo", groupDrawer, "make again what undo took back", redoCommand),
		line("donor", groupDrawer, "record equipment parts come out of, or show it", donorCommand),
		line("list", groupDrawer, "show what is in the drawer", listCommand),
		line("show", groupDrawer, "show everything about one lot", showCommand),
		line("history", groupDrawer, "show what was changed last", historyCommand),
		line("labels", groupDrawer, "write labels for drawers and bags", labelsCommand),
		line("import", groupDrawer, "read lots from a CSV file", importCommand),
		line("export", groupDrawer, "write the drawer as CSV", exportCommand),
		line("check", groupDrawer, "look the drawer file over for damage", checkCommand),
		line("backup", groupDrawer, "write a checked copy of the drawer file", backupCommand),
		line("restore", groupDrawer, "bring a backup back as the drawer file", restoreCommand),
		line("advise", groupBuild, "find which charger the drawer holds", adviseCommand),
		line("survey", groupBuild, "see which chargers the drawer holds at all", surveyCommand),
		line("shop", groupBuild, "find the cheapest list to buy for a charger", shopCommand),
		line("swap", groupBuild, "judge the stand-ins on hand for a part", swapCommand),
		line("plan", groupBuild, "share the drawer out among several chargers", planCommand),
		line("network", groupBuild, "make a resistance or a divider from resistors on hand", networkCommand),
		line("bend", groupBuild, "see how far a whole adapter can be moved", bendCommand),
		line("sheet", groupBuild, "write the build sheet of a build", sheetCommand),
		line("netlist", groupBuild, "write a build as a netlist for ngspice", netlistCommand),
		line("tune", groupBuild, "correct a build by what was measured on it", tuneCommand),
		line("reserve", groupDrawer, "set the parts of a build aside", reserveCommand),
		line("reserved", groupDrawer, "list what is set aside for builds", reservedCommand),
		line("release", groupDrawer, "give back what was set aside", releaseCommand),
		line("consume", groupDrawer, "take out what was set aside, when the build is made", consumeCommand),
		line("decode", groupBook, "say what a code printed on a part can mean", decodeCommand),
		line("identify", groupBook, "work out an unknown core, gap, wire or film from readings", identifyCommand),
		line("help", groupBook, "explain a command or a topic", helpCommand),
		line("completion", groupBook, "print the completion script of a shell", completionCommand),
		line("complete", "", "answer a completion script", completeCommand),
	}
}
