package dossier_test

import (
	"bytes"
	"context"
	"io"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
	"fettlebook/media"
	"fettlebook/media/mediatest"
)

// office is the hub of a shop that has worked for some days, with its database
// and its photographs.
type office struct {
	t      testing.TB
	ctx    context.Context
	log    *sqlitelog.DB
	folded *shop.Shop
	photos *album
	watch  *journaltest.Watch
	*history
}

// album hands out originals, but for those that are gone.
type album struct {
	*mediatest.Memory
	gone map[media.Ref]bool
}

// Open implements dossier.Originals.
func (a *album) Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	if a.gone[ref] {
		return nil, 0, media.ErrNotHere
	}
	return a.Memory.Open(ctx, ref)
}

func (o *office) must(err error) {
	o.t.Helper()
	if err != nil {
		o.t.Fatal(err)
	}
}

// write writes an entry at the hub, which countersigns it.
func (o *office) write(d journal.Draft) *journal.Entry {
	o.t.Helper()
	o.watch.Advance(time.Minute)
	e, err := o.log.Append(o.ctx, d)
	o.must(err)
	o.countersign(worktest.Office)
	o.must(o.folded.CatchUp(o.ctx))
	return e
}

// jobs lists the jobs that were opened.
func (o *office) jobs(states ...record.State) []*record.Job {
	v := o.folded.View(o.ctx)
	var list []*record.Job
	for _, id := range v.Names("job") {
		if j := v.Job(journal.JobID(id)); j != nil && j.Opened != nil && (len(states) == 0 || slices.Contains(states, j.State)) {
			list = append(list, j)
		}
	}
	o.must(v.Err())
	return list
}

func (o *office) builder() dossier.Builder {
	return dossier.Builder{Log: o.log, Thumbs: o.log, Originals: o.photos, Cards: o.log}
}

func originals() dossier.Asked {
	return dossier.Asked{Asked: evidence.Asked{Photos: evidence.Originals}}
}

// build builds a dossier.
func (o *office) build(of dossier.Subject, asked dossier.Asked) []byte {
	o.t.Helper()
	var out bytes.Buffer
	_, err := o.builder().Build(o.ctx, o.folded.View(o.ctx), of, asked, &out)
	o.must(err)
	return out.Bytes()
}

// unpack opens a dossier and reads its description.
func (o *office) unpack(packed []byte) (*bag.Bag, *evidence.Dossier) {
	o.t.Helper()
	b, err := bag.Open(bytes.NewReader(packed), int64(len(packed)))
	o.must(err)
	raw, err := b.Bytes(evidence.DossierPath, evidence.MaxDossierBytes)
	o.must(err)
	d, err := evidence.Decode(raw)
	o.must(err)
	return b, d
}

// verify verifies a dossier, and demands that nothing is found wrong in it.
// What cannot be known must have one of the codes.
func (o *office) verify(packed []byte, receipt *evidence.Receipt, unknown ...evidence.Code) evidence.Findings {
	o.t.Helper()
	b, _ := o.unpack(packed)
	f, err := evidence.Verify(o.ctx, b, evidence.Trusted{Receipt: receipt}, nil)
	o.must(err)
	for _, a := range f.Answers {
		for _, one := range a.Findings {
			switch {
			case one.Verdict == evidence.No:
				o.t.Errorf("%s: false alarm: %s (%v %v)", a.Question, one.Says, one.Entries, one.Paths)
			case one.Verdict == evidence.Unknown && a.Question != evidence.Beyond && !slices.Contains(unknown, one.Code):
				o.t.Errorf("%s: not shown: %s", a.Question, one.Says)
			}
		}
	}
	return f
}

// done demands that a dossier was built.
func (o *office) done(_ *evidence.Dossier, err error) {
	o.t.Helper()
	o.must(err)
}

// receipt is what the customer of a sealed job was given.
func (o *office) receipt(j *record.Job) *evidence.Receipt {
	o.t.Helper()
	v := o.folded.View(o.ctx)
	hub := v.Shop.Founded.Effect().(*journal.Shop)
	seal := j.Sealed.Effect().(*journal.Seal)
	at := j.Sealed.Position()
	signed, err := o.log.CountersignedSince(o.ctx, at.Device, at.Index, 1)
	o.must(err)
	root, err := o.log.RootAt(o.ctx, at.Device, signed[0].Size)
	o.must(err)
	return &evidence.Receipt{Shop: v.Shop.ID, Job: j.ID, Seal: seal.Root, Entries: seal.Entries, Hub: evidence.Fingerprint(hub.LogKey, hub.CosignKey), Size: signed[0].Size, Root: root, At: signed[0].At}
}
