package frame

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
)

// HelpWidth is the width help texts are broken at, narrow enough for any terminal.
const HelpWidth = 80

// Overview is what the program says without a command.
func (env *Environment) Overview() string {
	var b strings.Builder
	b.Grow(4 << 10)
	b.WriteString("sparewright keeps an inventory of salvaged parts and works out which\n" +
		"mains-powered CC/CV battery chargers can be built from them, with every number\nshown.\n" +
		"\nExamples:\n" +
		"  sparewright put resistor \"10k 1%\" resistance=10k tolerance=1% --count 20\n" +
		"  sparewright list resistor --between 1k-10k\n" +
		"  sparewright advise --chemistry li-ion --cells 4 --current 1A --demo\n")
	all := env.Book.Commands
	for _, group := range Groups {
		b.WriteString("\n" + group + ":\n")
		for _, e := range all {
			if e.Group == group {
				fmt.Fprintf(&b, "  %-11s %s\n", e.Name, e.About)
			}
		}
	}
	b.WriteString("\nMore: sparewright help COMMAND, or sparewright help with one of " +
		"these topics:\n  ")
	b.WriteString(strings.Join(env.Book.Topics, ", ") + "\n")
	return b.String()
}

// CommandHelp lays out the help of one command: synopsis, what it does, options, examples.
func CommandHelp(c *cli.Command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "sparewright %s", c.Name)
	if c.ArgsUsage != "" {
		b.WriteString(" " + c.ArgsUsage)
	}
	if len(c.Flags) > 0 {
		b.WriteString(" [options]")
	}
	b.WriteString("\n\n" + ui.Wrap(Or(c.Description, c.Usage), HelpWidth, 0))
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
	value, usage := ValueName(f.GetUsage())
	var names []string
	for _, n := range flag.Names() {
		names = append(names, Dashed(n))
	}
	left := strings.Join(names, ", ")
	if f.TakesValue() {
		left += " " + Or(value, "VALUE")
	}
	const column = 22
	text := strings.TrimLeft(ui.Wrap(usage, HelpWidth, column), " ")
	if len(left)+4 > column {
		return "  " + left + "\n" + strings.Repeat(" ", column) + text
	}
	return fmt.Sprintf("  %-*s%s", column-2, left, text)
}

// ValueName takes the word in backquotes out of a usage text and returns both.
func ValueName(usage string) (name, text string) {
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
