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

// commands makes every command of the program, in the order they are listed. A new command is one line here.
func commands(env *environment) []*cli.Command {
	return []*cli.Command{
		putCommand(env),
		takeCommand(env),
		benchCommand(env),
		undoCommand(env),
		donorCommand(env),
		listCommand(env),
		showCommand(env),
		historyCommand(env),
		labelsCommand(env),
		importCommand(env),
		exportCommand(env),
		checkCommand(env),
		backupCommand(env),
		restoreCommand(env),
		adviseCommand(env),
		surveyCommand(env),
		shopCommand(env),
		swapCommand(env),
		planCommand(env),
		networkCommand(env),
		bendCommand(env),
		sheetCommand(env),
		netlistCommand(env),
		tuneCommand(env),
		reserveCommand(env),
		reservedCommand(env),
		releaseCommand(env),
		consumeCommand(env),
		decodeCommand(env),
		identifyCommand(env),
		helpCommand(env),
		completionCommand(env),
		completeCommand(env),
	}
}

// newApp builds the library's application. Help, version and the sorting of words are done here, not there: the library
// writes usage errors and the whole help on standard output.
func newApp(env *environment) *cli.App {
	app := &cli.App{
		Name:                      "sparewright",
		HideHelp:                  true,
		HideVersion:               true,
		DisableSliceFlagSeparator: true,
		Reader:                    env.stdin,
		Writer:                    &env.out,
		ErrWriter:                 io.Discard,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              func(_ *cli.Context, err error, _ bool) error { return libraryError(err) },
		Commands:                  commands(env),
	}
	for _, c := range app.Commands {
		c.HideHelp = true
		c.OnUsageError = app.OnUsageError
	}
	return app
}

// dispatch runs the command the words name.
func (env *environment) dispatch(args []string) error {
	app := newApp(env)
	if len(args) == 0 {
		env.out.WriteString(overview(app))
		return nil
	}
	switch args[0] {
	case "-h", "--help":
		env.out.WriteString(overview(app))
		return nil
	case "--version":
		return env.version(args[1:])
	}
	if looksLikeOption(args[0]) {
		return optionBeforeCommand(app, args)
	}
	command := app.Command(args[0])
	if command == nil {
		return unknownCommand(app, args[0])
	}
	c, err := understand(command, args[1:])
	if err != nil {
		return err
	}
	if c.help {
		env.out.WriteString(commandHelp(command))
		return nil
	}
	return app.RunContext(env.ctx, append([]string{app.Name}, c.words()...))
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
func unknownCommand(app *cli.App, word string) error {
	return wrongCall("unknown command", word, "there is no such command"+didYouMean("", word, commandNames(app))).
		try("sparewright help")
}

func commandNames(app *cli.App) []string {
	var names []string
	for _, c := range app.Commands {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	return names
}

// optionBeforeCommand refuses an option in front of the command word and shows the right order.
func optionBeforeCommand(app *cli.App, args []string) error {
	p := wrongCall("option", args[0], "options follow the command")
	i := slices.IndexFunc(args, func(w string) bool { return app.Command(w) != nil })
	if i < 0 {
		return p.try("sparewright help")
	}
	words := []string{"sparewright", args[i]}
	for _, w := range slices.Concat(args[:i], args[i+1:]) {
		words = append(words, shellWord(w))
	}
	return p.try(strings.Join(words, " "))
}

// action wraps the work of a command with the check of its operands: at least least, at most most (below 0: any number).
func (env *environment) action(least, most int, work func(c *cli.Context) error) cli.ActionFunc {
	return func(c *cli.Context) error {
		n := c.Args().Len()
		if n < least {
			return wrongCall(c.Command.Name, "", "needs "+c.Command.ArgsUsage).try("sparewright help " + c.Command.Name)
		}
		if most >= 0 && n > most {
			return wrongCall(c.Command.Name, c.Args().Get(most), "stray word").try("sparewright help " + c.Command.Name)
		}
		return work(c)
	}
}
