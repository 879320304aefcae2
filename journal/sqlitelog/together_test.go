package sqlitelog_test

import (
	"errors"
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// TestTogether writes entries that stand or fall together: in their order, under one
// checkpoint, and none of them if one cannot be written.
func TestTogether(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	three := []journal.Draft{notef("first"), notef("second"), notef("third")}
	entries, err := db.AppendAll(t.Context(), three)
	if err != nil || len(entries) != 3 {
		t.Fatal(entries, err)
	}
	for i := range entries[1:] {
		if entries[i].ID.String() >= entries[i+1].ID.String() {
			t.Errorf("%s is not before %s", entries[i].ID, entries[i+1].ID)
		}
	}
	if list := batches(t, db, entries[0].Source.Device); len(list) != 1 || len(list[0].Entries) != 3 {
		t.Errorf("they lie in %d batches", len(list))
	}
	bad := notef("fourth")
	bad.By = ""
	head := size(t, db, entries[0].Source.Device)
	if _, err := db.AppendAll(t.Context(), []journal.Draft{notef("well"), bad}); err == nil {
		t.Error("an entry by nobody was written")
	}
	var large []journal.Draft
	for i := range 20 {
		large = append(large, picture(fmt.Sprint(i), 60_000))
	}
	var much *journal.TooMuch
	if _, err := db.AppendAll(t.Context(), large); !errors.As(err, &much) {
		t.Errorf("more than a segment holds: %v", err)
	}
	if now := size(t, db, entries[0].Source.Device); now != head {
		t.Errorf("of what was refused %d entries are in the log", now-head)
	}
	if none, err := db.AppendAll(t.Context(), nil); err != nil || none != nil {
		t.Error(none, err)
	}
}

func size(t *testing.T, db *sqlitelog.DB, device journal.DeviceID) int64 {
	t.Helper()
	head, err := db.Head(t.Context(), device)
	if err != nil {
		t.Fatal(err)
	}
	return head.Size
}
