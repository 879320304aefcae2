package media_test

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"fettlebook/media"
)

// However many come, what is decoded at once stays within the room, and each gets its turn.
func TestRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		room := media.NewRoom()
		heavy := media.Photo{Format: media.PNG, Width: 5000, Height: 5000, PerPixel: 9} // 225 million bytes
		var decoding atomic.Int64
		decoded := make(chan struct{})
		const all = 20
		for range all {
			go func() {
				leave, err := room.Take(t.Context(), heavy)
				if err != nil {
					t.Error(err)
					return
				}
				decoding.Add(1)
				<-decoded
				decoding.Add(-1)
				leave()
			}()
		}
		fit := media.MaxMemory / heavy.Memory()
		for left := int64(all); left > 0; left-- {
			synctest.Wait() // for as many as there is room for
			if n := decoding.Load(); n != min(fit, left) {
				t.Errorf("%d are decoded at once with %d to go; %d fit", n, left, fit)
			}
			decoded <- struct{}{}
		}
	})
}

// A picture that takes more than all of the room is refused at once, and who waits for room
// gives up with its context.
func TestNoRoom(t *testing.T) {
	room := media.NewRoom()
	var refused *media.Refused
	if _, err := room.Take(t.Context(), media.Photo{Format: media.PNG, Width: 10_000, Height: 10_000, PerPixel: 9}); !errors.As(err, &refused) || refused.Reason != media.TooManyPixels {
		t.Errorf("got %v", err)
	}
	all := media.Photo{Width: 1 << 10, Height: 512 << 10, PerPixel: 1}
	leave, err := room.Take(t.Context(), all)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := room.Take(ctx, all); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	leave()
	again, err := room.Take(t.Context(), all)
	if err != nil {
		t.Fatal(err)
	}
	again()
}
