package segment_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

type noise struct{ r *rand.Rand }

func newNoise() noise { return noise{rand.New(rand.NewPCG(1, 2))} }

func (n noise) bytes(size int) []byte {
	b := make([]byte, size)
	for i := range b {
		b[i] = byte(n.r.Uint32())
	}
	return b
}

func FuzzDecode(f *testing.F) {
	c := newCodec(f)
	raw, err := c.Encode(sample())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(raw)
	f.Add(raw[:len(raw)/2])
	f.Fuzz(func(t *testing.T, raw []byte) {
		if n := segment.Weight(raw); n < int64(len(raw)) || n > max(segment.MaxOpened, int64(len(raw))) {
			t.Errorf("%d bytes weigh %d", len(raw), n)
		}
		s, err := c.Decode(raw)
		if err != nil {
			return
		}
		again, err := c.Encode(s)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Decode(again); err != nil {
			t.Errorf("what was read cannot be written: %v", err)
		}
	})
}

func FuzzParseInvitation(f *testing.F) {
	f.Add(invitation().String())
	f.Add("FETTLE1.")
	f.Add("FETTLE1.oA")
	f.Fuzz(func(t *testing.T, text string) {
		i, err := segment.ParseInvitation(text)
		if err != nil {
			return
		}
		if again, err := segment.ParseInvitation(i.String()); err != nil || again.String() != i.String() {
			t.Errorf("%+v does not come back: %+v, %v", i, again, err)
		}
	})
}

func FuzzParseWait(f *testing.F) {
	f.Add([]byte("1796020000"))
	f.Add([]byte("-1"))
	f.Add([]byte(""))
	f.Fuzz(func(t *testing.T, raw []byte) {
		at, err := segment.ParseWait(raw)
		if err != nil {
			return
		}
		if again, err := segment.ParseWait(segment.WaitUntil(at)); err != nil || !again.Equal(at) {
			t.Errorf("%q is %v and comes back as %v, %v", raw, at, again, err)
		}
	})
}

func FuzzUnmarshalQuestions(f *testing.F) {
	c := newCodec(f)
	for _, q := range []any{
		segment.Greeting{Holds: []segment.Reach{{Device: "t3fz8c1n", Size: 3}}, Clock: &segment.Skew{Offset: 1}, Sent: 2},
		segment.RangeAsk{Device: "t3fz8c1n", From: 3},
		segment.GiveAsk{Segment: []byte("x")},
		segment.CardsAsk{Since: 3, Cards: []segment.Card{{Card: "cu1", Details: journal.Details{Name: "A. Example"}, Salt: make([]byte, 32), Changed: make([]byte, 16)}}},
		segment.PhotoAsk{Ref: make([]byte, 32), Size: 9, Data: []byte("y")},
		segment.WantedAsk{After: make([]byte, 32)},
		segment.WantedReply{Originals: [][]byte{make([]byte, 32)}, More: true, Receipts: []segment.Window{{Device: "t3fz8c1n", From: 3, Until: 5}}},
		segment.ReceiptsAsk{Device: "t3fz8c1n", From: 3, Countersigned: [][]byte{[]byte("a note")}},
	} {
		raw, err := c.Marshal(q)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		var cards segment.CardsAsk
		if c.Unmarshal(raw, &cards) == nil {
			for _, card := range cards.Cards {
				card.State()
			}
		}
		for _, q := range []any{&segment.Greeting{}, &segment.RangeAsk{}, &segment.GiveAsk{}, &segment.PhotoAsk{}, &segment.WantedAsk{}, &segment.WantedReply{}, &segment.ReceiptsAsk{}, &segment.Answer{}, &segment.Welcome{}} {
			c.Unmarshal(raw, q)
		}
	})
}

func invitation() segment.Invitation {
	return segment.Invitation{Shop: "k7m2q4xw", Addresses: []string{"192.0.2.7:4223"}, Fingerprint: "0a1b", Token: []byte("sixteen bytes ok"),
		Expires: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC).Unix(), Name: "bench 1", ShopName: "Backyard Brakes"}
}
