package dossier_test

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
)

// listening hears which investigations papers may tell of.
type listening struct{ told []journal.EntryID }

// Write implements dossier.Papers.
func (l *listening) Write(_ context.Context, of *dossier.Told, _ dossier.Add) error {
	l.told = of.Investigations
	return nil
}

// looking is an office in which a customer complains about a job, and somebody
// looks into the lot that was sprayed on it, on many cars.
type looking struct {
	*office
	job    *record.Job
	others []*record.Job
	lot    string
	claim  journal.EntryID
}

func newLooking(t *testing.T) *looking {
	o := newOffice(t, 1200)
	l := &looking{office: o, job: o.jobs(record.Sealed)[0]}
	table := o.folded.View(o.ctx).Parts()
	for row := range table.Len() {
		if id := table.At(row, parts.Job).String(); id == string(l.job.ID) && table.At(row, parts.PowderLot).Known() {
			l.lot = table.At(row, parts.PowderLot).String()
		}
	}
	if l.lot == "" {
		t.Fatal("no powder is on the job")
	}
	for _, j := range o.jobs() {
		if j.ID != l.job.ID {
			l.others = append(l.others, j)
		}
	}
	l.claim = o.write(journal.Draft{Subject: journal.About(l.job.ID, "", ""), By: "io", Data: &journal.Claim{Says: "the coat flakes"}}).ID
	return l
}

// look writes an investigation, with a photograph of somebody's car.
func (l *looking) look(about journal.Subject, i journal.Investigation) journal.EntryID {
	l.t.Helper()
	i.LookedAt, i.Sure = []string{"the parts table"}, journal.Probable
	if i.Matter == "" {
		i.Matter = "flaking"
	}
	if i.Found == "" {
		i.Found = "cool soaks"
	}
	if i.Concluded == "" {
		i.Concluded = "gas"
	}
	photo, thumbs := l.photograph()
	i.Photos = []journal.Photo{photo}
	return l.write(journal.Draft{Subject: about, By: "io", Data: &i, Thumbs: thumbs}).ID
}

// built builds the complaint's dossier, verifies it, and says which entries are
// in it and of which investigations papers may tell.
func (l *looking) built() (d *evidence.Dossier, all map[string][]byte, told []journal.EntryID) {
	l.t.Helper()
	v := l.folded.View(l.ctx)
	of, err := dossier.OfClaim(l.ctx, v, l.log, l.claim)
	l.must(err)
	asked := originals()
	asked.Customer = true
	paper := &listening{}
	b := l.builder()
	b.Papers = []dossier.Papers{paper}
	var out bytes.Buffer
	_, err = b.Build(l.ctx, v, of, asked, &out)
	l.must(err)
	l.verify(out.Bytes(), l.receipt(l.job), evidence.PhotoAbsent)
	bag, d := l.unpack(out.Bytes())
	all = make(map[string][]byte)
	for _, path := range bag.Paths() {
		all[path], err = bag.Bytes(path, 1<<22)
		l.must(err)
	}
	return d, all, paper.told
}

func has(d *evidence.Dossier, id journal.EntryID) bool {
	return slices.ContainsFunc(d.Entries, func(i evidence.Item) bool { return i.ID == id })
}

// An investigation over all cars of the shop is in the dossier of one: with its
// counts, and with nothing of another car.
func TestInvestigationInADossier(t *testing.T) {
	journaltest.Long(t)
	l := newLooking(t)
	var rests []journal.EntryID // an entry of each other car
	for _, j := range l.others {
		if len(rests) < 30 {
			rests = append(rests, j.Opened.ID)
		}
	}
	lot := journal.Of("lot", l.lot)
	over := l.look(lot, journal.Investigation{Filter: []string{"powder_lot=" + l.lot}, Defect: journal.Peel, Counted: []journal.Count{{Defects: 3, Parts: 60}}, Rests: append(rests, l.claim), Decided: []journal.Outcome{{What: journal.CardChanged}}})
	goesOn := l.look(journal.Of("shop", string(l.folded.View(l.ctx).Shop.ID)), journal.Investigation{Matter: "again", Of: over})
	asksLot := l.look(journal.Of("route", "caliper"), journal.Investigation{Filter: []string{"powder_lot=" + strings.ToUpper(l.lot)}, Defect: journal.Peel})
	onJob := l.look(journal.About(l.job.ID, "", ""), journal.Investigation{Matter: "the flake"})
	v := l.folded.View(l.ctx)
	card := l.write(journal.Draft{Subject: journal.Of("route", "caliper"), By: "io", Data: &journal.RouteCard{Route: "caliper", Edition: 7, Text: v.Shop.Routes[0].Lines[0].Effect().(*journal.RouteCard).Text, Because: over}})
	idle := l.look(journal.Of("shop", string(v.Shop.ID)), journal.Investigation{Matter: "another matter", Filter: []string{"powder_lot=none-such"}, Defect: journal.Peel})

	d, all, told := l.built()
	for _, id := range []journal.EntryID{over, goesOn, asksLot, onJob, card.ID} {
		if !has(d, id) {
			t.Errorf("%s is not here", id)
		}
	}
	if has(d, idle) {
		t.Error("what has nothing to do with the complaint is here")
	}
	if want := []journal.EntryID{over, goesOn, asksLot, onJob}; !slices.Equal(told, want) {
		t.Errorf("papers tell of %v, not of %v", told, want)
	}
	own := l.told(l.job)
	for path, raw := range all {
		for _, j := range l.others {
			for _, text := range l.told(j) {
				if !among(own, text) && bytes.Contains(raw, []byte(text)) {
					t.Errorf("%s tells %q of job %s", path, text, j.ID)
				}
			}
		}
	}
	for _, id := range rests {
		if has(d, id) && !slices.ContainsFunc(l.folded.View(l.ctx).Job(l.job.ID).Timeline(), func(own *record.Line) bool { return own.ID == id }) {
			t.Errorf("the entry %s of another car is here", id)
		}
	}
	shown := 0
	for _, p := range d.Photos {
		for _, at := range p.Cited {
			i := slices.IndexFunc(d.Entries, func(e evidence.Item) bool { return e.At == at })
			switch id := d.Entries[i].ID; {
			case slices.Contains([]journal.EntryID{over, goesOn, asksLot}, id):
				shown++
				if p.Missing != evidence.OfOthers || p.Thumbnail || p.Original || !p.Copy.IsZero() {
					t.Errorf("a photograph of what was looked into on all cars is here: %+v", p)
				}
			case id == onJob && (p.Missing != "" || !p.Thumbnail):
				t.Errorf("the photograph of what was looked into on this job alone is not here: %+v", p)
			}
		}
	}
	if shown != 3 {
		t.Errorf("%d photographs of investigations are named", shown)
	}
	// Of a job no investigation comes along but those in its own record.
	plain := l.build(dossier.OfJob(l.job.ID), originals())
	if _, d := l.unpack(plain); has(d, over) || has(d, goesOn) || !has(d, onJob) {
		t.Error("the dossier of the job has what is of the complaint's")
	}
}

