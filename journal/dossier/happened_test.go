package dossier_test

import (
	"bytes"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/worktest"
	"fettlebook/media"

	"golang.org/x/mod/sumdb/tlog"
)

// What happens to a shop over time makes no dossier false: each is built after
// each of these, and verifies.
func TestWhatHappened(t *testing.T) {
	journaltest.Long(t)
	o := newOffice(t, 1500)
	sealed := o.jobs(record.Sealed)
	if len(sealed) < 6 {
		t.Fatalf("%d jobs are sealed", len(sealed))
	}
	check := func(t *testing.T, j *record.Job, unknown ...evidence.Code) *evidence.Dossier {
		t.Helper()
		o.t = t
		packed := o.build(dossier.OfJob(j.ID), originals())
		o.verify(packed, o.receipt(j), append(unknown, evidence.PhotoAbsent)...)
		_, d := o.unpack(packed)
		return d
	}
	t.Run("a photograph withdrawn", func(t *testing.T) {
		o.t = t
		j := sealed[0]
		shown := pictured(j)
		o.write(journal.Draft{Subject: shown.Subject, By: "io", Data: &journal.Withdrawal{Photo: shown.Photos[0].Ref, Reason: "the customer asked"}})
		d := check(t, j)
		i := slices.IndexFunc(d.Photos, func(p evidence.Photo) bool { return p.Ref == shown.Photos[0].Ref })
		if p := d.Photos[i]; p.Missing != evidence.Withdrawn || p.Original || p.Thumbnail || !p.Copy.IsZero() {
			t.Errorf("%+v", p)
		}
		if !slices.ContainsFunc(d.Entries, func(e evidence.Item) bool {
			return e.At.Device == worktest.Office && e.Why == evidence.ForJob && e.At.Index > d.Seals[0].At.Index
		}) {
			t.Error("the entry that withdrew it is not here")
		}
	})
	t.Run("a customer erased", func(t *testing.T) {
		o.t = t
		j := sealed[1]
		asked := originals()
		asked.Customer = true
		packed := o.build(dossier.OfJob(j.ID), asked)
		o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
		if _, d := o.unpack(packed); len(d.Cards) != 1 || d.Cards[0].Card != j.Customer.Card {
			t.Errorf("the cards are %v", d.Cards)
		}
		e := o.write(journal.Draft{Subject: journal.Of("card", string(j.Customer.Card)), By: "io", Data: &journal.CardErasing{Card: j.Customer.Card, Reason: "asked for"}})
		o.must(o.log.SaveCard(o.ctx, journal.CardState{Card: journal.Card{Card: j.Customer.Card}, Erased: true, Changed: e.ID}))
		packed = o.build(dossier.OfJob(j.ID), asked)
		o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
		if _, d := o.unpack(packed); len(d.Cards) != 0 || !slices.ContainsFunc(d.Left, func(l evidence.Left) bool { return l.What == "the customer’s card" }) {
			t.Errorf("the cards are %v, left out is %v", d.Cards, d.Left)
		}
	})
	t.Run("corrected after handover", func(t *testing.T) {
		o.t = t
		j := sealed[2]
		o.write(journal.Draft{Subject: j.Released.Subject, By: "io", Data: &journal.Correction{Of: pictured(j).ID, Reason: "the wrong corner"}})
		f := o.verify(o.build(dossier.OfJob(j.ID), originals()), o.receipt(j), evidence.PhotoAbsent)
		if f.Answer(evidence.Later).Findings == nil {
			t.Error("nothing is said to have been added")
		}
	})
	t.Run("taken over", func(t *testing.T) {
		o.t = t
		j := sealed[3]
		o.takeOver(journal.About(j.ID, "", ""))
		check(t, j)
	})
	t.Run("a device revoked", func(t *testing.T) {
		o.t = t
		head, err := o.log.Head(o.ctx, "bench-2")
		o.must(err)
		o.write(journal.Draft{Subject: journal.Of("device", "bench-2"), By: "io", Data: &journal.Revocation{Device: "bench-2", Reason: "lost"}})
		o.write(journal.Draft{Subject: journal.Of("device", "bench-2"), By: "hub", Data: &journal.LogClosing{Device: "bench-2", Counts: head.Size}})
		for _, j := range sealed[:6] {
			check(t, j)
		}
	})
	t.Run("entries under a seal do not count any more", func(t *testing.T) {
		o.t = t
		j := sealed[len(sealed)-1]
		var last journal.Position
		for _, at := range o.folded.View(o.ctx).Sealing(j).Covered {
			if at.Device == "bench-1" && at.Index > last.Index {
				last = at
			}
		}
		o.write(journal.Draft{Subject: journal.Of("device", "bench-1"), By: "hub", Data: &journal.LogClosing{Device: "bench-1", Counts: last.Index}})
		packed := o.build(dossier.OfJob(j.ID), originals())
		o.verify(packed, o.receipt(j), evidence.PhotoAbsent, evidence.Withheld)
		if _, d := o.unpack(packed); !slices.ContainsFunc(d.Seals[0].Covers, func(c evidence.Covered) bool { return c.At == evidence.At(last) && !c.Leaf.IsZero() }) {
			t.Error("its hash does not stand in for the entry")
		}
	})
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

// pictured returns a line of a job's own that has a photograph.
func pictured(j *record.Job) *record.Line {
	for _, l := range j.Timeline() {
		if len(l.Photos) > 0 && l.Subject.Run() == "" {
			return l
		}
	}
	return nil
}

// takeOver writes an entry on a tablet that is lost before it sent anything,
// and takes it over.
func (o *office) takeOver(about journal.Subject) {
	o.t.Helper()
	const lost journal.DeviceID = "lost-1"
	key, err := proof.NewKey(journaltest.Rand("lost"), proof.Origin(worktest.Shop, lost))
	o.must(err)
	v := o.folded.View(o.ctx)
	o.write(journal.Draft{Subject: journal.Of("device", string(lost)), By: "io", Data: &journal.Device{Device: lost, Name: "lost", LogKey: key.Verifier(),
		ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: v.Shop.Founded.ID}})
	author := journaltest.NewAuthor(lost, o.watch, "lost")
	author.Source.Shop = worktest.Shop
	raw, err := author.Encoded(journal.Draft{Subject: about, By: "jr", Data: &journal.Remark{Evidence: journal.Evidence{Note: "the hose clip is new", Photos: []journal.Photo{o.shoot(99999)}}}})
	o.must(err)
	tree := new(proof.Tree)
	stored := nodes(tree.Append(raw))
	checkpoint, err := proof.Sign(key.Signer(), tree.Size(), tree.Root())
	o.must(err)
	o.write(journal.Draft{Subject: journal.Of("device", string(lost)), By: "hub", Data: &journal.LogClosing{Device: lost}})
	d, err := proof.Quote(raw, journal.Position{Device: lost}, checkpoint, 1, stored, journal.RevokedBranch)
	o.must(err)
	for _, p := range d.Data.(*journal.TakenOver).Photos {
		d.Thumbs = append(d.Thumbs, prints.thumbs[p.Thumb])
	}
	o.write(d)
}

// Of photographs copies hold no location, and the originals are there if that
// was asked for.
func TestLocation(t *testing.T) {
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	for _, location := range []bool{false, true} {
		asked := originals()
		asked.Location = location
		packed := o.build(dossier.OfJob(j.ID), asked)
		o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
		b, d := o.unpack(packed)
		copies, whole := 0, 0
		for _, p := range d.Photos {
			switch {
			case !p.Copy.IsZero():
				copies++
				raw, err := b.Bytes(evidence.CopyPath(p.Ref, p.Ext), 1<<20)
				if err != nil || media.RefOf(raw) != p.Copy || bytes.Contains(raw, []byte("2026:03:02")) {
					t.Errorf("the copy of %s: %v", p.Ref, err)
				}
			case p.Original:
				whole++
				if !location && prints.number[p.Ref]%2 == 0 {
					t.Errorf("the original %s tells where it was taken", p.Ref)
				}
			}
		}
		if location && copies > 0 || !location && (copies == 0 || whole == 0) {
			t.Errorf("location %v: %d copies, %d originals", location, copies, whole)
		}
	}
}

// What an office lacks is said to be missing, by why.
func TestMissing(t *testing.T) {
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	shown := pictured(j).Photos[0].Ref
	o.photos.gone[shown] = true
	packed := o.build(dossier.OfJob(j.ID), originals())
	o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
	_, d := o.unpack(packed)
	i := slices.IndexFunc(d.Photos, func(p evidence.Photo) bool { return p.Ref == shown })
	if p := d.Photos[i]; p.Missing != evidence.NotYetHere || !p.Thumbnail {
		t.Errorf("%+v", p)
	}
	for _, choice := range []evidence.PhotoChoice{evidence.Thumbnails, evidence.NoPhotos} {
		packed := o.build(dossier.OfJob(j.ID), dossier.Asked{Asked: evidence.Asked{Photos: choice}})
		o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
		b, _ := o.unpack(packed)
		for _, path := range b.Paths() {
			if bytes.HasPrefix([]byte(path), []byte("photos/")) && (choice == evidence.NoPhotos || !bytes.HasPrefix([]byte(path), []byte("photos/thumbnail/"))) {
				t.Errorf("asked for %s, %s is here", choice, path)
			}
		}
	}
}
