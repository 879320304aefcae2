package desk_test

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/proof"
)

const story = "../../demo/story.jsonl"

// office is a desk over a real shop. The hub and the gate behind it are kept
// in memory.
type office struct {
	*readonlytest.Shop
	t       testing.TB
	desk    *desk.Desk
	counter *counter.Counter
	drafts  *draft.Store
	shell   *pages.Shell
	inside  http.Handler
	outside http.Handler
	by      journal.PersonID
	member  journal.PersonID // who signed in by name
	own     map[journal.PersonID]bool
	failed  []desk.FailedSignIn
	tablets []desk.Tablet
	apart   []desk.Unverified
	invited int
	full    bool  // the disk is
	broken  error // what the hub answers to everything
}

func newOffice(t testing.TB) *office {
	t.Helper()
	return officeOf(t, readonlytest.New(t))
}

// playedOffice is one in whose shop the demonstration's story was played.
func playedOffice(t testing.TB) *office {
	t.Helper()
	return officeOf(t, readonlytest.Played(t, story))
}

func officeOf(t testing.TB, s *readonlytest.Shop) *office {
	o := &office{Shop: s, t: t, by: "io"}
	d := desk.New(desk.Config{Live: o.Live, Hub: o, Apart: o, Cards: o.Log, Gate: o, Keys: o, Book: o, Rand: rand.Reader, Now: o.Now, Logger: slog.New(slog.DiscardHandler),
		Dossier: dossier.Builder{Log: o.Log, Thumbs: o.Log, Originals: o.Photos, Cards: o.Log},
		Receipt: func(ctx context.Context, s *live.Snapshot, st *live.Standing) (*paper.Document, error) {
			return paper.NewReceipt(ctx, s, st, paper.Asked{At: o.Now(), Photos: paper.Small{Thumbs: o.Log}})
		},
		Stopped: func() bool { return o.full },
		By:      func(*http.Request) journal.PersonID { return o.by },
		SetBy:   func(_ http.ResponseWriter, _ *http.Request, by journal.PersonID) { o.by = by }})
	p := readonly.New(readonly.Config{Live: o.Live, Thumbs: o.Log, Originals: o.Photos, Cards: o.Log, Desk: true, Frame: d.Frame, Now: o.Now, Logger: slog.New(slog.DiscardHandler),
		Figure: func(s *live.Snapshot, id journal.EntryID) any { return figure.Of(s, id) }})
	drafts, err := draft.Open(t.TempDir(), draft.Options{Now: o.Now})
	if err != nil {
		t.Fatal(err)
	}
	c := counter.New(counter.Config{Device: readonlytest.Hub, Book: o, Cards: o.Log, Live: o.Live, Drafts: drafts, Frame: d.Frame, Rand: rand.Reader, Now: o.Now, Logger: slog.New(slog.DiscardHandler),
		By: func(*http.Request) journal.PersonID { return o.by }})
	shell, err := pages.New(pages.Options{Set: "desk", Now: o.Now, Logger: slog.New(slog.DiscardHandler)}, desk.Templates(), counter.Templates(), readonly.Templates(), figure.Templates())
	if err != nil {
		t.Fatal(err)
	}
	c.Show(shell)
	o.desk, o.shell, o.counter, o.drafts = d, shell, c, drafts
	d.Show(shell)
	p.Show(shell)
	mux := http.NewServeMux()
	d.Routes(mux)
	c.Routes(mux)
	p.Routes(mux)
	pages.Drawings(mux, "/look/", defects.Picture)
	o.inside, o.outside = pages.Guard(mux), pages.Guard(d.Outside())
	return o
}

func (o *office) SaveCard(ctx context.Context, s journal.CardState) error {
	return o.Log.SaveCard(ctx, s)
}

func (o *office) Apart(context.Context) ([]desk.Unverified, error) { return o.apart, nil }

func (o *office) ThrowAway(context.Context) error {
	if o.broken == nil {
		o.apart = nil
	}
	return o.broken
}

func (o *office) Tablets(context.Context) ([]desk.Tablet, error) { return o.tablets, o.broken }

func (o *office) Invite(_ context.Context, by journal.PersonID, name string) (string, time.Time, error) {
	o.invited++
	return fmt.Sprintf("FETTLE1.%s.%s", by, name), o.Now().Add(24 * time.Hour), o.broken
}

