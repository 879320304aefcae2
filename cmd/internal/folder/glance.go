package folder

import (
	"context"
	"errors"
	"io"
	"log/slog"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
)

// ErrBehind is returned when the index of a folder does not hold all that its
// logs hold, or is not there. The logs say the same, more slowly.
var ErrBehind = errors.New("the index is behind the logs")

// Glance opens the folded shop of a folder to look at single jobs, beside the
// program that holds the folder, without reading all of its logs. The shop does
// not follow what is written after that. Whoever opens it closes the index.
func Glance(ctx context.Context, dir string, by journal.Authority, log *sqlitelog.DB) (*shop.Shop, io.Closer, error) {
	idx, err := index.OpenToRead(ctx, IndexPath(dir))
	if err != nil {
		return nil, nil, errors.Join(ErrBehind, err)
	}
	whole, err := holdsAll(ctx, idx, log)
	if err == nil && !whole {
		err = ErrBehind
	}
	if err != nil {
		return nil, nil, errors.Join(err, idx.Close())
	}
	return shop.Open(by, log, idx, slog.New(slog.DiscardHandler)), idx, nil
}

// holdsAll reports whether an index holds what the logs hold.
func holdsAll(ctx context.Context, idx *index.DB, log *sqlitelog.DB) (bool, error) {
	if same, err := idx.Agrees(ctx, log); err != nil || !same {
		return false, err
	}
	marks, err := idx.Marks(ctx)
	if err != nil {
		return false, err
	}
	sizes := make(map[journal.DeviceID]int64)
	for _, m := range marks {
		sizes[m.Device] = m.Size
	}
	heads, err := log.Heads(ctx)
	for _, h := range heads {
		if sizes[h.Device] < h.Size {
			return false, err
		}
	}
	return true, err
}
