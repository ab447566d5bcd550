package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/ui"
)

// helpWidth is the width help texts are broken at, narrow enough for any terminal.
const helpWidth = 80

// overview is what the program says without a command.
func overview() string {
	var b strings.Builder
	b.Grow(4 << 10)
	b.WriteString("sparewright keeps an inventory of salvaged parts and works out which\n" +
		"mains-powered CC/CV battery chargers can be built from them, with every number\nshown.\n" +
		"\nExamples:\n" +
		"  sparewright put resistor \"10k 1%\" resistance=10k tolerance=1% --count 20\n" +
		"  sparewright list resistor --between 1k-10k\n" +
		"  sparewright advise --chemistry li-ion --cells 4 --current 1A --demo\n")
	all := book()
	for _, group := range groups {
		b.WriteString("\n" + group + ":\n")
		for _, e := range all {
			if e.group == group {
				fmt.Fprintf(&b, "  %-11s %s\n", e.name, e.about)
			}
		}
	}
	b.WriteString("\nMore: sparewright help COMMAND, or sparewright help with one of " +
		"these topics:\n  ")
	b.WriteString(strings.Join(topicNames(), ", ") + "\n")
	return b.String()
}

// commandHelp lays out the help of one command: synopsis, what it does, options, examples.
func commandHelp(c *cli.Command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "sparewright %s", c.Name)
	if c.ArgsUsage != "" {
		b.WriteString(" " + c.ArgsUsage)
	}
	if len(c.Flags) > 0 {
		b.WriteString(" [options]")
	}
	b.WriteString("\n\n" + ui.Wrap(or(c.Description, c.Usage), helpWidth, 0))
	if len(c.Flags) > 0 {
		b.WriteString("\nOptions:\n")
	}
	for _, flag := range c.Flags {
		b.WriteString(flagHelp(flag))
	}
	if c.UsageText != "" {
		b.WriteString("\nExamples:\n  " + strings.ReplaceAll(c.UsageText, "\n", "\n  ") + "\n")
	}
	return b.String()
}

// flagHelp lays out one option, its explanation wrapped in a column of its own.
func flagHelp(flag cli.Flag) string {
	if v, ok := flag.(cli.VisibleFlag); ok && !v.IsVisible() {
		return ""
	}
	f, ok := flag.(cli.DocGenerationFlag)
	if !ok {
		return ""
	}
	value, usage := valueName(f.GetUsage())
	var names []string
	for _, n := range flag.Names() {
		names = append(names, dashed(n))
	}
	left := strings.Join(names, ", ")
	if f.TakesValue() {
		left += " " + or(value, "VALUE")
	}
	const column = 22
	text := strings.TrimLeft(ui.Wrap(usage, helpWidth, column), " ")
	if len(left)+4 > column {
		return "  " + left + "\n" + strings.Repeat(" ", column) + text
	}
	return fmt.Sprintf("  %-*s%s", column-2, left, text)
}

// valueName takes the word in backquotes out of a usage text and returns both.
func valueName(usage string) (name, text string) {
	before, rest, ok := strings.Cut(usage, "`")
	if !ok {
		return "", usage
	}
	name, after, ok := strings.Cut(rest, "`")
	if !ok {
		return "", usage
	}
	return name, before + name + after
}

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
		return overview(), nil
	}
	if e, ok := entryOf(word); ok {
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
	known := append(commandNames(), topicNames()...)
	for _, k := range catalog.Kinds() {
		known = append(known, string(k))
	}
	return "", wrongCall("help", word, "no such command or topic"+
		didYouMean("", word, known)).try("sparewright help")
}
