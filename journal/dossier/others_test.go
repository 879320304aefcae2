package dossier_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/media/mediatest"
)

// told is what tells whose car it is.
func (o *office) told(j *record.Job) []string {
	list := []string{string(j.Customer.Card)}
	for _, v := range []string{j.Stated.Vehicle.VIN, j.Stated.Vehicle.Plate} {
		if v != "" {
			list = append(list, v)
		}
	}
	for _, c := range o.cards {
		if c.Card.Card == j.Customer.Card {
			list = append(list, c.Card.Details.Name, c.Card.Details.Phone)
		}
	}
	return list
}

// Nothing of another customer or another car is in any byte of a dossier, also
// where runs were shared and somebody wrote there whose car it was.
func TestNothingOfOthers(t *testing.T) {
	journaltest.Long(t)
	o := newOffice(t, 900)
	jobs := o.jobs()
	written := 0
	for _, j := range jobs { // on a run that others share
		for _, l := range j.Timeline() {
			if l.Subject.Run() != "" {
				photo, thumbs := o.photograph()
				o.write(journal.Draft{Subject: l.Subject, By: "io", Data: &journal.Remark{Evidence: journal.Evidence{
					Note: "the rack of " + j.Stated.Vehicle.Plate + " hung to the left", Photos: []journal.Photo{photo}}}, Thumbs: thumbs})
				written++
				break
			}
		}
	}
	written += o.sayEverywhere(jobs)
	if written < 30 {
		t.Fatalf("%d remarks", written)
	}
	withheld := 0
	for _, j := range journaltest.Rows(t, 3, jobs) {
		asked := originals()
		asked.Customer = true
		packed := o.build(dossier.OfJob(j.ID), asked)
		var receipt *evidence.Receipt
		if j.State == record.Sealed {
			receipt = o.receipt(j)
		}
		o.verify(packed, receipt, evidence.PhotoAbsent, evidence.NotSealed, evidence.NoReceipt)
		b, d := o.unpack(packed)
		for _, l := range d.Left {
			if l.What == "entries" {
				withheld += l.Count
			}
		}
		own := o.told(j)
		for _, path := range b.Paths() {
			raw, err := b.Bytes(path, 1<<22)
			o.must(err)
			for _, other := range jobs {
				for _, text := range o.told(other) {
					if other.ID != j.ID && !among(own, text) && bytes.Contains(raw, []byte(text)) {
						t.Errorf("job %s: %s tells %q of job %s", j.ID, path, text, other.ID)
					}
				}
			}
		}
		for _, p := range d.Photos {
			shared := false
			for _, at := range p.Cited {
				e, err := b.Bytes(evidence.EntryPath(at), journal.MaxQuotingBytes)
				o.must(err)
				shared = shared || bytes.Contains(e, []byte(`"subject":"run/`))
			}
			if shared && (p.Missing != evidence.OfOthers || p.Thumbnail || p.Original || !p.Copy.IsZero()) {
				t.Errorf("job %s: a photograph of a shared run is here: %+v", j.ID, p)
			}
		}
	}
	if withheld == 0 {
		t.Error("nothing had to be withheld")
	}
}

// sayEverywhere writes of each of some jobs, on another job and at every thing of
// the register that a dossier tells of, and says how often.
func (o *office) sayEverywhere(jobs []*record.Job) (written int) {
	o.t.Helper()
	say := func(about journal.Subject, data journal.Payload) {
		o.write(journal.Draft{Subject: about, By: "io", Data: data})
		written++
	}
	v := o.folded.View(o.ctx)
	for i, j := range jobs[:6] {
		told := o.told(j)
		plate := told[len(told)-3] // of a VIN or a plate, a name and a telephone, what stands on the car
		name := told[len(told)-2]
		other := jobs[len(jobs)-1-i]
		note := func(text string) journal.Evidence { return journal.Evidence{Note: text} }
		say(journal.About(other.ID, "", ""), &journal.Remark{Evidence: note("the same colour as " + plate + " had")})
		say(journal.About(other.ID, "", ""), &journal.Remark{Evidence: note("lent its stands to " + name + ", who waits")})
		say(journal.About(other.ID, journal.LeftFront, "caliper"), &journal.Rebuild{NewParts: []journal.Item{{What: "boot of " + strings.ToLower(plate), Count: 1}}})
		slip := o.write(journal.Draft{Subject: journal.About(other.ID, "", ""), By: "io", Data: &journal.Remark{Evidence: note("a slip")}})
		say(journal.About(other.ID, "", ""), &journal.Correction{Of: slip.ID, Reason: "meant for " + plate})
		for _, t := range v.Shop.Tools {
			check := &journal.ToolCheck{Tool: t.ID, Result: journal.InTolerance, Due: "2031-01-01", Evidence: note("checked after the work on " + strings.ReplaceAll(plate, " ", "-"))}
			say(journal.Of("tool", string(t.ID)), check)
		}
		for _, l := range v.Shop.Lots {
			lot := *l.Stated
			lot.Note, lot.Sheet = "left over from "+name, "as for "+plate
			say(journal.Of("lot", string(l.ID)), &lot)
		}
		for _, f := range v.Shop.Fluids {
			fluid := *f.Stated
			fluid.Batch = plate
			say(journal.Of("fluid", string(f.ID)), &fluid)
		}
		for _, s := range v.Shop.Specs {
			spec := *s.Stated
			spec.Page = "as read for " + name
			say(journal.Of("spec", string(s.ID)), &spec)
		}
	}
	return written
}

