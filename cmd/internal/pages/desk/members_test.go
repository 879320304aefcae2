package desk_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/journal"
)

// crew is an office in which io owns the shop and keeps the desk, mk keeps the desk, and
// jr works at the bench.
func crew(t *testing.T) *office {
	o := newOffice(t)
	for _, p := range []journal.Person{
		{Person: "io", Initials: "IO", Duties: []journal.Duty{"bench", "desk", "owner"}},
		{Person: "mk", Initials: "MK", Duties: []journal.Duty{"desk"}},
		{Person: "jr", Initials: "JR", Duties: []journal.Duty{"bench", "second check"}},
	} {
		o.Write(journal.Of("person", string(p.Person)), "io", &p)
	}
	o.join("benchone", "bench 1")
	return o
}

// Who signed in by name does what they are authorised for, and is told else who is. A
// name that was only tapped proves nothing, so nothing is held against it.
func TestWhoMayDoWhatAtTheDesk(t *testing.T) {
	t.Parallel()
	o := crew(t)
	o.own = map[journal.PersonID]bool{"io": true, "mk": true, "jr": true}
	const register, people = "JR is not authorised to keep the register and the tablets, so nothing was written; IO and MK are.", "is not authorised to say who works in the shop and who signs in, so nothing was written; IO is."
	for _, c := range []struct {
		method, path string
		form         url.Values
		desk, owner  bool // who keeps the desk may, and who owns the shop
		says         string
	}{
		{"POST", "/people/invite", url.Values{"name": {"bench 2"}}, true, true, register},
		{"GET", "/people/revoke/benchone", nil, true, true, register},
		{"POST", "/people/revoke/benchone", url.Values{"reason": {""}}, true, true, register},
		{"GET", "/routes/caliper/edit", nil, true, true, register},
		{"POST", "/routes/check", url.Values{"text": {"route: x"}}, true, true, register},
		{"POST", "/people/apart", url.Values{}, true, true, register},
		{"GET", "/people/name/mk", nil, false, true, people},
		{"POST", "/people/name/mk", url.Values{"name": {""}}, false, true, people},
		{"GET", "/people/passphrase/io", nil, false, true, people},
		{"POST", "/people/passphrase/io", url.Values{"passphrase": {"x"}}, false, true, people},
		{"POST", "/people/passphrase/io/away", url.Values{"confirm": {"a few words"}}, false, true, people},
		{"GET", "/people", nil, true, true, ""},
		{"GET", "/shelf", nil, true, true, ""},
	} {
		for _, member := range []journal.PersonID{"jr", "mk", "io"} {
			o.by, o.member = member, member
			o.apart = nil
			got := o.ask(o.inside, asked(c.method, c.path, c.form))
			may := c.says == "" || member == "mk" && c.desk || member == "io" && c.owner
			if (got.status != http.StatusForbidden) != may {
				t.Errorf("%s: %s %s is answered with %d", member, c.method, c.path, got.status)
			}
			if !may {
				got.says(c.says)
			}
		}
	}
	o.by, o.member, o.own = "jr", "", nil
	o.post("/people/invite", url.Values{"name": {"bench 2"}}).well(http.StatusOK)
}

func asked(method, path string, form url.Values) *http.Request {
	r := httptest.NewRequest(method, path, nil)
	r.PostForm, r.Form = form, form
	return r
}

