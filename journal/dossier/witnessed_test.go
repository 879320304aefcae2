package dossier_test

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/witnessed/witnessedtest"
	"fettlebook/journal/worktest"
)

// said is what others said of some states of the hub's log, by rising size.
type said []witnessed.Kept

func (s said) Since(_ context.Context, size int64) (witnessed.Kept, error) {
	for _, k := range s {
		if k.Size >= size {
			return k, nil
		}
	}
	return witnessed.Kept{}, nil
}

// witness has the hub note its own log, another shop's hub sign it, and an
// authority timestamp it.
func (o *office) witness(tsa *witnessedtest.Authority) witnessed.Kept {
	o.t.Helper()
	o.write(journal.Draft{Subject: journal.Of("device", string(worktest.Office)), By: "hub", Data: &journal.LogNote{Device: worktest.Office}})
	head, err := o.log.Head(o.ctx, worktest.Office)
	o.must(err)
	held, err := o.log.CountersignedSince(o.ctx, worktest.Office, head.Size-1, 1)
	o.must(err)
	key, err := proof.Verifier(o.keys[worktest.Office].Verifier())
	o.must(err)
	other, err := proof.NewKey(journaltest.Rand(o.seed+" witness"), proof.CosignerName("b3tterq2"))
	o.must(err)
	noted, err := proof.Countersign(proof.Checkpoint{Note: held[0].Note}, key, other.Cosigner(func() time.Time { return time.Date(2028, 6, 1, 8, 0, 0, 0, time.UTC) }))
	o.must(err)
	question, err := witnessed.AskStamp(noted, nil)
	o.must(err)
	return witnessed.Kept{Size: head.Size, Note: noted, Witnesses: []string{other.Verifier()}, Stamp: tsa.Answer(question)}
}

// What others said of the hub's log goes along, with the entry by which it
// covers the tablets' entries; a state of another history does not.
func TestWitnessed(t *testing.T) {
	o := newOffice(t, 900)
	j := o.jobs(record.Sealed)[0]
	kept := o.witness(witnessedtest.New(t, witnessedtest.Options{}))
	b := o.builder()
	build := func(by dossier.Witnessed) []byte {
		t.Helper()
		b.Witnessed = by
		var out bytes.Buffer
		_, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), &out)
		o.must(err)
		return out.Bytes()
	}
	f := o.verify(build(said{kept}), o.receipt(j), evidence.PhotoAbsent)
	a := f.Answer(evidence.Witnessed)
	if a == nil || a.Verdict != evidence.Yes || !strings.Contains(a.Says, "every entry existed by the word of others") {
		t.Fatalf("answered %+v", a)
	}
	codes := map[evidence.Code]bool{}
	for _, found := range a.Findings {
		codes[found.Code] = true
	}
	if !codes[evidence.Stamped] || !codes[evidence.Cosigned] {
		t.Errorf("found %+v", a.Findings)
	}

	tsa := witnessedtest.New(t, witnessedtest.Options{})
	other := newOffice(t, 700).witness(tsa)
	// A state of another history hides none that comes later.
	hides := witnessed.Kept{Size: kept.Size, Note: other.Note, Stamp: other.Stamp}
	f = o.verify(build(said{hides, o.witness(tsa)}), o.receipt(j), evidence.PhotoAbsent)
	if a := f.Answer(evidence.Witnessed); a == nil || a.Verdict != evidence.Yes {
		t.Errorf("behind another history: %+v", a)
	}

	for name, by := range map[string]dossier.Witnessed{"nobody": nil, "of another history": said{other}, "older than the job": said{witnessed.Kept{Size: 1, Note: kept.Note, Stamp: kept.Stamp}}} {
		f := o.verify(build(by), o.receipt(j), evidence.PhotoAbsent)
		if a := f.Answer(evidence.Witnessed); a != nil {
			t.Errorf("%s: answered %+v", name, a)
		}
	}
}

// A shop that is witnessed every day anchors its logs every day. Of that a
// dossier holds what is needed, however long ago the job was.
func TestAnchorsDoNotPileUp(t *testing.T) {
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	for range 30 {
		o.write(journal.Draft{Subject: journal.Of("device", string(worktest.Office)), By: "hub", Data: &journal.LogNote{Device: worktest.Office}})
	}
	b := o.builder()
	b.Witnessed = said{o.witness(witnessedtest.New(t, witnessedtest.Options{}))}
	var out bytes.Buffer
	d, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), &out)
	o.must(err)
	anchors := 0
	for _, e := range d.Entries {
		if e.Why == evidence.ForOrder && e.At.Device == worktest.Office {
			anchors++
		}
	}
	if anchors > 2 {
		t.Errorf("%d anchors are in it", anchors)
	}
	f := o.verify(out.Bytes(), o.receipt(j), evidence.PhotoAbsent)
	if a := f.Answer(evidence.Witnessed); a == nil || a.Verdict != evidence.Yes {
		t.Errorf("answered %+v", a)
	}
}
