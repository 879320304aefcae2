package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
	"fettlebook/media/photodir"
)

type hubTakeOver struct {
	Folder string `arg:"" optional:"" type:"path" help:"The lost tablet’s data folder, or a copy of its journal.db; without it, what the hub itself holds of such logs." placeholder:"FOLDER"`
	Write  bool   `help:"Take them over; without it they are only listed."`
}

// Help says what is taken over.
func (*hubTakeOver) Help() string {
	return `A tablet that was revoked, or restored from an older copy, may hold entries that no longer count. This lists them, and with --write the hub takes them over: it quotes each with the tablet’s own signature over it, and the record says so. What had to be done in an order is then in doubt until somebody does it again or says what came first. The tablet’s passphrase is not needed; the hub must not be running meanwhile.`
}

// Run lists what of a lost tablet's logs counts no more, or takes it over.
func (c *hubTakeOver) Run(ctx context.Context, t *terminal) (err error) {
	if _, err := identityOf(t.Data, folder.Hub); err != nil {
		return err
	}
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := whole(ctx, f); err != nil {
		return err
	}
	from, originals, err := c.source(ctx, f)
	if err != nil {
		return err
	}
	if from != f.Log {
		defer func() { err = errors.Join(err, from.Close()) }()
	}
	list, err := f.Salvage(ctx, from, originals, !c.Write)
	if err != nil {
		return err
	}
	return c.report(ctx, t.Out, f, list)
}

// source opens what is taken over from, and refuses another shop's.
func (c *hubTakeOver) source(ctx context.Context, f *folder.Folder) (*sqlitelog.DB, *photodir.Dir, error) {
	if c.Folder == "" {
		return f.Log, nil, nil
	}
	dir, db := c.Folder, folder.DatabasePath(c.Folder)
	if info, err := os.Stat(c.Folder); err == nil && !info.IsDir() {
		dir, db = filepath.Dir(c.Folder), c.Folder
	}
	id, err := folder.ReadIdentity(dir)
	switch {
	case err == nil && id.Shop != f.Shop:
		return nil, nil, anotherShops(c.Folder)
	case err != nil && !errors.Is(err, folder.ErrNoFolder) && !errors.Is(err, folder.ErrUnnamed): // a copy of the journal alone will do
		return nil, nil, err
	}
	from, err := sqlitelog.OpenToRead(ctx, db)
	if errors.Is(err, sqlitelog.ErrLost) {
		return nil, nil, notFound("there is no journal in %s", c.Folder)
	}
	if err != nil {
		return nil, nil, err
	}
	if err := ofShop(ctx, from, f.Shop, c.Folder); err != nil {
		return nil, nil, errors.Join(err, from.Close())
	}
	originals, err := folder.Originals(dir)
	if err != nil {
		return nil, nil, errors.Join(err, from.Close())
	}
	return from, originals, nil
}

// ofShop refuses logs of another shop, by what stands in them.
func ofShop(ctx context.Context, from *sqlitelog.DB, shop journal.ShopID, name string) error {
	for l, err := range from.All(ctx) {
		if err != nil {
			return err
		}
		if e, err := journal.Decode(l.Bytes); err == nil {
			if e.Source.Shop != shop {
				return anotherShops(name)
			}
			return nil
		}
	}
	return nil
}

func anotherShops(name string) error {
	return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s belongs to another shop; nothing was taken over", name)}
}

func (c *hubTakeOver) report(ctx context.Context, out io.Writer, f *folder.Folder, list []folder.Salvage) error {
	n, people := 0, f.Folded.View(ctx)
	for _, s := range list {
		n += len(s.Taken)
		if s.Open {
			fmt.Fprintf(out, "%s may still write, so its entries come in by themselves. If it is lost, revoke it at the desk first.\n", oneLine(s.Name))
			continue
		}
		for _, e := range s.Taken {
			fmt.Fprintf(out, "%s, %s, by %s: %s about %s\n", oneLine(s.Name), e.Time.Said(people.Shop.Writing()), people.Initials(e.By), e.Type.Kind, e.Subject)
		}
		sayLeft(out, s.Haul)
	}
	switch {
	case n == 0:
		fmt.Fprintln(out, "Nothing is left to be taken over.")
	case c.Write:
		fmt.Fprintf(out, "Taken over: %s.\n", words.Count(n, "entry"))
	default:
		fmt.Fprintf(out, "%s can be taken over. Nothing was written; the same command with --write does it.\n", words.Count(n, "entry"))
	}
	return nil
}

// sayTaken tells what a tablet took over from its earlier log.
func sayTaken(out io.Writer, took sqlitelog.Haul) {
	if n := len(took.Taken); n > 0 {
		fmt.Fprintf(out, "Taken over from the earlier log of this machine: %s that did not count there.\n", words.Count(n, "entry"))
	}
	sayLeft(out, took)
}

func sayLeft(out io.Writer, haul sqlitelog.Haul) {
	for _, l := range haul.Left {
		fmt.Fprintf(out, "Not taken over, it stays in the folder: entry %d of the log of %s (%v).\n", l.Index+1, l.Device, l.Why)
	}
}
