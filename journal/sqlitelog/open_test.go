package sqlitelog_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

func TestCloseLog(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("one"))
	other := segment(t, db, journaltest.Bench, 0)
	for _, reason := range []string{"restored from a backup", "a later reason does not replace the first"} {
		if err := db.CloseLog(t.Context(), journaltest.Bench, reason); err != nil {
			t.Fatal(err)
		}
	}
	closed := func(db *sqlitelog.DB) {
		t.Helper()
		if _, err := db.Append(t.Context(), note("two")); !errors.Is(err, journal.ErrClosed) {
			t.Errorf("append gave %v", err)
		}
		if reason, err := db.Closed(t.Context(), journaltest.Bench); err != nil || reason != "restored from a backup" {
			t.Errorf("closed for %q (%v)", reason, err)
		}
		receive(t, db, other) // what is known is still fine
	}
	closed(db)
	closeDB(t, db)
	closed(r.open(t))
	if n := len(r.check(t)); n != 1 {
		t.Errorf("%d entries are here", n)
	}
	if _, err := db.Closed(t.Context(), "nobody"); err == nil {
		t.Error("a log that is not here is open")
	}
}

// A tablet that was rolled back takes its own entries back, and then goes
// on after them, also if they lie in its future.
func TestOwnEntriesComeBack(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	r.watch.Advance(365 * 24 * time.Hour)
	last := appendTo(t, db, note("one"), picture("two", 500), note("three"))[2]
	lost := segment(t, db, journaltest.Bench, 0)

	again := newRig(t, journaltest.Bench) // an empty folder, and its clock a year back
	fresh := again.open(t)
	receive(t, fresh, lost)
	next := appendTo(t, fresh, note("four"))[0]
	if bytes.Compare(next.ID[:], last.ID[:]) <= 0 {
		t.Errorf("%v was written after %v", next.ID, last.ID)
	}
	if n := len(again.check(t)); n != 4 {
		t.Errorf("%d entries are here", n)
	}
	if list, err := fresh.Unconfirmed(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%d originals are the tablet’s own (%v)", len(list), err)
	}
}

// The clock goes on behind the last id, whatever the wall clock shows.
func TestClockResumes(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("one"), note("two"))
	r.watch.Advance(-365 * 24 * time.Hour)
	appendTo(t, db, note("in the same run"))
	closeDB(t, db)
	for range 2 {
		db = r.open(t)
		appendTo(t, db, note("after a restart"))
		closeDB(t, db)
	}
	if n := len(r.check(t)); n != 5 { // which checks that ids rise and can be read
		t.Errorf("%d entries are here", n)
	}
}

// Ids follow every entry that came within the limit, and none beyond it.
func TestClockFollows(t *testing.T) {
	second := newRig(t, "bench2")
	theirs := second.open(t)
	second.watch.Advance(5 * time.Minute)
	near := appendTo(t, theirs, note("five minutes ahead"))[0]
	second.watch.Advance(time.Hour)
	far := appendTo(t, theirs, note("more than an hour ahead"))[0]

	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	if err := db.Know(t.Context(), "bench2", r.keys["bench2"].Verifier()); err != nil {
		t.Fatal(err)
	}
	receive(t, db, segment(t, theirs, "bench2", 0))
	if e := appendTo(t, db, note("after both"))[0]; bytes.Compare(e.ID[:], near.ID[:]) <= 0 || bytes.Compare(e.ID[:], far.ID[:]) >= 0 {
		t.Errorf("%v should lie after %v and before %v", e.ID, near.ID, far.ID)
	}
}

func TestOpenRefuses(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	appendTo(t, r.open(t), note("one"))
	other := r.keys["bench2"]
	for name, bend := range map[string]func(*sqlitelog.Options){
		"no key":         func(o *sqlitelog.Options) { o.Key = proof.Key{} },
		"another key":    func(o *sqlitelog.Options) { o.Key = other },
		"no shop":        func(o *sqlitelog.Options) { o.Shop = "" },
		"no boot":        func(o *sqlitelog.Options) { o.Boot = "" },
		"no clock":       func(o *sqlitelog.Options) { o.Clock = nil },
		"no wall clock":  func(o *sqlitelog.Options) { o.Now = nil },
		"no key of hub":  func(o *sqlitelog.Options) { o.HubKey = "" },
		"a bent hub key": func(o *sqlitelog.Options) { o.HubKey += "x" },
	} {
		o := r.options()
		bend(&o)
		if db, err := sqlitelog.Open(t.Context(), r.path, o); err == nil {
			t.Errorf("%s: opened", name)
			db.Close()
		}
	}
	r.check(t)

	db, err := sqlitelog.Open(t.Context(), r.path, sqlitelog.Options{}) // no log of its own
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Append(t.Context(), note("x")); err == nil {
		t.Error("an entry was written to nobody's log")
	}
	if n := len(read(t, db, journaltest.Bench)); n != 1 {
		t.Errorf("%d entries are here", n)
	}
}

