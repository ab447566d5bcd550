package label

import (
	"fmt"
	"html/template"
	"strings"

	"github.com/skip2/go-qrcode"
)

// drawCode draws a mark as the symbol of ISO/IEC 18004 (QR code), as SVG of one unit a module with
// the quiet zone of four modules around it. A quarter of the symbol may be soiled (level Q), which
// the smallest symbol, of 21 modules, still holds for every mark. A text too long for any symbol
// is an error.
func drawCode(mark string) (template.HTML, error) {
	code, err := qrcode.New(mark, qrcode.High)
	if err != nil {
		return "", fmt.Errorf("code of %s: %w", mark, err)
	}
	modules := code.Bitmap()
	var path strings.Builder
	for y, row := range modules {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from, y, x-from, x-from)
			}
		}
	}
	return template.HTML(fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" role="img" `+
		`viewBox="0 0 %[1]d %[1]d" shape-rendering="crispEdges"><title>code %[2]s</title>`+
		`<path d="%[3]s" fill="#000"/></svg>`, len(modules), template.HTMLEscapeString(mark),
		path.String())), nil
}
