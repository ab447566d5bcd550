//go:build !unix

package disk

import "os"

// lockDraft: there are no such locks, so no draft is known to be left behind.
func lockDraft(*os.File) bool { return false }
