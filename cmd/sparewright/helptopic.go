package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
)

// helpCommand prints the help of a command or a topic.
func helpCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[COMMAND|TOPIC|KIND]",
		Description: "Explains a command, one of the topics " + strings.Join(topicNames(), ", ") +
			", or a kind of part. Without a word it prints the overview.",
		UsageText: "sparewright help put\nsparewright help units",
		Action: env.action(0, 1, func(c *cli.Context) error {
			text, err := helpFor(env, c.Args().First())
			env.out.WriteString(text)
			return err
		}),
	}
}

// helpFor finds the text for a word: a command first, then a topic, then a kind of part.
func helpFor(env *environment, word string) (string, error) {
	if word == "" {
		return env.overview(), nil
	}
	if e, ok := env.entryOf(word); ok {
		return commandHelp(e.command(env)), nil
	}
	for _, t := range topics {
		if t.name == word {
			return t.text(), nil
		}
	}
	if k, err := catalog.ParseKind(word); err == nil {
		return kindText(k), nil
	}
	known := append(env.commandNames(), topicNames()...)
	for _, k := range catalog.Kinds() {
		known = append(known, string(k))
	}
	return "", wrongCall("help", word, "no such command or topic"+
		didYouMean("", word, known)).try("sparewright help")
}
