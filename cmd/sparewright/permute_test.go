package main

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
	"pgregory.net/rapid"
)

func sampleCommand() *cli.Command {
	return &cli.Command{Name: "sample", Flags: []cli.Flag{
		&cli.StringFlag{Name: "bin"},
		&cli.StringFlag{Name: "output", Aliases: []string{"o"}},
		&cli.BoolFlag{Name: "json"},
		&cli.GenericFlag{Name: "measured", Value: &texts{}},
	}}
}

func TestUnderstand(t *testing.T) {
	for _, row := range []struct {
		name     string
		words    []string
		options  []string
		operands []string
		help     bool
	}{
		{"options before", []string{"--bin", "B4", "--json", "x"}, []string{"--bin=B4", "--json=true"}, []string{"x"}, false},
		{"options after", []string{"x", "--bin", "B4", "--json"}, []string{"--bin=B4", "--json=true"}, []string{"x"}, false},
		{"attached value", []string{"--bin=B=4"}, []string{"--bin=B=4"}, nil, false},
		{"empty attached value", []string{"--bin="}, []string{"--bin="}, nil, false},
		{"alias", []string{"-o", "f"}, []string{"--output=f"}, nil, false},
		{"dash is an operand and a value", []string{"-", "-o", "-"}, []string{"--output=-"}, []string{"-"}, false},
		{"value with a dash", []string{"--bin", "-5 left"}, []string{"--bin=-5 left"}, nil, false},
		{"everything after -- is an operand", []string{"a", "--", "--json", "-h"}, nil, []string{"a", "--json", "-h"}, false},
		{"help drops what is wrong", []string{"--nosuch", "x", "-h"}, nil, []string{"x"}, true},
		{"help after", []string{"x", "--help"}, nil, []string{"x"}, true},
		{"switch spelled out", []string{"--json=false"}, []string{"--json=false"}, nil, false},
		{"repeatable", []string{"--measured", "a=1,5", "--measured", "b=2"},
			[]string{"--measured=a=1,5", "--measured=b=2"}, nil, false},
		{"the same again", []string{"--bin", "B4", "--bin", "B4"}, []string{"--bin=B4", "--bin=B4"}, nil, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			c, err := understand(sampleCommand(), row.words)
			require.NoError(t, err)
			require.Equal(t, row.options, c.options)
			require.Equal(t, row.operands, c.operands)
			require.Equal(t, row.help, c.help)
		})
	}
}

func TestUnderstandRefuses(t *testing.T) {
	for _, row := range []struct {
		name  string
		words []string
		want  string
	}{
		{"unknown", []string{"x", "--nosuch"}, `unknown option "--nosuch": sample does not have it`},
		{"mistyped", []string{"--jsno"}, `unknown option "--jsno": sample does not have it; did you mean --json?`},
		{"one dash", []string{"-json"}, `unknown option "-json": write --json`},
		{"two dashes", []string{"--o", "f"}, `unknown option "--o": write -o`},
		{"glued", []string{"-ofile"}, `unknown option "-ofile": sample does not have it`},
		{"below zero", []string{"take", "-5"}, `sample "-5": a number below zero has no meaning here`},
		{"value missing at the end", []string{"x", "--bin"}, `--bin: needs a value`},
		{"value missing before an option", []string{"--bin", "--json"}, `--bin: needs a value`},
		{"value missing before --", []string{"--bin", "--", "x"}, `--bin: needs a value`},
		{"switch with a value", []string{"--json=maybe"}, `--json "maybe": this option takes no value`},
		{"twice", []string{"--bin", "A", "--bin", "B"}, `--bin "B": given before as "A"; give it once`},
		{"twice by alias", []string{"-o", "A", "--output", "B"}, `--output "B": given before as "A"; give it once`},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := understand(sampleCommand(), row.words)
			require.EqualError(t, err, row.want)
			require.Equal(t, statusUsage, statusOf(err))
		})
	}
}

// Where the options stand among the operands never matters.
func TestOrderNeverMatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		operands := rapid.SliceOfN(rapid.StringMatching(`[a-z0-9=%]{1,8}`), 0,
			4).Draw(t, "operands")
		options := [][]string{{"--bin", "B4"}, {"--json"}, {"-o", "out.csv"}}
		first, err := understand(sampleCommand(), append(slices.Concat(options...), operands...))
		require.NoError(t, err)
		var mixed []string
		left := slices.Clone(operands)
		for _, option := range options {
			n := rapid.IntRange(0, len(left)).Draw(t, "before")
			mixed = append(append(mixed, left[:n]...), option...)
			left = left[n:]
		}
		second, err := understand(sampleCommand(), append(mixed, left...))
		require.NoError(t, err)
		require.Equal(t, first, call{second.command, second.options, second.operands,
			second.help}.withCommand(first.command))
	})
}

// withCommand lets two calls compare that were made for two copies of one command.
func (c call) withCommand(command *cli.Command) call {
	c.command = command
	return c
}
