package sqlitelog_test

import (
	"bytes"
	"errors"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
)

func thumbOf(d journal.Draft) media.Ref { return media.RefOf(d.Thumbs[0]) }

func here(t testing.TB, db *sqlitelog.DB, ref media.Ref) bool {
	t.Helper()
	_, err := db.Thumb(t.Context(), ref)
	if err != nil && !errors.Is(err, sqlitelog.ErrNoThumb) {
		t.Fatal(err)
	}
	return err == nil
}

// A withdrawn photo's thumbnail goes, its hash stays, and the log verifies,
// here and at whoever receives it.
func TestWithdraw(t *testing.T) {
	r := newRig(t, journaltest.Office)
	db := r.open(t)
	bore, seat := picture("a bore", 4000), picture("a seat", 4000)
	appendTo(t, db, bore, seat, withdrawal("a bore"), note("on"))
	if here(t, db, thumbOf(bore)) || !here(t, db, thumbOf(seat)) {
		t.Errorf("the withdrawn thumbnail is here: %v, the other: %v", here(t, db, thumbOf(bore)), here(t, db, thumbOf(seat)))
	}
	for name, want := range map[string]bool{"a bore": true, "a seat": false} {
		gone, err := db.Withdrawn(t.Context(), original(name))
		if err != nil {
			t.Fatal(err)
		}
		named, err := db.Names(t.Context(), original(name))
		if err != nil {
			t.Fatal(err)
		}
		if gone != want || named == want {
			t.Errorf("%s: withdrawn %v, still named %v", name, gone, named)
		}
	}
	r.check(t)
	s := segment(t, db, journaltest.Office, 0)
	if len(s.Entries) != 4 || len(s.Thumbs) != 1 {
		t.Errorf("%d entries and %d thumbnails go on", len(s.Entries), len(s.Thumbs))
	}
	bench := newRig(t, journaltest.Bench)
	there := bench.open(t)
	receive(t, there, s)
	checkLog(t, bench.path, journaltest.Office, r.keys[journaltest.Office])
}

// The order in which photo and withdrawal come does not matter, and a
// thumbnail that another photo shares stays.
func TestWithdrawnComesInAnyOrder(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	second := newRig(t, "bench2").open(t)
	bore, seat := picture("a bore", 3000), picture("a seat", 3000)
	shared := note("the same thumbnail from another original")
	shared.Data.(*journal.Remark).Photos = []journal.Photo{{Ref: original("another"), Thumb: thumbOf(seat)}}
	shared.Thumbs = seat.Thumbs
	again := note("the same original with a thumbnail by another version")
	again.Data.(*journal.Remark).Photos = []journal.Photo{{Ref: original("a bore"), Thumb: thumbOf(picture("made otherwise", 2000))}}
	again.Thumbs = picture("made otherwise", 2000).Thumbs
	appendTo(t, second, bore, seat, shared, again)
	late := segment(t, second, "bench2", 0)

	office := newRig(t, journaltest.Office).open(t)
	appendTo(t, office, withdrawal("a bore"), withdrawal("a seat"))
	orders := segment(t, office, journaltest.Office, 0)
	for name, order := range map[string][]journal.Segment{"withdrawn first": {orders, late}, "withdrawn last": {late, orders}, "twice": {late, orders, late, orders}} {
		r := newRig(t, journaltest.Bench)
		db := r.open(t)
		if err := db.Know(t.Context(), "bench2", r.keys["bench2"].Verifier()); err != nil {
			t.Fatal(err)
		}
		for _, s := range order {
			receive(t, db, s)
		}
		if here(t, db, thumbOf(bore)) || here(t, db, thumbOf(again)) || !here(t, db, thumbOf(seat)) {
			t.Errorf("%s: withdrawn %v, withdrawn and made otherwise %v, shared %v", name, here(t, db, thumbOf(bore)), here(t, db, thumbOf(again)), here(t, db, thumbOf(seat)))
		}
		checkLog(t, r.path, "bench2", r.keys["bench2"])
		checkLog(t, r.path, journaltest.Office, r.keys[journaltest.Office])
	}
	db := r.open(t)
	receive(t, db, orders)
	appendTo(t, db, bore) // written here after it was withdrawn elsewhere
	if here(t, db, thumbOf(bore)) {
		t.Error("a withdrawn thumbnail came back with a new entry")
	}
	r.check(t)
}

// Thumbnails that no photo names are not kept.
func TestSpareThumbnails(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	d := picture("a bore", 100)
	d.Thumbs = append(d.Thumbs, picture("a spare one", 100).Thumbs...)
	appendTo(t, db, d)
	r.check(t)
	if here(t, db, thumbOf(picture("a spare one", 100))) {
		t.Error("it is here")
	}
}

func TestConfirm(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	office := newRig(t, journaltest.Office).open(t)
	appendTo(t, office, picture("theirs", 50), withdrawal("three"))
	appendTo(t, db, picture("one", 50), picture("two", 50), picture("three", 50))
	receive(t, db, segment(t, office, journaltest.Office, 0))
	waiting := func(want ...string) {
		t.Helper()
		got, err := db.Unconfirmed(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var refs []media.Ref
		for _, name := range want {
			refs = append(refs, original(name))
		}
		order := func(a, b media.Ref) int { return bytes.Compare(a[:], b[:]) }
		slices.SortFunc(refs, order)
		slices.SortFunc(got, order)
		if !slices.Equal(got, refs) {
			t.Errorf("%d originals wait, want %v", len(got), want)
		}
	}
	waiting("one", "two")
	at := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	if err := db.Confirm(t.Context(), original("one"), at); err != nil {
		t.Fatal(err)
	}
	waiting("two")
	appendTo(t, db, picture("theirs", 50), picture("one", 50)) // named here too; confirmed stays confirmed
	waiting("two", "theirs")

	appendTo(t, office, picture("two", 50)) // the hub names it too; it is still to be sent from here
	receive(t, db, segment(t, office, journaltest.Office, 2))
	waiting("two", "theirs")
}
