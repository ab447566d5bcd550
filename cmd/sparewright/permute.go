package main

import (
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"
)

// The library stops looking for options at the first operand and takes what follows for operands,
// without a word. Here the words of a call are sorted out beforehand: options may stand before or
// after operands and mean the same, what is unknown is refused, and the library gets --name=value
// words, then --, then the operands.

// call is one command line, understood.
type call struct {
	command  *cli.Command
	options  []string // as --name=value
	operands []string
	help     bool // -h or --help stood among the words
}

// words returns the call as the library wants it.
func (c call) words() []string {
	words := append([]string{c.command.Name}, c.options...)
	return append(append(words, "--"), c.operands...)
}

// understand reads the words that follow the command word.
func understand(command *cli.Command, words []string) (call, error) {
	c := call{command: command}
	seen := map[string]string{}
	var firstErr error
	for i := 0; i < len(words); i++ {
		word := words[i]
		if word == "--" {
			c.operands = append(c.operands, words[i+1:]...)
			break
		}
		if !looksLikeOption(word) {
			c.operands = append(c.operands, word)
			continue
		}
		if word == "-h" || word == "--help" {
			c.help = true
			continue
		}
		used, err := c.option(words[i:], seen)
		if err != nil && firstErr == nil {
			firstErr = err
		}
		i += used - 1
	}
	if c.help {
		return c, nil
	}
	return c, firstErr
}

// looksLikeOption reports a word that begins with a dash; the dash alone is standard input.
func looksLikeOption(word string) bool { return len(word) > 1 && word[0] == '-' }

// option takes one option, and its value when it has one, from the front of words and returns how
// many words it used.
func (c *call) option(words []string, seen map[string]string) (used int, err error) {
	name, value, attached := strings.Cut(words[0], "=")
	flag := findFlag(c.command, name)
	if flag == nil {
		return 1, unknownOption(c.command, name)
	}
	long := flag.Names()[0]
	if !takesValue(flag) {
		if attached && value != "true" && value != "false" {
			return 1, wrongCall(name, value, "this option takes no value")
		}
		c.options = append(c.options, "--"+long+"="+or(value, "true"))
		return 1, nil
	}
	used = 1
	if !attached {
		if len(words) == 1 || words[1] == "--" || words[1] == "--help" ||
			isFlagWord(c.command, words[1]) {
			return 1, wrongCall(name, "", "needs a value").try("sparewright help " + c.command.Name)
		}
		value, used = words[1], 2
	}
	if before, twice := seen[long]; twice && before != value && !repeatable(flag) {
		return used, wrongCall(name, value, "given before as "+quoted(before)+"; give it once")
	}
	seen[long] = value
	c.options = append(c.options, "--"+long+"="+value)
	return used, nil
}

// or returns text, or the stand-in when text is empty.
func or(text, standIn string) string {
	if text == "" {
		return standIn
	}
	return text
}

// findFlag returns the flag of the command that is written so: --name, or -x for a single letter. A
// letter that is itself the name, as the side a of a core, may be written --a too.
func findFlag(command *cli.Command, written string) cli.Flag {
	for _, flag := range command.Flags {
		for _, name := range flag.Names() {
			if written == dashed(name) ||
				len(name) == 1 && written == "--"+name && namedByLetter(flag) {
				return flag
			}
		}
	}
	return nil
}

// namedByLetter reports a flag whose letter is the name of a quantity, not a short form.
func namedByLetter(flag cli.Flag) bool {
	f, ok := flag.(*cli.GenericFlag)
	return ok && len(f.Name) == 1
}

// isFlagWord reports whether a word, with or without =value, is an option of the command.
func isFlagWord(command *cli.Command, word string) bool {
	name, _, _ := strings.Cut(word, "=")
	return looksLikeOption(word) && (word == "-h" || findFlag(command, name) != nil)
}

// dashed writes the name of a flag as it is typed.
func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

func takesValue(flag cli.Flag) bool {
	f, ok := flag.(cli.DocGenerationFlag)
	return ok && f.TakesValue()
}

// repeatable reports whether every mention of the flag counts; elsewhere a second, different value
// is a contradiction.
func repeatable(flag cli.Flag) bool {
	f, ok := flag.(*cli.GenericFlag)
	if !ok {
		return false
	}
	_, ok = f.Value.(*texts)
	return ok
}

// unknownOption words the refusal of an option the command does not have.
func unknownOption(command *cli.Command, name string) error {
	if _, err := strconv.ParseFloat(name, 64); err == nil {
		return wrongCall(command.Name, name, "a number below zero has no meaning here")
	}
	bare := strings.TrimLeft(name, "-")
	var names []string
	for _, flag := range command.Flags {
		names = append(names, flag.Names()...)
	}
	if slices.Contains(names, bare) {
		return wrongCall("unknown option", name,
			"write "+dashed(bare)).try("sparewright help " + command.Name)
	}
	names = slices.DeleteFunc(names, func(n string) bool { return len(n) == 1 })
	return wrongCall("unknown option", name,
		command.Name+" does not have it"+didYouMean("--", bare, names)).
		try("sparewright help " + command.Name)
}
