package drawerfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// ApplicationID marks a drawer file in its header ("SpWr" in ASCII). It never changes.
const ApplicationID = 0x53705772

const (
	hintMissing = "log a first part with `sparewright put UF4007 x4`, or many with `sparewright " +
		"bench`, which make the file; or look around with --demo"
	HintForeign = "name another file with --drawers"
)

// DamagedHint says what to do about a damaged file, with the name of its last backup when that is
// known.
func DamagedHint(path string) string {
	last := "FILE"
	if n, ok := ReadNote(path); ok {
		last = fmt.Sprintf("%q", n.File)
	}
	return "the file was not changed; bring a backup back with `sparewright restore " + last + "`"
}

// Header is what the first 100 bytes of an SQLite file tell without opening it as one: SQLite's
// file format document, section 1.3 (fileformat2.html#database_header): magic at 0, user version at
// 60, application id at 68, big-endian.
type Header struct {
	Size        int64 // bytes
	Magic       bool  // it begins as an SQLite file does
	Version     int   // the form of the drawer
	Application uint32
}

// ReadHeader looks at the file without changing it; opening it as a database might, if it is
// somebody else's.
func ReadHeader(path string) (Header, error) {
	f, err := disk.OpenPlain(path)
	if errors.Is(err, disk.ErrNotPlain) {
		return Header{}, inventory.OpenError{Path: path, Msg: "is not a plain file",
			Hint: HintForeign}
	}
	if err != nil {
		return Header{}, CannotRead(path, err)
	}
	defer f.Close()
	// SQLite would open a journal beside the file whatever it is, and wait for ever for a pipe.
	if info, err := os.Stat(path + "-journal"); err == nil && !info.Mode().IsRegular() {
		return Header{}, inventory.OpenError{Path: path + "-journal", Msg: "is not a plain file",
			Hint: "move it away from the drawer file"}
	}
	info, err := f.Stat()
	if err != nil {
		return Header{}, CannotRead(path, err)
	}
	var b [100]byte
	n, err := io.ReadFull(f, b[:])
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return Header{}, CannotRead(path, err)
	}
	h := Header{Size: info.Size()}
	if n == len(b) && string(b[:16]) == "SQLite format 3\x00" {
		h.Magic = true
		h.Version = int(int32(binary.BigEndian.Uint32(b[60:])))
		h.Application = binary.BigEndian.Uint32(b[68:])
	}
	return h, nil
}

// CannotRead is the OpenError of a file that could not be opened or read.
func CannotRead(path string, err error) error {
	e := inventory.OpenError{Path: path, Msg: "cannot be read", Err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Msg, e.Hint = "does not exist yet", hintMissing
	case errors.Is(err, fs.ErrPermission):
		e.Msg, e.Hint = "may not be read by this user",
			"check the permissions of the file and its folder"
	}
	return e
}

// Accept refuses what is not a drawer file of a form this program knows.
func (h Header) Accept(path string, known int) error {
	refuse := func(msg, hint string) error {
		return inventory.OpenError{Path: path, Msg: msg, Hint: hint}
	}
	switch {
	case h.Size == 0:
		return refuse("is empty and not a drawer file yet", hintMissing)
	case !h.Magic:
		return refuse("is not a drawer file", HintForeign)
	case h.Application != ApplicationID:
		return refuse("belongs to another program", HintForeign)
	case h.Version > known:
		return refuse(fmt.Sprintf("was written by a newer sparewright (form %d, this one "+
			"knows up to %d)", h.Version, known),
			"install the newer version; the file was not changed")
	case h.Version < 1:
		return refuse("has no form number; it is damaged", DamagedHint(path))
	}
	return nil
}

// HasJournal reports whether a journal that SQLite may have to play back lies beside the file:
// fileformat2.html, section 3, gives the eight bytes it begins with. A journal whose header was
// never completed counts for nothing.
func HasJournal(path string) bool {
	f, err := disk.OpenPlain(path + "-journal")
	if err != nil {
		return false
	}
	defer f.Close()
	var b [8]byte
	_, err = io.ReadFull(f, b[:])
	return err == nil && string(b[:]) == "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
}
