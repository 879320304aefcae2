package desk_test

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

func (o *office) look(about journal.Subject, i journal.Investigation, shows ...string) journal.EntryID {
	o.t.Helper()
	i.LookedAt, i.Concluded, i.Sure = []string{"the parts table"}, "gas out of the casting", journal.Probable
	if i.Found == "" {
		i.Found = "cool soaks"
	}
	return o.Write(about, "io", &i, shows...)
}

// From the page of recurring defects a link fills the form with the question and
// what was found; nobody is named in it.
func TestInvestigateFrom(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	table := o.invent(1000)
	study, err := recur.Of(table, recur.Question{Defect: "pinhole", Filter: filter(t, "metal=iron", "day>=2025-02")})
	if err != nil || len(study.Accused) == 0 {
		t.Fatal(err, study)
	}
	o.get("/recurring?defect=pinhole&since=2025-02&where=metal%3Diron").well(http.StatusOK).says("Investigate this", html.EscapeString("/investigate?defect=pinhole&since=2025-02&where=metal%3Diron"))
	begun := o.get("/investigate?defect=pinhole&since=2025-02&where=metal%3Diron")
	to, err := url.Parse(begun.header.Get("Location"))
	if err != nil || begun.status != http.StatusSeeOther || !strings.HasPrefix(to.Path, "/write/investigation.made/shop/") {
		t.Fatalf("%d to %q", begun.status, begun.header.Get("Location"))
	}
	q := to.Query()
	tallies := study.Tallies()
	for name, want := range map[string]string{"defect": "pinhole", "matter": "pinhole", "filter.0": "metal=iron", "filter.1": "day>=2025-02-01", "counted.0.with": "", "counted.1.with": tallies[1].With, "looked_at.0": "the parts table"} {
		if got := q.Get(name); got != want {
			t.Errorf("%s is %q, not %q", name, got, want)
		}
	}
	if !strings.Contains(q.Get("found"), "kind of part and metal held equal") {
		t.Errorf("found: %q", q.Get("found"))
	}
	lot := o.get("/investigate?defect=pinhole&factor=powder_lot").header.Get("Location")
	if !strings.Contains(lot, "pinhole+and+powder+lot") || !strings.Contains(lot, "counted.1.with=powder_lot") {
		t.Errorf("of a factor: %s", lot)
	}
	o.get("/recurring/powder_lot?defect=pinhole").well(http.StatusOK).says("factor=powder_lot")
	person := o.get("/investigate?defect=pinhole&factor=person").header.Get("Location")
	if strings.Contains(person, "counted.1") || regexp.MustCompile(`person%3D|person=`).MatchString(person) {
		t.Errorf("a person is counted: %s", person)
	}
	o.get("/investigate?where=wheel%3D4").leads("/recurring?where=wheel%3D4")
	o.get("/investigate?defect=pinhole&where=metal%3Dgold").leads(o.get("/investigate?defect=pinhole&where=metal%3Dgold").header.Get("Location"))
}

// The page of an investigation shows what was counted then beside what is counted
// now, and says what has changed.
func TestInvestigationThenAndNow(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	table := o.invent(1000)
	study, err := recur.Of(table, recur.Question{Defect: "pinhole"})
	if err != nil {
		t.Fatal(err)
	}
	lot := study.Tallies(parts.PowderLot)
	now := func(i int) (int, int) { return lot[i].Sample.Defects, lot[i].Sample.Parts }
	bad, all := now(1)
	whole, of := now(0)
	id := o.look("shop/k7m2q4xw", journal.Investigation{Matter: "pinholes", Defect: journal.Pinhole, Counted: []journal.Count{
		{Defects: whole, Parts: of}, {With: lot[1].With, Defects: bad - 2, Parts: all - 5}, {With: "powder_lot=L999", Defects: 1, Parts: 2}, {With: "moon=full", Defects: 0, Parts: 3},
	}, Decided: []journal.Outcome{{What: journal.TrialAgreed, Says: "ten parts of another lot"}, {What: journal.CardChanged}}})
	a := o.get("/investigation/" + id.String()).well(http.StatusOK)
	a.says("Pinholes", "as then", "5 parts more, 2 more with it, stands out now", "fewer than then: entries were corrected since", "There is no column", "A trial", "ten parts of another lot", "/routes?because="+id.String(),
		"What it goes with now", `class="chart"`, html.EscapeString(lot[1].With), "/recurring?defect=pinhole", "No later entry speaks of it yet.", "of="+id.String())
	a.hides("NaN", "Inf", "No counts were kept")
	o.get("/investigations").well(http.StatusOK).says("Pinholes", "/investigation/"+id.String(), "the whole shop", "gas out of the casting")
	o.get("/entry/" + id.String()).well(http.StatusOK).says("/investigation/" + id.String())

	// One that goes on with it, and one without counts.
	next := o.look("shop/k7m2q4xw", journal.Investigation{Matter: "still pinholes", Of: id, Filter: []string{"defect_pinhole=yes", "metal=iron"}, CameOf: "the other lot had none"})
	o.get("/investigation/"+next.String()).well(http.StatusOK).says("Goes on with", "/investigation/"+id.String(), "No counts were kept", "the other lot had none", `<span class="n">metal=iron</span>`)
	o.get("/investigation/"+id.String()).well(http.StatusOK).says("/investigation/"+next.String(), "/routes?because="+id.String()).hides("No later entry speaks")
	// One that asks what cannot be asked, one that asks nothing, one that was struck out.
	wrong := o.look("shop/k7m2q4xw", journal.Investigation{Matter: "wheels", Defect: journal.Pinhole, Filter: []string{"wheel=4"}})
	o.get("/investigation/"+wrong.String()).well(http.StatusOK).says("cannot be asked again", "there is no column", "gas out of the casting")
	bare := o.look("shop/k7m2q4xw", journal.Investigation{Matter: "a torn boot"})
	o.get("/investigation/" + bare.String()).well(http.StatusOK).says("A torn boot").hides("Then and now")
	none := o.look("shop/k7m2q4xw", journal.Investigation{Matter: "gold", Defect: journal.Pinhole, Filter: []string{"metal=gold"}})
	o.get("/investigation/" + none.String()).well(http.StatusOK).says("No coat of a part is on record")
	o.Write("shop/k7m2q4xw", "io", &journal.Correction{Of: bare, Reason: "another car"})
	o.get("/investigation/"+bare.String()).well(http.StatusOK).says("Struck out", "another car").hides("What was decided")
	o.get("/investigations").well(http.StatusOK).says("<del>A torn boot</del>")
	for _, path := range []string{"/investigation/nothing", "/investigation/" + strings.Replace(id.String(), id.String()[:4], "0000", 1)} {
		o.get(path).well(http.StatusNotFound).says("There is no such investigation on this machine")
	}
}

