package frame

import (
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
)

// Options are defined on every command that has them, never on the program, so that they may stand
// anywhere after the command word. Words in backquotes name the value in the help text, as the
// library does it.

// ReadingFlags are the options of every command that reads the drawer.
func ReadingFlags() []cli.Flag {
	return []cli.Flag{DrawersFlag(), DemoFlag("look into the built-in drawer instead; nothing on " +
		"disk is read or written"),
		JSONFlag(), HeaderFlag(), ColourFlag()}
}

// WritingFlags are the options of every command that changes the drawer. --demo is there to be
// refused with its reason.
func WritingFlags() []cli.Flag {
	return []cli.Flag{DrawersFlag(), hidden(DemoFlag("")), JSONFlag(), ColourFlag()}
}

// DrawersFlag is --drawers, which names the drawer file.
func DrawersFlag() cli.Flag {
	return &cli.StringFlag{Name: "drawers",
		Usage: "use the drawer `FILE` (else SPAREWRIGHT_DRAWERS, else the usual place)"}
}

// DemoFlag is --demo, with what it means for the command.
func DemoFlag(usage string) *cli.BoolFlag { return &cli.BoolFlag{Name: "demo", Usage: usage} }

func hidden(f *cli.BoolFlag) cli.Flag {
	f.Hidden = true
	return f
}

// JSONFlag is --json, which asks for one document.
func JSONFlag() cli.Flag {
	return &cli.BoolFlag{Name: "json", Usage: "print one JSON document and nothing else"}
}

// HeaderFlag is --header, for tables that go into a pipe.
func HeaderFlag() cli.Flag {
	return &cli.BoolFlag{Name: "header",
		Usage: "head the columns also when the output is no terminal"}
}

// ColourFlag is --color of every command that prints for people.
func ColourFlag() cli.Flag {
	return &cli.GenericFlag{Name: "color", Value: &Choice{Words: ui.ColourWords, Word: "auto"},
		Usage: "`WHEN` to colour: auto, always or never"}
}

// LibraryError rewords what the library says about a value it did not like: invalid value "x" for
// flag -name: why.
func LibraryError(err error) error {
	for _, opening := range []string{"invalid value ", "invalid boolean value "} {
		rest, ok := strings.CutPrefix(err.Error(), opening)
		if !ok {
			continue
		}
		quotedValue, qErr := strconv.QuotedPrefix(rest)
		value, uErr := strconv.Unquote(quotedValue)
		rest, ok = strings.CutPrefix(rest[len(quotedValue):], " for ")
		if qErr != nil || uErr != nil || !ok {
			continue
		}
		flag, why, ok := strings.Cut(strings.TrimPrefix(rest, "flag "), ": ")
		if !ok {
			continue
		}
		return WrongCall(Dashed(strings.TrimLeft(flag, "-")), value, WithoutEcho(why))
	}
	return WrongCall("", "", strings.TrimSuffix(err.Error(), "."))
}

// WithoutEcho drops a leading repetition of kind and input from a reason (resistance "4k7x": why),
// because the message names the option and the input already.
func WithoutEcho(why string) string {
	i := strings.Index(why, `"`)
	if i < 0 || strings.ContainsAny(why[:i], ":;,") {
		return why
	}
	echoed, err := strconv.QuotedPrefix(why[i:])
	if err != nil {
		return why
	}
	if rest, ok := strings.CutPrefix(why[i+len(echoed):], ": "); ok {
		return rest
	}
	return why
}

// DryRunFlag is --dry-run of commands that can say what they would do.
func DryRunFlag() cli.Flag {
	return &cli.BoolFlag{Name: "dry-run", Usage: "say what would be done and change nothing"}
}
