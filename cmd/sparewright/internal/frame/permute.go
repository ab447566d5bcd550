package frame

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

// Call is one command line, understood.
type Call struct {
	command  *cli.Command
	Options  []string // as --name=value
	Operands []string // in order
	Help     bool     // -h or --help stood among the words
}

// Words returns the call as the library wants it.
func (c Call) Words() []string {
	words := append([]string{c.command.Name}, c.Options...)
	return append(append(words, "--"), c.Operands...)
}

// Understand reads the words that follow the command word.
func Understand(command *cli.Command, words []string) (Call, error) {
	c := Call{command: command}
	seen := map[string]string{}
	var firstErr error
	for i := 0; i < len(words); i++ {
		word := words[i]
		if word == "--" {
			c.Operands = append(c.Operands, words[i+1:]...)
			break
		}
		if !LooksLikeOption(word) {
			c.Operands = append(c.Operands, word)
			continue
		}
		if word == "-h" || word == "--help" {
			c.Help = true
			continue
		}
		used, err := c.option(words[i:], seen)
		if err != nil && firstErr == nil {
			firstErr = err
		}
		i += used - 1
	}
	if c.Help {
		return c, nil
	}
	return c, firstErr
}

// LooksLikeOption reports a word that begins with a dash; the dash alone is standard input.
func LooksLikeOption(word string) bool { return len(word) > 1 && word[0] == '-' }

// option takes one option, and its value when it has one, from the front of words and returns how
// many words it used.
func (c *Call) option(words []string, seen map[string]string) (used int, err error) {
	name, value, attached := strings.Cut(words[0], "=")
	flag := FindFlag(c.command, name)
	if flag == nil {
		return 1, unknownOption(c.command, name)
	}
	long := flag.Names()[0]
	if !TakesValue(flag) {
		if attached && value != "true" && value != "false" {
			return 1, WrongCall(name, value, "this option takes no value")
		}
		c.Options = append(c.Options, "--"+long+"="+Or(value, "true"))
		return 1, nil
	}
	used = 1
	if !attached {
		if len(words) == 1 || words[1] == "--" || words[1] == "--help" ||
			isFlagWord(c.command, words[1]) {
			return 1, WrongCall(name, "", "needs a value").Try("sparewright help " + c.command.Name)
		}
		value, used = words[1], 2
	}
	if before, twice := seen[long]; twice && before != value && !Repeatable(flag) {
		return used, WrongCall(name, value, "given before as "+Quoted(before)+"; give it once")
	}
	seen[long] = value
	c.Options = append(c.Options, "--"+long+"="+value)
	return used, nil
}

// Or returns text, or the stand-in when text is empty.
func Or(text, standIn string) string {
	if text == "" {
		return standIn
	}
	return text
}

// FindFlag returns the flag of the command that is written so: --name, or -x for a single letter. A
// letter that is itself the name, as the side a of a core, may be written --a too.
func FindFlag(command *cli.Command, written string) cli.Flag {
	for _, flag := range command.Flags {
		for _, name := range flag.Names() {
			if written == Dashed(name) ||
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
	return LooksLikeOption(word) && (word == "-h" || FindFlag(command, name) != nil)
}

// Dashed writes the name of a flag as it is typed.
func Dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

// TakesValue reports whether a word follows the flag.
func TakesValue(flag cli.Flag) bool {
	f, ok := flag.(cli.DocGenerationFlag)
	return ok && f.TakesValue()
}

// Repeatable reports whether every mention of the flag counts; elsewhere a second, different value
// is a contradiction.
func Repeatable(flag cli.Flag) bool {
	f, ok := flag.(*cli.GenericFlag)
	if !ok {
		return false
	}
	_, ok = f.Value.(*Texts)
	return ok
}

// unknownOption words the refusal of an option the command does not have.
func unknownOption(command *cli.Command, name string) error {
	if _, err := strconv.ParseFloat(name, 64); err == nil {
		return WrongCall(command.Name, name, "a number below zero has no meaning here")
	}
	bare := strings.TrimLeft(name, "-")
	var names []string
	for _, flag := range command.Flags {
		names = append(names, flag.Names()...)
	}
	if slices.Contains(names, bare) {
		return WrongCall("unknown option", name,
			"write "+Dashed(bare)).Try("sparewright help " + command.Name)
	}
	names = slices.DeleteFunc(names, func(n string) bool { return len(n) == 1 })
	return WrongCall("unknown option", name,
		command.Name+" does not have it"+DidYouMean("--", bare, names)).
		Try("sparewright help " + command.Name)
}

// ShellWord quotes a word for a POSIX shell where it needs it.
func ShellWord(word string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' ||
			strings.ContainsRune("_-=.,/%+:@", r)
	}
	if word != "" && strings.IndexFunc(word, func(r rune) bool { return !plain(r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
