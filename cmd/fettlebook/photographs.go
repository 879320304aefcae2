package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
	"fettlebook/media"
	"fettlebook/media/photodir"
)

// photographs are the commands on where original photographs lie.
type photographs struct {
	Show    photosShow    `cmd:"" help:"Show where the original photographs lie, how much room they take, and for how long there is any."`
	Move    photosMove    `cmd:"" help:"Move the original photographs to a folder on another disk."`
	Archive photosArchive `cmd:"" help:"Move old original photographs to an archive, which need not stay connected."`
}

type photosShow struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// photosView is where the originals are, as it is printed.
type photosView struct {
	Folder    string        `json:"folder"`
	Originals int           `json:"originals"`
	Bytes     int64         `json:"bytes"`
	Month     int64         `json:"bytes_in_30_days,omitzero"` // missing while nobody can say
	Free      uint64        `json:"free_bytes"`
	Archives  []archiveView `json:"archives,omitempty"`
}

type archiveView struct {
	Folder    string `json:"folder"`
	Originals int    `json:"originals"`
	Here      bool   `json:"in_reach"`
}

// Run shows where the originals are.
func (c *photosShow) Run(ctx context.Context, t *terminal) error {
	if _, err := folder.ReadIdentity(t.Data); err != nil {
		return err
	}
	places, err := folder.ReadPlaces(t.Data)
	if err != nil {
		return err
	}
	g, err := folder.PhotosGrowth(ctx, t.Data, t.Now())
	if err != nil {
		return err
	}
	v := photosView{places.Root(t.Data), g.Originals, g.Bytes, g.Month, g.Free, nil}
	for _, a := range places.Archives {
		_, err := os.Stat(filepath.Join(a.Folder, photodir.Mark))
		v.Archives = append(v.Archives, archiveView{a.Folder, len(a.Holds), err == nil})
	}
	if c.JSON {
		return printReport(t.Out, "photos show", v)
	}
	fmt.Fprintf(t.Out, "%s in %s: %s. %s\n", words.Count(g.Originals, "original photograph"), v.Folder, megabytes(g.Bytes), growth(g))
	for _, a := range v.Archives {
		fmt.Fprintf(t.Out, "%s in the archive %s%s.\n", words.Count(a.Originals, "original photograph"), a.Folder, words.If(!a.Here, ", which is not in reach now"))
	}
	return nil
}

func megabytes(n int64) string {
	if n >= 10<<30 {
		return fmt.Sprintf("%d GB", n>>30)
	}
	return fmt.Sprintf("%d MB", (n+1<<19)>>20)
}

// growth says how much comes and for how long there is room.
func growth(g folder.Growth) string {
	months, known := g.Months()
	free := megabytes(int64(min(g.Free, 1<<62)))
	switch {
	case !known:
		return fmt.Sprintf("%s are free. How much comes in a month can be said once a week of photographs is here.", free)
	case months >= 24:
		return fmt.Sprintf("About %s come in 30 days; %s are free, enough for more than two years.", megabytes(g.Month), free)
	default:
		return fmt.Sprintf("About %s come in 30 days; %s are free, enough for about %s.", megabytes(g.Month), free, words.Count(int(months), "month"))
	}
}

type photosMove struct {
	Folder string `arg:"" type:"path" help:"The folder: empty, or not there yet. The data folder’s own, photos, brings them back." placeholder:"FOLDER"`
}

// Run moves the originals while no program runs on the folder.
func (c *photosMove) Run(ctx context.Context, t *terminal) error {
	if _, err := folder.ReadIdentity(t.Data); err != nil {
		return err
	}
	lock, err := folder.Lock(t.Data)
	if err != nil {
		return err
	}
	p := newProgress(t, "photographs")
	m, err := folder.Carrier{Progress: p.step}.Move(ctx, t.Data, c.Folder)
	p.clear()
	if err := errors.Join(photosRefused(err), lock.Unlock()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.Out, "%s moved, %s. They lie in %s from now on; the program needs that disk to start.\n", words.Count(m.Originals, "photograph"), megabytes(m.Bytes), c.Folder)
	return err
}

type photosArchive struct {
	Folder string `arg:"" type:"path" help:"The archive: a folder on another disk, empty, not there yet, or an archive already." placeholder:"FOLDER"`
	Before string `required:"" help:"Move those whose entries are all from before this day." placeholder:"DAY"`
}

// Run archives old originals while no program runs on the folder.
func (c *photosArchive) Run(ctx context.Context, t *terminal) error {
	var day journal.Date
	if err := day.UnmarshalText([]byte(c.Before)); err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: "--before: " + err.Error(), Err: err}
	}
	before, err := time.ParseInLocation(time.DateOnly, string(day), t.Now().Location())
	if err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: "--before: " + err.Error(), Err: err}
	}
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return err
	}
	p := newProgress(t, "photographs")
	m, err := folder.Carrier{Progress: p.step}.Archive(ctx, f, c.Folder, before)
	p.clear()
	if err := errors.Join(photosRefused(err), f.Close()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.Out, "%s moved to the archive %s, %s. Their thumbnails stay here; records say where the originals are.\n", words.Count(m.Originals, "photograph"), c.Folder, megabytes(m.Bytes))
	return err
}

func photosRefused(err error) error {
	if errors.Is(err, folder.ErrPhotosTo) {
		return &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	return err
}

// writeArchived adds to a record on paper which of its original photographs lie in an archive.
func writeArchived(ctx context.Context, out io.Writer, dir string, jobs []*record.Job) error {
	places, err := folder.ReadPlaces(dir)
	if err != nil || len(places.Archives) == 0 {
		return err
	}
	in, err := folder.Originals(dir)
	if err != nil {
		return err
	}
	type place struct {
		root string
		away bool
	}
	seen, counts := make(map[media.Ref]bool), make(map[place]int)
	for _, j := range jobs {
		for _, l := range j.Timeline() {
			for _, p := range l.Photos {
				if root, away := in.Where(ctx, p.Ref); !seen[p.Ref] && root != "" && root != places.Root(dir) {
					counts[place{root, away}]++
				}
				seen[p.Ref] = true
			}
		}
	}
	for _, a := range places.Archives {
		for _, away := range []bool{false, true} {
			if n := counts[place{a.Folder, away}]; n > 0 {
				if _, err := fmt.Fprintf(out, "\nARCHIVED: the %s of %s in %s%s\n", words.Noun(n, "original"), words.Count(n, "photograph"), a.Folder, words.If(away, ", which is not in reach now")); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
