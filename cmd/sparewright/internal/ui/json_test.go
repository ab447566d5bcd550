package ui

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWriteJSON(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, WriteJSON(&out, map[string]any{
		"name": "R<1> & \u202e\u009b\x1b\x7f\u200b\U000e0041 Ω", "lots": []int{},
	}))
	require.Equal(t, ""+
		"{\n"+
		"  \"lots\": [],\n"+
		"  \"name\": \"R<1> & \\u202e\\u009b\\u001b\\u007f\\u200b\\udb40\\udc41 Ω\"\n"+
		"}\n", out.String())
}

func TestNumbered(t *testing.T) {
	for _, row := range []struct {
		document any
		want     string
	}{
		{struct {
			Name string `json:"name"`
		}{"R<1>"}, "{\n  \"schema\": 1,\n  \"name\": \"R<1>\"\n}\n"},
		{struct{}{}, "{\n  \"schema\": 1\n}\n"},
		{map[string]int{"a": 1}, "{\n  \"schema\": 1,\n  \"a\": 1\n}\n"},
	} {
		var out bytes.Buffer
		require.NoError(t, WriteJSON(&out, Numbered(row.document)))
		require.Equal(t, row.want, out.String())
	}
	require.ErrorContains(t, WriteJSON(&bytes.Buffer{}, Numbered([]int{1})), "only an object")
	require.ErrorContains(t, WriteJSON(&bytes.Buffer{}, Numbered(math.Inf(1))), "json document")
}

func TestWriteJSONRefusesWhatJSONCannotHold(t *testing.T) {
	var out bytes.Buffer
	require.ErrorContains(t, WriteJSON(&out, math.NaN()), "json document")
	require.Zero(t, out.Len())
}

// The escapes must not change what a reader gets: RFC 8259 section 7 lets any character stand as \u
// escapes.
func TestJSONMeansTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.ToValidUTF8(rapid.String().Draw(t, "text"), "?")
		var out bytes.Buffer
		require.NoError(t, WriteJSON(&out, text))
		var back string
		require.NoError(t, json.Unmarshal(out.Bytes(), &back))
		require.Equal(t, text, back)
		require.Equal(t, Safe(strings.TrimSuffix(out.String(), "\n")),
			spacesPlain(strings.TrimSuffix(out.String(), "\n")))
	})
}

// spacesPlain does the one thing Safe does to harmless text.
func spacesPlain(text string) string {
	return strings.Map(func(r rune) rune {
		if Safe(string(r)) == " " {
			return ' '
		}
		return r
	}, text)
}
