package desk_test

import (
	"context"
	"errors"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/journal"
	"fettlebook/journal/card"
)

func TestInvite(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.post("/people/invite", url.Values{"name": {"  "}}).well(http.StatusUnprocessableEntity).says("Give the tablet a name", `aria-invalid="true"`)
	o.post("/people/invite", url.Values{"name": {strings.Repeat("é", 41)}}).well(http.StatusUnprocessableEntity).says("The name has 41 characters", strings.Repeat("é", 41))
	if o.invited > 0 {
		t.Error("a bad name made an invitation")
	}
	o.post("/people/invite", url.Values{"name": {"bench 1"}}).well(http.StatusOK).says("FETTLE1.io.bench 1", `<svg class="qr"`, "valid until")
	o.broken = errors.New("the disk is almost full")
	o.post("/people/invite", url.Values{"name": {"bench 2"}}).well(http.StatusUnprocessableEntity).says("No invitation was made: the disk is almost full.", `value="bench 2"`, "The state of the tablets cannot be shown now")
	o.get("/").well(http.StatusOK)
}

// While the disk is full the desk says that nothing comes in, and what that is for a
// tablet that is revoked.
func TestTheDeskSaysThatTheDiskIsFull(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for _, full := range []bool{true, false} {
		o.full = full
		for _, page := range []string{"/", "/people"} {
			if got := strings.Contains(o.get(page).well(http.StatusOK).body, "nothing is taken in from the tablets"); got != full {
				t.Errorf("%s with a full disk (%t) says so: %t", page, full, got)
			}
		}
	}
}

// What could not be verified is shown with who sent it, or that nobody knows, and can be
// thrown away.
func TestWhatCouldNotBeVerified(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.join("t3fz8c1n", "bench 1")
	o.apart = []desk.Unverified{{Device: "t3fz8c1n", Messages: 12, Bytes: 3_140_000, Newest: o.Now(), Reason: "this message cannot be read"},
		{Messages: 1, Bytes: 40, Newest: o.Now(), Reason: "this message cannot be read"}}
	o.get("/people").well(http.StatusOK).says("What could not be verified", "bench 1: 12 messages, 3.1 MB, the newest of ", ": this message cannot be read.", "A sender who is not known: 1 message, 0.0 MB")
	o.broken = errors.New("the disk is almost full")
	o.post("/people/apart", nil).well(http.StatusInternalServerError).says("Nothing was thrown away: the disk is almost full.", "12 messages")
	o.broken = nil
	o.post("/people/apart", nil).leads("/people")
	if page := o.get("/people").well(http.StatusOK); strings.Contains(page.body, "What could not be verified") {
		t.Error("it is shown after it was thrown away")
	}
}

func TestRevoke(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.join("t3fz8c1n", "bench 1")
	o.tablets = []desk.Tablet{{Device: "t3fz8c1n", Heard: o.Now(), Entries: 12, Countersigned: 9}}
	o.get("/people").well(http.StatusOK).says("bench 1", "up to 9", "just now", "not compared yet")
	o.get("/").says("1 tablet, last heard: bench 1, just now; 3 entries here, not countersigned yet")
	o.Wait(80 * time.Hour)
	o.get("/").well(http.StatusOK).says("Not heard from for days", "3 days ago")
	o.Write("device/t3fz8c1n", "hub", &journal.ClockReading{Device: "t3fz8c1n", OffsetMs: -2140, RoundTripMs: 18})
	o.get("/people").well(http.StatusOK).says("2.1s slow")
	o.tablets[0].CutOff = desk.CutOff{Until: o.Now().Add(time.Hour), Why: "4001 messages of no use, 3 MB, within 10 minutes"}
	o.get("/people").well(http.StatusOK).says("bench 1 is cut off until ", "since it sent 4001 messages of no use, 3 MB, within 10 minutes. Look after the tablet")
	o.get("/people/revoke/t3fz8c1n").well(http.StatusOK).says("Revoke bench 1")
	o.post("/people/revoke/t3fz8c1n", url.Values{"reason": {" "}}).well(http.StatusUnprocessableEntity).says("Say why")
	o.post("/people/revoke/t3fz8c1n", url.Values{"reason": {"left in a customer's car"}}).leads("/people")
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	if err := o.Live.Ready(ctx); err != nil {
		t.Fatal(err)
	}
	o.get("/people").well(http.StatusOK).says("Revoked: it can no longer write.")
	o.get("/people/revoke/t3fz8c1n").well(http.StatusNotFound).says("Revoked")
}

