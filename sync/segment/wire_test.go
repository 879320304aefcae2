package segment_test

import (
	"bytes"
	"errors"
	"testing"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"

	"github.com/google/go-cmp/cmp"
	"github.com/klauspost/compress/zstd"
)

func newCodec(t testing.TB) *segment.Codec {
	t.Helper()
	c, err := segment.NewCodec()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

func sample() journal.Segment {
	thumb := []byte("a thumbnail")
	return journal.Segment{Device: "t3fz8c1n", First: 7, Entries: [][]byte{[]byte(`{"a":1}`), []byte(`{"b":2}`)},
		Thumbs: map[media.Ref][]byte{media.RefOf(thumb): thumb}, Checkpoint: []byte("a checkpoint\n")}
}

func TestASegmentSurvivesTheWire(t *testing.T) {
	c := newCodec(t)
	raw, err := c.Encode(sample())
	if err != nil {
		t.Fatal(err)
	}
	got, err := c.Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(sample(), got); d != "" {
		t.Error(d)
	}
}

// The largest segment that a log cuts fits one broker message, also where
// nothing of it compresses, and also inside a question that carries it.
func TestTheLargestSegmentFits(t *testing.T) {
	c := newCodec(t)
	s := journal.Segment{Device: "t3fz8c1n", Checkpoint: bytes.Repeat([]byte("x"), 400), Thumbs: map[media.Ref][]byte{}}
	noise, total := newNoise(), 0
	for total+700 <= journal.MaxSegmentBytes {
		s.Entries = append(s.Entries, noise.bytes(700))
		total += 700
	}
	raw, err := c.Encode(s)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Decode(raw); err != nil {
		t.Error(err)
	}
	given, err := c.Marshal(segment.GiveAsk{Segment: raw})
	if err != nil {
		t.Fatal(err)
	}
	var back segment.GiveAsk
	if err := c.Unmarshal(given, &back); err != nil {
		t.Error(err)
	}
	const message = 1 << 20 // a broker's default limit
	if len(raw) > message || len(given) > message {
		t.Errorf("%d and %d bytes do not fit a message of %d", len(raw), len(given), message)
	}
}

// What a message opens to is known before it is opened, and no claim makes it more than may be.
func TestWeight(t *testing.T) {
	c := newCodec(t)
	light, err := c.Marshal(segment.Greeting{})
	if err != nil {
		t.Fatal(err)
	}
	heavy, err := c.Marshal(segment.PhotoAsk{Data: make([]byte, 200<<10)})
	if err != nil {
		t.Fatal(err)
	}
	pack, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]struct {
		raw      []byte
		from, to int64
	}{
		"nothing":           {nil, 0, 0},
		"text":              {[]byte("hello"), 5, 5},
		"a greeting":        {light, 1, 100},
		"a piece of zeros":  {heavy, 200 << 10, 201 << 10},
		"of which is a bit": {heavy[:2], 2, 2},
		"a bomb":            {pack.EncodeAll(make([]byte, 64<<20), nil), segment.MaxOpened, segment.MaxOpened},
	} {
		if got := segment.Weight(want.raw); got < want.from || got > want.to {
			t.Errorf("%s: %d bytes, want %d to %d", name, got, want.from, want.to)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	c := newCodec(t)
	pack, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	good, err := c.Encode(sample())
	if err != nil {
		t.Fatal(err)
	}
	empty := sample()
	empty.Entries = nil
	none, err := c.Encode(empty)
	if err != nil {
		t.Fatal(err)
	}
	for name, raw := range map[string][]byte{
		"nothing":               nil,
		"text":                  []byte("hello"),
		"cut":                   good[:len(good)-3],
		"no entries":            none,
		"a bomb":                pack.EncodeAll(make([]byte, 64<<20), nil),
		"an unknown field":      pack.EncodeAll([]byte{0xa1, 0x18, 0x63, 0x01}, nil),                      // {99: 1}
		"a field twice":         pack.EncodeAll([]byte{0xa2, 0x01, 0x01, 0x01, 0x01}, nil),                // {1: 1, 1: 1}
		"more after the end":    pack.EncodeAll([]byte{0xa1, 0x01, 0x01, 0x00}, nil),                      // {1: 1} 0
		"an endless list":       pack.EncodeAll([]byte{0xa1, 0x04, 0x9f, 0x41, 0x61, 0xff}, nil),          // {4: [_ h'61']}
		"a list without bounds": pack.EncodeAll([]byte{0xa1, 0x04, 0x9a, 0xff, 0xff, 0xff, 0xff}, nil),    // {4: [2^32-1 …
		"a newer version":       pack.EncodeAll([]byte{0xa2, 0x01, 0x02, 0x02, 0x63, 'a', 'b', 'c'}, nil), // {1: 2, 2: "abc"}
	} {
		if _, err := c.Decode(raw); !errors.Is(err, segment.ErrWire) {
			t.Errorf("%s: got %v, want %v", name, err, segment.ErrWire)
		}
	}
}