// A register entry with a key that cannot be read is refused where it is
// written; where it was received it keeps nothing else back.
func TestEnrolment(t *testing.T) {
	enrol := func(key string) journal.Draft {
		d := journaltest.Sample(journal.DeviceEnrolled)
		data := *d.Data.(*journal.Device)
		data.Device, data.LogKey = "bench2", key
		d.Data = &data
		return d
	}
	office := newRig(t, journaltest.Office)
	hub := office.open(t)
	good := office.keys["bench2"].Verifier()
	if _, err := hub.Append(t.Context(), enrol("no key")); err == nil {
		t.Error("a key that cannot be read was enrolled")
	}
	author := journaltest.NewAuthor(journaltest.Office, office.watch, "an old version")
	h := journaltest.History{Key: office.keys[journaltest.Office], Device: journaltest.Office}
	for _, d := range []journal.Draft{enrol("no key"), enrol(good), enrol(office.keys[journaltest.Bench].Verifier())} {
		raw, err := author.Encoded(d)
		if err != nil {
			t.Fatal(err)
		}
		h.Entries = append(h.Entries, raw)
	}
	s, err := h.Segment(0, 3)
	if err != nil {
		t.Fatal(err)
	}
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	receive(t, db, s)
	if key, err := db.Key(t.Context(), "bench2"); err != nil || key != good {
		t.Errorf("the key is %q (%v), want the first that could be read", key, err)
	}
	// Only the hub's log is the register.
	appendTo(t, db, func() journal.Draft {
		d := enrol(good)
		d.Data.(*journal.Device).Device = "stranger"
		return d
	}())
	if _, err := db.Key(t.Context(), "stranger"); !errors.Is(err, journal.ErrNoLog) {
		t.Errorf("a tablet enrolled a device: %v", err)
	}
	r.check(t)
}

// Another process reads while this one writes.
func TestReaderBesideWriter(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("the first"))
	reader, err := sqlitelog.OpenToRead(t.Context(), r.path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { reader.Close() })

	ctx, stop := context.WithCancel(t.Context())
	failed := make(chan error, 1)
	go func() {
		defer close(failed)
		for i := 0; ctx.Err() == nil; i++ {
			if _, err := db.Append(context.Background(), picture(fmt.Sprint(i), 3000)); err != nil {
				failed <- err
				return
			}
		}
	}()
	seen := 0
	for seen < 60 {
		n := 0
		for e, err := range reader.Entries(t.Context(), journaltest.Bench, 0) {
			if err != nil {
				t.Fatal(err)
			}
			if e.Index != int64(n) {
				t.Fatalf("entry %d is read as the %dth", e.Index, n)
			}
			n++
		}
		if n < seen {
			t.Fatalf("%d entries are read after %d were", n, seen)
		}
		seen = n
		s := segment(t, reader, journaltest.Bench, 0)
		for ref, thumb := range s.Thumbs {
			if len(thumb) != 3000 {
				t.Fatalf("thumbnail %v has %d bytes", ref, len(thumb))
			}
		}
	}
	stop()
	if err := <-failed; err != nil {
		t.Fatal(err)
	}
	// What was acknowledged is seen at once, also when the writer is gone.
	e := appendTo(t, db, note("the last"))[0]
	for range 2 {
		all := read(t, reader, journaltest.Bench)
		if last, err := journal.Decode(all[len(all)-1].Bytes); err != nil || last.ID != e.ID {
			t.Fatalf("the last is %v (%v), want %v", last.ID, err, e.ID)
		}
		db.Close()
	}
	if _, err := reader.Append(t.Context(), note("x")); err == nil {
		t.Error("a reader writes")
	}
}

func TestWoken(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	office := newRig(t, journaltest.Office).open(t)
	appendTo(t, office, note("theirs"))
	theirs := segment(t, office, journaltest.Office, 0)
	one, two := db.Woken(), db.Woken()
	quiet := func(what string) {
		t.Helper()
		for _, c := range []<-chan struct{}{one, two} {
			select {
			case <-c:
				t.Errorf("woken after %s", what)
			default:
			}
		}
	}
	woken := func(what string) {
		t.Helper()
		for _, c := range []<-chan struct{}{one, two} {
			select {
			case <-c:
			default:
				t.Errorf("not woken after %s", what)
			}
		}
		quiet("being woken once for " + what)
	}
	quiet("nothing")
	appendTo(t, db, note("one"))
	woken("an append")
	appendTo(t, db, note("two"), note("three"))
	woken("two appends")
	receive(t, db, theirs)
	woken("a segment")
	if err := db.SaveCountersigned(t.Context(), countersign(t, r, theirs.Checkpoint, journaltest.Office)); err != nil {
		t.Fatal(err)
	}
	woken("a countersignature")
	if _, err := db.Append(t.Context(), journal.Draft{}); err == nil {
		t.Fatal("an empty draft was taken")
	}
	quiet("a refusal")
}

// Close lets go of the files, and what is asked afterwards is an error.
func TestClosed(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("one"))
	closeDB(t, db)
	if _, err := db.Append(t.Context(), note("two")); err == nil {
		t.Error("a closed database takes entries")
	}
	if _, err := db.Heads(t.Context()); err == nil {
		t.Error("a closed database is read")
	}
	var err error
	for _, e := range db.Entries(t.Context(), journaltest.Bench, 0) {
		err = e
	}
	if err == nil {
		t.Error("a closed database looks like an empty log")
	}
	if n := len(r.check(t)); n != 1 {
		t.Errorf("%d entries are here", n)
	}
}
