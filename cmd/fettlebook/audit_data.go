package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
)

type auditData struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run checks a data folder, also one that a program is writing or a copy.
func (c *auditData) Run(ctx context.Context, t *terminal) (err error) {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return err
	}
	if id.Role == folder.Joining {
		return notFound("this folder has not joined a shop yet; there is nothing to check")
	}
	db, err := sqlitelog.OpenToInspect(ctx, folder.DatabasePath(t.Data))
	if errors.Is(err, fs.ErrNotExist) {
		return noJournal(id, t.Data)
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	originals := photosAt(folder.PhotosPath(t.Data))
	p := newProgress(t, "checking")
	report, err := audit.Run(ctx, audit.Sources{
		Shop: id.Shop, Own: append([]journal.DeviceID{id.Device}, id.Earlier...),
		Hub: id.Hub, HubKey: id.HubKey, CosignKey: id.CosignKey,
		Store: db, Logs: db, Photos: db, Beside: db, Originals: originals,
	}, func(done, total int) { p.step(int64(done), int64(total)) })
	p.clear()
	if err != nil {
		return err
	}
	if c.JSON {
		err = printJSON(t.Out, report)
	} else {
		err = report.WriteText(t.Out)
	}
	if err != nil {
		return err
	}
	if bench := filepath.Join(t.Data, benchFolder); isFolder(bench) {
		fmt.Fprintf(t.Err, "mind: the bench has a folder of its own, which was not checked; check it with --data %s\n", bench)
	}
	if report.Damaged() {
		return &exit.Error{Status: exit.Damaged, Sentence: "damage was found, as listed; keep a copy of the folder before you change anything"}
	}
	return nil
}

func isFolder(dir string) bool {
	_, err := folder.ReadIdentity(dir)
	return err == nil
}

// photosAt is the originals of a folder, to be read only: nothing that a
// running program is just taking in is swept away.
type photosAt string

var _ audit.Originals = photosAt("")

// All gives every original.
func (p photosAt) All(ctx context.Context) iter.Seq2[media.Ref, error] {
	return func(yield func(media.Ref, error) bool) {
		names, err := fs.Glob(os.DirFS(string(p)), "[0-9a-f][0-9a-f]/*")
		if err != nil {
			yield(media.Ref{}, err)
			return
		}
		for _, name := range names {
			ref, err := media.ParseHex(filepath.Base(name))
			if err != nil || p.path(ref) != filepath.Join(string(p), name) {
				continue
			}
			if err := ctx.Err(); !yield(ref, err) || err != nil {
				return
			}
		}
	}
}

// Open opens an original; [media.ErrNotHere] if there is none.
func (p photosAt) Open(_ context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	f, err := os.Open(p.path(ref))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, 0, media.ErrNotHere
	}
	if err != nil {
		return nil, 0, fmt.Errorf("open original: %w", err)
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, info.Size(), nil
}

func (p photosAt) path(ref media.Ref) string {
	return filepath.Join(string(p), ref.Hex()[:2], ref.Hex())
}
