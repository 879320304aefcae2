package hub

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// A hub that was brought back from an older copy is given the entries that it lost by
// whoever holds them. With them come the originals that they name, which their tablets
// took for safe, and the countersignatures over them, or an entry would have been received
// later at the hub than anywhere else. Tablets ask for both, once in each run of the hub.

// findReached notes how far each log was countersigned when the hub started. showing is
// held, or nobody else is at work.
func (h *Hub) findReached(ctx context.Context) error {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	for _, head := range heads {
		c, err := h.cfg.Receipts.LastCountersigned(ctx, head.Device)
		if err != nil {
			return err
		}
		h.reached[head.Device] = c.Size
	}
	return nil
}

// wanted tells which originals the hub lacks, and of which time and logs it would have had
// countersignatures that may be lost. Where nothing was lost nobody has any of these.
func (h *Hub) wanted(ctx context.Context, _ journal.DeviceID, q segment.WantedAsk) (any, error) {
	var after media.Ref
	if copy(after[:], q.After); len(q.After) != 0 && len(q.After) != len(after) {
		return nil, fmt.Errorf("%w: a photo’s hash has 32 bytes", segment.ErrWire)
	}
	var r segment.WantedReply
	refs, err := h.cfg.Named.Lacking(ctx, after, segment.OriginalsPerReply)
	if err != nil {
		return nil, err
	}
	for _, ref := range refs {
		r.Originals = append(r.Originals, ref[:])
	}
	r.More = len(refs) == segment.OriginalsPerReply
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	for _, head := range heads {
		r.Receipts = append(r.Receipts, segment.Window{Device: head.Device, From: h.reached[head.Device], Until: time.Unix(0, h.began).Unix()})
	}
	return r, nil
}

// receipts takes back countersignatures that the hub made and lost. They are its own word,
// so nobody can make one up; one over another history than is here stays where it is.
func (h *Hub) receipts(ctx context.Context, _ journal.DeviceID, q segment.ReceiptsAsk) (any, error) {
	if len(q.Countersigned) > segment.ReceiptsPerReply {
		return nil, fmt.Errorf("%w: at most %d countersignatures come at once", segment.ErrWire, segment.ReceiptsPerReply)
	}
	head, err := h.head(ctx, q.Device)
	if errors.Is(err, journal.ErrNoLog) || err == nil && head.Size == 0 {
		return nil, &unwanted{reason: "the hub has no log of this device"}
	}
	if err != nil {
		return nil, err
	}
	list, err := h.cfg.Receipts.CountersignedSince(ctx, q.Device, q.From, 2*segment.ReceiptsPerReply)
	if err != nil {
		return nil, err
	}
	here := make(map[string]bool, len(list)) // another tablet gave them back
	for _, c := range list {
		here[string(c.Note)] = true
	}
	for _, signed := range q.Countersigned {
		if here[string(signed)] {
			continue
		}
		c, err := h.cfg.History.Countersignature(ctx, q.Device, signed)
		if err != nil {
			return nil, &unwanted{reason: err.Error()}
		}
		if c.Size > head.Size {
			continue
		}
		if same, err := h.holds(ctx, c); err != nil {
			return nil, err
		} else if !same {
			continue
		}
		if err := h.cfg.Receipts.SaveCountersigned(ctx, c); err != nil {
			return nil, err
		}
	}
	return nil, nil
}

// holds reports whether a countersigned state is one of the history that is here.
func (h *Hub) holds(ctx context.Context, c journal.Countersigned) (bool, error) {
	text, err := h.cfg.History.KeyAt(ctx, c.Device, c.Size)
	if err != nil {
		return false, err
	}
	key, err := proof.Verifier(text)
	if err != nil {
		return false, err
	}
	state, err := proof.Open(c.Note, key)
	if err != nil {
		return false, err
	}
	root, err := h.cfg.History.RootAt(ctx, c.Device, c.Size)
	return root == state.Root, err
}

// Gone is what entries here name and nobody brought.
type Gone struct {
	Logs      []GoneEntries
	Originals []GoneOriginal
}

// GoneEntries are those of a log behind the ones that are here, up to the last that
// another machine had seen when it wrote.
type GoneEntries struct {
	Device      journal.DeviceID
	Here, Named int64
}

// GoneOriginal is an original of which a tablet that took it says that it has it no more.
type GoneOriginal struct {
	Ref    media.Ref
	Device journal.DeviceID
}

// Gone tells what is missing. Of a log that has ended nothing is missed behind its end.
func (h *Hub) Gone(ctx context.Context) (Gone, error) {
	var gone Gone
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return gone, err
	}
	named := map[journal.DeviceID]int64{}
	for _, head := range heads {
		if head.Size == 0 {
			continue
		}
		for l, err := range h.cfg.Log.Entries(ctx, head.Device, head.Size-1) {
			if err != nil {
				return gone, err
			}
			e, err := journal.Decode(l.Bytes)
			if err != nil {
				continue // of a newer program: it says so elsewhere
			}
			for _, after := range e.After {
				named[after.Device] = max(named[after.Device], after.Size)
			}
		}
	}
	here := make(map[journal.DeviceID]int64, len(heads))
	for _, head := range heads {
		here[head.Device] = head.Size
	}
	h.mu.Lock()
	for _, device := range slices.Sorted(maps.Keys(named)) {
		_, closed := h.reg.closings.Counts(device)
		if named[device] > here[device] && !closed && !h.reg.closings.Forked(device) {
			gone.Logs = append(gone.Logs, GoneEntries{device, here[device], named[device]})
		}
	}
	h.mu.Unlock()
	gone.Originals, err = h.without.list(ctx, h.cfg.Arrivals)
	return gone, err
}

// without is which originals tablets said that they do not have any more.
type without struct {
	mu   sync.Mutex
	refs []GoneOriginal // guarded by mu
}

// mostWithout is how many of them are noted.
const mostWithout = 4096

// note notes that a device has not got an original that it took.
func (w *without) note(ref media.Ref, device journal.DeviceID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if one := (GoneOriginal{ref, device}); !slices.Contains(w.refs, one) && len(w.refs) < mostWithout {
		w.refs = append(w.refs, one)
	}
}

// list returns those that did not come from elsewhere meanwhile.
func (w *without) list(ctx context.Context, here Arrivals) (list []GoneOriginal, err error) {
	w.mu.Lock()
	all := slices.Clone(w.refs)
	w.mu.Unlock()
	for _, one := range all {
		has, err := here.Has(ctx, one.Ref)
		if err != nil {
			return nil, err
		}
		if !has {
			list = append(list, one)
		}
	}
	return list, nil
}
