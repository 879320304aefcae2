package segment

import (
	"errors"
	"fmt"
	"sync"

	"fettlebook/journal"
	"fettlebook/media"

	"github.com/fxamacker/cbor/v2"
	"github.com/klauspost/compress/zstd"
)

// MaxOpened caps what a message may grow to when decompressed: a segment
// with its framing, and no more.
const MaxOpened = journal.MaxSegmentBytes + 128<<10

// ErrWire is wrapped when a message cannot be read.
var ErrWire = errors.New("this message cannot be read")

// Codec writes and reads the wire form. It is safe for concurrent use.
type Codec struct {
	write cbor.EncMode
	read  cbor.DecMode
	pack  *zstd.Encoder
	open  *zstd.Decoder
	close sync.Once
}

// NewCodec makes a codec. Close it when done.
func NewCodec() (*Codec, error) {
	write, err := cbor.CoreDetEncOptions().EncMode()
	if err != nil {
		return nil, fmt.Errorf("set up cbor: %w", err)
	}
	read, err := cbor.DecOptions{
		DupMapKey:         cbor.DupMapKeyEnforcedAPF,
		ExtraReturnErrors: cbor.ExtraDecErrorUnknownField,
		IndefLength:       cbor.IndefLengthForbidden,
		TagsMd:            cbor.TagsForbidden,
		MaxNestedLevels:   8,
		MaxArrayElements:  1 << 16,
		MaxMapPairs:       1 << 12,
	}.DecMode()
	if err != nil {
		return nil, fmt.Errorf("set up cbor: %w", err)
	}
	// Thumbnails do not compress; entries do at any level.
	pack, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(2), zstd.WithWindowSize(1<<20))
	if err != nil {
		return nil, fmt.Errorf("set up zstd: %w", err)
	}
	open, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(2), zstd.WithDecoderMaxMemory(MaxOpened), zstd.WithDecodeAllCapLimit(false))
	if err != nil {
		return nil, fmt.Errorf("set up zstd: %w", err)
	}
	return &Codec{write: write, read: read, pack: pack, open: open}, nil
}

// Close frees the codec's buffers.
func (c *Codec) Close() {
	c.close.Do(func() {
		c.pack.Close()
		c.open.Close()
	})
}

// wire is a segment's form on the wire. Keys are numbers that never change
// their meaning; new ones are added at the end.
type wire struct {
	Version    int      `cbor:"1,keyasint"`
	Device     string   `cbor:"2,keyasint"`
	First      int64    `cbor:"3,keyasint"`
	Entries    [][]byte `cbor:"4,keyasint"`
	Thumbs     [][]byte `cbor:"5,keyasint"` // in no order; their hashes name them
	Checkpoint []byte   `cbor:"6,keyasint"`
}

// Marshal writes any message of this package.
func (c *Codec) Marshal(message any) ([]byte, error) {
	raw, err := c.write.Marshal(message)
	if err != nil {
		return nil, fmt.Errorf("encode message: %w", err)
	}
	return c.pack.EncodeAll(raw, nil), nil
}

// Unmarshal reads any message of this package. Errors wrap [ErrWire].
func (c *Codec) Unmarshal(raw []byte, message any) error {
	opened, err := c.Open(raw)
	if err != nil {
		return err
	}
	return c.Read(opened, message)
}

// Open takes a message out of its compression. Errors wrap [ErrWire].
func (c *Codec) Open(raw []byte) ([]byte, error) {
	opened, err := c.open.DecodeAll(raw, nil)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrWire, err)
	}
	if len(opened) > MaxOpened {
		return nil, fmt.Errorf("%w: it opens to more than %d bytes", ErrWire, MaxOpened)
	}
	return opened, nil
}

// Weight is how many bytes a message opens to, as it says itself, or how many it has where
// those are more or it says nothing. It is not opened for that.
func Weight(raw []byte) int64 {
	var h zstd.Header
	if err := h.Decode(raw[:min(len(raw), zstd.HeaderMaxSize)]); err != nil || !h.HasFCS {
		return int64(len(raw))
	}
	return max(int64(min(h.FrameContentSize, MaxOpened)), int64(len(raw)))
}

// Read reads a message that was opened. Errors wrap [ErrWire].
func (c *Codec) Read(opened []byte, message any) error {
	if err := c.read.Unmarshal(opened, message); err != nil {
		return fmt.Errorf("%w: %w", ErrWire, err)
	}
	return nil
}

// MarshalBody writes the body of an [Answer], which is compressed with it.
func (c *Codec) MarshalBody(reply any) ([]byte, error) {
	if reply == nil {
		return nil, nil
	}
	raw, err := c.write.Marshal(reply)
	if err != nil {
		return nil, fmt.Errorf("encode reply: %w", err)
	}
	return raw, nil
}

// UnmarshalBody reads the body of an [Answer]; reply is nil where none is due.
func (c *Codec) UnmarshalBody(body []byte, reply any) error {
	if reply == nil {
		return nil
	}
	if err := c.read.Unmarshal(body, reply); err != nil {
		return fmt.Errorf("%w: %w", ErrWire, err)
	}
	return nil
}

// Encode writes a segment.
func (c *Codec) Encode(s journal.Segment) ([]byte, error) {
	w := wire{Version: 1, Device: string(s.Device), First: s.First, Entries: s.Entries, Checkpoint: s.Checkpoint}
	for _, t := range s.Thumbs {
		w.Thumbs = append(w.Thumbs, t)
	}
	return c.Marshal(w)
}

// Decode reads a segment. It checks form and size only; whether the bytes
// are the device's is for the log to say.
func (c *Codec) Decode(raw []byte) (journal.Segment, error) {
	var w wire
	if err := c.Unmarshal(raw, &w); err != nil {
		return journal.Segment{}, err
	}
	if w.Version != 1 {
		return journal.Segment{}, fmt.Errorf("%w: it has version %d; update fettlebook here", ErrWire, w.Version)
	}
	var device journal.DeviceID
	if err := device.UnmarshalText([]byte(w.Device)); err != nil {
		return journal.Segment{}, fmt.Errorf("%w: %w", ErrWire, err)
	}
	s := journal.Segment{Device: device, First: w.First, Entries: w.Entries, Checkpoint: w.Checkpoint,
		Thumbs: make(map[media.Ref][]byte, len(w.Thumbs))}
	for _, t := range w.Thumbs {
		s.Thumbs[media.RefOf(t)] = t
	}
	if len(s.Entries) == 0 || s.First < 0 {
		return journal.Segment{}, fmt.Errorf("%w: it holds no entries", ErrWire)
	}
	return s, nil
}
