package media_test

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/media"
)

// However many come, what is decoded at once stays within the room, and each gets its turn.
func TestRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		room := media.NewRoom()
		heavy := media.Photo{Format: media.PNG, Width: 5000, Height: 5000, PerPixel: 9} // 225 million bytes
		var held, most, done atomic.Int64
		var all sync.WaitGroup
		for range 20 {
			all.Go(func() {
				leave, err := room.Take(t.Context(), heavy)
				if err != nil {
					t.Error(err)
					return
				}
				most.Store(max(most.Load(), held.Add(heavy.Memory())))
				time.Sleep(time.Second)
				held.Add(-heavy.Memory())
				leave()
				done.Add(1)
			})
		}
		all.Wait()
		if most.Load() > media.MaxMemory || most.Load() < 2*heavy.Memory() || done.Load() != 20 {
			t.Errorf("%d bytes were held at once, %d were decoded", most.Load(), done.Load())
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
