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
	"slices"
	"strings"
	"sync"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/media/durable"
)

type writeReceipt struct {
	What []string `arg:"" name:"job|plate|vin" help:"The job, or its vehicle by plate or VIN if one of its jobs was handed back."`
	Out  string   `short:"o" help:"The file to write, as .pdf or .html; left out, receipt-JOB.pdf in this folder." type:"path" placeholder:"FILE"`
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
		st, err := s.handedBack(strings.Join(c.What, " "))
		if err != nil {
			return err
		}
		id := st.Job.ID
		originals, err := folder.Originals(t.Data)
		if err != nil {
			return err
		}
		desk := receipts{log: s.log, originals: originals, now: t.Now}
		doc, seal, err = desk.write(ctx, s.view, st)
		c.Out = cmp.Or(c.Out, filepath.Join(".", "receipt-"+string(id)+".pdf"))
		return noReceipt(id, err)
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

// handedBack finds the one job that was meant: of a vehicle with several the one that
// was handed back.
func (s *shelf) handedBack(typed string) (*shop.Standing, error) {
	found, err := s.find(typed)
	if err != nil {
		return nil, err
	}
	jobs := found.jobs
	if len(jobs) > 1 {
		jobs = slices.DeleteFunc(slices.Clone(jobs), func(st *shop.Standing) bool { return st.Job.Released == nil })
	}
	if len(jobs) == 1 {
		return jobs[0], nil
	}
	var ids []string
	for _, st := range found.jobs {
		ids = append(ids, string(st.Job.ID))
	}
	return nil, notFound("%s has several jobs; name one: %s", oneLine(typed), list(ids))
}

// receipts writes receipts out of a folder.
type receipts struct {
	log interface {
		paper.Thumbs
		countersigned
		shop.CardReader
	}
	originals paper.Originals
	now       func() time.Time

	one sync.Mutex // a picture in the making takes much memory
}

func (r *receipts) write(ctx context.Context, v *shop.View, st *shop.Standing) (*paper.Document, *evidence.Receipt, error) {
	r.one.Lock()
	defer r.one.Unlock()
	seal, err := sealOf(ctx, r.log, v, st.Job.ID)
	if err != nil {
		return nil, nil, err
	}
	asked := paper.Asked{
		At: r.now(), Photos: paper.Large{Originals: r.originals, Thumbs: r.log}, Seal: func(journal.JobID) *evidence.Receipt { return seal },
	}
	if v.Shop.Naming == journal.ByFullName {
		asked.Name = func(id journal.PersonID) string { return v.NameOf(id, r.log) }
	}
	doc, err := paper.NewReceipt(ctx, v, st, asked)
	return doc, seal, err
}

// noReceipt says why a job has no receipt.
func noReceipt(id journal.JobID, err error) error {
	var broken *paper.SealBroken
	switch {
	case errors.Is(err, paper.ErrNotHandedBack):
		return &exit.Error{Status: exit.Refused, Err: err, Sentence: fmt.Sprintf("the vehicle of job %s was not handed back yet; the receipt is written at handover. `fettlebook holds %[1]s` shows what is missing", id)}
	case errors.As(err, &broken):
		return &exit.Error{Status: exit.Damaged, Err: err, Sentence: fmt.Sprintf("job %s: %s", id, broken.Says)}
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

// writePaper writes a paper into a file.
func writePaper(file string, d *paper.Document, write func(*paper.Document, io.Writer) error) error {
	var b bytes.Buffer
	if err := write(d, &b); err != nil {
		return err
	}
	return writeWhole(file, b.Bytes(), 0o644)
}

// writeWhole writes a file as a whole, or leaves what was there.
func writeWhole(file string, raw []byte, mode os.FileMode) error {
	err := durable.WriteFile(file, raw, mode)
	if errors.Is(err, os.ErrNotExist) {
		return &exit.Error{Status: exit.NotFound, Err: err, Sentence: fmt.Sprintf("there is no folder %s", filepath.Dir(file))}
	}
	return err
}

// countersigned is what a log knows of the hub's signatures.
type countersigned interface {
	CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error)
	// SuccessionOf tells the hub's keys from those on that founded the shop.
	SuccessionOf(ctx context.Context, founded proof.Succession) (proof.Succession, error)
}

// errSealState is wrapped when the signatures over a seal do not hold.
var errSealState = errors.New("the state of the hub’s log that covers the seal is not signed as it must be; find out with `fettlebook audit`")

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
	keys, err := log.SuccessionOf(ctx, proof.Founded(v.Shop.ID, at.Device, hub.LogKey, hub.CosignKey))
	if err != nil {
		return nil, err
	}
	state, when, _, err := keys.Open(signed[0].Note, at.Device, hub.LogKey)
	if err != nil {
		return nil, fmt.Errorf("job %s: %w: %w", id, errSealState, err)
	}
	then := keys.At(state.Size)
	return &evidence.Receipt{
		Shop: v.Shop.ID, Job: id, Seal: seal.Root, Entries: seal.Entries, Hub: then.Fingerprint(),
		Size: state.Size, Root: state.Root, At: when,
	}, nil
}
