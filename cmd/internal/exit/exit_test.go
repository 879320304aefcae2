package exit_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/sync/hub"
)

// TestCode holds every error that a person can meet against the table. The
// codes are an interface: a row of this table never changes.
func TestCode(t *testing.T) {
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{errors.New("who knows"), 1},
		{journal.Refuse("note.made", journal.Clash, "x"), 3},
		{&media.Refused{}, 3},
		{journal.ErrUnknownKind, 3},
		{journal.ErrEntry, 3},
		{folder.ErrNoFolder, 4},
		{fs.ErrNotExist, 4},
		{journal.ErrNoLog, 4},
		{folder.ErrInUse, 5},
		{backup.ErrTaken, 3},
		{backup.ErrNone, 4},
		{backup.ErrBusy, 5},
		{backup.ErrDamaged, 6},
		{folder.ErrReadOnly, 5},
		{folder.ErrUnnamed, 6},
		{&folder.LostJournal{Err: sqlitelog.ErrLost}, 6},
		{folder.ErrNotLost, 3},
		{journal.ErrClosed, 5},
		{hub.ErrRecovering, 5},
		{context.DeadlineExceeded, 5},
		{sqlitelog.ErrDamaged, 6},
		{shop.ErrGone, 6},
		{folder.ErrIdentity, 6},
		{&journal.Fork{}, 6},
		{&journal.Unproven{}, 6},
		{journal.ErrDiskLow, 7},
		{journal.ErrNewer, 8},
		{&exit.Error{Status: 4, Sentence: "no such job"}, 4},
	} {
		if got := exit.Code(c.err); got != c.want {
			t.Errorf("%v: code %d, want %d", c.err, got, c.want)
		}
		if c.err == nil {
			continue
		}
		if got := exit.Code(fmt.Errorf("open: %w", c.err)); got != c.want {
			t.Errorf("wrapped %v: code %d, want %d", c.err, got, c.want)
		}
	}
}

func TestTableNamesEveryCode(t *testing.T) {
	for code := range 9 {
		if !strings.Contains(exit.Table, fmt.Sprintf("\n  %d  ", code)) {
			t.Errorf("the table does not explain %d", code)
		}
	}
}
