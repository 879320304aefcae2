package shoptest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"time"

	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// Faults says how often a line misbehaves, each from 0 (never) to 1 (always).
type Faults struct {
	Drop  float64 // a message does not arrive, or its answer does not
	Twice float64 // a message arrives twice
	Late  float64 // entries are held back and arrive after later messages
}

// Line is a tablet's line to the hub with faults that a seed decides, so that
// a failing run can be run again.
type Line struct {
	inner  uplink.Line
	faults Faults

	mu   sync.Mutex
	rand *rand.Rand
	cut  bool
	held []func()             // entries that are late
	got  map[segment.What]int // questions that were answered
}

var _ uplink.Line = (*Line)(nil)

// NewLine puts faults on a line.
func NewLine(inner uplink.Line, f Faults, seed uint64) *Line {
	return &Line{inner: inner, faults: f, rand: rand.New(rand.NewPCG(seed, seed)), got: map[segment.What]int{}}
}

// Cut takes the network away; Mend gives it back.
func (l *Line) Cut()  { l.setCut(true) }
func (l *Line) Mend() { l.setCut(false) }

func (l *Line) setCut(cut bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.cut = cut
}

// Asked returns how many questions of a sort were answered.
func (l *Line) Asked(what segment.What) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.got[what]
}

// fate is what becomes of one message.
type fate struct{ lost, answerLost, twice, late bool }

func (l *Line) draw() (fate, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.cut {
		return fate{}, fmt.Errorf("%w: the line is cut", uplink.ErrNoNetwork)
	}
	var f fate
	if l.rand.Float64() < l.faults.Drop {
		f.lost = l.rand.IntN(2) == 0
		f.answerLost = !f.lost
	}
	f.twice = l.rand.Float64() < l.faults.Twice
	f.late = l.rand.Float64() < l.faults.Late
	return f, nil
}

// release sends what was held back, in a new order.
func (l *Line) release() {
	l.mu.Lock()
	list := l.held
	l.held = nil
	l.rand.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	l.mu.Unlock()
	for _, send := range list {
		send()
	}
}

// Ask implements [uplink.Line].
func (l *Line) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	f, err := l.draw()
	if err != nil {
		return nil, err
	}
	if f.lost {
		return nil, fmt.Errorf("%w: the question was lost", uplink.ErrNoNetwork)
	}
	if f.late && what == segment.Send {
		l.mu.Lock()
		l.held = append(l.held, func() { l.inner.Ask(context.WithoutCancel(ctx), what, data) })
		l.mu.Unlock()
		return nil, fmt.Errorf("%w: no answer yet", uplink.ErrNoNetwork)
	}
	answer, err := l.inner.Ask(ctx, what, data)
	if err != nil {
		return nil, err
	}
	l.mu.Lock()
	l.got[what]++
	l.mu.Unlock()
	if f.twice {
		if answer, err = l.inner.Ask(ctx, what, data); err != nil {
			return nil, err
		}
	}
	l.release()
	if f.answerLost {
		return nil, fmt.Errorf("%w: the answer was lost", uplink.ErrNoNetwork)
	}
	return answer, nil
}

// News implements [uplink.Line].
func (l *Line) News() <-chan struct{} { return l.inner.News() }

// quick are the waits of a tablet in a test: short, so that lost messages cost
// milliseconds.
func quick() Connection {
	return Connection{Every: 200 * time.Millisecond, Retry: 20 * time.Millisecond}
}
