package demo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"github.com/nats-io/nkeys"
)

// Year fills the folder of a new hub with the work of an invented shop, as if
// its tablets had brought it.
type Year struct {
	Hub   *folder.Folder
	Steps []invented.Step // what is written, in order
	Until time.Time       // what would have been written later is left out
	Set   func(time.Time) // sets the clock by which the hub's folder writes
	Rand  io.Reader
	Told  func(done, total int) // how far it is; may be nil

	logs    *invented.Logs
	tablets []*tablet
	photos  *photographer
}

// Filled is what was written of a year.
type Filled struct{ Entries, Photographs int }

// tablet is a device whose entries are on their way to the hub.
type tablet struct {
	name    journal.DeviceID
	key     proof.Key
	first   int64
	entries [][]byte
	thumbs  map[media.Ref][]byte
	size    int
}

// enough is how many bytes of entries and thumbnails are brought to the hub at once.
const enough = journal.MaxSegmentBytes / 2

// Fill writes all of it.
func (y *Year) Fill(ctx context.Context) (all Filled, err error) {
	steps := y.Steps
	if len(steps) == 0 {
		return all, nil
	}
	y.Set(steps[0].At)
	if later := slices.IndexFunc(steps, func(s invented.Step) bool { return s.At.After(y.Until) }); later >= 0 {
		steps = steps[:later]
	}
	if err := y.begin(ctx); err != nil {
		return all, err
	}
	taking, stop := context.WithCancel(ctx)
	if y.photos, err = photograph(taking, y.Hub, steps); err != nil {
		stop()
		return all, err
	}
	defer y.photos.wait()
	defer stop()
	for i, s := range steps {
		if err := y.write(ctx, s); err != nil {
			return all, err
		}
		all.Entries, all.Photographs = i+1, all.Photographs+len(s.Shots)
		if y.Told != nil {
			y.Told(i+1, len(steps))
		}
	}
	return all, y.bring(ctx)
}

// begin enrols the tablets and takes note of the hub's log so far.
func (y *Year) begin(ctx context.Context) error {
	own := y.Hub.Device
	y.logs = invented.NewLogs(y.Hub.Shop, own, proof.Tree{}, y.Rand)
	for l, err := range y.Hub.Log.Entries(ctx, own, 0) {
		if err != nil {
			return err
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			return err
		}
		y.logs.Learn(l.Bytes, e.ID)
	}
	for _, name := range []journal.DeviceID{invented.Counter, invented.Booth} {
		t := &tablet{name: name, thumbs: make(map[media.Ref][]byte)}
		var err error
		if t.key, err = proof.NewKey(y.Rand, proof.Origin(y.Hub.Shop, name)); err != nil {
			return err
		}
		line, err := nkeys.CreateUser()
		if err != nil {
			return fmt.Errorf("draw a line key: %w", err)
		}
		public, err := line.PublicKey()
		if err != nil {
			return fmt.Errorf("draw a line key: %w", err)
		}
		var token journal.Digest
		if _, err := io.ReadFull(y.Rand, token[:]); err != nil {
			return fmt.Errorf("draw a token: %w", err)
		}
		invited, err := y.own(ctx, journal.Draft{Subject: journal.Of("shop", string(y.Hub.Shop)), By: "io",
			Data: &journal.Invitation{Token: token, Expires: journal.Stamp(y.Steps[0].At.AddDate(0, 0, 10)), Name: string(name)}})
		if err != nil {
			return err
		}
		_, err = y.own(ctx, journal.Draft{Subject: journal.Of("device", string(name)), By: "io",
			Data: &journal.Device{Device: name, Name: string(name), LogKey: t.key.Verifier(), ConnectKey: public, Invitation: invited.ID}})
		if err != nil {
			return err
		}
		y.tablets = append(y.tablets, t)
	}
	return nil
}

// own writes an entry of the hub's own log.
func (y *Year) own(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	at, err := y.Hub.Log.Head(ctx, y.Hub.Device)
	if err != nil {
		return nil, err
	}
	e, err := y.Hub.Log.Append(ctx, d)
	if err != nil {
		return nil, err
	}
	for l, err := range y.Hub.Log.Entries(ctx, y.Hub.Device, at.Size) {
		if err != nil {
			return nil, err
		}
		y.logs.Learn(l.Bytes, e.ID)
	}
	return e, nil
}

func (y *Year) write(ctx context.Context, s invented.Step) error {
	y.Set(s.At)
	data, err := s.Data()
	if err != nil {
		return err
	}
	if s.On == invented.Office {
		if err := y.bring(ctx); err != nil { // it holds what came before
			return err
		}
		e, err := y.own(ctx, journal.Draft{Subject: s.About, By: s.By, Data: data})
		if err == nil && s.Wrote != nil {
			s.Wrote(e.ID)
		}
		return err
	}
	t := y.tablets[slices.IndexFunc(y.tablets, func(t *tablet) bool { return t.name == s.On })]
	for range s.Shots {
		photo, thumb, err := y.photos.next(ctx)
		if err != nil {
			return err
		}
		journal.Attach(data, photo)
		t.thumbs[photo.Thumb], t.size = thumb, t.size+len(thumb)
	}
	s.Data = func() (journal.Payload, error) { return data, nil }
	l, err := y.logs.Write(s)
	if err != nil {
		return err
	}
	t.entries, t.size = append(t.entries, l.Bytes), t.size+len(l.Bytes)
	if t.size > enough {
		err = y.bring(ctx)
	}
	if s.Card != nil && err == nil {
		err = y.Hub.Log.SaveCard(ctx, journal.CardState{Card: *s.Card, Changed: s.Card.Written})
	}
	return err
}

// bring brings what the tablets wrote to the hub.
func (y *Year) bring(ctx context.Context) error {
	var errs []error
	for _, t := range y.tablets {
		if len(t.entries) == 0 {
			continue
		}
		signed, err := y.logs.Head(t.name, t.key)
		if err == nil {
			_, err = y.Hub.Log.Receive(ctx, journal.Segment{Device: t.name, First: t.first, Entries: t.entries, Thumbs: t.thumbs, Checkpoint: signed})
		}
		errs = append(errs, err)
		t.first, t.entries, t.thumbs, t.size = t.first+int64(len(t.entries)), nil, make(map[media.Ref][]byte), 0
	}
	return errors.Join(errs...)
}
