package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// Groups of commands, in the order the overview shows them.
const (
	groupDrawer = "Keep the drawer"
	groupBuild  = "Find what to build"
	groupBook   = "Look things up"
)

var groups = []string{groupDrawer, groupBuild, groupBook}

// entry is a command before it is made: its word, the group it stands in ("" for none that people
// type), what the overview says of it and what makes it. A call needs one command; to make all of
// them with their options would be most of the work of --help.
type entry struct {
	name, group, about string
	make               func(*environment) *cli.Command
}

// book lists every command of the program in order. A new command is one line here.
func book() []entry {
	return []entry{
		{"put", groupDrawer, "put parts into the drawer", putCommand},
		{"take", groupDrawer, "take parts out of a lot", takeCommand},
		{"change", groupDrawer, "note a reading, a new bin or condition of a lot", changeCommand},
		{"bench", groupDrawer, "log parts from standard input, one line a lot", benchCommand},
		{"undo", groupDrawer, "take back the last change, whatever it was", undoCommand},
		{"redo", groupDrawer, "make again what undo took back", redoCommand},
		{"donor", groupDrawer, "record equipment parts come out of, or show it", donorCommand},
		{"list", groupDrawer, "show what is in the drawer", listCommand},
		{"show", groupDrawer, "show everything about one lot", showCommand},
		{"history", groupDrawer, "show what was changed last", historyCommand},
		{"labels", groupDrawer, "write labels for drawers and bags", labelsCommand},
		{"import", groupDrawer, "read lots from a CSV file", importCommand},
		{"export", groupDrawer, "write the drawer as CSV", exportCommand},
		{"check", groupDrawer, "look the drawer file over for damage", checkCommand},
		{"backup", groupDrawer, "write a checked copy of the drawer file", backupCommand},
		{"restore", groupDrawer, "bring a backup back as the drawer file", restoreCommand},
		{"advise", groupBuild, "find which charger the drawer holds", adviseCommand},
		{"survey", groupBuild, "see which chargers the drawer holds at all", surveyCommand},
		{"shop", groupBuild, "find the cheapest list to buy for a charger", shopCommand},
		{"swap", groupBuild, "judge the stand-ins on hand for a part", swapCommand},
		{"plan", groupBuild, "share the drawer out among several chargers", planCommand},
		{"network", groupBuild, "make a resistance or a divider from resistors on hand", networkCommand},
		{"bend", groupBuild, "see how far a whole adapter can be moved", bendCommand},
		{"sheet", groupBuild, "write the build sheet of a build", sheetCommand},
		{"netlist", groupBuild, "write a build as a netlist for ngspice", netlistCommand},
		{"tune", groupBuild, "correct a build by what was measured on it", tuneCommand},
		{"reserve", groupDrawer, "set the parts of a build aside", reserveCommand},
		{"reserved", groupDrawer, "list what is set aside for builds", reservedCommand},
		{"release", groupDrawer, "give back what was set aside", releaseCommand},
		{"consume", groupDrawer, "take out what was set aside, when the build is made", consumeCommand},
		{"decode", groupBook, "say what a code printed on a part can mean", decodeCommand},
		{"identify", groupBook, "work out an unknown core, gap, wire or film from readings", identifyCommand},
		{"help", groupBook, "explain a command or a topic", helpCommand},
		{"completion", groupBook, "print the completion script of a shell", completionCommand},
		{"complete", "", "answer a completion script", completeCommand},
	}
}

// entryOf finds the command a word names.
func entryOf(word string) (entry, bool) {
	all := book()
	i := slices.IndexFunc(all, func(e entry) bool { return e.name == word })
	if i < 0 {
		return entry{}, false
	}
	return all[i], true
}

// command makes the command.
func (e entry) command(env *environment) *cli.Command {
	c := e.make(env)
	c.Name, c.Usage, c.HideHelp, c.OnUsageError = e.name, e.about, true, usageError
	return c
}

func usageError(_ *cli.Context, err error, _ bool) error { return libraryError(err) }

// newApp builds the library's application around the one command asked for. Help, version and the
// sorting of words are done here, not there: the library writes usage errors and the whole help on
// standard output.
func newApp(env *environment, command *cli.Command) *cli.App {
	return &cli.App{
		Name:                      "sparewright",
		HideHelp:                  true,
		HideVersion:               true,
		DisableSliceFlagSeparator: true,
		Reader:                    env.stdin,
		Writer:                    &env.out,
		ErrWriter:                 io.Discard,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
		Commands:                  []*cli.Command{command},
	}
}

// dispatch finds out what the words ask for. What can be said at once, as help, it prints; else it
// returns the work of the command they name.
func (env *environment) dispatch(args []string) (work func() error, err error) {
	if len(args) == 0 {
		env.out.WriteString(overview())
		return nil, nil
	}
	switch args[0] {
	case "-h", "--help":
		env.out.WriteString(overview())
		return nil, nil
	case "--version":
		return nil, env.version(args[1:])
	}
	if looksLikeOption(args[0]) {
		return nil, optionBeforeCommand(args)
	}
	entry, ok := entryOf(args[0])
	if !ok {
		return nil, unknownCommand(args[0])
	}
	command := entry.command(env)
	c, err := understand(command, args[1:])
	if err != nil {
		return nil, err
	}
	if c.help {
		env.out.WriteString(commandHelp(command))
		return nil, nil
	}
	app := newApp(env, command)
	return func() error {
		return app.RunContext(env.ctx,
			append([]string{app.Name}, c.words()...))
	}, nil
}

// version prints name, version and the commit it was built from.
func (env *environment) version(rest []string) error {
	if len(rest) > 0 {
		return wrongCall("--version", rest[0], "stray word")
	}
	fmt.Fprintln(&env.out, versionLine())
	return nil
}

// unknownCommand words the refusal of a command that does not exist.
func unknownCommand(word string) error {
	return wrongCall("unknown command", word,
		"there is no such command"+didYouMean("", word, commandNames())).
		try("sparewright help")
}

// commandNames lists the commands that people type.
func commandNames() []string {
	var names []string
	for _, e := range book() {
		if e.group != "" {
			names = append(names, e.name)
		}
	}
	return names
}

// optionBeforeCommand refuses an option in front of the command word and shows the right order.
func optionBeforeCommand(args []string) error {
	p := wrongCall("option", args[0], "options follow the command")
	i := slices.IndexFunc(args, func(w string) bool { _, ok := entryOf(w); return ok })
	if i < 0 {
		return p.try("sparewright help")
	}
	words := []string{"sparewright", args[i]}
	for _, w := range slices.Concat(args[:i], args[i+1:]) {
		words = append(words, shellWord(w))
	}
	return p.try(strings.Join(words, " "))
}

// action wraps the work of a command with the check of its operands: at least least, at most most
// (below 0: any number).
func (env *environment) action(least, most int, work func(c *cli.Context) error) cli.ActionFunc {
	return func(c *cli.Context) error {
		n := c.Args().Len()
		if n < least {
			return wrongCall(c.Command.Name, "",
				"needs "+c.Command.ArgsUsage).try("sparewright help " + c.Command.Name)
		}
		if most >= 0 && n > most {
			return wrongCall(c.Command.Name, c.Args().Get(most),
				"stray word").try("sparewright help " + c.Command.Name)
		}
		err := work(c)
		// identify has a place for it in its answer
		if c.Command.Name != "identify" && (err == nil || statusOf(err) == statusNothing) {
			env.remarks(c, saidOf(c))
		}
		return err
	}
}
