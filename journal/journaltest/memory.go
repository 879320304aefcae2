package journaltest

import (
	"bytes"
	"context"
	"fmt"
	"iter"
	"maps"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Memory keeps logs in memory by the rules of a real one: it signs what it
// writes and takes in only what verifies.
type Memory struct {
	author *Author
	key    proof.Key
	known  map[journal.DeviceID]note.Verifier

	mu     sync.Mutex
	logs   map[journal.DeviceID]*copied
	thumbs map[media.Ref][]byte
}

// copied is one log as it lies here.
type copied struct {
	entries [][]byte
	signed  map[int64][]byte // checkpoints by their size
}

// NewMemory returns an empty store whose own log the author writes and key
// signs. Logs of the known devices are taken in.
func NewMemory(author *Author, key proof.Key, known map[journal.DeviceID]note.Verifier) *Memory {
	m := &Memory{author: author, key: key, known: known, logs: map[journal.DeviceID]*copied{}, thumbs: map[media.Ref][]byte{}}
	for device := range known {
		m.logs[device] = &copied{signed: map[int64][]byte{}}
	}
	m.logs[author.Source.Device] = &copied{signed: map[int64][]byte{}}
	return m
}

var _ Journal = (*Memory)(nil)

// Append is [journal.Appender].
func (m *Memory) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	e, err := m.author.Write(d)
	if err != nil {
		return nil, err
	}
	raw, err := e.Encode()
	if err != nil {
		return nil, err
	}
	thumbs := map[media.Ref][]byte{}
	for _, t := range d.Thumbs {
		thumbs[media.RefOf(t)] = t
	}
	for _, ref := range named(raw) {
		if thumbs[ref] == nil {
			return nil, fmt.Errorf("the thumbnail %s is missing", ref)
		}
	}
	own := m.logs[e.Source.Device]
	size := int64(len(own.entries))
	next := History{Key: m.key, Device: e.Source.Device, Entries: append(slices.Clip(own.entries), raw), Thumbs: thumbs}
	s, err := next.Segment(size, size+1)
	if err != nil {
		return nil, err
	}
	m.commit(s)
	return e, nil
}

// Receive is [journal.Receiver].
func (m *Memory) Receive(ctx context.Context, s journal.Segment) (journal.Head, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return journal.Head{}, err
	}
	verifier, ok := m.known[s.Device]
	if !ok {
		return journal.Head{}, fmt.Errorf("%w: %s", journal.ErrNoLog, s.Device)
	}
	held := m.logs[s.Device]
	size := int64(len(held.entries))
	if s.First > size {
		return journal.Head{}, &journal.Gap{Device: s.Device, Size: size, First: s.First}
	}
	shown, err := proof.Open(s.Checkpoint, verifier)
	if err != nil {
		return journal.Head{}, &journal.Unproven{Device: s.Device, Reason: err.Error()}
	}
	if reason := unproven(held, s, shown); reason != "" {
		return journal.Head{}, &journal.Unproven{Device: s.Device, Reason: reason}
	}
	known := min(size, s.End())
	common := s.First
	for common < known && bytes.Equal(held.entries[common], s.Entries[common-s.First]) {
		common++
	}
	if contradicts(held, shown) || common < known {
		return journal.Head{}, &journal.Fork{Device: s.Device, Held: held.signed[size], Shown: s.Checkpoint, Common: common}
	}
	if s.End() > size {
		s.Entries, s.First = s.Entries[size-s.First:], size
		m.commit(s)
		m.follow(s)
	}
	return m.head(s.Device), nil
}

// follow moves the own clock past what came in.
func (m *Memory) follow(s journal.Segment) {
	for _, raw := range s.Entries {
		if e, err := journal.Decode(raw); err == nil { // who cannot be read has no say
			m.author.Clock.Follow(e.ID)
		}
	}
}

