package report_test

import (
	"context"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/label"
	"sparewright/testdata/outside"
)

// photographed is a picture of a page as the browser paints it, so many dots a pixel of CSS.
func photographed(t *testing.T, page []byte, width, height int, scale string) image.Image {
	t.Helper()
	dir := t.TempDir()
	name, out := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.png")
	require.NoError(t, os.WriteFile(name, page, 0o644))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	said, err := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox",
		"--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--hide-scrollbars", "--user-data-dir="+t.TempDir(),
		"--force-device-scale-factor="+scale, "--screenshot="+out,
		windowSize(width, height), "file://"+name).CombinedOutput()
	require.NoError(t, err, string(said))
	f, err := os.Open(out)
	require.NoError(t, err)
	defer f.Close()
	picture, err := png.Decode(f)
	require.NoError(t, err)
	return picture
}

// Every code of a sheet of labels, as the browser paints it among its texts, is found and read by
// another decoder. At three dots a pixel of 96 to the inch it is a print of 288 dots an inch.
func TestCodesOfAPaintedSheet(t *testing.T) {
	outside.Need(t, "chromium")
	lots := exchange.Demo().Lots[60:84]
	labels := label.Of(lots)
	const (
		width, height = 794, 1123
		dots          = 3
		mm            = 96 / 25.4
	)
	picture := photographed(t, labelPage(t, lots, "A4"), width, height, "3")
	for i, l := range labels {
		// the labels lie as in templates/labels.html on a screen: 2 mm from the top, three of 63 by
		// 34 mm around the middle, the code in the right half
		left := width/2 - 1.5*63*mm + (float64(i%3)+0.5)*63*mm
		top := 2*mm + float64(i/3)*34*mm
		spot := image.Rect(int(left*dots), int(top*dots), int((left+31*mm)*dots),
			int((top+34*mm)*dots))
		cut := image.NewGray(image.Rect(0, 0, spot.Dx(), spot.Dy()))
		draw.Draw(cut, cut.Bounds(), picture, spot.Min, draw.Src)
		bitmap, err := gozxing.NewBinaryBitmapFromImage(cut)
		require.NoError(t, err)
		result, err := qrcode.NewQRCodeReader().Decode(bitmap,
			map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
		require.NoError(t, err, "lot %d", l.Lot)
		require.Equal(t, inventory.Mark(l.Lot), result.GetText())
	}
}

func windowSize(width, height int) string {
	return fmt.Sprintf("--window-size=%d,%d", width, height)
}