// By name one signs in as oneself, and as nobody else.
func TestSignInByName(t *testing.T) {
	t.Parallel()
	o := crew(t)
	o.own = map[journal.PersonID]bool{"io": true, "jr": true}
	out := func(form url.Values) answer {
		r := httptest.NewRequest(http.MethodPost, "/signin", nil)
		r.PostForm, r.Form = form, form
		return o.ask(o.outside, r)
	}
	o.ask(o.outside, httptest.NewRequest(http.MethodGet, "/signin", nil)).well(http.StatusOK).says("Short name or initials", `autocomplete="username"`).hides("JR", "MK")
	for _, name := range []string{"jr", "JR", " Jr "} {
		out(url.Values{"name": {name}, "passphrase": {"a few words"}, "back": {"/due"}}).leads("/due")
	}
	for name, form := range map[string]url.Values{
		"no name":              {"passphrase": {"a few words"}},
		"no passphrase":        {"name": {"jr"}},
		"nobody of that name":  {"name": {"zz"}, "passphrase": {"a few words"}},
		"nothing of their own": {"name": {"mk"}, "passphrase": {"a few words"}},
		"somebody else’s":      {"name": {"jr"}, "passphrase": {"mistaken"}},
	} {
		t.Run(name, func(t *testing.T) {
			o.t = t
			out(form).well(http.StatusUnprocessableEntity).hides("mistaken")
		})
	}
	o.t = t
	o.by, o.member = "jr", "jr"
	o.get("/who").well(http.StatusOK).says("Signed in as JR").hides("Tap your name")
	if o.post("/who", url.Values{"by": {"io"}}).well(http.StatusForbidden); o.by != "jr" {
		t.Errorf("a tapped name makes %s of who signed in", o.by)
	}

	// Who has left is out, though the session lasts.
	inside := o.desk.Members(o.inside)
	at := func() answer { return o.ask(inside, httptest.NewRequest(http.MethodGet, "/due", nil)) }
	at().well(http.StatusOK)
	o.Write("person/jr", "io", &journal.Retirement{Person: "jr"})
	at().leads("/signin?back=%2Fdue")
}

// A passphrase is given by whoever confirms with their own, and says beforehand what it
// does to the desk's. Who could not sign in is shown.
func TestGivePassphrases(t *testing.T) {
	t.Parallel()
	o := crew(t)
	o.get("/people").well(http.StatusOK).says("with the desk’s passphrase", `href="/people/passphrase/jr"`).hides("could not, since")
	o.by = "mk" // tapped, and does not own the shop
	o.get("/people/passphrase/mk").well(http.StatusForbidden).says("IO is.")
	o.by = "io"
	o.get("/people/passphrase/jr").well(http.StatusOK).says("Nobody has a passphrase of their own yet", "becomes that of IO", "The desk’s passphrase").hides("Take it away")
	o.get("/people/passphrase/zz").well(http.StatusNotFound)
	for name, c := range map[string]struct {
		form url.Values
		says string
	}{
		"twice otherwise": {url.Values{"confirm": {"a few words"}, "passphrase": {ofJR}, "again": {"another one"}}, "The two passphrases differ"},
		"not confirmed":   {url.Values{"confirm": {"mistaken"}, "passphrase": {ofJR}, "again": {ofJR}}, "This is not your own passphrase as it is now"},
	} {
		t.Run(name, func(t *testing.T) {
			o.t = t
			o.post("/people/passphrase/jr", c.form).well(http.StatusUnprocessableEntity).says(c.says).hides(ofJR, "mistaken")
		})
	}
	o.t = t
	o.post("/people/passphrase/jr", url.Values{"confirm": {"a few words"}, "passphrase": {ofJR}, "again": {ofJR}}).leads("/people")
	o.get("/people").well(http.StatusOK).says("by name: passphrase of IO", "by name: passphrase of JR", "cannot sign in: passphrase of MK")
	o.member = "io"
	o.get("/people/passphrase/jr").well(http.StatusOK).says("Another one", "Take it away").hides("Nobody has")
	o.get("/people/passphrase/io").well(http.StatusOK).hides("Take it away")
	o.by, o.member = "jr", "jr"
	o.get("/people/passphrase/jr").well(http.StatusOK).hides("Take it away") // one's own
	o.get("/people/passphrase/mk").well(http.StatusForbidden).says("IO is.")
	o.post("/people/passphrase/jr/away", url.Values{"confirm": {"a few words"}}).well(http.StatusNotFound)
	o.by, o.member = "io", "io"
	o.post("/people/passphrase/jr/away", url.Values{"confirm": {"mistaken"}}).well(http.StatusUnprocessableEntity).says("This is not your own passphrase as it is now")
	o.post("/people/passphrase/jr/away", url.Values{"confirm": {"a few words"}}).leads("/people")
	o.get("/people").well(http.StatusOK).says("cannot sign in: passphrase of JR")

	o.failed = []desk.FailedSignIn{{Who: "jr", From: "192.168.4.31", Tries: 4, Last: o.Now().Add(-time.Hour), Waits: true}, {From: "192.168.4.77", Tries: 1, Last: o.Now()}}
	o.get("/people").well(http.StatusOK).says("Tried to sign in and could not", "JR, from 192.168.4.31: 4 tries without the right passphrase, last on ", "; further tries have to wait.", "Somebody, from 192.168.4.77: 1 try without")
}

const ofJR = "two brushes and a bucket"
