package guide

import (
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/frame"
)

// HelpCommand prints the help of a command or a topic.
func HelpCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[COMMAND|TOPIC|KIND]",
		Description: "Explains a command, one of the topics " + strings.Join(TopicNames(), ", ") +
			", or a kind of part. Without a word it prints the overview.",
		UsageText: "sparewright help put\nsparewright help units",
		Action: env.Action(0, 1, func(c *cli.Context) error {
			text, err := helpFor(env, c.Args().First())
			env.Out.WriteString(text)
			return err
		}),
	}
}

// helpFor finds the text for a word: a command first, then a topic, then a kind of part.
func helpFor(env *frame.Environment, word string) (string, error) {
	if word == "" {
		return env.Overview(), nil
	}
	if e, ok := env.EntryOf(word); ok {
		return frame.CommandHelp(e.Command(env)), nil
	}
	for _, t := range topics {
		if t.name == word {
			return t.text(), nil
		}
	}
	if k, err := catalog.ParseKind(word); err == nil {
		return kindText(k), nil
	}
	known := append(env.CommandNames(), TopicNames()...)
	for _, k := range catalog.Kinds() {
		known = append(known, string(k))
	}
	return "", frame.WrongCall("help", word, "no such command or topic"+
		frame.DidYouMean("", word, known)).Try("sparewright help")
}
