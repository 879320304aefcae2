package uplink

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"fettlebook/media"
	"fettlebook/sync/segment"
)

// photoLane brings originals to the hub, one after the other, beside the
// entries and never before them: each nudge says which the hub's entries name.
func (u *Uplink) photoLane(ctx context.Context, nudge <-chan []media.Ref) {
	later := map[media.Ref]time.Time{}
	for {
		var named []media.Ref
		select {
		case <-ctx.Done():
			return
		case named = <-nudge:
		}
		if err := u.sendPhotos(ctx, named, later); err != nil && ctx.Err() == nil {
			u.cfg.Logger.DebugContext(ctx, "photo lane", "error", err)
		}
	}
}

// sendPhotos tries every waiting original that is named once. One that cannot be sent does
// not hold up the others, and is not tried again before the loop would look by
// itself: news comes many times a second where others work.
func (u *Uplink) sendPhotos(ctx context.Context, named []media.Ref, later map[media.Ref]time.Time) error {
	refs, err := u.cfg.Photos.Unconfirmed(ctx)
	if err != nil {
		return err
	}
	there := make(map[media.Ref]bool, len(named))
	for _, ref := range named {
		there[ref] = true
	}
	lane := Lane{Of: len(refs), Total: u.sizes(ctx, refs)}
	u.photos(len(refs), lane)
	var errs []error
	for _, ref := range refs {
		if !there[ref] || u.cfg.Now().Before(later[ref]) {
			continue
		}
		delete(later, ref)
		err := u.sendPhoto(ctx, ref, func(n int) {
			lane.Sent += int64(n)
			u.photos(len(refs)-lane.Done, lane)
		})
		if err != nil {
			errs = append(errs, fmt.Errorf("photo %s: %w", ref, err))
			if ctx.Err() != nil || errors.Is(err, ErrNoNetwork) {
				break // the next round tries again
			}
			wait := u.cfg.Every
			if errors.Is(err, errNotHere) {
				wait *= seldom
			}
			later[ref] = u.cfg.Now().Add(wait)
			continue
		}
		lane.Done++
		u.photos(len(refs)-lane.Done, lane)
	}
	if lane.Done == lane.Of {
		u.photos(0, Lane{})
	}
	return errors.Join(errs...)
}

// errNotHere: an original waits, and is neither here nor, when it was asked, at the hub.
// That changes when somebody brings it, so it is asked for again more seldom.
var errNotHere = errors.New("the original is not here")

const seldom = 4

// photos tells how many originals wait, and how far those on their way are.
func (u *Uplink) photos(waiting int, lane Lane) {
	u.tell(func(s *Status) { s.PhotosWaiting, s.Lane = waiting, lane })
}

// sizes adds up how large originals are. One that is not here counts for nothing.
func (u *Uplink) sizes(ctx context.Context, refs []media.Ref) (total int64) {
	for _, ref := range refs {
		if f, size, err := u.cfg.Originals.Open(ctx, ref); err == nil {
			total += size
			f.Close()
		}
	}
	return total
}

// sendPhoto offers an original, sends the chunks that the hub lacks, and has
// it confirmed. After a cut the next offer says what is still missing.
// What is there is told as it comes, in bytes.
func (u *Uplink) sendPhoto(ctx context.Context, ref media.Ref, there func(n int)) error {
	f, size, err := u.cfg.Originals.Open(ctx, ref)
	if err != nil {
		return errors.Join(errNotHere, err, u.askFor(ctx, ref))
	}
	defer f.Close()
	offer := segment.PhotoAsk{Ref: ref[:], Size: size}
	var reply segment.PhotoReply
	if err := u.ask(ctx, segment.Offer, offer, &reply); err != nil {
		return err
	}
	lacks := 0
	for _, i := range reply.Missing {
		lacks += media.ChunkLen(size, i)
	}
	there(int(size) - lacks)
	for _, i := range reply.Missing {
		chunk := offer
		chunk.Index = i
		if chunk.Data, err = readChunk(f, size, i); err != nil {
			return err
		}
		if err := u.ask(ctx, segment.Chunk, chunk, nil); err != nil {
			return err
		}
		there(len(chunk.Data))
	}
	if !reply.Here {
		if err := u.ask(ctx, segment.Confirm, offer, &reply); err != nil {
			return err
		}
	}
	if !reply.Here {
		return errors.New("the hub still lacks some of it")
	}
	return u.cfg.Photos.Confirm(ctx, ref, u.cfg.Now())
}

// askFor asks whether the hub has an original that is not here, as on a tablet
// that was restored from an older copy.
func (u *Uplink) askFor(ctx context.Context, ref media.Ref) error {
	var reply segment.PhotoReply
	if err := u.ask(ctx, segment.Offer, segment.PhotoAsk{Ref: ref[:]}, &reply); err != nil || !reply.Here {
		return err
	}
	return u.cfg.Photos.Confirm(ctx, ref, u.cfg.Now())
}

func readChunk(f io.ReadSeeker, size int64, index int) ([]byte, error) {
	n := media.ChunkLen(size, index)
	if n == 0 {
		return nil, fmt.Errorf("the hub asks for chunk %d, which does not exist", index)
	}
	if _, err := f.Seek(int64(index)*media.ChunkSize, io.SeekStart); err != nil {
		return nil, fmt.Errorf("read chunk %d: %w", index, err)
	}
	data := make([]byte, n)
	if _, err := io.ReadFull(f, data); err != nil {
		return nil, fmt.Errorf("read chunk %d: %w", index, err)
	}
	return data, nil
}
