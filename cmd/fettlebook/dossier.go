package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"syscall"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

type writeDossier struct {
	What     []string             `arg:"" name:"job|plate|vin|complaint" help:"A job, a vehicle by its plate or VIN, or a complaint by the ID of its entry."`
	Out      string               `short:"o" help:"The file to write; left out, dossier-….zip in this folder." type:"path" placeholder:"FILE.zip"`
	Photos   evidence.PhotoChoice `enum:"originals,thumbnails,none" default:"originals" help:"Which photographs go in: originals, thumbnails or none."`
	Location bool                 `help:"Leave in the photographs where they were taken. Without this, copies without location go in, each with its original’s hash."`
	Names    bool                 `help:"Name the people who worked on it, from their cards; left out, their initials."`
	Customer bool                 `help:"Put the customer’s card in."`

	Despite bool `name:"despite-broken-seal" help:"Build it although an entry is not the one that was sealed or signed. Whoever checks the file finds that out."`
}

// Run writes a dossier.
func (c *writeDossier) Run(ctx context.Context, t *terminal) error {
	if c.Out != "" && !strings.EqualFold(filepath.Ext(c.Out), ".zip") {
		return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("the file %s is not a .zip; name one that is", oneLine(c.Out))}
	}
	p := newProgress(t, "")
	var d *evidence.Dossier
	err := onShelf(ctx, t, func(s *shelf) error {
		typed := strings.Join(c.What, " ")
		of, err := s.subject(ctx, typed)
		if err != nil {
			return err
		}
		if c.Out == "" {
			c.Out = dossier.Name(of.About) + ".zip"
		}
		originals, err := folder.Originals(t.Data)
		if err != nil {
			return err
		}
		b := dossierOf(t.Data, s.log, originals)
		b.Progress = func(is dossier.Progress) {
			p.what = string(is.Doing)
			p.step(is.Done, is.Of)
		}
		asked := dossier.Asked{Asked: evidence.Asked{Photos: c.Photos, Location: c.Location, Names: c.Names, Customer: c.Customer}, Broken: c.Despite}
		d, err = b.Write(ctx, s.view, of, asked, c.Out)
		return notBuilt(c.Out, err)
	})
	p.clear()
	if err != nil {
		return err
	}
	fmt.Fprintln(t.Out, c.Out)
	fmt.Fprintf(t.Out, "It holds %s of %s and names %s. `fettlebook verify` checks it.\n", words.Count(len(d.Entries), "entry"), words.Count(len(d.Logs), "log"), words.Count(len(d.Photos), "photograph"))
	for _, l := range d.Left {
		fmt.Fprintln(t.Out, leftOut(l))
	}
	return nil
}

// leftOut says what is left out on purpose.
func leftOut(l evidence.Left) string {
	return fmt.Sprintf("Left out: %s%s, because %s.", l.What, words.If(l.Count > 1, fmt.Sprintf(" (%d)", l.Count)), l.Why)
}

// subject finds what a dossier is asked for: a complaint by the ID of its entry, else
// what leaves the shop of a vehicle or a job.
func (s *shelf) subject(ctx context.Context, typed string) (dossier.Subject, error) {
	if id, is, err := s.entry(typed); is && err == nil {
		of, err := dossier.OfClaim(ctx, s.view, s.log, id)
		switch {
		case errors.Is(err, dossier.ErrNothing) && len(typed) < fullID: // a plate may look so
			return s.leaving(ctx, typed)
		case errors.Is(err, dossier.ErrNothing):
			return of, notFound("%s is not the entry of a complaint; `fettlebook due` lists the open ones", oneLine(typed))
		}
		return of, err
	}
	return s.leaving(ctx, typed)
}

// leaving is what leaves the shop of a vehicle or a job, which are found as a record is:
// of a vehicle the jobs of the customer whose it is now.
func (s *shelf) leaving(ctx context.Context, typed string) (dossier.Subject, error) {
	is, err := s.find(typed)
	if err != nil {
		return dossier.Subject{}, err
	}
	if v, ok := is.shown.(*record.Vehicle); ok {
		return dossier.OfVehicle(ctx, s.view, s.log, v, typed)
	}
	return dossier.OfJob(is.jobs[0].Job.ID), nil
}

// notBuilt says why there is no dossier.
func notBuilt(file string, err error) error {
	var broken *dossier.Broken
	var large *dossier.TooLarge
	switch {
	case errors.As(err, &broken):
		return &exit.Error{Status: exit.Damaged, Err: err, Sentence: broken.Sentence}
	case errors.As(err, &large):
		return &exit.Error{Status: exit.Refused, Err: err, Sentence: large.Sentence}
	case errors.Is(err, dossier.ErrNothing):
		return &exit.Error{Status: exit.NotFound, Err: err, Sentence: err.Error()}
	case errors.Is(err, syscall.ENOSPC):
		return &exit.Error{Status: exit.Full, Err: err, Sentence: fmt.Sprintf("the disk is full; nothing was written to %s. Free some space, or ask for thumbnails", oneLine(file))}
	case errors.Is(err, fs.ErrNotExist):
		return &exit.Error{Status: exit.NotFound, Err: err, Sentence: fmt.Sprintf("there is no folder %s", filepath.Dir(file))}
	}
	return err
}
