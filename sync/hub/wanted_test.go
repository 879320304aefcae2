package hub_test

import (
	"database/sql"
	"errors"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// forget has the hub's database lose a countersignature.
func (r *rig) forget(device journal.DeviceID, size int64) error {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(r.dir, "log.db"))
	if err != nil {
		return err
	}
	_, err = db.ExecContext(r.t.Context(), "DELETE FROM countersigned WHERE size = ? AND log = (SELECT log FROM logs WHERE device = ?)", size, string(device))
	return errors.Join(err, db.Close())
}

// A hub tells which originals it lacks and from where on countersignatures may be lost. It
// takes its own word back, and nobody else's.
func TestTheHubTakesItsWordBack(t *testing.T) {
	r := open(t)
	one, two := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	r.send(one.device, r.encode(one.write(2)))
	r.countersigned(one, 2)
	lost, err := r.db.LastCountersigned(t.Context(), one.device)
	must(t, err)
	thumb := []byte("a thumbnail")
	shot := journal.Photo{Ref: media.RefOf([]byte("an original")), Thumb: media.RefOf(thumb), Role: "bore masked"}
	two.add(two.entry(&journal.Snapshot{}, shot))
	s := two.segment(0, 1)
	s.Thumbs[shot.Thumb] = thumb
	r.send(two.device, r.encode(s))
	r.stop()
	r.openLog()
	r.ahead.Store(int64(time.Minute))
	r.run()
	r.ready()
	// It signs one entry more than it had, and the word on the first two is gone.
	r.send(one.device, r.encode(one.write(1)))
	r.countersigned(one, 3)
	must(t, r.forget(one.device, 2))

	var reply segment.WantedReply
	must(t, r.ask(one.device, segment.Wanted, segment.WantedAsk{}, &reply))
	if len(reply.Originals) != 1 || media.Ref(reply.Originals[0]) != shot.Ref || reply.More {
		t.Errorf("it wants %d originals, want the one", len(reply.Originals))
	}
	from := map[journal.DeviceID]int64{}
	for _, w := range reply.Receipts {
		from[w.Device] = w.From
		if at := time.Unix(w.Until, 0); at.Before(lost.At) || at.After(r.now()) {
			t.Errorf("of %s until %v", w.Device, at)
		}
	}
	if from[one.device] != 2 || from[two.device] != 1 {
		t.Errorf("it wants countersignatures from %v on", from)
	}
	forger := newKey(t, proof.CosignerName(r.shop))
	tree := new(proof.Tree)
	for _, raw := range one.log[:2] {
		tree.Append(raw)
	}
	device, err := proof.Verifier(one.key.Verifier())
	must(t, err)
	forged, err := proof.Countersign(proof.Checkpoint{Size: 2, Root: tree.Root()}, device, forger.Cosigner(time.Now))
	if err == nil {
		refused(t, r.ask(two.device, segment.Receipts, segment.ReceiptsAsk{Device: one.device, Countersigned: [][]byte{forged}}, nil), "not countersigned")
	}
	refused(t, r.ask(two.device, segment.Receipts, segment.ReceiptsAsk{Device: one.device, Countersigned: [][]byte{[]byte("x")}}, nil), "")
	refused(t, r.ask(two.device, segment.Receipts, segment.ReceiptsAsk{Device: "nobody", Countersigned: [][]byte{lost.Note}}, nil), "no log")
	must(t, r.ask(two.device, segment.Receipts, segment.ReceiptsAsk{Device: one.device, Countersigned: [][]byte{lost.Note}}, nil))
	list, err := r.db.CountersignedSince(t.Context(), one.device, 0, 10)
	must(t, err)
	if len(list) != 2 || string(list[0].Note) != string(lost.Note) {
		t.Errorf("%d countersignatures are here, want the one that was lost and the new one", len(list))
	}
}

// What entries name and nobody brought is told: of a log how far others had seen it, and an
// original that its tablet does not have any more.
func TestWhatIsGone(t *testing.T) {
	r := open(t)
	one, two := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	r.send(one.device, r.encode(one.write(2)))
	thumb := []byte("a thumbnail")
	shot := journal.Photo{Ref: media.RefOf([]byte("an original")), Thumb: media.RefOf(thumb), Role: "bore masked"}
	e := two.entry(&journal.Snapshot{}, shot)
	e.After = journal.After{{Device: "t0aaaaaa", Size: 7, Root: [16]byte{1}}, {Device: one.device, Size: 5, Root: [16]byte{1}}}
	two.add(e)
	s := two.segment(0, 1)
	s.Thumbs[shot.Thumb] = thumb
	r.send(two.device, r.encode(s))
	gone, err := r.hub.Gone(t.Context())
	must(t, err)
	none := hub.GoneEntries{Device: "t0aaaaaa", Named: 7} // a log of which nothing is left
	if !slices.Equal(gone.Logs, []hub.GoneEntries{none, {Device: one.device, Here: 2, Named: 5}}) || len(gone.Originals) != 0 {
		t.Errorf("gone is %+v", gone)
	}
	must(t, r.ask(two.device, segment.Offer, segment.PhotoAsk{Ref: shot.Ref[:]}, new(segment.PhotoReply)))
	r.send(one.device, r.encode(one.write(3)))
	gone, err = r.hub.Gone(t.Context())
	must(t, err)
	if !slices.Equal(gone.Logs, []hub.GoneEntries{none}) || len(gone.Originals) != 1 || gone.Originals[0] != (hub.GoneOriginal{Ref: shot.Ref, Device: two.device}) {
		t.Errorf("gone is %+v", gone)
	}
}
