package sqlitelog_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// quotes returns what a log quotes, in its order.
func quotes(t *testing.T, db *sqlitelog.DB, device journal.DeviceID) (list []*journal.TakenOver) {
	t.Helper()
	for l, err := range db.Entries(t.Context(), device, 0) {
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		if q, _ := e.Quotes(); q != nil {
			list = append(list, q)
		}
	}
	return list
}

// Whatever moment it is interrupted at, who begins again takes over the rest:
// all of the branch, in order and once, thumbnails and the largest entry too.
func TestTakingOverGoesOn(t *testing.T) {
	const first, n = 3, 12
	for stop := range n {
		r := newRig(t, journaltest.Bench)
		db := r.open(t)
		appendTo(t, db, notef("counts"), notef("counts too"), notef("and this"))
		escaped := note(strings.Repeat("\"", journal.MaxText))
		appendTo(t, db, picture("front", 3000), escaped, largest())
		for i := range n - 3 {
			appendTo(t, db, notef("lost %d", i))
		}
		closeDB(t, db)
		r.own = "bench2"
		db = r.open(t)
		lost := sqlitelog.Lost{Device: journaltest.Bench, From: first, Branch: journal.RestoredBranch}
		if haul, err := db.TakeOver(t.Context(), db, lost, true); err != nil || len(haul.Taken) != n || len(quotes(t, db, r.own)) > 0 {
			t.Fatalf("listing gives %d entries, %v, and writes %d", len(haul.Taken), err, len(quotes(t, db, r.own)))
		}
		ctx, cancel := context.WithCancel(t.Context())
		woken, done := db.Woken(), make(chan struct{})
		go func() {
			defer close(done)
			for range stop {
				select {
				case <-woken:
				case <-ctx.Done():
				}
			}
			cancel()
		}()
		_, err := db.TakeOver(ctx, db, lost, false)
		cancel()
		<-done
		before := len(quotes(t, db, r.own))
		closeDB(t, db)
		db = r.open(t)
		haul, err2 := db.TakeOver(t.Context(), db, lost, false)
		if err2 != nil || haul.Before != before || len(haul.Taken) != n-before || len(haul.Left) > 0 {
			t.Fatalf("stopped after %d (%v), it goes on with %d and %d, %v: %v", before, err, haul.Before, len(haul.Taken), haul.Left, err2)
		}
		all := quotes(t, db, r.own)
		for i, q := range all {
			if q.Index != int64(first+i) {
				t.Fatalf("quote %d is of entry %d", i, q.Index)
			}
		}
		if len(all) != n {
			t.Fatalf("%d quotes, want %d", len(all), n)
		}
		if names, err := db.Names(t.Context(), original("front")); err != nil || !names {
			t.Errorf("the photograph of a quoted entry is nobody's: %v", err)
		}
		segment, err := db.Segment(t.Context(), r.own, 0, journal.MaxSegmentBytes)
		if err != nil || len(segment.Thumbs) != 1 {
			t.Errorf("%d thumbnails travel with the quotes, want 1: %v", len(segment.Thumbs), err)
		}
		for ref, raw := range segment.Thumbs {
			if ref != sha256.Sum256(raw) {
				t.Error("the thumbnail is another one")
			}
		}
	}
}

// largest is about as large as an entry can be.
func largest() journal.Draft {
	const samples = 5900
	trace := &journal.ProbeTrace{Unit: journal.UnitCelsius}
	var seconds, readings strings.Builder
	for i := range samples {
		fmt.Fprintf(&seconds, "%d ", i)
		fmt.Fprintf(&readings, "%d.25 ", 100+i%100)
	}
	trace.Seconds = journal.Series(strings.TrimSpace(seconds.String()))
	for i := range 4 {
		trace.Channels = append(trace.Channels, journal.Channel{Channel: fmt.Sprint(i), Readings: journal.Readings(strings.TrimSpace(readings.String()))})
	}
	return journal.Draft{Subject: journal.Of("run", string(journaltest.Bake)), By: journaltest.Io, Data: trace}
}

