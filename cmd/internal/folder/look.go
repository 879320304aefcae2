package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
)

// Look opens the folded shop of a folder to be read, beside the program that
// holds the folder: by the folder's index if that holds all that the logs hold,
// else by one that is made of the logs for this look and deleted by Close. The
// shop does not follow what is written after that.
func Look(ctx context.Context, dir string, by journal.Authority, log *sqlitelog.DB) (*shop.Shop, io.Closer, error) {
	for range patience {
		folded, idx, err := glance(ctx, dir, by, log)
		if err == nil {
			return folded, idx, nil
		}
		if !errors.Is(err, shop.ErrBehind) || !held(dir) {
			break // it is damaged, of another version, not there, or nobody files what is missing
		}
		select {
		case <-ctx.Done():
			return nil, nil, fmt.Errorf("look into the folder: %w", ctx.Err())
		case <-time.After(moment):
		}
	}
	return made(ctx, by, log)
}

// A program that holds the folder files what was written within a moment. It
// is given some, since to read all of the logs takes longer.
const (
	patience = 5
	moment   = 100 * time.Millisecond
)

func glance(ctx context.Context, dir string, by journal.Authority, log *sqlitelog.DB) (*shop.Shop, io.Closer, error) {
	idx, err := index.OpenToRead(ctx, IndexPath(dir))
	if err != nil {
		return nil, nil, err
	}
	folded, err := shop.OpenToRead(ctx, by, log, idx, slog.New(slog.DiscardHandler))
	if err != nil {
		return nil, nil, errors.Join(err, idx.Close())
	}
	return folded, idx, nil
}

// made opens the shop by an index of its own, outside the folder, which may be
// one that nobody can write to.
func made(ctx context.Context, by journal.Authority, log *sqlitelog.DB) (*shop.Shop, io.Closer, error) {
	dir, err := os.MkdirTemp("", "fettlebook-")
	if err != nil {
		return nil, nil, fmt.Errorf("make an index: %w", err)
	}
	passing := &passing{dir: dir}
	if passing.index, _, err = index.Open(ctx, IndexPath(dir), slog.New(slog.DiscardHandler)); err != nil {
		return nil, nil, errors.Join(err, passing.Close())
	}
	folded, err := shop.OpenOnce(ctx, by, cardless{log}, passing.index, slog.New(slog.DiscardHandler))
	if err != nil {
		return nil, nil, errors.Join(err, passing.Close())
	}
	return folded, passing, nil
}

// cardless hides the customer cards: nothing personal lies outside the folder,
// not even for as long as a command runs.
type cardless struct{ shop.Log }

// passing is an index that is deleted when it is closed.
type passing struct {
	index *index.DB
	dir   string
}

// Close implements [io.Closer].
func (p *passing) Close() error {
	var err error
	if p.index != nil {
		err = p.index.Close()
	}
	return errors.Join(err, os.RemoveAll(p.dir))
}
