package sqlitelog_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// cardState is a written card; the greater stamp is the newer.
func cardState(t testing.TB, card journal.CardID, name string, stamp byte) journal.CardState {
	t.Helper()
	c, err := journal.NewCard(card, journal.Details{Name: name, Phone: "0123 " + name, Address: "behind " + name}, journaltest.Rand(name))
	if err != nil {
		t.Fatal(err)
	}
	c.Written = entryID(stamp)
	return journal.CardState{Card: c, Changed: c.Written}
}

func erased(card journal.CardID, stamp byte) journal.CardState {
	return journal.CardState{Card: journal.Card{Card: card}, Erased: true, Changed: entryID(stamp)}
}

func entryID(stamp byte) journal.EntryID {
	return journal.EntryID{1, 0x95, 0xa3, 0xc1, 0x7e, stamp, 0x70, 1, 0x9c, 0x3a, 0x5d, 0x1f, 0x0a, 0x6b, 0x7c, 0x8d}
}

func TestNewestCardWins(t *testing.T) {
	for name, c := range map[string]struct {
		come []journal.CardState
		want string // "" is erased
	}{
		"in order":               {[]journal.CardState{cardState(t, "c1", "old", 1), cardState(t, "c1", "new", 2)}, "new"},
		"the old one comes late": {[]journal.CardState{cardState(t, "c1", "new", 2), cardState(t, "c1", "old", 1)}, "new"},
		"twice the same":         {[]journal.CardState{cardState(t, "c1", "new", 2), cardState(t, "c1", "new", 2)}, "new"},
		"erased":                 {[]journal.CardState{cardState(t, "c1", "old", 1), erased("c1", 2)}, ""},
		"erased, then a late copy of the card": {
			[]journal.CardState{cardState(t, "c1", "old", 1), erased("c1", 2), cardState(t, "c1", "old", 1), cardState(t, "c1", "newer", 3)}, ""},
		"erased before it came":                          {[]journal.CardState{erased("c1", 2), cardState(t, "c1", "old", 1)}, ""},
		"erased by an older entry than its last writing": {[]journal.CardState{cardState(t, "c1", "new", 3), erased("c1", 2)}, ""},
		"beside another card":                            {[]journal.CardState{cardState(t, "c1", "one", 1), erased("c2", 9)}, "one"},
	} {
		t.Run(name, func(t *testing.T) {
			db := newRig(t, journaltest.Bench).open(t)
			for _, s := range c.come {
				if err := db.SaveCard(t.Context(), s); err != nil {
					t.Fatal(err)
				}
			}
			got, err := db.Card(t.Context(), "c1")
			if got.Details.Name != c.want || errors.Is(err, journal.ErrCardErased) != (c.want == "") {
				t.Errorf("the card says %q (%v), want %q", got.Details.Name, err, c.want)
			}
		})
	}
}

func TestCardIsNotHere(t *testing.T) {
	db := newRig(t, journaltest.Bench).open(t)
	if _, err := db.Card(t.Context(), "c1"); !errors.Is(err, sqlitelog.ErrNoCard) {
		t.Errorf("got %v", err)
	}
}