func (o *office) Revoke(_ context.Context, by journal.PersonID, device journal.DeviceID, reason string) error {
	if o.broken == nil {
		o.Write(journal.Of("device", string(device)), by, &journal.Revocation{Device: device, Reason: reason})
	}
	return o.broken
}

func (o *office) Named() (bool, error) { return len(o.own) > 0, nil }

func (o *office) SignedIn(*http.Request) journal.PersonID { return o.member }

func (o *office) Own() (map[journal.PersonID]bool, error) { return o.own, nil }

func (o *office) Give(_ http.ResponseWriter, _ *http.Request, who, owner journal.PersonID, confirm, passphrase string) error {
	if confirm != "a few words" {
		return &desk.WrongConfirm{Err: errors.New("this is not your own passphrase as it is now; try again")}
	}
	if len(o.own) == 0 {
		o.own = map[journal.PersonID]bool{owner: true}
	}
	o.own[who] = true
	return nil
}

func (o *office) TakeAway(_ *http.Request, who journal.PersonID, confirm string) error {
	if confirm != "a few words" {
		return &desk.WrongConfirm{Err: errors.New("this is not your own passphrase as it is now; try again")}
	}
	delete(o.own, who)
	return nil
}

func (o *office) Failed() []desk.FailedSignIn { return o.failed }

func (o *office) SignIn(w http.ResponseWriter, _ *http.Request, who journal.PersonID, passphrase string) error {
	if len(o.own) > 0 && !o.own[who] {
		return errors.New("this name and this passphrase do not belong together")
	}
	if passphrase != "a few words" {
		return errors.New("this is not the desk’s passphrase; try again")
	}
	http.SetCookie(w, &http.Cookie{Name: "in", Value: "yes"})
	return nil
}

func (o *office) SignOut(http.ResponseWriter, *http.Request) error { return nil }

// join lets a tablet join.
func (o *office) join(device journal.DeviceID, name string) {
	o.t.Helper()
	key, err := proof.NewKey(rand.Reader, proof.Origin(o.Folder.Shop, device))
	if err != nil {
		o.t.Fatal(err)
	}
	o.Write(journal.Of("device", string(device)), "hub", &journal.Device{Device: device, Name: name, LogKey: key.Verifier(), ConnectKey: "UABC", Invitation: o.Live.View(o.t.Context()).Shop.Founded.ID})
}

// answer is what a page answered.
type answer struct {
	t      testing.TB
	path   string
	status int
	header http.Header
	body   string
}

func (o *office) get(path string) answer {
	return o.ask(o.inside, httptest.NewRequest(http.MethodGet, path, nil))
}

func (o *office) post(path string, form url.Values) answer {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return o.ask(o.inside, r)
}

func (o *office) ask(h http.Handler, r *http.Request) answer {
	o.t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	raw, err := io.ReadAll(w.Result().Body)
	if err != nil {
		o.t.Fatal(err)
	}
	return answer{o.t, r.Method + " " + r.URL.Path, w.Code, w.Result().Header, string(raw)}
}

// well fails the test unless the answer is a well-made page with a status.
func (a answer) well(status int) answer {
	a.t.Helper()
	if a.status != status {
		a.t.Errorf("%s: status %d, want %d: %.300s", a.path, a.status, status, a.body)
	}
	for _, m := range readonlytest.Mistakes(a.body) {
		a.t.Errorf("%s: %s", a.path, m)
	}
	if !strings.Contains(a.body, "This is a record, not an approval.") {
		a.t.Errorf("%s: the caution is missing", a.path)
	}
	return a
}

func (a answer) says(texts ...string) answer {
	a.t.Helper()
	for _, text := range texts {
		if !strings.Contains(a.body, text) {
			a.t.Errorf("%s: %q is missing", a.path, text)
		}
	}
	return a
}

func (a answer) hides(texts ...string) answer {
	a.t.Helper()
	for _, text := range texts {
		if strings.Contains(a.body, text) {
			a.t.Errorf("%s: %q is there", a.path, text)
		}
	}
	return a
}

func (a answer) leads(to string) {
	a.t.Helper()
	if a.status != http.StatusSeeOther || a.header.Get("Location") != to {
		a.t.Errorf("%s: status %d to %q, want 303 to %q: %.300s", a.path, a.status, a.header.Get("Location"), to, a.body)
	}
}
