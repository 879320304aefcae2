package sqlitelog_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
)

// rig is one device's database and what it is opened with.
type rig struct {
	path  string
	own   journal.DeviceID
	watch *journaltest.Watch
	keys  map[journal.DeviceID]proof.Key
	// cosign is the key with which the hub began to countersign; none where no
	// word of the hub is checked.
	cosign proof.Key
	// fault is the driver of the writing connection; "" is SQLite's own.
	fault  string
	free   func() (uint64, error)
	starts int
}

// newRig lays out an empty folder for a device of the sample shop.
func newRig(t testing.TB, own journal.DeviceID) *rig {
	t.Helper()
	r := &rig{
		path:  filepath.Join(t.TempDir(), "log.db"),
		own:   own,
		watch: journaltest.NewWatch(journaltest.Morning()),
		keys:  map[journal.DeviceID]proof.Key{},
	}
	for _, device := range []journal.DeviceID{journaltest.Office, journaltest.Bench, "bench2"} {
		key, err := proof.NewKey(journaltest.Rand(string(device)), proof.Origin(journaltest.Shop, device))
		if err != nil {
			t.Fatal(err)
		}
		r.keys[device] = key
	}
	return r
}

func (r *rig) options() sqlitelog.Options {
	return r.optionsAs(proof.HubKeys{Log: r.keys[journaltest.Office], Cosign: r.cosign})
}

// optionsAs is options of a shop that was founded with a hub's keys.
func (r *rig) optionsAs(first proof.HubKeys) sqlitelog.Options {
	cosign := ""
	if !first.Cosign.IsZero() {
		cosign = first.Cosign.Verifier()
	}
	r.starts++
	seed := fmt.Sprintf("start %d of %s", r.starts, r.own)
	return sqlitelog.WithDriver(sqlitelog.Options{
		Shop: journaltest.Shop, Own: r.own, Key: r.keys[r.own], Hub: journaltest.Office, HubKey: first.Log.Verifier(), CosignKey: cosign,
		Boot: "b1", Clock: journal.NewClock(r.watch.Now, journaltest.Rand(seed)), Now: r.watch.Now, Started: r.watch.Now(), Free: r.free,
	}, r.fault)
}

// open starts the device's program.
func (r *rig) open(t testing.TB) *sqlitelog.DB {
	t.Helper()
	db, err := sqlitelog.Open(t.Context(), r.path, r.options())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// close ends the program; the write-ahead log goes with it.
func closeDB(t testing.TB, db *sqlitelog.DB) {
	t.Helper()
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// check holds the own log to every invariant.
func (r *rig) check(t testing.TB) []*journal.Entry {
	t.Helper()
	return checkLog(t, r.path, r.own, r.keys[r.own])
}

func note(text string) journal.Draft {
	return journal.Draft{Subject: journal.About(journaltest.JobOne, "", ""), By: journaltest.Io,
		Data: &journal.Remark{Evidence: journal.Evidence{Note: text}}}
}

func notef(format string, args ...any) journal.Draft { return note(fmt.Sprintf(format, args...)) }

// picture is a draft with one photo whose thumbnail has so many bytes.
func picture(name string, bytes int) journal.Draft {
	d := note("a photo of " + name)
	thumb := make([]byte, bytes)
	if _, err := journaltest.Rand(name).Read(thumb); err != nil {
		panic(err) // the source of samples never fails
	}
	data := d.Data.(*journal.Remark)
	data.Photos = []journal.Photo{{Ref: original(name), Thumb: media.RefOf(thumb), Role: "bore"}}
	d.Thumbs = [][]byte{thumb}
	return d
}

// original names the original of [picture].
func original(name string) media.Ref { return media.RefOf([]byte("the original of " + name)) }

func withdrawal(name string) journal.Draft {
	return journal.Draft{Subject: journal.About(journaltest.JobOne, "", ""), By: journaltest.Io,
		Data: &journal.Withdrawal{Photo: original(name), Reason: "a face is on it"}}
}

func appendTo(t testing.TB, db *sqlitelog.DB, drafts ...journal.Draft) (list []*journal.Entry) {
	t.Helper()
	for _, d := range drafts {
		e, err := db.Append(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	return list
}

// segment is all that follows in a log.
func segment(t testing.TB, db *sqlitelog.DB, device journal.DeviceID, from int64) journal.Segment {
	t.Helper()
	s, err := db.Segment(t.Context(), device, from, journal.MaxSegmentBytes)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func receive(t testing.TB, db *sqlitelog.DB, s journal.Segment) {
	t.Helper()
	if _, err := db.Receive(t.Context(), s); err != nil {
		t.Fatal(err)
	}
}

// read returns the entries of a log.
func read(t testing.TB, db *sqlitelog.DB, device journal.DeviceID) (list []journal.Logged) {
	t.Helper()
	for e, err := range db.Entries(t.Context(), device, 0) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	return list
}

// wait is how long a test waits for what must come.
const wait = 3 * time.Minute
