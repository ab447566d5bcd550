package main

import (
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
)

// Options are defined on every command that has them, never on the program, so that they may stand
// anywhere after the command word. Words in backquotes name the value in the help text, as the
// library does it.

// readingFlags are the options of every command that reads the drawer.
func readingFlags() []cli.Flag {
	return []cli.Flag{drawersFlag(), demoFlag("look into the built-in drawer instead; nothing on " +
		"disk is read or written"),
		jsonFlag(), headerFlag(), colourFlag()}
}

// writingFlags are the options of every command that changes the drawer. --demo is there to be
// refused with its reason.
func writingFlags() []cli.Flag {
	return []cli.Flag{drawersFlag(), hidden(demoFlag("")), jsonFlag(), colourFlag()}
}

func drawersFlag() cli.Flag {
	return &cli.StringFlag{Name: "drawers",
		Usage: "use the drawer `FILE` (else SPAREWRIGHT_DRAWERS, else the usual place)"}
}

func demoFlag(usage string) *cli.BoolFlag { return &cli.BoolFlag{Name: "demo", Usage: usage} }

func hidden(f *cli.BoolFlag) cli.Flag {
	f.Hidden = true
	return f
}

func jsonFlag() cli.Flag {
	return &cli.BoolFlag{Name: "json", Usage: "print one JSON document and nothing else"}
}

func headerFlag() cli.Flag {
	return &cli.BoolFlag{Name: "header",
		Usage: "head the columns also when the output is no terminal"}
}

func colourFlag() cli.Flag {
	return &cli.GenericFlag{Name: "color", Value: &choice{words: ui.ColourWords, word: "auto"},
		Usage: "`WHEN` to colour: auto, always or never"}
}

// libraryError rewords what the library says about a value it did not like: invalid value "x" for
// flag -name: why.
func libraryError(err error) error {
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
		return wrongCall(dashed(strings.TrimLeft(flag, "-")), value, withoutEcho(why))
	}
	return wrongCall("", "", strings.TrimSuffix(err.Error(), "."))
}

// withoutEcho drops a leading repetition of kind and input from a reason (resistance "4k7x": why),
// because the message names the option and the input already.
func withoutEcho(why string) string {
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
