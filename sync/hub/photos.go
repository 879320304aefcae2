package hub

import (
	"context"
	"fmt"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// offer says what of an original is still missing here.
func (h *Hub) offer(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
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
	missing, err := h.cfg.Arrivals.Missing(ctx, ref, q.Size)
	return segment.PhotoReply{Missing: missing}, err
}

// photo reads which original is meant, and refuses one that no entry names:
// a stolen tablet must not fill the hub's disk.
func (h *Hub) photo(ctx context.Context, q segment.PhotoAsk) (media.Ref, error) {
	if len(q.Ref) != len(media.Ref{}) {
		return media.Ref{}, fmt.Errorf("%w: a photo's hash has 32 bytes", segment.ErrWire)
	}
	ref := media.Ref(q.Ref)
	named, err := h.cfg.Named.Names(ctx, ref)
	if err == nil && !named {
		err = errNotNamed
	}
	return ref, err
}

func (h *Hub) chunk(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
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
	return segment.PhotoReply{Here: true}, nil
}
