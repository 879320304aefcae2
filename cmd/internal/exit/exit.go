// Package exit holds the exit codes of the command line. They are an
// interface: scripts rely on them, so a code never changes its meaning.
package exit

import (
	"context"
	"errors"
	"io/fs"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/photodir"
	"fettlebook/sync/hub"
)

// The codes, as package code has them.
const (
	OK       = code.OK
	Trouble  = code.Trouble
	Usage    = code.Usage
	Refused  = code.Refused
	NotFound = code.NotFound
	Busy     = code.Busy
	Damaged  = code.Damaged
	Full     = code.Full
	Newer    = code.Newer
)

// Table is the codes as every help text shows them.
const Table = `Exit codes:
  0  done
  1  unforeseen trouble; the message says what
  2  the command line is wrong
  3  the input is refused, nothing was written
  4  no such job, vehicle, file or journal
  5  in use, closed or out of reach; try again later
  6  damage or tampering was found
  7  the disk is almost full, nothing was written
  8  the data was written by a newer fettlebook`

// coded is an error that knows its code, such as one that came through the
// door of a running program.
type coded interface{ ExitCode() int }

// Code returns the exit code of an error.
func Code(err error) int {
	var (
		known    coded
		invalid  *journal.Invalid
		refused  *media.Refused
		held     *route.Unreleasable
		fork     *journal.Fork
		unproven *journal.Unproven
	)
	switch {
	case err == nil:
		return OK
	case errors.As(err, &known):
		return known.ExitCode()
	case errors.Is(err, journal.ErrDiskLow):
		return Full
	case errors.Is(err, journal.ErrNewer):
		return Newer
	case errors.Is(err, sqlitelog.ErrDamaged), errors.Is(err, shop.ErrGone), errors.Is(err, folder.ErrIdentity), errors.Is(err, folder.ErrUnnamed), errors.Is(err, folder.ErrPhotosFile), errors.Is(err, sqlitelog.ErrLost), errors.Is(err, photodir.ErrDamaged), errors.As(err, &fork), errors.As(err, &unproven), errors.Is(err, backup.ErrDamaged):
		return Damaged
	case errors.Is(err, folder.ErrInUse), errors.Is(err, backup.ErrBusy), errors.Is(err, journal.ErrClosed), errors.Is(err, hub.ErrRecovering), errors.Is(err, context.DeadlineExceeded), errors.Is(err, folder.ErrReadOnly), errors.Is(err, folder.ErrPhotosAway):
		return Busy
	case errors.As(err, &invalid), errors.As(err, &refused), errors.As(err, &held), errors.Is(err, journal.ErrUnknownKind), errors.Is(err, journal.ErrEntry), errors.Is(err, folder.ErrNotLost), errors.Is(err, sqlitelog.ErrOtherKeys), errors.Is(err, backup.ErrTaken), errors.Is(err, fs.ErrInvalid):
		return Refused
	case errors.Is(err, folder.ErrNoFolder), errors.Is(err, fs.ErrNotExist), errors.Is(err, journal.ErrNoLog), errors.Is(err, sqlitelog.ErrNoCard), errors.Is(err, backup.ErrNone):
		return NotFound
	}
	return Trouble
}

// Error is a sentence with its code.
type Error = code.Error
