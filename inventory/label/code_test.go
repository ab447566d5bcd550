package label_test

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/label"
)

var (
	drawing = regexp.MustCompile(`viewBox="0 0 (\d+) \d+" shape-rendering.*?<path d="([^"]*)"`)
	run     = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-\d+z`)
)

// painted paints the symbol of a page as a printer does, so many dots a module.
func painted(t *testing.T, page []byte, dots int) image.Image {
	t.Helper()
	m := drawing.FindSubmatch(page)
	require.NotNil(t, m)
	number := func(b []byte) int {
		n, err := strconv.Atoi(string(b))
		require.NoError(t, err)
		return n * dots
	}
	side := number(m[1])
	require.Equal(t, (21+8)*dots, side, "the smallest symbol with its quiet zone")
	paper := image.NewGray(image.Rect(0, 0, side, side))
	draw.Draw(paper, paper.Bounds(), image.White, image.Point{}, draw.Src)
	for _, r := range run.FindAllSubmatch(m[2], -1) {
		x, y := number(r[1]), number(r[2])
		draw.Draw(paper, image.Rect(x, y, x+number(r[3]), y+dots), image.Black, image.Point{},
			draw.Src)
	}
	return paper
}

// scanned reads the symbol with a decoder that shares nothing with what made it. It is told that
// the picture is the symbol alone: how this decoder looks for one in a photograph fails on three
// of 400 symbols painted with four dots a module, and on none with 2, 3, 5, 6 or 8.
func scanned(t *testing.T, picture image.Image) string {
	t.Helper()
	bitmap, err := gozxing.NewBinaryBitmapFromImage(picture)
	require.NoError(t, err)
	result, err := qrcode.NewQRCodeReader().Decode(bitmap,
		map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_PURE_BARCODE: true})
	require.NoError(t, err)
	return result.GetText()
}

func pageOf(t *testing.T, lot int64) []byte {
	t.Helper()
	page, err := label.Page(label.Of([]inventory.Lot{{ID: lot, Count: 1,
		Part: resistor(si.Resistance(4700), 0.01)}}), label.Papers()[0])
	require.NoError(t, err)
	return page
}

// The code of a label, read by another decoder, is the mark that names its lot.
func TestCodeIsRead(t *testing.T) {
	lots := []int64{1, 2, 9, 10, 12, 99, 123, 1000, 4711, 65536, 999999, math.MaxInt32}
	for lot := int64(200); lot < 300; lot++ {
		lots = append(lots, lot)
	}
	for _, lot := range lots {
		text := scanned(t, painted(t, pageOf(t, lot), 4))
		got, err := inventory.ReadMark(text)
		require.NoError(t, err, text)
		require.Equal(t, lot, got)
		require.Contains(t, string(pageOf(t, lot)), ">"+text+"<", "it stands below the code too")
	}
}

// A spot on the code costs nothing: level Q of ISO/IEC 18004 mends about a quarter of it. The spot
// covers 4 by 4 of the 21 by 21 modules, away from the three finder patterns.
func TestSoiledCodeIsRead(t *testing.T) {
	const dots = 4
	clean := painted(t, pageOf(t, 123), dots)
	for _, spot := range []color.Color{color.White, color.Black} {
		soiled := image.NewGray(clean.Bounds())
		draw.Draw(soiled, soiled.Bounds(), clean, image.Point{}, draw.Src)
		draw.Draw(soiled, image.Rect(18*dots, 18*dots, 22*dots, 22*dots), image.NewUniform(spot),
			image.Point{}, draw.Src)
		require.NotEqual(t, clean, soiled)
		require.Equal(t, inventory.Mark(123), scanned(t, soiled))
	}
}

// Every kind of part gets a code, not resistors alone.
func TestEveryLabelHasACode(t *testing.T) {
	part := catalog.Fuse{Named: catalog.Named{Name: "T1A"}, Current: catalog.Of(si.Current(1))}
	page, err := label.Page(label.Of([]inventory.Lot{{ID: 7, Part: part, Count: 1}}),
		label.Papers()[0])
	require.NoError(t, err)
	require.Equal(t, inventory.Mark(7), scanned(t, painted(t, page, 3)))
}