func TestForget(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	cited := o.Card(journal.Details{Name: "Wilma Tarn", Phone: "00 555 0147"})
	o.Write("job/4f7kk2m9", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Customer: cited})
	page := "/forget/" + string(cited.Card)
	o.get(page).well(http.StatusOK).says("Forget Wilma Tarn")
	o.post(page, url.Values{}).well(http.StatusUnprocessableEntity).says("Say why")
	o.post(page, url.Values{"reason": {"the customer asked for it"}}).leads("/job/4f7kk2m9")
	o.get("/job/4f7kk2m9").well(http.StatusOK).says("This card was erased").hides("Wilma", "0147")
	o.get("/search?q=wilma").well(http.StatusOK).hides("Tarn")
	o.get(page).well(http.StatusNotFound).says("This card was erased")
}

var hidden = regexp.MustCompile(`name="checked" value="([0-9a-f]{64})"`)

func TestPublish(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	next := strings.Replace(strings.Replace(text, "edition: 1", "edition: 2", 1), "title: At the counter", "title: At the desk", 1)
	o.get("/routes/caliper/edit").well(http.StatusOK).says("edition: 2")
	o.get("/routes/check").leads("/routes")
	o.get("/routes/caliper").well(http.StatusOK).says("At the counter", "edition <span class=\"n\">1</span>", "Figures of the shop")
	o.post("/routes/check", url.Values{"text": {""}}).well(http.StatusUnprocessableEntity).says("The text is empty")
	o.post("/routes/check", url.Values{"text": {text}}).well(http.StatusUnprocessableEntity).says("Edition 1 of caliper has already been published", "number 2 or a higher one")
	o.post("/routes/check", url.Values{"text": {strings.Replace(next, "vehicle.received]", "vehicle.recieved]", 1)}}).well(http.StatusUnprocessableEntity).
		says("there is no kind of entry of this name", "Line", "vehicle.recieved", html.EscapeString("title: At the desk"))
	a := o.post("/routes/check", url.Values{"text": {strings.ReplaceAll(next, "\n", "\r\n")}}).well(http.StatusOK)
	a.says("<del>At the counter</del>", "Publish edition 2")
	checked := hidden.FindStringSubmatch(a.body)
	if checked == nil {
		t.Fatal("nothing says what was checked")
	}
	o.post("/routes/publish", url.Values{"text": {next}}).well(http.StatusUnprocessableEntity).says("has not been checked yet")
	o.post("/routes/publish", url.Values{"text": {next + "\n# more"}, "checked": checked[1:2]}).well(http.StatusUnprocessableEntity).says("has been changed since")
	o.post("/routes/publish", url.Values{"text": {next}, "checked": checked[1:2]}).leads("/routes/caliper")
	o.get("/routes/caliper").well(http.StatusOK).says("At the desk", "edition <span class=\"n\">2</span>")
	o.get("/routes/caliper?edition=1").well(http.StatusOK).says("At the counter")
	o.post("/routes/publish", url.Values{"text": {next}, "checked": checked[1:2]}).well(http.StatusUnprocessableEntity).says("number 3 or a higher one")
}