// Who follows the revisions sees the last state of every card.
func TestCardsSince(t *testing.T) {
	db := newRig(t, journaltest.Bench).open(t)
	for _, s := range []journal.CardState{
		cardState(t, "c1", "one", 1), cardState(t, "c2", "two", 1), cardState(t, "c1", "one more", 2), erased("c2", 3),
		cardState(t, "c1", "too old", 1), erased("c2", 4), // these change nothing
	} {
		if err := db.SaveCard(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	list, err := db.CardsSince(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || list[0].Card.Details.Name != "one more" || list[0].Changed != entryID(2) || list[0].Rev != 3 ||
		list[1].Card.Card != "c2" || !list[1].Erased || list[1].Changed != entryID(3) || list[1].Rev != 4 || list[1].Card.Details != (journal.Details{}) {
		t.Errorf("got %+v", list)
	}
	if list, err := db.CardsSince(t.Context(), 3); err != nil || len(list) != 1 || list[0].Card.Card != "c2" {
		t.Errorf("since 3: %+v, %v", list, err)
	}
	if list, err := db.CardsSince(t.Context(), 4); err != nil || len(list) != 0 {
		t.Errorf("since 4: %+v, %v", list, err)
	}
}

// Erased by an entry of the hub, in its own log and where it comes.
func TestCardErasedByAnEntry(t *testing.T) {
	hub, tablet := newRig(t, journaltest.Office), newRig(t, journaltest.Bench)
	dbs := map[*rig]*sqlitelog.DB{hub: hub.open(t), tablet: tablet.open(t)}
	erasing := func(card journal.CardID) journal.Draft {
		return journal.Draft{Subject: journal.Of("card", string(card)), By: journaltest.Io, Data: &journal.CardErasing{Card: card, Reason: "asked for"}}
	}
	for _, db := range dbs {
		for _, card := range []journal.CardID{"c1", "c2", "c3"} {
			if err := db.SaveCard(t.Context(), cardState(t, card, "name of "+string(card), 1)); err != nil {
				t.Fatal(err)
			}
		}
	}
	appendTo(t, dbs[hub], note("before"), erasing("c1"))
	receive(t, dbs[tablet], segment(t, dbs[hub], journaltest.Office, 0))
	appendTo(t, dbs[tablet], erasing("c2")) // not the tablet's to say
	if err := dbs[hub].Know(t.Context(), journaltest.Bench, tablet.keys[journaltest.Bench].Verifier()); err != nil {
		t.Fatal(err)
	}
	receive(t, dbs[hub], segment(t, dbs[tablet], journaltest.Bench, 0))
	for r, db := range dbs {
		for card, want := range map[journal.CardID]error{"c1": journal.ErrCardErased, "c2": nil, "c3": nil} {
			if _, err := db.Card(t.Context(), card); !errors.Is(err, want) {
				t.Errorf("at %s card %s: got %v, want %v", r.own, card, err, want)
			}
		}
		r.check(t)
	}
}

// holds lists the files of a database in which a text can be read.
func holds(t testing.TB, path, text string) (files []string) {
	t.Helper()
	for _, end := range []string{"", "-wal", "-shm", "-journal"} {
		raw, err := os.ReadFile(path + end)
		if err == nil && bytes.Contains(raw, []byte(text)) {
			files = append(files, end)
		}
	}
	return files
}

// Erased details and withdrawn thumbnails cannot be read in any file of the
// database, also after pages were split, filled again and rewritten.
func TestErasedBytesAreGone(t *testing.T) {
	r := newRig(t, journaltest.Office)
	db := r.open(t)
	const cards, editions = 120, 3
	name := func(card, edition int) string {
		return fmt.Sprintf("Nobody No %d-%d. %s", card, edition, bytes.Repeat([]byte{'.'}, card*3))
	}
	for edition := range editions {
		for card := range cards {
			if err := db.SaveCard(t.Context(), cardState(t, journal.CardID(fmt.Sprintf("c%d", card)), name(card, edition), byte(edition+1))); err != nil {
				t.Fatal(err)
			}
		}
	}
	for i := range 30 {
		appendTo(t, db, picture(fmt.Sprint(i), 100+i*2000))
	}
	if err := db.Shred(t.Context()); err != nil {
		t.Fatal(err)
	}
	if len(holds(t, r.path, "Nobody No 7-2.")) == 0 || len(holds(t, r.path, string(picture("7", 14100).Thumbs[0][14000:]))) == 0 {
		t.Fatal("this test cannot read what has not been erased")
	}

	for card := 0; card < cards; card += 2 {
		if err := db.SaveCard(t.Context(), erased(journal.CardID(fmt.Sprintf("c%d", card)), 9)); err != nil {
			t.Fatal(err)
		}
	}
	for i := 0; i < 30; i += 2 {
		appendTo(t, db, withdrawal(fmt.Sprint(i)))
	}
	if err := db.Shred(t.Context()); err != nil {
		t.Fatal(err)
	}
	for card := range cards {
		for edition := range editions {
			gone := card%2 == 0 || edition < editions-1
			if files := holds(t, r.path, fmt.Sprintf("Nobody No %d-%d.", card, edition)); gone != (len(files) == 0) {
				t.Errorf("card %d, edition %d: erased or replaced %v, to be read in %q", card, edition, gone, files)
			}
		}
	}
	for i := range 30 {
		thumb := picture(fmt.Sprint(i), 100+i*2000).Thumbs[0]
		for _, part := range [][]byte{thumb[:24], thumb[len(thumb)/2:][:24], thumb[len(thumb)-24:]} {
			if files := holds(t, r.path, string(part)); i%2 == 0 && len(files) > 0 || i%2 == 1 && len(files) == 0 {
				t.Errorf("thumbnail %d: withdrawn %v, to be read in %q", i, i%2 == 0, files)
			}
		}
	}
	r.check(t)
}

// A reader that holds the old state keeps the old bytes on the disk; Shred
// says so.
func TestShredSaysWhenAReaderIsInTheWay(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	if err := db.SaveCard(t.Context(), cardState(t, "c1", "Nobody at all", 1)); err != nil {
		t.Fatal(err)
	}
	tx, err := db.ReadTx(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var n int
	if err := tx.QueryRowContext(t.Context(), `SELECT count(*) FROM cards`).Scan(&n); err != nil {
		t.Fatal(err)
	}
	if err := db.SaveCard(t.Context(), erased("c1", 2)); err != nil {
		t.Fatal(err)
	}
	if err := db.Raw(t.Context(), `PRAGMA busy_timeout(20)`); err != nil {
		t.Fatal(err)
	}
	if err := db.Shred(t.Context()); err == nil {
		t.Errorf("Shred reports success; the name can be read in %q", holds(t, r.path, "Nobody at all"))
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	if err := db.Shred(t.Context()); err != nil {
		t.Error(err)
	}
	if files := holds(t, r.path, "Nobody at all"); len(files) > 0 {
		t.Errorf("the name can be read in %q", files)
	}
}
