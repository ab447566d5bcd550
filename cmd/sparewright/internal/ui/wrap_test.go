package ui

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWrap(t *testing.T) {
	require.Equal(t, "one two\nthree\n", Wrap("one two three", 8, 0))
	require.Equal(t, "  one\n  two\n", Wrap("one two", 6, 2))
	asIs := "   keeps its   form however long it is\n"
	require.Equal(t, "a\n\n"+asIs+"b\n", Wrap("a\n\n"+asIs+"b", 10, 0))
	require.Equal(t, "one two\nthree\n\nfour\n", Wrap("one\ntwo\nthree\n\nfour\n", 8, 0))
	require.Equal(t, "unbreakable\nx\n", Wrap("unbreakable x", 4, 0))
}
