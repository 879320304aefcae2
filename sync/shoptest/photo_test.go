package shoptest_test

import (
	"bytes"
	"context"
	"io"
	"strings"
	"sync/atomic"
	"testing"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"
)

// snap takes a photo at a tablet: the original into its folder, the entry with
// a thumbnail into its log.
func snap(t *testing.T, tablet *shoptest.Tablet, seed uint64) (media.Photo, []byte) {
	t.Helper()
	original := mediatest.JPEG(mediatest.Noise(900, 700, seed), 95, nil)
	photo, err := media.Receive(t.Context(), tablet.Bench.Photos, bytes.NewReader(original), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if n := media.Chunks(photo.Bytes); n < 3 {
		t.Fatalf("the photo has %d chunks; this test wants more", n)
	}
	thumb := []byte("thumbnail of " + photo.Ref.Hex())
	tablet.Write(journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io", Thumbs: [][]byte{thumb},
		Data: &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: photo.Ref, Thumb: media.RefOf(thumb), Role: "masked bores"}}}}})
	return photo, original
}

func arrived(t *testing.T, shop *shoptest.Shop, tablet *shoptest.Tablet, ref media.Ref, original []byte) {
	t.Helper()
	shoptest.WaitUntil(t, "the original to be confirmed", func() bool {
		waiting, err := tablet.Bench.DB.Unconfirmed(t.Context())
		return err == nil && len(waiting) == 0
	})
	f, _, err := shop.Hub.Photos.Open(t.Context(), ref)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got, err := io.ReadAll(f); err != nil || !bytes.Equal(got, original) {
		t.Errorf("the hub has %d bytes of the original, want %d (%v)", len(got), len(original), err)
	}
}

// counter counts chunks, cuts the line after some, and damages one.
type counter struct {
	uplink.Line
	codec   *segment.Codec
	cutAt   int64 // no chunk after so many; 0: never
	damage  int64 // which chunk arrives damaged; 0: none
	sent    atomic.Int64
	chunks  atomic.Int64 // of these, answered
	refused atomic.Int64
}

func (l *counter) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	if what == segment.Chunk {
		if l.cutAt > 0 && l.chunks.Load() >= l.cutAt {
			return nil, uplink.ErrNoNetwork
		}
		if l.sent.Add(1) == l.damage {
			var q segment.PhotoAsk
			if err := l.codec.Unmarshal(data, &q); err != nil {
				return nil, err
			}
			q.Data[len(q.Data)/2] ^= 0x40
			var err error
			if data, err = l.codec.Marshal(q); err != nil {
				return nil, err
			}
		}
	}
	raw, err := l.Line.Ask(ctx, what, data)
	if err == nil && what == segment.Chunk {
		l.chunks.Add(1)
	}
	if err == nil && what == segment.Confirm {
		var a segment.Answer
		if err := l.codec.Unmarshal(raw, &a); err != nil {
			return nil, err
		}
		if a.Refused != "" {
			l.refused.Add(1)
		}
	}
	return raw, err
}

func TestPhotosResumeAfterACut(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Joined("bench 1")
	photo, original := snap(t, tablet, 1)
	line := &counter{codec: codec(t), cutAt: 2}
	tablet.Connection.Line = func(l uplink.Line) uplink.Line { line.Line = l; return line }
	tablet.Connect()
	shoptest.WaitUntil(t, "the cut", func() bool { return line.chunks.Load() == 2 })
	shop.SettleLog(tablet) // the entry does not wait for the photo
	tablet.Disconnect()
	shop.HubStop()
	shop.HubStart()
	line.cutAt = 0
	tablet.Connect()
	arrived(t, shop, tablet, photo.Ref, original)
	if got, want := line.sent.Load(), int64(media.Chunks(photo.Bytes)); got != want {
		t.Errorf("%d chunks were sent for a photo of %d", got, want)
	}
}

func TestADamagedChunkIsNotConfirmed(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Joined("bench 1")
	photo, original := snap(t, tablet, 2)
	line := &counter{codec: codec(t), damage: 2}
	tablet.Connection.Line = func(l uplink.Line) uplink.Line { line.Line = l; return line }
	tablet.Connect()
	arrived(t, shop, tablet, photo.Ref, original)
	if line.refused.Load() == 0 {
		t.Error("the hub confirmed what it had not got")
	}
}

func TestAnOriginalThatNoEntryNamesIsRefused(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Joined("bench 1")
	c := codec(t)
	conn := dial(t, tablet)
	original := mediatest.JPEG(mediatest.Corners(40, 30), 90, nil)
	ref := media.RefOf(original)
	for _, what := range []segment.What{segment.Offer, segment.Chunk, segment.Confirm} {
		raw, err := c.Marshal(segment.PhotoAsk{Ref: ref[:], Size: int64(len(original)), Data: original})
		if err != nil {
			t.Fatal(err)
		}
		m, err := conn.RequestWithContext(t.Context(), segment.AskSubject(shop.ID(), tablet.Device(), what), raw)
		if err != nil {
			t.Fatal(err)
		}
		var a segment.Answer
		if err := c.Unmarshal(m.Data, &a); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(a.Refused, "no entry at the hub names this photo") {
			t.Errorf("%s is answered with %q", what, a.Refused)
		}
	}
	if here, err := shop.Hub.Photos.Has(t.Context(), ref); err != nil || here {
		t.Errorf("the hub has it: %v, %v", here, err)
	}
}

// One original that is lost at the tablet holds up none of the others.
func TestALostOriginalHoldsUpNoOther(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Joined("bench 1")
	lost, _ := snap(t, tablet, 3)
	photo, _ := snap(t, tablet, 4)
	if err := tablet.Bench.Photos.Remove(t.Context(), lost.Ref); err != nil {
		t.Fatal(err)
	}
	tablet.Connect()
	shoptest.WaitUntil(t, "the other photo", func() bool {
		here, err := shop.Hub.Photos.Has(t.Context(), photo.Ref)
		return err == nil && here
	})
	shoptest.WaitUntil(t, "one photo to wait", func() bool { return tablet.Bench.Uplink.Status().PhotosWaiting == 1 })
}
