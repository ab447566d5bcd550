package main

import (
	_ "embed" // the scripts of the shells
	"fmt"

	"github.com/urfave/cli/v2"
)

// The scripts ask the hidden command complete and hand its answer to the shell. None uses eval on
// what was typed.
var (
	//go:embed completion/sparewright.bash
	bashScript string
	//go:embed completion/sparewright.zsh
	zshScript string
	//go:embed completion/sparewright.fish
	fishScript string
)

// shellWords are the shells with completion.
var shellWords = []string{"bash", "zsh", "fish"}

// completionCommand prints the completion script of a shell.
func completionCommand(env *environment) *cli.Command {
	scripts := map[string]string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}
	return &cli.Command{
		ArgsUsage: "bash|zsh|fish",
		Description: "Prints a script that lets the shell complete commands, options, and words " +
			"such as kinds, " +
			"chemistries, lots, bins and designations. bash: source <(sparewright completion " +
			"bash). zsh, after compinit: " +
			"source <(sparewright completion zsh). fish: sparewright completion fish | source. " +
			"Write that line into the start " +
			"file of the shell to keep it.",
		UsageText: "sparewright completion bash",
		Action: env.action(1, 1, func(c *cli.Context) error {
			shell, err := parseShell(c.Args().First())
			if err != nil {
				return err
			}
			env.raw(scripts[shell])
			return nil
		}),
	}
}

func parseShell(word string) (string, error) {
	shell := &choice{words: shellWords}
	if err := shell.Set(word); err != nil {
		return "", wrongCall("shell", word, err.Error()).try("sparewright help completion")
	}
	return shell.word, nil
}

// completeCommand answers the completion scripts. Its first line says what is to follow: words, or
// the names of files, which the shell knows best. Every other line is a word, for zsh and fish with
// an explanation behind a tab; for bash, whose line comes as one text, the words are quoted for the
// place they go to.
func completeCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "bash|zsh|fish WORD ...",
		Description: "Says how the last word of a line may go on. The scripts that sparewright " +
			"completion prints call it; " +
			"people need not.",
		UsageText: "sparewright complete zsh -- adv",
		Action: env.action(1, -1, func(c *cli.Context) error {
			shell, err := parseShell(c.Args().First())
			if err != nil {
				return err
			}
			env.raw(env.completed(shell, c.Args().Tail()))
			return nil
		}),
	}
}

// completed is the answer to a shell.
func (env *environment) completed(shell string, words []string) string {
	var line shellLine
	if shell == "bash" {
		if len(words) == 0 {
			return "words\n"
		}
		line = splitShellLine(words[0])
		words = line.words[min(1, len(line.words)):]
	}
	if len(words) == 0 {
		return "words\n"
	}
	found := env.suggest(words)
	if found.files {
		return "files\n"
	}
	text := "words\n"
	for _, s := range found.words {
		switch shell {
		case "bash":
			if quoted, ok := line.quote(s.word); ok {
				text += quoted + "\n"
			}
		default:
			text += fmt.Sprintf("%s\t%s\n", s.word, s.about)
		}
	}
	return text
}
