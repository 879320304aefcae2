package hub

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/nats-io/nats.go/jetstream"
)

// markStream holds which stream was read, and up to which sequence.
const markStream = "stream read"

// recover brings the database to what the stream holds before anything new
// is written, and the stream to what the database holds.
func (h *Hub) recover(ctx context.Context) error {
	info, err := h.cfg.Stream.Info(ctx)
	if err != nil {
		return fmt.Errorf("look at the stream: %w", err)
	}
	if err := h.findReached(ctx); err != nil {
		return err
	}
	fromStart, err := h.resume(ctx, info)
	if err != nil {
		return err
	}
	for info.State.Msgs > 0 && h.took < info.State.LastSeq && !h.read(ctx) {
		if !pause(ctx, retry) {
			return ctx.Err()
		}
	}
	if !fromStart {
		if err := h.findShown(ctx); err != nil {
			return err
		}
	}
	// A stream that was begun anew gets all that the database has before anybody
	// is told that the hub is up: until then the database alone holds it.
	if _, err := h.inStream(ctx, h.cfg.Device); err != nil {
		return err
	}
	if err := h.showAll(ctx); err != nil {
		return err
	}
	// Only now: a hub that dies before this reads the stream from its start
	// again, and sees what it still lacks.
	h.keepMark(ctx)
	if err := h.findLoss(ctx); err != nil {
		return err
	}
	return h.showOwn(ctx)
}

// resume sets where to read on. Another stream than the one that was read,
// or a shorter one, is read from its start, and is then given what it lacks.
func (h *Hub) resume(ctx context.Context, info *jetstream.StreamInfo) (fromStart bool, err error) {
	mark, err := h.cfg.Notes.Mark(ctx, markStream)
	if err != nil {
		return false, err
	}
	name, number, _ := strings.Cut(mark, " ")
	seq, err := strconv.ParseUint(number, 10, 63)
	if err != nil || name != streamName(info) || seq > info.State.LastSeq {
		h.took = 0
		return true, nil
	}
	h.took = seq
	return false, nil
}

// streamName tells one stream from its successor under the same name.
func streamName(info *jetstream.StreamInfo) string {
	return strconv.FormatInt(info.Created.UnixNano(), 36)
}

// markEvery is how many messages a hub puts into the stream before it notes that
// it need not read them again.
const markEvery = 256

// keepMark notes up to where the database has what the stream has. As long as a
// fork is not in the register, the stream is to be read again. showing is held, or
// nobody else is at work.
func (h *Hub) keepMark(ctx context.Context) {
	h.mu.Lock()
	unwritten := len(h.forks)
	h.mu.Unlock()
	if unwritten > 0 {
		return
	}
	mark := streamName(h.cfg.Stream.CachedInfo()) + " " + strconv.FormatUint(h.took, 10)
	if err := h.cfg.Notes.SetMark(ctx, markStream, mark); err != nil {
		h.cfg.Logger.WarnContext(ctx, "keep mark", "error", err) // only work is repeated
		return
	}
	h.marked = h.took
}
