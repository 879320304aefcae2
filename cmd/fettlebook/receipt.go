package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"
)

type writeReceipt struct {
	Job string `arg:"" help:"A job's ID, or its first characters." placeholder:"JOB"`
	Out string `short:"o" help:"The file to write, as .pdf or .html; left out, receipt-JOB.pdf in this folder." type:"path" placeholder:"FILE"`
}

// Run writes the receipt of a job that was handed back.
func (c *writeReceipt) Run(ctx context.Context, t *terminal) error {
	write, err := paperForm(c.Out)
	if err != nil {
		return err
	}
	var doc *paper.Document
	var seal *evidence.Receipt
	err = onShelf(ctx, t, func(s *shelf) error {
		id, err := s.job(c.Job)
		if err != nil {
			return err
		}
		st := s.view.Standing(id)
		if st == nil {
			return notFound("there is no job %s here", id)
		}
		if seal, err = sealOf(ctx, s.log, s.view, id); err != nil {
			return err
		}
		doc, err = paper.NewReceipt(ctx, s.view, st, paper.Asked{
			At: t.Now(), Photos: paper.Large{Originals: photodir.OpenToRead(folder.PhotosPath(t.Data)), Thumbs: s.log},
			Seal: func(journal.JobID) *evidence.Receipt { return seal },
		})
		c.Out = cmp.Or(c.Out, filepath.Join(".", "receipt-"+string(id)+".pdf"))
		return notHandedBack(id, err)
	})
	if err != nil {
		return err
	}
	if err := writePaper(c.Out, doc, write); err != nil {
		return err
	}
	fmt.Fprintln(t.Out, c.Out)
	if seal != nil {
		fmt.Fprintln(t.Out, seal)
	}
	return nil
}

// notHandedBack says of a job that it has no receipt yet.
func notHandedBack(id journal.JobID, err error) error {
	if errors.Is(err, paper.ErrNotHandedBack) {
		return &exit.Error{Status: exit.Refused, Err: err, Sentence: fmt.Sprintf("the vehicle of job %s was not handed back yet; the receipt is written at handover. `fettlebook holds %[1]s` shows what is missing", id)}
	}
	return err
}

// paperForm is how a paper is written into a file, by the end of its name.
func paperForm(file string) (func(*paper.Document, io.Writer) error, error) {
	switch ext := strings.ToLower(filepath.Ext(file)); {
	case file == "", ext == ".pdf":
		return (*paper.Document).PDF, nil
	case ext == ".html", ext == ".htm":
		return func(d *paper.Document, w io.Writer) error { return d.HTML(w, paper.Screen{}) }, nil
	}
	return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("the file %s is neither a .pdf nor a .html; name one that is", oneLine(file))}
}

// writePaper writes a paper as a whole, or leaves what was there.
func writePaper(file string, d *paper.Document, write func(*paper.Document, io.Writer) error) error {
	var b bytes.Buffer
	if err := write(d, &b); err != nil {
		return err
	}
	if err := durable.WriteFile(file, b.Bytes(), 0o644); err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return &exit.Error{Status: exit.NotFound, Err: err, Sentence: fmt.Sprintf("there is no folder %s", filepath.Dir(file))}
		}
		return err
	}
	return nil
}

// countersigned is what a log knows of the hub's signatures.
type countersigned interface {
	CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error)
}

// sealOf is the receipt of a sealed job: by the first state of the hub's log that covers
// its seal and that the hub signed. It is nil while there is none here.
func sealOf(ctx context.Context, log countersigned, v *shop.View, id journal.JobID) (*evidence.Receipt, error) {
	j := v.Job(id)
	if j == nil || j.Sealed == nil || v.Shop.Founded == nil {
		return nil, nil
	}
	seal, sealed := j.Sealed.Effect().(*journal.Seal)
	hub, founded := v.Shop.Founded.Effect().(*journal.Shop)
	if !sealed || !founded {
		return nil, nil
	}
	at := j.Sealed.Position()
	signed, err := log.CountersignedSince(ctx, at.Device, at.Index, 1)
	if err != nil || len(signed) == 0 {
		return nil, err
	}
	key, err := proof.Verifier(hub.LogKey)
	if err != nil {
		return nil, err
	}
	cosigner, err := proof.CosignVerifier(hub.CosignKey)
	if err != nil {
		return nil, err
	}
	state, when, err := proof.OpenCountersigned(signed[0].Note, key, cosigner)
	if err != nil {
		return nil, fmt.Errorf("the state of the hub's log that covers the seal of job %s: %w", id, err)
	}
	return &evidence.Receipt{
		Shop: v.Shop.ID, Job: id, Seal: seal.Root, Entries: seal.Entries, Hub: evidence.Fingerprint(hub.LogKey, hub.CosignKey),
		Size: state.Size, Root: state.Root, At: when,
	}, nil
}