// Photographs of the parts that have the defect stand side by side, each leading
// to its entry and its part; one that was withdrawn does not.
func TestInvestigationSideBySide(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	id := o.look(journal.Of("lot", "so-118"), journal.Investigation{Matter: "pinholes", Defect: journal.Pinhole}, "the test piece")
	a := o.get("/investigation/" + id.String()).well(http.StatusOK)
	a.says("side by side", "the test piece", "two pinholes, scale beside", "one pinhole, scale beside", "/trace?q=job%2F"+string(o.Job("other")), `class="snaps compared"`)
	if n := strings.Count(a.body, `<li class="snap">`); n != 3 {
		t.Errorf("%d photographs", n)
	}
	for _, l := range o.Live.View(t.Context()).Job(o.Job("job")).Timeline() {
		for _, p := range l.Photos {
			if p.Role == "one pinhole, scale beside" {
				o.Write(l.Subject, "io", &journal.Withdrawal{Photo: p.Ref, Reason: "a face"})
			}
		}
	}
	o.get("/investigation/" + id.String()).well(http.StatusOK).hides("one pinhole, scale beside")
}

// What people typed is text on these pages.
func TestHostileInvestigation(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const bad = `<script>alert(1)</script>"><img src=x onerror=y>`
	id := o.look("shop/k7m2q4xw", journal.Investigation{Matter: bad, Found: bad, Filter: []string{"metal=" + bad}, Defect: journal.Pinhole, Counted: []journal.Count{{With: bad, Parts: 1}, {With: "metal=" + bad, Parts: 1}}, Decided: []journal.Outcome{{What: journal.NothingDone, Says: bad}}})
	for _, path := range []string{"/investigation/" + id.String(), "/investigations", "/routes/caliper/edit?because=" + id.String(), "/routes/caliper/edit?because=" + url.QueryEscape(bad), "/routes?because=" + url.QueryEscape(bad)} {
		o.get(path).hides("<script>alert", "<img src=x", "NaN", "Inf")
	}
}

// A card that is published says which investigation it came out of, and what is
// no investigation is refused.
func TestPublishBecause(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	id := o.look(journal.Of("route", "caliper"), journal.Investigation{Matter: "pinholes", Decided: []journal.Outcome{{What: journal.CardChanged}}})
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	o.get("/routes?because="+id.String()).well(http.StatusOK).says("/routes/caliper/edit?because="+id.String(), "because="+id.String()+"&amp;supplied=yes")
	o.get("/routes/caliper/edit?because=" + id.String()).well(http.StatusOK).says(`<option value="` + id.String() + `" selected>`)
	o.get("/routes/caliper/edit").well(http.StatusOK).says(`<option value="` + id.String() + `">`)
	next := strings.Replace(text, "edition: 1", "edition: 2", 1)
	a := o.post("/routes/check", url.Values{"text": {next}, "because": {id.String()}}).well(http.StatusOK).says(`<option value="` + id.String() + `" selected>`)
	checked := hidden.FindStringSubmatch(a.body)
	for _, wrong := range []string{"nothing", o.Live.View(t.Context()).Shop.Founded.ID.String()} {
		o.post("/routes/publish", url.Values{"text": {next}, "because": {wrong}, "checked": checked[1:2]}).well(http.StatusUnprocessableEntity).says("is not here, or was struck out")
	}
	o.post("/routes/publish", url.Values{"text": {next}, "because": {id.String()}, "checked": checked[1:2]}).leads("/routes/caliper")
	if r := o.Live.View(t.Context()).Behind("caliper 2"); r == nil || r.Entry != id.String() {
		t.Errorf("behind the card is %+v", r)
	}
	o.get("/routes/caliper").well(http.StatusOK).says("came out of an investigation", "/investigation/"+id.String())
	o.get("/routes/caliper?edition=1").well(http.StatusOK).hides("came out of an investigation")
	o.get("/investigation/"+id.String()).well(http.StatusOK).says("Route card caliper").hides("No later entry speaks", "/routes?because=")
}
