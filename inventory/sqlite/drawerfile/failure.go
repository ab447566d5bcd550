package drawerfile

import (
	"context"
	"errors"

	sqlite3 "github.com/mattn/go-sqlite3"

	"sparewright/inventory"
)

const (
	inUse   = "is in use by another program; nothing was changed"
	hintUse = "wait until the other command has ended and try again"
)

// failures says in plain words what the result codes of SQLite mean for the drawer file. Codes:
// SQLite's rescode.html.
var failures = map[sqlite3.ErrNo]struct{ msg, hint string }{
	sqlite3.ErrFull: {"the disk is full; nothing was changed", "make room and try again"},
	sqlite3.ErrReadonly: {"is write-protected; nothing was changed",
		"check the permissions of the file and its folder"},
	sqlite3.ErrPerm: {"may not be used by this user",
		"check the permissions of the file and its folder"},
	sqlite3.ErrBusy:   {inUse, hintUse},
	sqlite3.ErrLocked: {inUse, hintUse},
	sqlite3.ErrNotADB: {"is not a drawer file", HintForeign},
	sqlite3.ErrCantOpen: {"cannot be opened",
		"check the path and the permissions of the file and its folder"},
	sqlite3.ErrIoErr: {"the disk reports an error; the last change is in it whole or not at all",
		"check the disk, then the file with `sparewright check`"},
	sqlite3.ErrTooBig: {"holds a text that is too long", DamagedHint("")},
	sqlite3.ErrNomem:  {"does not fit into memory", ""},
}

// Explain turns what the driver reports into an OpenError with the path and plain words. An
// interrupt becomes the error of the context; errors of package inventory pass.
func (f *File) Explain(err error) error {
	var e sqlite3.Error
	if err == nil || !errors.As(err, &e) {
		return err
	}
	if e.Code == sqlite3.ErrInterrupt {
		return context.Canceled
	}
	if e.ExtendedCode == sqlite3.ErrReadonlyDbMoved {
		return inventory.OpenError{Path: f.Path,
			Msg:  "was replaced by a restore or moved; nothing was changed",
			Hint: "run the command again", Err: err}
	}
	if e.Code == sqlite3.ErrCorrupt {
		return inventory.OpenError{Path: f.Path, Msg: "is damaged",
			Hint: DamagedHint(f.Path), Err: err}
	}
	if known, ok := failures[e.Code]; ok {
		return inventory.OpenError{Path: f.Path, Msg: known.msg, Hint: known.hint, Err: err}
	}
	// What is left are constraints of the schema (the program checks before) and misuse: the text
	// of SQLite says most.
	return inventory.OpenError{Path: f.Path, Msg: "refused the change: " + e.Error(), Err: err}
}
