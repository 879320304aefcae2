package folder

import (
	"bytes"
	"context"
	"errors"
	"io"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/thumb"
)

// Snap takes a picture in: through the one gate, original untouched and
// durable, with an upright thumbnail. It becomes part of the record when an
// entry names it.
func (f *Folder) Snap(ctx context.Context, r io.Reader, role string) (journal.Photo, []byte, error) {
	if len(role) > journal.MaxName {
		return journal.Photo{}, nil, journal.Refuse("", journal.TooLong, "what the photograph shows, %.20q…, is longer than %d characters; shorten it", role, journal.MaxName)
	}
	if err := f.Log.Room(true); err != nil {
		return journal.Photo{}, nil, err
	}
	photo, err := media.Receive(ctx, f.Photos, r, f.limits)
	if err != nil {
		return journal.Photo{}, nil, err
	}
	leave, err := f.room.Take(ctx, photo)
	if err != nil {
		return journal.Photo{}, nil, f.drop(context.WithoutCancel(ctx), photo.Ref, err)
	}
	small, camera, err := thumb.FromOriginal(ctx, f.Photos, photo)
	leave()
	if err != nil {
		return journal.Photo{}, nil, f.drop(ctx, photo.Ref, err)
	}
	f.smalls.put(photo.Ref, small.Bytes)
	p := journal.Photo{Ref: photo.Ref, Thumb: small.Ref, Role: role, Taken: journal.CameraTime(camera.Taken)}
	return p, bytes.Clone(small.Bytes), nil
}

// drop removes an original that cannot be shown, unless an entry names it.
func (f *Folder) drop(ctx context.Context, ref media.Ref, why error) error {
	named, err := f.Log.Names(ctx, ref)
	if err == nil && !named {
		err = f.Photos.Remove(ctx, ref)
	}
	return errors.Join(why, err)
}

// Append writes an entry with the thumbnails of the photos that it names,
// and does to the folder what the entry says: an erased card's and a
// withdrawn photo's bytes go.
func (f *Folder) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	entries, err := f.AppendAll(ctx, []journal.Draft{d})
	if len(entries) == 0 {
		return nil, err
	}
	return entries[0], err
}

// AppendAll writes entries as Append does, all of them or none.
func (f *Folder) AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	return f.AppendBy(ctx, drafts, f.Log.AppendAll)
}

// AppendBy does what AppendAll does, with another way of writing them down.
// What that wrote is returned beside whatever went wrong after it.
func (f *Folder) AppendBy(ctx context.Context, drafts []journal.Draft, write func(context.Context, []journal.Draft) ([]*journal.Entry, error)) (entries []*journal.Entry, err error) {
	if err := f.MayAppendAll(ctx, drafts); err != nil {
		return nil, err
	}
	err = f.Named(ctx, drafts, func(named []journal.Draft) (err error) {
		entries, err = write(ctx, named)
		return err
	})
	if len(entries) == 0 {
		return nil, err
	}
	if undone := f.CarryOutAll(ctx, drafts); undone != nil {
		err = journal.Afterwards(errors.Join(err, undone))
	}
	return entries, err
}

// CarryOutAll removes bytes that entries ordered away.
func (f *Folder) CarryOutAll(ctx context.Context, drafts []journal.Draft) error {
	var errs []error
	for _, d := range drafts {
		errs = append(errs, f.CarryOut(ctx, d.Data))
	}
	return errors.Join(errs...)
}

// CarryOut removes bytes that an entry ordered away.
func (f *Folder) CarryOut(ctx context.Context, data journal.Payload) error {
	switch p := data.(type) {
	case *journal.Withdrawal:
		f.smalls.forget(p.Photo)
		if err := f.Photos.Remove(ctx, p.Photo); err != nil && !errors.Is(err, media.ErrNotHere) {
			return err
		}
		return f.Log.Shred(ctx)
	case *journal.CardErasing:
		return f.Log.Shred(ctx)
	}
	return nil
}

// Thumb is the thumbnail of an original that is here: the one that was made
// last, or made anew. There is none of an original that was withdrawn.
func (f *Folder) Thumb(ctx context.Context, ref media.Ref) ([]byte, error) {
	in, _, err := f.Photos.Open(ctx, ref)
	if err != nil {
		f.smalls.forget(ref)
		return nil, err
	}
	defer in.Close()
	if made := f.smalls.get(ref); made != nil {
		return bytes.Clone(made), nil
	}
	photo, err := media.Inspect(ctx, in, f.limits)
	if err != nil {
		return nil, err
	}
	leave, err := f.room.Take(ctx, photo)
	if err != nil {
		return nil, err
	}
	small, err := thumb.Make(ctx, in, photo)
	leave()
	if err != nil {
		return nil, err
	}
	f.smalls.put(ref, small.Bytes)
	return bytes.Clone(small.Bytes), nil
}

// SaveCard keeps a customer card beside the log.
func (f *Folder) SaveCard(ctx context.Context, s journal.CardState) error {
	return f.Log.SaveCard(ctx, s)
}
