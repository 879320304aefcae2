package hub

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// offer says what of an original is still missing here.
func (h *Hub) offer(ctx context.Context, device journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	here, err := h.cfg.Arrivals.Has(ctx, ref)
	if err == nil && here {
		err = h.cfg.Named.Confirm(ctx, ref, h.cfg.Now())
	}
	if err != nil || here {
		return segment.PhotoReply{Here: here}, err
	}
	if q.Size == 0 { // who has not got it either only asks
		h.without.note(ref, device)
		return segment.PhotoReply{}, nil
	}
	missing, err := h.cfg.Arrivals.Missing(ctx, ref, q.Size)
	return segment.PhotoReply{Missing: missing}, err
}

// photo reads which original is meant, and refuses one that no entry names:
// a stolen tablet must not fill the hub's disk.
func (h *Hub) photo(ctx context.Context, q segment.PhotoAsk) (media.Ref, error) {
	if len(q.Ref) != len(media.Ref{}) {
		return media.Ref{}, fmt.Errorf("%w: a photo’s hash has 32 bytes", segment.ErrWire)
	}
	ref := media.Ref(q.Ref)
	named, err := h.cfg.Named.Names(ctx, ref)
	if err == nil && !named {
		err = errNotNamed
	}
	return ref, err
}

// unfinished is which originals devices have begun to bring and not finished.
type unfinished struct {
	mu   sync.Mutex
	list map[journal.DeviceID][]original // oldest first
}

type original struct {
	ref  media.Ref
	size int64
}

// mostUnfinished is how many originals a device may have begun: it brings one after the
// other, and comes back to one that was cut off.
const mostUnfinished = 4

// begin notes that a device brings an original, and returns what it has begun before
// and is thrown away for that.
func (u *unfinished) begin(device journal.DeviceID, o original) (gone []original) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if slices.Contains(u.list[device], o) {
		return nil
	}
	if u.list == nil {
		u.list = map[journal.DeviceID][]original{}
	}
	u.list[device] = append(u.list[device], o)
	for len(u.list[device]) > mostUnfinished {
		oldest := u.list[device][0]
		u.list[device] = u.list[device][1:]
		if !u.others(oldest) {
			gone = append(gone, oldest)
		}
	}
	return gone
}

// others reports whether anybody else brings the same. mu is held.
func (u *unfinished) others(o original) bool {
	for _, list := range u.list {
		if slices.Contains(list, o) {
			return true
		}
	}
	return false
}

func (u *unfinished) end(o original) {
	u.mu.Lock()
	defer u.mu.Unlock()
	for device, list := range u.list {
		u.list[device] = slices.DeleteFunc(list, func(other original) bool { return other == o })
	}
}

// Pieces of an original of which none came for so long are thrown away; it is looked for
// them so often. A tablet that comes back to it sends it anew.
const (
	stale     = 30 * 24 * time.Hour
	sweepEach = 24 * time.Hour
)

// sweep throws away pieces that nobody comes back to.
func (h *Hub) sweep(ctx context.Context) error {
	now := h.cfg.Now()
	if since := now.Sub(h.swept); since >= 0 && since < sweepEach {
		return nil
	}
	if err := h.cfg.Pieces.DropOlder(ctx, now.Add(-stale)); err != nil {
		return err
	}
	h.swept = now
	return nil
}

// chunk keeps a piece, if the disk has room and it is not here yet.
func (h *Hub) chunk(ctx context.Context, device journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	if err := h.cfg.Room.Room(true); err != nil {
		return nil, err
	}
	if n := media.ChunkLen(q.Size, q.Index); n == 0 || len(q.Data) != n {
		return nil, fmt.Errorf("%w: piece %d of a photo of %d bytes has %d, and not %d", segment.ErrWire, q.Index, q.Size, len(q.Data), n)
	}
	missing, err := h.cfg.Arrivals.Missing(ctx, ref, q.Size)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(missing, q.Index) {
		return nil, errRepeated
	}
	for _, o := range h.originals.begin(device, original{ref, q.Size}) {
		if err := h.cfg.Pieces.Drop(ctx, o.ref, o.size); err != nil {
			return nil, err
		}
	}
	return nil, h.cfg.Arrivals.PutChunk(ctx, ref, q.Size, q.Index, q.Data)
}

// confirm has the original put together and checked, on the disk, before it
// says so.
func (h *Hub) confirm(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	here, err := h.cfg.Arrivals.Has(ctx, ref)
	if err == nil && !here {
		_, err = h.cfg.Arrivals.Finish(ctx, ref, q.Size)
	}
	if err == nil {
		err = h.cfg.Named.Confirm(ctx, ref, h.cfg.Now())
	}
	if err != nil {
		return nil, err
	}
	h.originals.end(original{ref, q.Size})
	return segment.PhotoReply{Here: true}, nil
}
