package audit_test

import (
	"context"
	"io"
	"iter"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/media"
)

// paper is a folder that is made up: it gives whatever a test writes on it,
// also what no program would ever store.
type paper struct {
	logs        []*paperLog
	thumbs      []audit.RawThumb
	photos      []audit.RawPhoto
	cards       []audit.RawCard
	quarantined []audit.RawQuarantined
	wrong       []string
	cosign      proof.Key
	watch       *journaltest.Watch
	own         journal.DeviceID
	hubKey      string // "" for that of the hub's log
}

// paperLog is a log that is signed as it should be, whatever its entries are.
type paperLog struct {
	audit.RawLog
	key     proof.Key
	author  *journaltest.Author
	tree    proof.Tree
	rows    []audit.RawEntry
	signed  []journal.Countersigned
	watch   *journaltest.Watch
	pace    time.Duration // from one entry to the next
	failure error
}

// newPaper makes a shop with a hub's and a tablet's log, both begun.
func newPaper(t testing.TB) *paper {
	p := &paper{watch: journaltest.NewWatch(journaltest.Morning()), own: bench}
	p.cosign = paperKey(t, proof.CosignerName(journaltest.Shop))
	hub, tablet := p.begin(t, office), p.begin(t, bench)
	founded := hub.draft(t, journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "Pin Bore Works",
		LogKey: hub.Key, CosignKey: p.cosign.Verifier()})
	hub.draft(t, journal.Of("device", string(bench)), &journal.Device{Device: bench, Name: "bench 2", LogKey: tablet.Key,
		ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: founded.ID})
	tablet.draft(t, journal.About(journaltest.JobOne, "", ""), minimal(journal.JobOpened))
	return p
}

func paperKey(t testing.TB, name string) proof.Key {
	k, err := proof.NewKey(journaltest.Rand("paper "+name), name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func (p *paper) begin(t testing.TB, device journal.DeviceID) *paperLog {
	l := &paperLog{key: paperKey(t, proof.Origin(journaltest.Shop, device)), watch: p.watch, pace: time.Minute,
		author: journaltest.NewAuthor(device, p.watch, "paper "+string(device))}
	l.RawLog = audit.RawLog{Log: int64(len(p.logs) + 1), Device: string(device), Key: l.key.Verifier()}
	p.logs = append(p.logs, l)
	return l
}

func (p *paper) hub() *paperLog    { return p.logs[0] }
func (p *paper) tablet() *paperLog { return p.logs[1] }

// write adds any bytes as an entry, with its hashes and a checkpoint.
func (l *paperLog) write(t testing.TB, raw []byte) {
	at := l.tree.Size()
	nodes := proof.PackNodes(l.tree.Append(raw))
	signed, err := proof.Sign(l.key.Signer(), l.tree.Size(), l.tree.Root())
	if err != nil {
		t.Fatal(err)
	}
	l.rows = append(l.rows, audit.RawEntry{Index: at, Bytes: raw, Nodes: nodes, Checkpoint: signed})
	l.Size = l.tree.Size()
}

// entry makes an entry and lets the test change it before it is written.
func (l *paperLog) entry(t testing.TB, about journal.Subject, data journal.Payload, change func(*journal.Entry)) *journal.Entry {
	l.watch.Advance(l.pace)
	e, err := l.author.Write(journal.Draft{Subject: about, By: journaltest.Io, Data: data})
	if err != nil {
		t.Fatal(err)
	}
	change(e)
	raw, err := e.Encode()
	if err != nil {
		t.Fatal(err)
	}
	l.write(t, raw)
	return e
}

func (l *paperLog) draft(t testing.TB, about journal.Subject, data journal.Payload) *journal.Entry {
	return l.entry(t, about, data, func(*journal.Entry) {})
}

// note adds a plain entry.
func (l *paperLog) note(t testing.TB, change func(*journal.Entry)) {
	l.entry(t, journal.About(journaltest.JobOne, "", ""), &journal.Remark{Evidence: journal.Evidence{Note: "dry and clean"}}, change)
}

// countersign adds the hub's signature to the checkpoint of a size.
func (p *paper) countersign(t testing.TB, l *paperLog, size int64) {
	v, err := proof.Verifier(l.key.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	at := p.watch.Now().Truncate(time.Second)
	signed, err := proof.Countersign(proof.Checkpoint{Note: l.rows[size-1].Checkpoint}, v, p.cosign.Cosigner(func() time.Time { return at }))
	if err != nil {
		t.Fatal(err)
	}
	l.signed = append(l.signed, journal.Countersigned{Size: size, At: at, Note: signed})
}

func (p *paper) sources() audit.Sources {
	key := p.hubKey
	if key == "" {
		key = p.hub().key.Verifier()
	}
	return audit.Sources{Shop: journaltest.Shop, Own: []journal.DeviceID{p.own}, Hub: office, HubKey: key,
		CosignKey: p.cosign.Verifier(), Store: p, Logs: p, Photos: p, Beside: p, Originals: p}
}

func (p *paper) audit(t testing.TB) audit.Report {
	t.Helper()
	r, err := audit.Run(t.Context(), p.sources(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (p *paper) Integrity(context.Context) ([]string, error) { return p.wrong, nil }

func all[T any](list []T) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for _, x := range list {
			if !yield(x, nil) {
				return
			}
		}
	}
}

func (p *paper) RawLogs(context.Context) iter.Seq2[audit.RawLog, error] {
	var list []audit.RawLog
	for _, l := range p.logs {
		list = append(list, l.RawLog)
	}
	return all(list)
}

func (p *paper) RawEntries(_ context.Context, log, from int64) iter.Seq2[audit.RawEntry, error] {
	l := p.logs[log-1]
	var list []audit.RawEntry
	for _, r := range l.rows {
		if r.Index >= from {
			list = append(list, r)
		}
	}
	return func(yield func(audit.RawEntry, error) bool) {
		for r, err := range all(list) {
			if !yield(r, err) {
				return
			}
		}
		if l.failure != nil {
			yield(audit.RawEntry{Index: l.Size}, l.failure)
		}
	}
}

func (p *paper) RawCountersigned(_ context.Context, log int64) iter.Seq2[journal.Countersigned, error] {
	return all(p.logs[log-1].signed)
}

func (p *paper) RawThumbs(context.Context) iter.Seq2[audit.RawThumb, error] { return all(p.thumbs) }
func (p *paper) RawPhotos(context.Context) iter.Seq2[audit.RawPhoto, error] { return all(p.photos) }
func (p *paper) RawCards(context.Context) iter.Seq2[audit.RawCard, error]   { return all(p.cards) }

func (p *paper) RawQuarantined(context.Context) iter.Seq2[audit.RawQuarantined, error] {
	return all(p.quarantined)
}

func (p *paper) All(context.Context) iter.Seq2[media.Ref, error] { return all[media.Ref](nil) }

func (p *paper) Open(context.Context, media.Ref) (io.ReadSeekCloser, int64, error) {
	return nil, 0, media.ErrNotHere
}
