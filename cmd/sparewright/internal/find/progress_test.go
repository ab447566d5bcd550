package find

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// Long work shows how far it is after a second, in one line that is wiped in the end.
func TestProgress(t *testing.T) {
	var seen bytes.Buffer
	now := time.Unix(0, 0)
	env := frame.New(context.Background(), strings.NewReader(""), &bytes.Buffer{}, &seen,
		frame.Index{})
	env.Now = func() time.Time { return now }
	p := newProgress(env, "survey")
	p.at(1, 18)
	require.True(t, p.mute, "the buffer is no terminal")
	p.mute = false
	p.at(2, 18)
	require.Empty(t, seen.String(), "not before a second has gone by")
	now = now.Add(patience)
	p.at(7, 18)
	p.at(6, 18) // a late goroutine
	p.at(8, 18)
	p.wipe()
	require.Equal(t, "\rsurvey 7 of 18\rsurvey 8 of 18\r"+strings.Repeat(" ", 14)+"\r",
		seen.String())
}
