package frame

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// Groups of commands, in the order the overview shows them.
const (
	GroupDrawer = "Keep the drawer"    // what is there
	GroupBuild  = "Find what to build" // what can be made of it
	GroupBook   = "Look things up"     // what needs no drawer
)

// Groups lists them.
var Groups = []string{GroupDrawer, GroupBuild, GroupBook}

// Entry is a command before it is made: its word, the group it stands in ("" for none that people
// type), what the overview says of it and what makes it. A call needs one command; to make all of
// them with their options would be most of the work of --help.
type Entry struct {
	Name, Group, About string                          // word, group, sentence of the overview
	Make               func(*Environment) *cli.Command // what makes it
}

// Index is what a program answers to: its commands in order, and the topics of its help.
type Index struct {
	Commands []Entry  // in the order of the overview
	Topics   []string // words of help beside them
}

// EntryOf finds the command a word names.
func (env *Environment) EntryOf(word string) (Entry, bool) {
	all := env.Book.Commands
	i := slices.IndexFunc(all, func(e Entry) bool { return e.Name == word })
	if i < 0 {
		return Entry{}, false
	}
	return all[i], true
}

// Command makes the command.
func (e Entry) Command(env *Environment) *cli.Command {
	c := e.Make(env)
	c.Name, c.Usage, c.HideHelp, c.OnUsageError = e.Name, e.About, true, usageError
	return c
}

func usageError(_ *cli.Context, err error, _ bool) error { return LibraryError(err) }

// newApp builds the library's application around the one command asked for. Help, version and the
// sorting of words are done here, not there: the library writes usage errors and the whole help on
// standard output.
func newApp(env *Environment, command *cli.Command) *cli.App {
	return &cli.App{
		Name:                      "sparewright",
		HideHelp:                  true,
		HideVersion:               true,
		DisableSliceFlagSeparator: true,
		Reader:                    env.Stdin,
		Writer:                    &env.Out,
		ErrWriter:                 io.Discard,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
		Commands:                  []*cli.Command{command},
	}
}

// dispatch finds out what the words ask for. What can be said at once, as help, it prints; else it
// returns the work of the command they name.
func (env *Environment) dispatch(args []string) (work func() error, err error) {
	if len(args) == 0 {
		env.Out.WriteString(env.Overview())
		return nil, nil
	}
	switch args[0] {
	case "-h", "--help":
		env.Out.WriteString(env.Overview())
		return nil, nil
	case "--version":
		return nil, env.version(args[1:])
	}
	if LooksLikeOption(args[0]) {
		return nil, env.optionBeforeCommand(args)
	}
	entry, ok := env.EntryOf(args[0])
	if !ok {
		return nil, env.unknownCommand(args[0])
	}
	command := entry.Command(env)
	c, err := Understand(command, args[1:])
	if err != nil {
		return nil, err
	}
	if c.Help {
		env.Out.WriteString(CommandHelp(command))
		return nil, nil
	}
	app := newApp(env, command)
	return func() error {
		return app.RunContext(env.Ctx,
			append([]string{app.Name}, c.Words()...))
	}, nil
}

// version prints name, version and the commit it was built from.
func (env *Environment) version(rest []string) error {
	if len(rest) > 0 {
		return WrongCall("--version", rest[0], "stray word")
	}
	fmt.Fprintln(&env.Out, versionLine())
	return nil
}

// unknownCommand words the refusal of a command that does not exist.
func (env *Environment) unknownCommand(word string) error {
	return WrongCall("unknown command", word,
		"there is no such command"+DidYouMean("", word, env.CommandNames())).
		Try("sparewright help")
}

// CommandNames lists the commands that people type.
func (env *Environment) CommandNames() []string {
	var names []string
	for _, e := range env.Book.Commands {
		if e.Group != "" {
			names = append(names, e.Name)
		}
	}
	return names
}

// optionBeforeCommand refuses an option in front of the command word and shows the right order.
func (env *Environment) optionBeforeCommand(args []string) error {
	p := WrongCall("option", args[0], "options follow the command")
	i := slices.IndexFunc(args, func(w string) bool { _, ok := env.EntryOf(w); return ok })
	if i < 0 {
		return p.Try("sparewright help")
	}
	words := []string{"sparewright", args[i]}
	for _, w := range slices.Concat(args[:i], args[i+1:]) {
		words = append(words, ShellWord(w))
	}
	return p.Try(strings.Join(words, " "))
}

// Action wraps the work of a command with the check of its operands: at least least, at most most
// (below 0: any number).
func (env *Environment) Action(least, most int, work func(c *cli.Context) error) cli.ActionFunc {
	return func(c *cli.Context) error {
		n := c.Args().Len()
		if n < least {
			return WrongCall(c.Command.Name, "",
				"needs "+c.Command.ArgsUsage).Try("sparewright help " + c.Command.Name)
		}
		if most >= 0 && n > most {
			return WrongCall(c.Command.Name, c.Args().Get(most),
				"stray word").Try("sparewright help " + c.Command.Name)
		}
		err := work(c)
		// identify has a place for it in its answer
		if c.Command.Name != "identify" && (err == nil || StatusOf(err) == StatusNothing) {
			env.Remarks(c, SaidOf(c))
		}
		return err
	}
}