// unproven says why a segment is not what its checkpoint signs, or "". A
// checkpoint that contradicts what lies here is left to the caller.
func unproven(held *copied, s journal.Segment, shown proof.Checkpoint) string {
	if shown.Size != s.End() {
		return fmt.Sprintf("its checkpoint is over %d entries and it ends at %d", shown.Size, s.End())
	}
	if root(held.entries[:s.First], s.Entries) != shown.Root && !contradicts(held, shown) {
		return "its entries are not those that the checkpoint signs"
	}
	for ref, thumb := range s.Thumbs {
		if media.RefOf(thumb) != ref {
			return fmt.Sprintf("the thumbnail %s has other bytes", ref)
		}
	}
	return ""
}

// contradicts reports whether a checkpoint over entries that lie here has
// another root than they.
func contradicts(held *copied, shown proof.Checkpoint) bool {
	return shown.Size <= int64(len(held.entries)) && root(held.entries[:shown.Size]) != shown.Root
}

func root(runs ...[][]byte) tlog.Hash {
	tree := new(proof.Tree)
	for _, run := range runs {
		for _, raw := range run {
			tree.Append(raw)
		}
	}
	return tree.Root()
}

// commit stores a proven segment that begins where its log ends. mu is held.
func (m *Memory) commit(s journal.Segment) {
	log := m.logs[s.Device]
	for _, raw := range s.Entries {
		log.entries = append(log.entries, bytes.Clone(raw))
	}
	log.signed[s.End()] = bytes.Clone(s.Checkpoint)
	for ref, thumb := range s.Thumbs {
		m.thumbs[ref] = bytes.Clone(thumb)
	}
}

// Entries is part of [journal.Reader].
func (m *Memory) Entries(ctx context.Context, device journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		entries, err := m.read(ctx, device)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		for i := from; i < int64(len(entries)); i++ {
			if err := ctx.Err(); err != nil {
				yield(journal.Logged{}, err)
				return
			}
			if !yield(journal.Logged{Position: journal.Position{Device: device, Index: i}, Bytes: bytes.Clone(entries[i])}, nil) {
				return
			}
		}
	}
}

func (m *Memory) read(ctx context.Context, device journal.DeviceID) ([][]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	log, ok := m.logs[device]
	if !ok {
		return nil, fmt.Errorf("%w: %s", journal.ErrNoLog, device)
	}
	return slices.Clip(log.entries), nil
}

// Heads is part of [journal.Reader].
func (m *Memory) Heads(ctx context.Context) ([]journal.Head, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var heads []journal.Head
	for _, device := range slices.Sorted(maps.Keys(m.logs)) {
		heads = append(heads, m.head(device))
	}
	return heads, nil
}

func (m *Memory) head(device journal.DeviceID) journal.Head {
	log := m.logs[device]
	size := int64(len(log.entries))
	return journal.Head{Device: device, Size: size, Checkpoint: bytes.Clone(log.signed[size])}
}

// Segment returns what follows from, up to the last checkpoint within most
// bytes, but at least up to the first one.
func (m *Memory) Segment(ctx context.Context, device journal.DeviceID, from int64, most int) (journal.Segment, error) {
	if _, err := m.read(ctx, device); err != nil {
		return journal.Segment{}, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	log := m.logs[device]
	s := journal.Segment{Device: device, First: from, Thumbs: map[media.Ref][]byte{}}
	growing := s
	growing.Thumbs = maps.Clone(s.Thumbs)
	for i := from; i < int64(len(log.entries)); i++ {
		growing.Entries = append(growing.Entries, bytes.Clone(log.entries[i]))
		carry(&growing, log.entries[i], m.thumbs)
		if growing.Size() > most && len(s.Entries) > 0 {
			break
		}
		if signed := log.signed[i+1]; signed != nil {
			s = growing
			s.Thumbs, s.Checkpoint = maps.Clone(growing.Thumbs), bytes.Clone(signed)
		}
	}
	return s, nil
}
