package hub_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// Of what one tablet sends and nobody can verify a few megabytes are kept; somebody who
// empties quarantine makes room again, and keeps what proves that a log has two histories.
func TestQuarantineHasAnEnd(t *testing.T) {
	r := open(t)
	tab, torn := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	r.send(torn.device, r.encode(torn.write(3)))
	torn.log = torn.log[:1:1]
	r.send(torn.device, r.encode(torn.write(3)))
	junk := func(n int) []byte { return bytes.Repeat([]byte(fmt.Sprintf("%08d", n)), 16<<10) } // 128 KiB
	for n := range 40 {
		r.send(tab.device, junk(n))
	}
	kept := len(r.quarantined(tab.device))
	if kept == 0 || kept > 32 {
		t.Errorf("%d of 40 messages are kept, 5 MB came and 4 are kept", kept)
	}
	proofs := len(r.quarantined(torn.device))
	must(t, r.db.DiscardQuarantine(t.Context()))
	r.hub.ForgetKept()
	if n := len(r.quarantined(torn.device)); len(r.quarantined(tab.device)) != 0 || n != proofs || n == 0 {
		t.Errorf("after it was emptied: %d of the one, %d of %d proofs", len(r.quarantined(tab.device)), n, proofs)
	}
	r.send(tab.device, junk(0))
	if n := len(r.quarantined(tab.device)); n != 1 {
		t.Errorf("%d messages are kept after that, want 1", n)
	}
}

// However many sizes of a photograph a tablet begins, a few are kept; and what another
// tablet brings of the same stays.
func TestUnfinishedOriginalsHaveAnEnd(t *testing.T) {
	r := open(t)
	tab, other := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	thumb := []byte("a thumbnail")
	shot := journal.Photo{Ref: media.RefOf([]byte("an original")), Thumb: media.RefOf(thumb), Role: "bore masked"}
	tab.add(tab.entry(&journal.Snapshot{}, shot))
	s := tab.segment(0, 1)
	s.Thumbs[shot.Thumb] = thumb
	r.send(tab.device, r.encode(s))
	piece := func(device journal.DeviceID, size int64) {
		t.Helper()
		must(t, r.ask(device, segment.Chunk, segment.PhotoAsk{Ref: shot.Ref[:], Size: size, Data: make([]byte, media.ChunkLen(size, 0))}, nil))
	}
	missing := func(size int64) int {
		t.Helper()
		list, err := r.photos.Missing(t.Context(), shot.Ref, size)
		must(t, err)
		return len(list)
	}
	const honest = media.ChunkSize + 1
	piece(other.device, honest)
	begun := 0
	for n := range int64(20) {
		piece(tab.device, honest+n)
	}
	for n := range int64(20) {
		if missing(honest+n) == 1 {
			begun++
		}
	}
	if begun > 5 || missing(honest) != 1 {
		t.Errorf("%d sizes are kept; of what another brings %d pieces are missing", begun, missing(honest))
	}
}

// A clock that moves at every greeting is written down so often a day and no more.
func TestClockReadingsHaveAnEnd(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	greet := func(n int) {
		t.Helper()
		must(t, r.ask(tab.device, segment.Greet, segment.Greeting{Clock: &segment.Skew{Offset: time.Duration(n) * time.Hour}}, new(segment.Welcome)))
	}
	for n := range 60 {
		greet(n)
	}
	if n := count[*journal.ClockReading](r.register()); n != 24 {
		t.Errorf("%d readings, want 24", n)
	}
	r.ahead.Store(int64(25 * time.Hour))
	greet(99)
	if n := count[*journal.ClockReading](r.register()); n != 25 {
		t.Errorf("%d readings on the next day, want 25", n)
	}
}

// Cards that wait for entries that never come take so much memory and no more.
func TestWaitingCardsHaveAnEnd(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	card := func(n, size int) segment.CardsAsk {
		return segment.CardsAsk{Cards: []segment.Card{{Card: journal.CardID(fmt.Sprintf("c%07d", n)),
			Details: journal.Details{Name: string(bytes.Repeat([]byte("x"), size))}, Salt: make([]byte, len(journal.Salt{})), Changed: make([]byte, len(journal.EntryID{}))}}}
	}
	refused(t, r.ask(tab.device, segment.Cards, card(0, 600<<10), new(segment.CardsReply)), "are allowed")
	held := 0
	for n := range 700 {
		if err := r.ask(tab.device, segment.Cards, card(n, 7<<10), new(segment.CardsReply)); err != nil {
			refused(t, err, "first needs the entries")
			break
		}
		held++
	}
	if held == 0 || held*7<<10 > 4<<20 {
		t.Errorf("%d cards of 7 KiB wait, 4 MiB may", held)
	}
	must(t, r.ask(r.joined("t4gg8c1n").device, segment.Cards, card(1, 100), new(segment.CardsReply))) // another has room of its own
}

// Who gives a hub back what another gave it a moment before is not taken for somebody who
// sends what is of no use.
func TestGivenByTwo(t *testing.T) {
	r := open(t)
	one, two := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	lost := r.encode(one.write(3))
	r.send(one.device, lost)
	for range 40 {
		must(t, r.ask(two.device, segment.Give, segment.GiveAsk{Segment: lost}, nil))
	}
	for of, part := range r.hub.Spent(two.device) {
		if part > 0.001 {
			t.Errorf("%.4f of what may be sent %s was spent by giving it back", part, of)
		}
	}
	r.send(one.device, lost) // its own, again and again, is of no use
	r.until("it to be counted", func() bool { return r.hub.Spent(one.device)["of no use"] > 0 })
}

// Who was cut off comes in again after an hour, and has paid for nothing by then.
func TestARestEnds(t *testing.T) {
	r := open(t)
	tab, other := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	inbox := segment.Inbox(tab.device) + ".x"
	for range 4100 {
		must(t, r.conn.PublishRequest(segment.AskSubject(r.shop, tab.device, "coffee"), inbox, nil))
	}
	r.until("it to be cut off", func() bool { return !r.in(tab.device) })
	if list := r.hub.Resting(); len(list) != 1 || !r.in(other.device) {
		t.Errorf("kept out are %v", list)
	}
	r.ahead.Store(int64(50 * time.Minute))
	r.invite("bench", time.Hour) // so that the hub looks
	if r.in(tab.device) {
		t.Error("let in after fifty minutes")
	}
	r.ahead.Store(int64(61 * time.Minute))
	r.invite("bench", 2*time.Hour)
	r.until("it to be let in", func() bool { return r.in(tab.device) })
	must(t, r.ask(tab.device, segment.Greet, segment.Greeting{}, new(segment.Welcome)))
	if list := r.hub.Resting(); len(list) != 0 {
		t.Errorf("kept out are %v", list)
	}
}
