// Package pattern holds back the compiling of regular expressions until they are matched: most
// calls of the program match none, and compiling them all at every start takes longer than printing
// the help.
package pattern

import (
	"regexp"
	"sync"
)

// OnFirstUse returns a function that compiles expr when it is first called and gives the same
// expression ever after. An expression that does not compile panics then, as with
// regexp.MustCompile.
func OnFirstUse(expr string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) })
}
