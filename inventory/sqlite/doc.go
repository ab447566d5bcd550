// Package sqlite keeps the drawer in one SQLite file. It knows the rows; drawerfile below it knows
// the file as a whole, disk how a file gets its name. Beside these nothing knows the database.
//
// Every change is one immediate transaction: it happens whole or not at all. What a lot holds is
// the sum of an append-only ledger of movements. Errors are those of package inventory: DataError
// for wrong input, OpenError for a file that cannot be used, NoLot, NoPurpose and Overdraw. The
// schema needs SQLite 3.37 or later elsewhere (STRICT tables).
//
// The file has a rollback journal, synchronous=EXTRA, foreign keys on every connection and bounds
// on every column. Figures are stored in SI with the text as typed. Schema files are numbered by
// user_version; one that was released is never changed: the next number is added, and the test of
// released files writes its checksum and a drawer file of that form, from which later programs must
// still be able to upgrade.
//
// A writer that died leaves a journal beside the file. Whoever opens it next, a reader too, plays
// it back before the header is looked at: the change may have been the one that made the drawer.
//
// # Journal
//
// Every change is one entry; its number is the batch of its movements. Triggers of the schema write
// what it altered of lots, readings, donors and set-asides into image tables, before and after,
// while the entry is open, so a new command that changes them through Store forgets nothing
// (Store.Together makes one entry of several calls). Undo brings rows to the side before and writes
// contrary movements, redo the side after; each is an entry whose undoes names what it takes back
// (a redo names the undo). What was taken back is passed over when undo goes further; any other
// change ends what can be made again. A row that is not as the change left it is a refusal
// (NotAsLeft). A lot that an undone change made stays, empty; its donor goes. A restore writes an
// entry into the copy before it gets the drawer's name, with the name of the file kept beside: undo
// exchanges the two files, noting the other in the one that comes back, and redo exchanges them
// again. The restored drawer is therefore its backup and one entry. Batches from before the journal
// have the kind count.
//
// # Copies
//
// Backup copies one moment with VACUUM INTO under a temporary name, checks the copy, brings it to
// the disk and only then gives it its name; its SHA-256 stands beside it, because SQLite's check
// finds about four in ten flipped bits (188 of 500 here) and a checksum all of them. Restore checks
// a copy of the backup, takes the exclusive lock, keeps the old file under a dated name and
// replaces it by one rename; a program that still has the old file open is refused at its next
// change. On Windows the lock has to be given back just before the rename. Drafts (disk/drafts.go)
// are locked by who writes them; backup, restore and every writing command clear those without a
// lock that a killed program left beside.
//
// # Tests
//
// It is killed and refused by the disk at every call that changes something (strace, in
// faults_linux_test.go; the jobs are in jobs_unix_test.go), given torn journals and pages, raced,
// filled up, and given 1,500 damaged files. A killed process leaves the system's cache intact, so
// this shows atomicity, not that the disk obeys; that every sync is asked for, in order,
// TestEverySyncIsMade shows.
package sqlite
