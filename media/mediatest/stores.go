package mediatest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"sync"

	"fettlebook/media"
)

// Memory is a [media.Originals] in memory. It holds its callers to the contract:
// a hash that does not fit, or a draft used after its end, is a panic.
type Memory struct {
	mu        sync.Mutex
	originals map[media.Ref][]byte
	drafts    int
}

// NewMemory is an empty store.
func NewMemory() *Memory { return &Memory{originals: map[media.Ref][]byte{}} }

// Drafts is the number of drafts that were begun and not yet ended.
func (m *Memory) Drafts() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.drafts
}

// Len is the number of originals.
func (m *Memory) Len() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return len(m.originals)
}

func (m *Memory) Create(ctx context.Context) (media.Draft, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.drafts++
	return &memoryDraft{store: m}, nil
}

type memoryDraft struct {
	store *Memory
	buf   bytes.Buffer
	ended bool
}

func (d *memoryDraft) Write(p []byte) (int, error) {
	if d.ended {
		panic("mediatest: Write after the draft ended")
	}
	return d.buf.Write(p)
}

func (d *memoryDraft) Commit(ctx context.Context, ref media.Ref) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if d.ended {
		panic("mediatest: Commit after the draft ended")
	}
	if got := media.RefOf(d.buf.Bytes()); got != ref {
		panic(fmt.Sprintf("mediatest: bytes of %v committed as %v", got, ref))
	}
	d.end(func() { d.store.originals[ref] = d.buf.Bytes() })
	return nil
}

func (d *memoryDraft) Abort() error {
	d.end(func() {})
	return nil
}

func (d *memoryDraft) end(how func()) {
	if d.ended {
		return
	}
	d.store.mu.Lock()
	defer d.store.mu.Unlock()
	d.ended = true
	d.store.drafts--
	how()
}

func (m *Memory) Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	if err := ctx.Err(); err != nil {
		return nil, 0, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	b, ok := m.originals[ref]
	if !ok {
		return nil, 0, fmt.Errorf("photo %s: %w", ref, media.ErrNotHere)
	}
	return readSeekNopCloser{bytes.NewReader(b)}, int64(len(b)), nil
}

type readSeekNopCloser struct{ io.ReadSeeker }

func (readSeekNopCloser) Close() error { return nil }

func (m *Memory) Has(ctx context.Context, ref media.Ref) (bool, error) {
	if err := ctx.Err(); err != nil {
		return false, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	_, ok := m.originals[ref]
	return ok, nil
}

// ErrFault is what a [Faulty] store fails with.
var ErrFault = errors.New("the store failed on order")

// A Fault is one way for a store to fail. They come in pairs: the caller is told
// the same in both, and only one of them did the work.
type Fault int

// The faults.
const (
	NoFault          Fault = iota
	CreateFails            // no draft
	WriteStoresNone        // failed and not written
	WriteStoresAll         // failed but written
	CommitStoresNone       // failed and not stored
	CommitStoresAll        // failed but stored
	AbortFails             // the draft could not be thrown away
	faultsEnd
)

func (f Fault) String() string {
	return [...]string{"no fault", "create fails", "write fails, not written", "write fails, but written",
		"commit fails, not stored", "commit fails, but stored", "abort fails"}[f]
}

// Faults lists all of them but NoFault.
func Faults() []Fault {
	var all []Fault
	for f := NoFault + 1; f < faultsEnd; f++ {
		all = append(all, f)
	}
	return all
}

// Faulty is a store that fails in the manner of Fault, every time, and otherwise
// does what the store within does.
type Faulty struct {
	media.Originals
	Fault Fault
}

func (s Faulty) Create(ctx context.Context) (media.Draft, error) {
	if s.Fault == CreateFails {
		return nil, ErrFault
	}
	d, err := s.Originals.Create(ctx)
	if err != nil {
		return nil, err
	}
	return faultyDraft{d, s.Fault}, nil
}

type faultyDraft struct {
	media.Draft
	fault Fault
}

func (d faultyDraft) Write(p []byte) (int, error) {
	switch d.fault {
	case WriteStoresNone:
		return 0, ErrFault
	case WriteStoresAll:
		n, err := d.Draft.Write(p)
		return n, errors.Join(ErrFault, err)
	default:
		return d.Draft.Write(p)
	}
}

func (d faultyDraft) Commit(ctx context.Context, ref media.Ref) error {
	switch d.fault {
	case CommitStoresNone:
		return ErrFault
	case CommitStoresAll:
		return errors.Join(ErrFault, d.Draft.Commit(ctx, ref))
	default:
		return d.Draft.Commit(ctx, ref)
	}
}

func (d faultyDraft) Abort() error {
	if err := d.Draft.Abort(); err != nil || d.fault != AbortFails {
		return err
	}
	return ErrFault
}
