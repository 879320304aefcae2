package dossier_test

import (
	"fmt"
	"iter"
	"log/slog"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/journal/worktest"
	"fettlebook/media"
)

// history is what a shop did on its first days. It is played once for the
// tests that begin behind it, since most of them take less long: each has an
// office with copies of its files.
type history struct {
	seed   string
	cosign proof.Key
	keys   map[journal.DeviceID]proof.Key
	cards  []journal.CardState
	files  string    // the folder with its database and its index
	until  time.Time // what the office's watch shows behind it
}

// histories are those that were played, by their number of entries, and the
// folder that they lie in.
var histories = struct {
	dir  string
	list map[int]*history
}{list: make(map[int]*history)}

func (h *history) journal() string { return filepath.Join(h.files, "journal.db") }
func (h *history) index() string   { return filepath.Join(h.files, "index.db") }

// played is the history of the first n entries of a shop. No two begin alike.
func played(t testing.TB, n int) *history {
	t.Helper()
	if h := histories.list[n]; h != nil {
		return h
	}
	h := &history{seed: fmt.Sprintf("dossier %d", n), keys: make(map[journal.DeviceID]proof.Key), files: filepath.Join(histories.dir, fmt.Sprint(n))}
	o := &office{t: t, ctx: t.Context(), watch: journaltest.NewWatch(journaltest.Morning().AddDate(2, 0, 0)), history: h}
	o.must(os.Mkdir(h.files, 0o700))
	var err error
	h.cosign, err = proof.NewKey(journaltest.Rand(h.seed+" cosign"), proof.CosignerName(worktest.Shop))
	o.must(err)
	shut := o.open(h.journal(), h.index())
	o.play(n)
	o.must(o.folded.CatchUp(o.ctx))
	shut()
	h.until = o.watch.Now()
	histories.list[n] = h
	return h
}

// newOffice is an office of its own behind the first n entries of a history.
func newOffice(t testing.TB, n int) *office {
	t.Helper()
	h := played(t, n)
	o := &office{t: t, ctx: t.Context(), watch: journaltest.NewWatch(h.until), history: h}
	t.Cleanup(o.open(worktest.Copy(t, h.journal()), worktest.Copy(t, h.index())))
	o.must(o.folded.CatchUp(o.ctx))
	return o
}

// open opens an office's files, and returns what shuts them.
func (o *office) open(log, ix string) (shut func()) {
	o.t.Helper()
	o.photos = &album{prints.Memory, make(map[media.Ref]bool)}
	var err error
	o.log, err = worktest.Open(o.ctx, log, o.seed, o.watch)
	o.must(err)
	idx, _, err := index.Open(o.ctx, ix, slog.New(slog.DiscardHandler))
	o.must(err)
	o.folded = shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, o.log, idx, slog.New(slog.DiscardHandler))
	return func() {
		o.must(idx.Close())
		o.must(o.log.Close())
	}
}

// signing is a log on its way to the hub.
type signing struct {
	tree    *proof.Tree
	entries [][]byte // that are not there yet
}

// play plays the first n entries of a history: they reach the hub in small
// portions, and the hub countersigns each.
func (o *office) play(n int) {
	logs := make(map[journal.DeviceID]*signing)
	for _, d := range worktest.Devices() {
		key, err := worktest.Key(o.seed, d)
		o.must(err)
		o.keys[d], logs[d] = key, &signing{tree: new(proof.Tree)}
	}
	next, stop := iter.Pull2(worktest.First(n, worktest.New(o.seed, worktest.Options{Cosign: o.cosign.Verifier(), Photo: o.shoot, Covers: true,
		Card: func(c journal.CardState) { o.cards = append(o.cards, c) }})))
	defer stop()
	for i := 0; ; i++ {
		e, err, more := next()
		o.must(err)
		if more {
			logs[e.Device].entries = append(logs[e.Device].entries, e.Bytes)
		}
		if !more || i%17 == 16 {
			for _, d := range worktest.Devices() {
				o.send(d, logs[d])
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
func (o *office) send(d journal.DeviceID, l *signing) {
	o.t.Helper()
	if len(l.entries) == 0 {
		return
	}
	s := journal.Segment{Device: d, First: l.tree.Size(), Entries: l.entries, Thumbs: make(map[media.Ref][]byte)}
	for _, raw := range l.entries {
		l.tree.Append(raw)
		e, err := journal.Decode(raw)
		o.must(err)
		shown, err := e.Photos()
		o.must(err)
		for _, p := range shown {
			if t := prints.thumbs[p.Thumb]; t != nil {
				s.Thumbs[p.Thumb] = t
			}
		}
	}
	var err error
	s.Checkpoint, err = proof.Sign(o.keys[d].Signer(), l.tree.Size(), l.tree.Root())
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
	key, err := proof.Verifier(o.keys[d].Verifier())
	o.must(err)
	c, err := proof.Open(head.Checkpoint, key)
	o.must(err)
	at := o.watch.Now().UTC().Truncate(time.Second)
	o.watch.Advance(time.Second)
	both, err := proof.Countersign(c, key, o.cosign.Cosigner(func() time.Time { return at }))
	o.must(err)
	o.must(o.log.SaveCountersigned(o.ctx, journal.Countersigned{Device: d, Size: c.Size, At: at, Note: both}))
}
