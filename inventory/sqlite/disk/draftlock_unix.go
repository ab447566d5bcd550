//go:build unix

package disk

import (
	"os"
	"syscall"
)

// lockDraft takes the lock of a draft and reports whether nobody else has it. Where the file system
// knows no such locks nobody is known to have gone away, and nothing is cleared.
func lockDraft(f *os.File) bool {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}
