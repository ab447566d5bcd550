//go:build !cgo

package drawerfile

// The driver is C code. Without cgo it compiles to a stub that fails only when the first drawer
// file is opened, so the build is stopped here with a name that says what to do.
var _ = sparewright_needs_cgo__install_gcc_and_set_CGO_ENABLED_1
