package ui

import "strings"

// Wrap breaks text at spaces so that no line is longer than width cells (a single long word may be)
// and starts every line with indent spaces. Lines that follow each other make one paragraph; blank
// lines and lines that start with a space keep their own form.
func Wrap(text string, width, indent int) string {
	margin := strings.Repeat(" ", indent)
	var lines, para []string
	flow := func() {
		if len(para) > 0 {
			lines = append(lines, fill(strings.Join(para, " "), width, margin)...)
			para = nil
		}
	}
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		switch {
		case strings.TrimSpace(line) == "":
			flow()
			lines = append(lines, "")
		case strings.HasPrefix(line, " "):
			flow()
			lines = append(lines, margin+line)
		default:
			para = append(para, line)
		}
	}
	flow()
	return strings.Join(lines, "\n") + "\n"
}

// fill breaks one paragraph.
func fill(para string, width int, margin string) []string {
	var lines []string
	line := margin
	for _, word := range strings.Fields(para) {
		if line != margin && Cells(line)+1+Cells(word) > width {
			lines = append(lines, line)
			line = margin
		}
		if line != margin {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
