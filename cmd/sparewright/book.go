package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/bench"
	"sparewright/cmd/sparewright/internal/find"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/guide"
	"sparewright/cmd/sparewright/internal/identify"
	"sparewright/cmd/sparewright/internal/keep"
)

// Groups of commands.
const (
	keeping  = frame.GroupDrawer
	building = frame.GroupBuild
	asking   = frame.GroupBook
)

// line is one line of the book.
func line(name, group, about string, command func(*frame.Environment) *cli.Command) frame.Entry {
	return frame.Entry{Name: name, Group: group, About: about, Make: command}
}

// book lists every command of the program in order. A new command is one line here.
func book() []frame.Entry {
	return []frame.Entry{
		line("put", keeping, "put parts into the drawer", bench.PutCommand),
		line("take", keeping, "take parts out of a lot", keep.TakeCommand),
		line("change", keeping, "note a reading, a new bin or condition of a lot",
			keep.ChangeCommand),
		line("bench", keeping, "log parts from standard input, one line a lot", bench.Command),
		line("undo", keeping, "take back the last change, whatever it was", keep.UndoCommand),
		line("redo", keeping, "make again what undo took back", keep.RedoCommand),
		line("donor", keeping, "record equipment parts come out of, or show it", keep.DonorCommand),
		line("list", keeping, "show what is in the drawer", keep.ListCommand),
		line("show", keeping, "show everything about one lot", keep.ShowCommand),
		line("history", keeping, "show what was changed last", keep.HistoryCommand),
		line("labels", keeping, "write labels for drawers and bags", keep.LabelsCommand),
		line("import", keeping, "read lots from a CSV file or any table", bench.ImportCommand),
		line("export", keeping, "write the drawer as CSV", keep.ExportCommand),
		line("check", keeping, "look the drawer file over for damage", keep.CheckCommand),
		line("backup", keeping, "write a checked copy of the drawer file", keep.BackupCommand),
		line("restore", keeping, "bring a backup back as the drawer file", keep.RestoreCommand),
		line("advise", building, "find which charger the drawer holds", find.AdviseCommand),
		line("survey", building, "see which chargers the drawer holds at all", find.SurveyCommand),
		line("shop", building, "find the cheapest list to buy for a charger", find.ShopCommand),
		line("swap", building, "judge the stand-ins on hand for a part", find.SwapCommand),
		line("plan", building, "share the drawer out among several chargers", find.PlanCommand),
		line("network", building, "make a resistance or a divider from resistors on hand",
			find.NetworkCommand),
		line("bend", building, "see how far a whole adapter can be moved", find.BendCommand),
		line("sheet", building, "write the build sheet of a build", find.SheetCommand),
		line("netlist", building, "write a build as a netlist for ngspice", find.NetlistCommand),
		line("tune", building, "correct a build by what was measured on it", find.TuneCommand),
		line("reserve", keeping, "set the parts of a build aside", find.ReserveCommand),
		line("reserved", keeping, "list what is set aside for builds", keep.ReservedCommand),
		line("release", keeping, "give back what was set aside", keep.ReleaseCommand),
		line("consume", keeping, "take out what was set aside, when the build is made",
			keep.ConsumeCommand),
		line("decode", asking, "say what a code printed on a part can mean", bench.DecodeCommand),
		line("identify", asking, "work out an unknown core, gap, wire or film from readings",
			identify.Command),
		line("help", asking, "explain a command or a topic", guide.HelpCommand),
		line("completion", asking, "print the completion script of a shell",
			guide.CompletionCommand),
		line("complete", "", "answer a completion script", guide.CompleteCommand),
	}
}
