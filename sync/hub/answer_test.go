package hub_test

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/sync/segment"
)

func refused(t *testing.T, err error, with string) {
	t.Helper()
	var no refusal
	if !errors.As(err, &no) || !strings.Contains(no.Error(), with) {
		t.Errorf("got %v, want a no with %q", err, with)
	}
}

func TestQuestionsThatAreNone(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	refused(t, r.ask(tab.device, "coffee", nil, nil), "does not know this question")
	for _, what := range []segment.What{segment.Greet, segment.Range, segment.Give, segment.Cards, segment.Offer, segment.Chunk, segment.Confirm} {
		refused(t, r.askRaw(tab.device, what, []byte("garbage"), nil), "cannot be read")
	}
	refused(t, r.ask(tab.device, segment.Give, segment.GiveAsk{Segment: []byte("garbage")}, nil), "cannot be read")
	refused(t, r.ask(tab.device, segment.Give, segment.GiveAsk{Segment: r.encode(tab.write(1))}, nil), "gives other devices’ logs")
	refused(t, r.ask(tab.device, segment.Offer, segment.PhotoAsk{Ref: []byte{1, 2}}, nil), "32 bytes")
	refused(t, r.ask(tab.device, segment.Offer, segment.PhotoAsk{Ref: make([]byte, 32), Size: 5}, nil), "no entry at the hub names this photo")
	refused(t, r.ask(tab.device, segment.Cards, segment.CardsAsk{Cards: []segment.Card{{Card: "c1", Changed: []byte{1}}}}, nil), "malformed")
}

// An answer goes into the inbox of the device that asks, wherever it wants it.
func TestAnswersGoToWhoAsks(t *testing.T) {
	r := open(t)
	one, two := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	heard, err := r.conn.SubscribeSync(">")
	must(t, err)
	raw, err := r.codec.Marshal(segment.Greeting{})
	must(t, err)
	astray := []string{segment.Inbox(two.device) + ".x", segment.LogSubject(r.shop, two.device), segment.Inbox(one.device) + "x.y"}
	for _, reply := range astray {
		must(t, r.conn.PublishRequest(segment.AskSubject(r.shop, one.device, segment.Greet), reply, raw))
	}
	must(t, r.conn.Publish(segment.AskSubject(r.shop, one.device, segment.Greet), raw))
	const proper = 20 // more than are under way at once, so that those before are over
	for range proper {
		must(t, r.ask(one.device, segment.Greet, segment.Greeting{}, new(segment.Welcome)))
	}
	must(t, r.conn.Flush())
	answers := 0
	for n, _, err := heard.Pending(); n > 0; n, _, err = heard.Pending() {
		must(t, err)
		m, err := heard.NextMsg(patience)
		must(t, err)
		if slices.Contains(astray, m.Subject) {
			t.Errorf("the hub said something on %s", m.Subject)
		}
		if strings.HasPrefix(m.Subject, segment.Inbox(one.device)+".") {
			answers++
		}
	}
	if answers != proper {
		t.Errorf("%d answers, want %d", answers, proper)
	}
}

func TestGreeting(t *testing.T) {
	r := open(t)
	one, two := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(one.device, r.encode(one.write(5)))
	r.countersigned(one, 5)
	var w segment.Welcome
	must(t, r.ask(one.device, segment.Greet, segment.Greeting{Holds: []segment.Reach{
		{Device: one.device, Size: 9}, {Device: two.device, Size: 3}, {Device: r.device, Size: 1}, {Device: "t3cccccc", Size: 2},
	}}, &w))
	tree := new(proof.Tree)
	for _, raw := range one.log {
		tree.Append(raw)
	}
	if w.Hub != r.device || w.Closed != "" || w.Root != tree.Root() {
		t.Errorf("welcome of %s, closed %q, root %x, want %x", w.Hub, w.Closed, w.Root, tree.Root())
	}
	if !slices.Contains(w.Holds, segment.Reach{Device: one.device, Size: 5, Countersigned: 5}) {
		t.Errorf("the hub holds %v", w.Holds)
	}
	// Its own log comes through the stream, and of the hub's log it has less.
	if want := []segment.Reach{{Device: two.device}, {Device: "t3cccccc"}}; !slices.Equal(w.Wants, want) {
		t.Errorf("the hub wants %v, want %v", w.Wants, want)
	}
	if w.Answered < w.Received {
		t.Error("answered before it was received")
	}
	if _, ok := r.hub.Heard()[one.device]; !ok {
		t.Error("the greeting was not noted")
	}
}

// A clock is written down the first time and when it moved; a measurement over
// a slow line, and one of who is not enrolled, say nothing.
func TestGreetingComparesClocks(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	greet := func(device journal.DeviceID, offset, trip time.Duration) {
		t.Helper()
		must(t, r.ask(device, segment.Greet, segment.Greeting{Clock: &segment.Skew{Offset: offset, RoundTrip: trip}}, new(segment.Welcome)))
	}
	for _, v := range []struct {
		device       journal.DeviceID
		offset, trip time.Duration
		want         int
	}{
		{tab.device, time.Hour, 3 * time.Second, 0},
		{tab.device, time.Hour, -time.Second, 0},
		{tab.device, time.Hour, time.Millisecond, 1},
		{tab.device, time.Hour + 2*time.Second, time.Millisecond, 1},
		{tab.device, time.Hour - 3*time.Second, time.Millisecond, 2},
		{tab.device, 0, time.Millisecond, 3},
	} {
		greet(v.device, v.offset, v.trip)
		if got := count[*journal.ClockReading](r.register()); got != v.want {
			t.Errorf("offset %v over %v: %d readings, want %d", v.offset, v.trip, got, v.want)
		}
	}
}

