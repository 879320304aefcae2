package backup

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"

	"fettlebook/cmd/internal/folder"
	"fettlebook/media"
	"fettlebook/media/photodir"
	"fettlebook/media/until"
)

// missing is how many bytes of originals the backup does not have yet.
func (a Asked) missing(ctx context.Context) (n int64, err error) {
	from, err := folder.Originals(a.From)
	if err != nil {
		return 0, err
	}
	to := photodir.OpenToRead(folder.PhotosPath(a.To))
	for ref, err := range from.All(ctx) {
		if err != nil {
			return 0, err
		}
		size, has, err := lacking(ctx, from, to, ref)
		if err != nil {
			return 0, err
		}
		if !has {
			n += size
		}
	}
	return n, nil
}

// originals brings the backup's originals up to the folder's, and returns how many
// the folder has. An original that the folder does not keep any more stays here;
// one that was withdrawn goes. One that is damaged in the folder is not copied
// over a good one, nor at all: the audit tells of it.
func (a Asked) originals(ctx context.Context, withdrawn []media.Ref) (count int, err error) {
	into, err := photodir.Open(folder.PhotosPath(a.To))
	if err != nil {
		return 0, err
	}
	for _, ref := range withdrawn {
		if err := into.Remove(ctx, ref); err != nil && !errors.Is(err, media.ErrNotHere) {
			return 0, err
		}
	}
	from, err := folder.Originals(a.From)
	if err != nil {
		return 0, err
	}
	return pour(ctx, from, into, a.Progress)
}

// pour copies what one folder of originals has and another lacks.
func pour(ctx context.Context, from, into *photodir.Dir, progress func(done, total int64)) (count int, err error) {
	var wanted []media.Ref
	var done, total int64
	for ref, err := range from.All(ctx) {
		if err != nil {
			return 0, err
		}
		count++
		size, has, err := lacking(ctx, from, into, ref)
		if err != nil {
			return 0, err
		}
		if !has {
			wanted, total = append(wanted, ref), total+size
		}
	}
	for _, ref := range wanted {
		n, err := pourOne(ctx, from, into, ref)
		switch {
		case errors.Is(err, photodir.ErrDamaged), errors.Is(err, media.ErrNotHere): // withdrawn or no longer kept meanwhile
		case err != nil:
			return 0, err
		}
		if done += n; progress != nil {
			progress(done, total)
		}
	}
	return count, nil
}

// lacking is how large an original is, and whether the other folder has as much of it.
func lacking(ctx context.Context, from, into *photodir.Dir, ref media.Ref) (size int64, has bool, err error) {
	size, err = sizeOf(ctx, from, ref)
	if err != nil {
		if errors.Is(err, media.ErrNotHere) {
			return 0, true, nil
		}
		return 0, false, err
	}
	there, err := sizeOf(ctx, into, ref)
	if errors.Is(err, media.ErrNotHere) {
		return size, false, nil
	}
	return size, there == size, err
}

func sizeOf(ctx context.Context, in *photodir.Dir, ref media.Ref) (int64, error) {
	f, size, err := in.Open(ctx, ref)
	if err != nil {
		return 0, err
	}
	return size, f.Close()
}

// pourOne copies an original whose bytes are those that its name says.
func pourOne(ctx context.Context, from, into *photodir.Dir, ref media.Ref) (n int64, err error) {
	r, _, err := from.Open(ctx, ref)
	if err != nil {
		return 0, err
	}
	defer r.Close()
	draft, err := into.Create(ctx)
	if err != nil {
		return 0, err
	}
	sum := sha256.New()
	n, err = io.Copy(io.MultiWriter(draft, sum), until.Done(ctx, r))
	if err == nil && media.Ref(sum.Sum(nil)) != ref {
		err = fmt.Errorf("copy photo %s: %w", ref, photodir.ErrDamaged)
	}
	if err == nil {
		return n, draft.Commit(ctx, ref)
	}
	return n, errors.Join(err, draft.Abort())
}
