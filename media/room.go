package media

import (
	"context"
	"fmt"
)

// place is in what pieces memory is given out.
const place = 16 << 20

// Room is the memory in which pictures are decoded: [MaxMemory] for all that are under way
// at once. Whoever finds none waits.
type Room struct {
	turn   chan struct{} // held by the one who is next
	places chan struct{}
}

// NewRoom makes the room of a program.
func NewRoom() *Room {
	return &Room{turn: make(chan struct{}, 1), places: make(chan struct{}, MaxMemory/place)}
}

// Take waits until there is room to decode the picture. leave gives it back; it must be
// called. One that takes more than all of it is refused at once, with a [*Refused].
func (r *Room) Take(ctx context.Context, p Photo) (leave func(), err error) {
	if p.Memory() > MaxMemory {
		return nil, TooHeavy(p)
	}
	need := max(1, int((p.Memory()+place-1)/place))
	got := 0
	leave = func() {
		for range got {
			<-r.places
		}
	}
	select {
	case r.turn <- struct{}{}:
	case <-ctx.Done():
		return nil, fmt.Errorf("wait for room for a picture: %w", context.Cause(ctx))
	}
	defer func() { <-r.turn }()
	for ; got < need; got++ {
		select {
		case r.places <- struct{}{}:
		case <-ctx.Done():
			leave()
			return nil, fmt.Errorf("wait for room for a picture: %w", context.Cause(ctx))
		}
	}
	return leave, nil
}
