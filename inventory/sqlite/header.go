package sqlite

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"sparewright/inventory"
)

// applicationID marks a drawer file in its header ("SpWr" in ASCII). It never changes.
const applicationID = 0x53705772

const (
	hintMissing = "log a first part with `sparewright put UF4007 x4`, or many with `sparewright " +
		"bench`, which make the file; or look around with --demo"
	hintForeign = "name another file with --drawers"
)

// damagedHint says what to do about a damaged file, with the name of its last backup when that is
// known.
func damagedHint(path string) string {
	last := "FILE"
	if n, ok := readNote(path); ok {
		last = fmt.Sprintf("%q", n.File)
	}
	return "the file was not changed; bring a backup back with `sparewright restore " + last + "`"
}

// header is what the first 100 bytes of an SQLite file tell without opening it as one: SQLite's
// file format document, section 1.3 (fileformat2.html#database_header): magic at 0, user version at
// 60, application id at 68, big-endian.
type header struct {
	size        int64
	magic       bool
	version     int
	application uint32
}

// readHeader looks at the file without changing it; opening it as a database might, if it is
// somebody else's.
func readHeader(path string) (header, error) {
	f, err := openPlain(path)
	if errors.Is(err, errNotPlain) {
		return header{}, inventory.OpenError{Path: path, Msg: "is not a plain file",
			Hint: hintForeign}
	}
	if err != nil {
		return header{}, cannotRead(path, err)
	}
	defer f.Close()
	// SQLite would open a journal beside the file whatever it is, and wait for ever for a pipe.
	if info, err := os.Stat(path + "-journal"); err == nil && !info.Mode().IsRegular() {
		return header{}, inventory.OpenError{Path: path + "-journal", Msg: "is not a plain file",
			Hint: "move it away from the drawer file"}
	}
	info, err := f.Stat()
	if err != nil {
		return header{}, cannotRead(path, err)
	}
	var b [100]byte
	n, err := io.ReadFull(f, b[:])
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return header{}, cannotRead(path, err)
	}
	h := header{size: info.Size()}
	if n == len(b) && string(b[:16]) == "SQLite format 3\x00" {
		h.magic = true
		h.version = int(int32(binary.BigEndian.Uint32(b[60:])))
		h.application = binary.BigEndian.Uint32(b[68:])
	}
	return h, nil
}

// errNotPlain is the reason when a folder, a pipe, a device or a socket stands where a file should.
var errNotPlain = errors.New("is not a plain file")

// openPlain opens a file for reading. It looks before it opens, because to open a pipe that nobody
// writes to waits for ever.
func openPlain(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errNotPlain
	}
	return os.Open(path)
}

func cannotRead(path string, err error) error {
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

// accept refuses what is not a drawer file of a form this program knows.
func (h header) accept(path string, known int) error {
	refuse := func(msg, hint string) error {
		return inventory.OpenError{Path: path, Msg: msg, Hint: hint}
	}
	switch {
	case h.size == 0:
		return refuse("is empty and not a drawer file yet", hintMissing)
	case !h.magic:
		return refuse("is not a drawer file", hintForeign)
	case h.application != applicationID:
		return refuse("belongs to another program", hintForeign)
	case h.version > known:
		return refuse(fmt.Sprintf("was written by a newer sparewright (form %d, this one "+
			"knows up to %d)", h.version, known),
			"install the newer version; the file was not changed")
	case h.version < 1:
		return refuse("has no form number; it is damaged", damagedHint(path))
	}
	return nil
}

// hasJournal reports whether a journal that SQLite may have to play back lies beside the file:
// fileformat2.html, section 3, gives the eight bytes it begins with. A journal whose header was
// never completed counts for nothing.
func hasJournal(path string) bool {
	f, err := openPlain(path + "-journal")
	if err != nil {
		return false
	}
	defer f.Close()
	var b [8]byte
	_, err = io.ReadFull(f, b[:])
	return err == nil && string(b[:]) == "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
}
