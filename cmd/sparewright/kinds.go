package main

import (
	"fmt"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/ui"
)

// kindsTopic lists every kind of part with its figures, from the same schema that checks them.
func kindsTopic() string {
	var b strings.Builder
	b.WriteString(ui.Wrap("The kinds of part, and the figures each is described by. Figures "+
		"marked * must be given, unless "+
		"the part stands in the built-in tables under its designation. sparewright help KIND "+
		"shows one kind.", helpWidth, 0))
	for _, k := range catalog.Kinds() {
		b.WriteString("\n" + kindText(k))
	}
	return b.String()
}

// kindText lists the figures of one kind.
func kindText(k catalog.Kind) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", k)
	for _, f := range catalog.Schema(k) {
		b.WriteString(figureHelp(f))
	}
	return b.String()
}

// figureHelp explains one figure: its name, what it means, and what may be written.
func figureHelp(f catalog.Field) string {
	name := f.Name
	if f.Required {
		name += " *"
	}
	text := f.Doc
	if r := f.Range(); r != "" {
		text += " (" + r + ")"
	}
	if bare := typed.Bare(f); bare != "" {
		text += "; a bare number is " + bare
	}
	const column = 20
	return fmt.Sprintf("  %-*s%s", column-2, name,
		strings.TrimLeft(ui.Wrap(text, helpWidth, column), " "))
}
