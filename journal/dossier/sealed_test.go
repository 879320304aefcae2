package dossier_test

import (
	"bytes"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
)

// seal seals a job as it is now.
func (o *office) seal(id journal.JobID) {
	o.t.Helper()
	v := o.folded.View(o.ctx)
	var at []journal.Position
	for _, l := range v.Job(id).Timeline() {
		at = append(at, l.Position())
	}
	logged, err := o.log.Pick(o.ctx, at)
	o.must(err)
	raw := make(map[journal.Position][]byte)
	for _, e := range logged {
		raw[e.Position] = e.Bytes
	}
	var entries [][]byte
	for _, p := range at {
		entries = append(entries, raw[p])
	}
	o.write(journal.Draft{Subject: journal.About(id, "", ""), By: "hub", Data: &journal.Seal{Root: proof.Seal(entries), Entries: len(entries), Covers: journal.Stretches(at)}})
}

// A part was on the list of a bake by mistake, which was found out after the
// job was sealed. What was written of that bake is others' then, seal or not.
func TestSealedByMistake(t *testing.T) {
	o := newOffice(t, 300)
	open := func(id journal.JobID, plate string) journal.Subject {
		about := journal.About(id, "", "")
		o.write(journal.Draft{Subject: about, By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: plate}, Corners: []journal.Corner{journal.LeftFront}, Route: "caliper", Edition: 1}})
		return about + "/corner/LF/part/caliper"
	}
	set, err := unit.Parse[unit.Temperature]("200 °C")
	o.must(err)
	mine, other := open("4f7kk2m9", "FB 204"), open("9w3c0x1t", "FB 301")
	began := o.write(journal.Draft{Subject: "run/bake-x1", By: "io", Data: &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{mine, other}}, Set: set}})
	o.write(journal.Draft{Subject: "run/bake-x1", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "FB 301 hung to the left"}}})
	o.seal("4f7kk2m9")
	now, err := json.Marshal(&journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{other}}, Set: set})
	o.must(err)
	o.write(journal.Draft{Subject: "run/bake-x1", By: "io", Data: &journal.Correction{Of: began.ID, Reason: "the other caliper", Data: now}})
	packed := o.build(dossier.OfJob("4f7kk2m9"), originals())
	j := o.folded.View(o.ctx).Job("4f7kk2m9")
	f := o.verify(packed, o.receipt(j), evidence.Withheld)
	if a := f.Answer(evidence.Complete); a.Verdict == evidence.No {
		t.Errorf("%+v", a)
	}
	b, _ := o.unpack(packed)
	for _, path := range b.Paths() {
		raw, err := b.Bytes(path, 1<<22)
		o.must(err)
		if bytes.Contains(raw, []byte("FB 301")) {
			t.Errorf("%s tells of the other vehicle", path)
		}
	}
}

// A seal over entries that have not come yet is left out, and said so in a
// sentence.
func TestSealThatWaits(t *testing.T) {
	o := newOffice(t, 300)
	missing := []journal.Position{{Device: "bench-1", Index: 9000}, {Device: "bench-1", Index: 9001}}
	for _, test := range []struct {
		id   journal.JobID
		gone []journal.Position
		says string
	}{
		{"4f7kk2m9", missing[:1], "1 entry under it is not at this machine yet"},
		{"9w3c0x1t", missing, "2 entries under it are not at this machine yet"},
	} {
		about := journal.About(test.id, "", "")
		o.write(journal.Draft{Subject: about, By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "FB " + string(test.id[:3])}, Corners: []journal.Corner{journal.LeftFront}, Route: "caliper", Edition: 1}})
		covered := append([]journal.Position{o.folded.View(o.ctx).Job(test.id).Opened.Position()}, test.gone...)
		o.write(journal.Draft{Subject: about, By: "hub", Data: &journal.Seal{Root: journal.Digest{1}, Entries: len(covered), Covers: journal.Stretches(covered)}})
		if _, d := o.unpack(o.build(dossier.OfJob(test.id), originals())); len(d.Left) != 1 || d.Left[0].Why != test.says {
			t.Errorf("left out: %+v", d.Left)
		}
	}
}
