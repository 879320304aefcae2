package demo

import (
	"bytes"
	"context"
	"fmt"
	"sync"
	"time"

	"fettlebook/cmd/internal/demo/darkroom"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/invented"
)

// Of the photographs of a year.
const (
	beforeStamp = 40 * time.Second // is taken so long before the entry is written
	hands       = 2                // photographs are made at once
	ahead       = 32               // at most so many wait to be written down
)

// snapped is a photograph that was taken into the folder.
type snapped struct {
	photo journal.Photo
	thumb []byte
	err   error
}

// photographer takes the photographs of a year ahead of the entries that name
// them, in the order in which these are written.
type photographer struct {
	into    *folder.Folder
	room    *darkroom.Room
	waiting chan chan snapped
	working sync.WaitGroup
}

// photograph begins to take the photographs of steps. They are all put down
// once the context has ended and wait returns.
func photograph(ctx context.Context, into *folder.Folder, steps []invented.Step) (*photographer, error) {
	room, err := darkroom.Open()
	if err != nil {
		return nil, err
	}
	p := &photographer{into: into, room: room, waiting: make(chan chan snapped, ahead)}
	type order struct {
		shot  invented.Shot
		taken time.Time
		done  chan snapped
	}
	orders := make(chan order)
	p.working.Go(func() {
		defer close(orders)
		for _, s := range steps {
			for _, shot := range s.Shots {
				o := order{shot, s.At.Add(-beforeStamp), make(chan snapped, 1)}
				select {
				case p.waiting <- o.done:
				case <-ctx.Done():
					return
				}
				select {
				case orders <- o:
				case <-ctx.Done():
					return
				}
			}
		}
	})
	for range hands {
		p.working.Go(func() {
			for o := range orders {
				o.done <- p.take(ctx, o.shot, o.taken)
			}
		})
	}
	return p, nil
}

// wait returns when nobody takes photographs any more.
func (p *photographer) wait() { p.working.Wait() }

func (p *photographer) take(ctx context.Context, shot invented.Shot, at time.Time) (s snapped) {
	raw, err := p.room.Print(shot, at)
	if err != nil {
		return snapped{err: err}
	}
	s.photo, s.thumb, s.err = p.into.Snap(ctx, bytes.NewReader(raw), shot.Role)
	return s
}

// next is the photograph that was to be taken next.
func (p *photographer) next(ctx context.Context) (journal.Photo, []byte, error) {
	select {
	case done := <-p.waiting:
		select {
		case s := <-done:
			if s.err != nil {
				return journal.Photo{}, nil, fmt.Errorf("take a photograph of the year: %w", s.err)
			}
			return s.photo, s.thumb, nil
		case <-ctx.Done():
		}
	case <-ctx.Done():
	}
	return journal.Photo{}, nil, context.Cause(ctx)
}