// A range comes in pieces that another log verifies, with the receipts since.
func TestRange(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	for n := range 3 {
		r.send(tab.device, r.encode(tab.write(4)))
		r.countersigned(tab, 4*(n+1))
	}
	var reply segment.RangeReply
	other := r.joined("t2bbbbbb").device
	must(t, r.ask(other, segment.Range, segment.RangeAsk{Device: tab.device, From: 5, Countersigned: 4}, &reply))
	s, err := r.codec.Decode(reply.Segment)
	must(t, err)
	if s.Device != tab.device || s.First != 5 || !slices.EqualFunc(s.Entries, tab.log[5:12], bytes.Equal) {
		t.Errorf("got %d entries of %s from %d", len(s.Entries), s.Device, s.First)
	}
	if len(reply.Countersigned) != 2 {
		t.Errorf("%d receipts after the first 4 entries, want those over 8 and 12", len(reply.Countersigned))
	}
	reply = segment.RangeReply{}
	for _, q := range []segment.RangeAsk{{Device: tab.device, From: 12, Countersigned: 12}, {Device: tab.device, From: 99, Countersigned: 99}, {Device: "nobody"}} {
		must(t, r.ask(other, segment.Range, q, &reply))
		if reply.Segment != nil || reply.Countersigned != nil {
			t.Errorf("something came for %+v, where there is no more", q)
		}
	}
}

// What a device gives back of another's log is verified like anything else,
// and lies in the stream afterwards.
func TestGive(t *testing.T) {
	r := open(t)
	lost, giver := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	s := lost.write(3)
	bad := lost.segment(0, 3)
	bad.Entries[0] = bytes.Replace(bad.Entries[0], []byte("true"), []byte("null"), 1)
	refused(t, r.ask(giver.device, segment.Give, segment.GiveAsk{Segment: r.encode(bad)}, nil), "root that the device signed")
	if len(r.quarantined(giver.device)) != 1 || len(r.quarantined(lost.device)) != 0 || r.size(lost) != 0 {
		t.Errorf("a changed byte: in quarantine %q of who gave it and %q of whose log it is said to be, countersigned %d",
			r.quarantined(giver.device), r.quarantined(lost.device), r.size(lost))
	}
	must(t, r.ask(giver.device, segment.Give, segment.GiveAsk{Segment: r.encode(s)}, nil))
	if r.size(lost) != 3 {
		t.Errorf("countersigned %d, want 3", r.size(lost))
	}
	r.restart(database...) // from the stream alone
	r.ready()
	r.countersigned(lost, 3)
}

// An original arrives in pieces in any order, and is confirmed when its hash
// is the one that an entry names.
func TestOriginals(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	picture := mediatest.JPEG(mediatest.Noise(700, 700, 3), 95, nil)
	thumb := []byte("a thumbnail")
	shot := journal.Photo{Ref: media.RefOf(picture), Thumb: media.RefOf(thumb), Role: "bore masked"}
	tab.add(tab.entry(&journal.Snapshot{}, shot))
	s := tab.segment(0, 1)
	s.Thumbs[shot.Thumb] = thumb
	r.send(tab.device, r.encode(s))
	r.countersigned(tab, 1)

	offer := segment.PhotoAsk{Ref: shot.Ref[:], Size: int64(len(picture))}
	var reply segment.PhotoReply
	must(t, r.ask(tab.device, segment.Offer, offer, &reply))
	if reply.Here || len(reply.Missing) < 2 {
		t.Fatalf("offered %d bytes: %+v, want several pieces missing", len(picture), reply)
	}
	piece := func(i int, change func([]byte)) {
		t.Helper()
		q := offer
		q.Index = i
		q.Data = bytes.Clone(picture[i*media.ChunkSize:][:media.ChunkLen(offer.Size, i)])
		if change != nil {
			change(q.Data)
		}
		must(t, r.ask(tab.device, segment.Chunk, q, nil))
	}
	slices.Reverse(reply.Missing)
	for _, i := range reply.Missing[1:] {
		piece(i, nil)
	}
	if err := r.ask(tab.device, segment.Confirm, offer, new(segment.PhotoReply)); err == nil {
		t.Error("confirmed with a piece missing")
	}
	piece(reply.Missing[0], func(b []byte) { b[0]++ })
	if err := r.ask(tab.device, segment.Confirm, offer, new(segment.PhotoReply)); err == nil {
		t.Error("confirmed with other bytes than were named")
	}
	reply = segment.PhotoReply{}
	must(t, r.ask(tab.device, segment.Offer, offer, &reply))
	for _, i := range reply.Missing {
		piece(i, nil)
	}
	reply = segment.PhotoReply{}
	must(t, r.ask(tab.device, segment.Confirm, offer, &reply))
	if !reply.Here {
		t.Error("not confirmed")
	}
	f, size, err := r.photos.Open(t.Context(), shot.Ref)
	must(t, err)
	defer f.Close()
	if size != int64(len(picture)) {
		t.Errorf("%d bytes are here, want %d", size, len(picture))
	}
	reply = segment.PhotoReply{}
	must(t, r.ask(r.joined("t2bbbbbb").device, segment.Offer, segment.PhotoAsk{Ref: shot.Ref[:]}, &reply))
	if !reply.Here {
		t.Error("offered again it is not here")
	}
}