// Whoever writes of another car in an investigation, in whatever field, keeps it
// out of the dossier whole, and papers silent of it; the rest is told.
func TestHostileInvestigations(t *testing.T) {
	l := newLooking(t)
	shopOf := journal.Of("shop", string(l.folded.View(l.ctx).Shop.ID))
	lot := journal.Of("lot", l.lot)
	other := l.others[0]
	told := l.told(other)
	plate, name := told[len(told)-3], told[len(told)-2]
	l.write(journal.Draft{Subject: journal.About(other.ID, journal.LeftFront, "caliper"), By: "io", Data: &journal.Tagging{Tag: "A1", Number: "Z-4471", Metal: journal.Iron}})
	with := "powder_lot=" + l.lot
	good := l.look(lot, journal.Investigation{Filter: []string{with}, Defect: journal.Peel})
	out := map[string]journal.EntryID{
		"a plate found":           l.look(lot, journal.Investigation{Found: "as on " + plate}),
		"a name concluded":        l.look(lot, journal.Investigation{Concluded: name + " drove it"}),
		"a plate in the question": l.look(lot, journal.Investigation{Matter: "flakes of " + strings.ToLower(plate)}),
		"a plate decided":         l.look(lot, journal.Investigation{Decided: []journal.Outcome{{What: journal.WorkChanged, Says: "call " + plate}}}),
		"a plate came of it":      l.look(lot, journal.Investigation{CameOf: plate + " came back"}),
		"a plate in a condition":  l.look(lot, journal.Investigation{Filter: []string{with, "casting=" + plate}}),
		"a part":                  l.look(lot, journal.Investigation{Filter: []string{with, "part=job/" + string(other.ID) + "/corner/LF/part/caliper"}}),
		"a job":                   l.look(lot, journal.Investigation{Filter: []string{with, "job=" + string(other.ID)}}),
		"a casting":               l.look(lot, journal.Investigation{Filter: []string{with, "casting=Z-4471"}}),
		"a casting's count":       l.look(lot, journal.Investigation{Counted: []journal.Count{{With: "casting=Z-4471", Defects: 1, Parts: 1}}}),
		"an entry":                l.look(lot, journal.Investigation{Filter: []string{with, "defect_entry=" + other.Opened.ID.String()}}),
		"a casting in words":      l.look(lot, journal.Investigation{Found: "Z4471 flaked, the others did not"}),
		"another car's record":    l.look(journal.About(other.ID, "", ""), journal.Investigation{Rests: []journal.EntryID{l.claim}}),
		"goes on with a plate":    l.look(shopOf, journal.Investigation{Of: good, Found: "as on " + plate}),
	}
	// What was harmless, and names another car since it was corrected.
	turned := l.look(lot, journal.Investigation{Matter: "turned"})
	raw, err := journal.MarshalPayload(&journal.Investigation{Matter: "turned", LookedAt: []string{"it"}, Found: "as on " + plate, Concluded: "gas", Sure: journal.Possible})
	l.must(err)
	l.write(journal.Draft{Subject: lot, By: "io", Data: &journal.Correction{Of: turned, Reason: "more exactly", Data: raw}})

	d, all, papers := l.built()
	if !has(d, good) || !slices.Equal(papers, []journal.EntryID{good}) {
		t.Errorf("papers tell of %v, not of %s alone", papers, good)
	}
	for what, id := range out {
		if has(d, id) {
			t.Errorf("%s: it is here", what)
		}
	}
	own := l.told(l.job)
	for path, raw := range all {
		for _, text := range append(told, "Z-4471", "Z4471", strings.ToLower(plate)) {
			if !among(own, text) && bytes.Contains(raw, []byte(text)) {
				t.Errorf("%s tells %q", path, text)
			}
		}
	}
	if i := slices.IndexFunc(d.Left, func(left evidence.Left) bool { return left.What == "investigations" }); i < 0 || d.Left[i].Count != 1 {
		t.Errorf("left out are %+v", d.Left)
	}

	// On the job itself a single row of another car is withheld too, and papers
	// would tell it.
	l.look(journal.About(l.job.ID, "", ""), journal.Investigation{Filter: []string{"casting=Z-4471"}})
	if d, _, papers := l.built(); papers != nil || !slices.ContainsFunc(d.Left, func(left evidence.Left) bool { return left.What == "the report and the open formats" }) {
		t.Errorf("papers tell of a row: %v, %+v", papers, d.Left)
	}
}