// among reports whether a text is one's own too: names are few.
func among(list []string, text string) bool {
	for _, own := range list {
		if strings.Contains(own, text) {
			return true
		}
	}
	return false
}

// A vehicle that has another owner now: the jobs of the one before are left
// out.
func TestVehicle(t *testing.T) {
	o := newOffice(t, 900)
	jobs := o.jobs(record.Sealed)
	first, second := jobs[0], jobs[1]
	again := func(customer *journal.Citation) journal.JobID {
		id := journal.JobID("aga1n" + string('a'+rune(len(o.jobs())%20)) + "x")
		stated := *first.Stated
		stated.Customer = customer
		o.write(journal.Draft{Subject: journal.About(id, "", ""), By: "io", Data: &stated})
		return id
	}
	of := func() (dossier.Subject, []byte) {
		t.Helper()
		v := o.folded.View(o.ctx)
		vehicle, _ := v.Vehicle(v.Job(first.ID).Vehicle.Key)
		s, err := dossier.OfVehicle(o.ctx, v, o.log, vehicle, first.Stated.Vehicle.VIN)
		o.must(err)
		packed := o.build(s, originals())
		o.verify(packed, o.receipt(first), evidence.PhotoAbsent, evidence.NotSealed, evidence.ReceiptJob)
		return s, packed
	}
	same := again(first.Customer)
	if s, _ := of(); len(s.Jobs) != 2 || s.Jobs[1] != same || len(s.Left) != 0 {
		t.Errorf("for the same customer: %+v", s)
	}
	_ = again(second.Customer)
	v := o.folded.View(o.ctx)
	vehicle, _ := v.Vehicle(v.Job(first.ID).Vehicle.Key)
	s, err := dossier.OfVehicle(o.ctx, v, o.log, vehicle, first.Stated.Vehicle.VIN)
	o.must(err)
	if len(s.Jobs) != 1 || len(s.Left) != 1 || s.Left[0].Count != 2 {
		t.Errorf("sold: %+v", s)
	}
	o.verify(o.build(s, originals()), nil, evidence.NoReceipt, evidence.NotSealed, evidence.PhotoAbsent)
}

// Of jobs without a customer nobody can tell whether the car was sold in
// between, unless one was opened to answer a complaint about the other.
func TestVehicleOfNobody(t *testing.T) {
	o := newOffice(t, 300)
	open := func(id journal.JobID, answers journal.EntryID) {
		o.write(journal.Draft{Subject: journal.About(id, "", ""), By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "FB 204"}, Corners: []journal.Corner{journal.LeftFront}, Route: "caliper", Edition: 1, Claim: answers}})
	}
	open("4f7kk2m9", journal.EntryID{})
	claim := o.write(journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io", Data: &journal.Claim{Says: "the coat flakes"}})
	open("9w3c0x1t", claim.ID)
	v := o.folded.View(o.ctx)
	vehicle, _ := v.Vehicle(v.Job("4f7kk2m9").Vehicle.Key)
	s, err := dossier.OfVehicle(o.ctx, v, o.log, vehicle, "FB 204")
	o.must(err)
	if len(s.Jobs) != 1 || s.Jobs[0] != "9w3c0x1t" || len(s.Left) != 1 || s.Left[0].Count != 1 {
		t.Errorf("of the vehicle: %+v", s)
	}
	if s, err = dossier.OfClaim(o.ctx, v, o.log, claim.ID); err != nil || len(s.Jobs) != 2 || len(s.Left) != 0 {
		t.Errorf("of the complaint: %+v, %v", s, err)
	}
}

// A complaint's dossier is about the job that the complaint is about.
func TestClaim(t *testing.T) {
	o := newOffice(t, 900)
	j := o.jobs(record.Sealed)[0]
	e := o.write(journal.Draft{Subject: journal.About(j.ID, "", ""), By: "io", Data: &journal.Claim{Says: "the coat flakes"}})
	s, err := dossier.OfClaim(o.ctx, o.folded.View(o.ctx), o.log, e.ID)
	o.must(err)
	packed := o.build(s, originals())
	f := o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
	if !strings.Contains(f.About, e.ID.String()) || s.Jobs[0] != j.ID {
		t.Errorf("%s", f.About)
	}
	if _, err := dossier.OfClaim(o.ctx, o.folded.View(o.ctx), o.log, j.Opened.ID); err == nil {
		t.Error("an opening is taken for a complaint")
	}
}

// Unpacked, plain sha256sum checks it.
func TestSha256sum(t *testing.T) {
	if _, err := exec.LookPath("sha256sum"); err != nil {
		mediatest.Missing(t, "sha256sum is missing; install it (Debian: apt-get install coreutils)")
	}
	if _, err := exec.LookPath("unzip"); err != nil {
		mediatest.Missing(t, "unzip is missing; install it (Debian: apt-get install unzip)")
	}
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	dir := t.TempDir()
	file := filepath.Join(dir, "a.zip")
	o.done(o.builder().Write(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), file))
	if out, err := exec.Command("unzip", "-q", file, "-d", dir).CombinedOutput(); err != nil {
		t.Fatalf("unzip: %v\n%s", err, out)
	}
	for _, manifest := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt"} {
		sums := exec.Command("sha256sum", "--strict", "--quiet", "-c", manifest)
		sums.Dir = filepath.Join(dir, dossier.Name(evidence.About{Jobs: []journal.JobID{j.ID}}))
		if out, err := sums.CombinedOutput(); err != nil {
			t.Errorf("sha256sum: %v\n%s", err, out)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 2 {
		t.Errorf("in the folder lie %v (%v)", left, err)
	}
}
