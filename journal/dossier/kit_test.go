package dossier_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"iter"
	"log/slog"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"

	"golang.org/x/mod/sumdb/tlog"
)

// office is the hub of a shop that has worked for some days, with its database
// and its photographs.
type office struct {
	t      testing.TB
	ctx    context.Context
	seed   string
	log    *sqlitelog.DB
	folded *shop.Shop
	photos *album
	cosign proof.Key
	watch  *journaltest.Watch
	cards  []journal.CardState
	logs   map[journal.DeviceID]*signing
	shots  map[media.Ref]int // originals, by number
	newest []byte            // the last one's thumbnail
}

// album keeps originals in memory.
type album struct {
	*mediatest.Memory
	thumbs map[media.Ref][]byte
	gone   map[media.Ref]bool
}

// Open implements dossier.Originals.
func (a *album) Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	if a.gone[ref] {
		return nil, 0, media.ErrNotHere
	}
	return a.Memory.Open(ctx, ref)
}

// signing is a tablet's log on its way to the hub.
type signing struct {
	key     proof.Key
	tree    *proof.Tree
	entries [][]byte // that are not there yet
	stored  nodes
}

// newOffice plays the first n entries of a history: they reach the hub in
// small portions, and the hub countersigns each.
func newOffice(t testing.TB, seed string, n int) *office {
	t.Helper()
	o := &office{t: t, ctx: t.Context(), seed: seed, watch: journaltest.NewWatch(journaltest.Morning().AddDate(2, 0, 0)), logs: make(map[journal.DeviceID]*signing), shots: make(map[media.Ref]int),
		photos: &album{mediatest.NewMemory(), make(map[media.Ref][]byte), make(map[media.Ref]bool)}}
	var err error
	if o.cosign, err = proof.NewKey(journaltest.Rand(seed+" cosign"), proof.CosignerName(worktest.Shop)); err != nil {
		t.Fatal(err)
	}
	if o.log, err = worktest.Open(o.ctx, filepath.Join(t.TempDir(), "journal.db"), seed, o.watch); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { o.must(o.log.Close()) })
	o.fill(n)
	idx, _, err := index.Open(o.ctx, filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { o.must(idx.Close()) })
	o.folded = shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, o.log, idx, slog.New(slog.DiscardHandler))
	o.must(o.folded.CatchUp(o.ctx))
	return o
}

func (o *office) must(err error) {
	o.t.Helper()
	if err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) fill(n int) {
	for _, d := range worktest.Devices() {
		key, err := worktest.Key(o.seed, d)
		o.must(err)
		o.logs[d] = &signing{key: key, tree: new(proof.Tree)}
	}
	history := worktest.First(n, worktest.New(o.seed, worktest.Options{Cosign: o.cosign.Verifier(), Photo: o.shoot, Covers: true,
		Card: func(c journal.CardState) { o.cards = append(o.cards, c) }}))
	next, stop := iter.Pull2(history)
	defer stop()
	for i := 0; ; i++ {
		e, err, more := next()
		o.must(err)
		if more {
			o.logs[e.Device].entries = append(o.logs[e.Device].entries, e.Bytes)
		}
		if !more || i%17 == 16 {
			for _, d := range worktest.Devices() {
				o.send(d)
			}
		}
		if !more {
			break
		}
	}
	for _, c := range o.cards {
		o.must(o.log.SaveCard(o.ctx, c))
	}
}

// send brings what a device wrote to the hub, which countersigns it.
func (o *office) send(d journal.DeviceID) {
	o.t.Helper()
	l := o.logs[d]
	if len(l.entries) == 0 {
		return
	}
	s := journal.Segment{Device: d, First: l.tree.Size(), Entries: l.entries, Thumbs: make(map[media.Ref][]byte)}
	for _, raw := range l.entries {
		l.stored = append(l.stored, l.tree.Append(raw)...)
		e, err := journal.Decode(raw)
		o.must(err)
		shown, err := e.Photos()
		o.must(err)
		for _, p := range shown {
			if t := o.photos.thumbs[p.Thumb]; t != nil {
				s.Thumbs[p.Thumb] = t
			}
		}
	}
	var err error
	s.Checkpoint, err = proof.Sign(l.key.Signer(), l.tree.Size(), l.tree.Root())
	o.must(err)
	_, err = o.log.Receive(o.ctx, s)
	o.must(err)
	l.entries = nil
	o.countersign(d)
}

// countersign has the hub sign how far a log reaches here.
func (o *office) countersign(d journal.DeviceID) {
	o.t.Helper()
	head, err := o.log.Head(o.ctx, d)
	o.must(err)
	key, err := proof.Verifier(o.logs[d].key.Verifier())
	o.must(err)
	c, err := proof.Open(head.Checkpoint, key)
	o.must(err)
	at := o.watch.Now().UTC().Truncate(time.Second)
	o.watch.Advance(time.Second)
	both, err := proof.Countersign(c, key, o.cosign.Cosigner(func() time.Time { return at }))
	o.must(err)
	o.must(o.log.SaveCountersigned(o.ctx, journal.Countersigned{Device: d, Size: c.Size, At: at, Note: both}))
}

// shoot takes the n-th photograph, with a location in every second.
func (o *office) shoot(n int) journal.Photo {
	picture, turned := mediatest.Fields(48, 36, uint64(n)), 1+n%8
	var exif []byte
	if n%2 == 0 {
		exif = mediatest.Exif(mediatest.ExifTags{Orientation: turned, DateTimeOriginal: "2026:03:02 08:12:44", Location: true})
		picture = mediatest.Stored(picture, turned)
	}
	original := mediatest.JPEG(picture, 85, exif)
	taken, err := media.Inspect(o.ctx, bytes.NewReader(original), media.DefaultLimits())
	o.must(err)
	made, err := thumb.Make(o.ctx, bytes.NewReader(original), taken)
	o.must(err)
	p := journal.Photo{Ref: taken.Ref, Thumb: made.Ref}
	o.photos.thumbs[p.Thumb], o.newest = made.Bytes, made.Bytes
	d, err := o.photos.Create(o.ctx)
	o.must(err)
	_, err = d.Write(original)
	o.must(err)
	o.must(d.Commit(o.ctx, p.Ref))
	o.shots[p.Ref] = n
	return p
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

// nodes are the hashes of a log.
type nodes []tlog.Hash

// ReadHashes implements tlog.HashReader.
func (n nodes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	list := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		list[i] = n[at]
	}
	return list, nil
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

func seeds(n int) []string {
	var list []string
	for i := range n {
		list = append(list, fmt.Sprintf("dossier %d", i))
	}
	return list
}