// What cannot be quoted is left and named: quotes, what only the hub may write,
// bytes that are not an entry, and a log that another key signed.
func TestTakingOverLeavesWhatNobodyMayQuote(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("one"), withdrawal("front"))
	if _, err := db.TakeOver(t.Context(), db, sqlitelog.Lost{Device: journaltest.Bench, Branch: journal.RevokedBranch}, false); err != nil {
		t.Fatal(err)
	}
	closeDB(t, db)
	r.own = "bench2"
	db = r.open(t)
	haul, err := db.TakeOver(t.Context(), db, sqlitelog.Lost{Device: journaltest.Bench, Branch: journal.RevokedBranch}, true)
	if err != nil || len(haul.Left) != 2 || haul.Left[0].Index != 1 || haul.Left[1].Index != 2 || haul.Before != 1 || len(haul.Taken) != 0 {
		t.Errorf("%+v, %v", haul, err)
	}
}

// A database whose log another key signed proves nothing.
func TestTakingOverNeedsTheRegistersKey(t *testing.T) {
	honest := newRig(t, journaltest.Bench)
	from := honest.open(t)
	appendTo(t, from, note("one"))
	to := newRig(t, "bench2").open(t)
	other, err := sqlitelog.OpenToRead(t.Context(), honest.path)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	lost := sqlitelog.Lost{Device: journaltest.Bench, Branch: journal.RevokedBranch}
	if _, err := to.TakeOver(t.Context(), other, lost, true); err == nil {
		t.Error("a device that the register does not know was quoted")
	}
	if err := to.Know(t.Context(), journaltest.Bench, honest.keys[journaltest.Office].Verifier()); err != nil {
		t.Fatal(err)
	}
	if haul, err := to.TakeOver(t.Context(), other, lost, true); err != nil || len(haul.Left) != 1 || len(haul.Taken) > 0 {
		t.Errorf("%+v, %v", haul, err)
	}
}

// Whatever operation fails, who begins again has the customer's card too.
func TestTakingOverBringsTheCard(t *testing.T) {
	lostRig := newRig(t, journaltest.Bench)
	from := lostRig.open(t)
	card, err := journal.NewCard("c7w1m3e9", journal.Details{Name: "N. Ample"}, journaltest.Rand("a card"))
	if err != nil {
		t.Fatal(err)
	}
	to, err := card.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	appendTo(t, from, journal.Draft{Subject: journal.Of("card", string(card.Card)), By: journaltest.Io, Data: &journal.CardWriting{Card: card.Card, Commitment: to}})
	if err := from.SaveCard(t.Context(), journal.CardState{Card: card, Changed: entryID(1)}); err != nil {
		t.Fatal(err)
	}
	lost := sqlitelog.Lost{Device: journaltest.Bench, Branch: journal.RevokedBranch}
	for n, failed := 0, true; failed; n++ {
		r := newRig(t, "bench2")
		var f *faults
		f, r.fault = newFaults(t)
		db := r.open(t)
		if err := db.Know(t.Context(), journaltest.Bench, lostRig.keys[journaltest.Bench].Verifier()); err != nil {
			t.Fatal(err)
		}
		f.fail(n, false, "")
		_, err := db.TakeOver(t.Context(), from, lost, false)
		if failed = f.rest(); failed != (err != nil) {
			t.Fatalf("operation %d failed is %t, and taking over gives %v", n, failed, err)
		}
		closeDB(t, db)
		r.fault = ""
		db = r.open(t)
		if _, err := db.TakeOver(t.Context(), from, lost, false); err != nil {
			t.Fatal(err)
		}
		if got, err := db.Card(t.Context(), card.Card); err != nil || got.Details != card.Details {
			t.Fatalf("after operation %d had failed, the card is %+v, %v", n, got, err)
		}
		if n := len(quotes(t, db, r.own)); n != 1 {
			t.Fatalf("%d quotes", n)
		}
	}
}