func TestPromises(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := string(o.Job("job"))
	for _, e := range []journal.Payload{&journal.Job{Vehicle: journal.Vehicle{Plate: "KX 900"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1}, &journal.Release{}} { // as a log may have it
		written, err := o.Log.Append(t.Context(), journal.Draft{Subject: "job/j0b00009", By: "io", Data: e})
		if err == nil {
			_, err = o.Live.Await(t.Context(), written.ID)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	o.Wait(400 * 24 * time.Hour)
	a := o.get("/due").well(http.StatusOK).says("TRL 4471", "Due", "/write/contact.made/job/"+job, "how=telephone", "/write/retorque.done/job/"+job)
	a.says("about=fluid&#43;at&#43;the&#43;joints", "keeps=weep", "about=how&#43;the&#43;film&#43;looks", "keeps=film").hides("about=Ask")
	board := o.get("/").well(http.StatusOK).says("Follow-ups due today", `href="#due"`, `<details id="more-due">`).body
	jobs, due, more := strings.Index(board, "<span>Jobs on hand"), strings.Index(board, `id="due"`), strings.Index(board, `id="more-due"`)
	if shown, all := strings.Count(board[due:max(due, more)], `<li class="need`), strings.Count(board[due:], `<li class="need`); jobs < 0 || jobs > due || shown != 3 || all <= 3 {
		t.Errorf("jobs at %d, follow-ups at %d, %d of %d unfolded", jobs, due, shown, all)
	}
	o.Write(journal.About(o.Job("job"), "", ""), "io", &journal.Retorque{Torque: q("120 N.m"), Tool: "tw-1"})
	if b := o.get("/due").well(http.StatusOK).says("Done:"); strings.Count(b.body, `class="mark">due`) >= strings.Count(a.body, `class="mark">due`) {
		t.Error("a promise that was kept is still due")
	}
}

func TestSignInAndWho(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	out := func(r *http.Request) answer { return o.ask(o.outside, r) }
	out(httptest.NewRequest(http.MethodGet, "/job/4f7kk2m9?all=1", nil)).leads("/signin?back=%2Fjob%2F4f7kk2m9%3Fall%3D1")
	out(httptest.NewRequest(http.MethodPost, "/people/invite", nil)).leads("/signin?out=yes")
	out(httptest.NewRequest(http.MethodGet, "/signin?out=yes", nil)).well(http.StatusOK).says("is not signed in any more, so nothing was written", "/assets/")
	out(httptest.NewRequest(http.MethodGet, "/signin?back=/due", nil)).well(http.StatusOK).says(`value="/due"`).hides("/vehicles", "data-events")
	o.post("/signin", url.Values{"passphrase": {""}}).well(http.StatusUnprocessableEntity).says("Type the desk’s passphrase.")
	o.post("/signin", url.Values{"passphrase": {"mistaken"}}).well(http.StatusUnprocessableEntity).says("This is not the desk’s passphrase; try again.").hides("mistaken")
	o.post("/signin", url.Values{"passphrase": {"a few words"}, "back": {"/due"}}).leads("/due")
	for _, elsewhere := range []string{"//example.org/", "https://example.org/", `/\example.org`, "due", ""} {
		o.post("/signin", url.Values{"passphrase": {"a few words"}, "back": {elsewhere}}).leads("/")
	}
	o.post("/signout", nil).leads("/signin")

	o.by = ""
	o.get("/people/revoke/t3fz8c1n").leads("/who?back=%2Fpeople%2Frevoke%2Ft3fz8c1n")
	o.post("/people/invite", url.Values{"name": {"bench 1"}}).leads("/who?back=%2F")
	o.Write("person/ab", "io", &journal.Person{Person: "ab", Initials: "AB"})
	o.Write("person/cd", "io", &journal.Person{Person: "cd", Initials: "CD"})
	o.Write("person/cd", "io", &journal.Retirement{Person: "cd"})
	a := o.get("/who?back=/due").well(http.StatusOK).hides(">CD<")
	if strings.Index(a.body, ">IO<") > strings.Index(a.body, ">AB<") {
		t.Error("who has the duty desk does not come first")
	}
	o.post("/who", url.Values{"by": {"cd"}}).well(http.StatusUnprocessableEntity).says("Choose one of the names")
	o.post("/who", url.Values{"by": {"io"}, "back": {"/due"}}).leads("/due")
	o.by = "cd" // as an old cookie may say
	o.get("/").well(http.StatusOK).says("nobody yet")
}
