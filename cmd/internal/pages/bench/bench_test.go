package bench_test

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/live/livetest"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trade/unit"
)

// site is a tablet's pages over a log of its own.
type site struct {
	t        testing.TB
	db       *sqlitelog.DB
	live     *live.Live
	standing bench.Standing
	mux      *http.ServeMux
	by       string
	phones   *phones
	pins     pins
	keys     *hubKeys
}

func newSite(t testing.TB) *site {
	t.Helper()
	w := journaltest.NewWatch(journaltest.Morning())
	s := &site{t: t, mux: http.NewServeMux(), by: "io", phones: &phones{}, pins: pins{}, keys: &hubKeys{}}
	var key string
	s.db, key = livetest.Bench(t, w)
	s.live = livetest.Open(t, journal.Authority{Hub: journaltest.Bench}, s.db)

	drafts, err := draft.Open(t.TempDir(), draft.Options{Now: w.Now})
	if err != nil {
		t.Fatal(err)
	}
	scope := gate.Scope("test")
	by, logger := func(r *http.Request) journal.PersonID { return journal.PersonID(scope.By(r)) }, slog.New(slog.DiscardHandler)
	b := bench.New(bench.Config{
		Device: journaltest.Bench, Name: "bench 1", Live: s.live, Log: s.db, Standing: func() bench.Standing { return s.standing },
		Drafts: drafts, By: by, PINs: s.pins, Keys: s.keys, Phones: s.phones, Now: w.Now, Logger: logger,
		SetBy: func(w http.ResponseWriter, r *http.Request, by journal.PersonID) { scope.SetBy(w, r, string(by)) },
	})
	c := counter.New(counter.Config{Device: journaltest.Bench, Works: true, Book: s.db, Cards: s.db, Live: s.live, Drafts: drafts, Frame: b.Frame, By: by, Rand: journaltest.Rand("ids"), Now: w.Now, Logger: logger})
	shell, err := pages.New(pages.Options{Set: "bench", Now: w.Now, Logger: logger, Funcs: b.Funcs()}, b.Templates(), counter.Templates())
	if err != nil {
		t.Fatal(err)
	}
	b.Show(shell)
	b.Routes(s.mux)
	c.Show(shell)
	c.Routes(s.mux)
	s.write(journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "Tin Lantern Finishing", LogKey: key, CosignKey: key})
	s.write("person/io", &journal.Person{Person: "io", Initials: "IO"})
	s.write("person/gone", &journal.Person{Person: "gone", Initials: "GO"})
	s.write("person/gone", &journal.Retirement{Person: "gone"})
	text, err := card.Supplied(card.Usual)
	if err != nil {
		t.Fatal(err)
	}
	s.write("route/caliper", &journal.RouteCard{Route: card.Usual, Edition: 1, Text: text})
	return s
}

func (s *site) write(about journal.Subject, p journal.Payload) *journal.Entry {
	s.t.Helper()
	e, err := s.db.Append(s.t.Context(), journal.Draft{Subject: about, By: "io", Data: p})
	if err != nil {
		s.t.Fatal(err)
	}
	within, cancel := context.WithTimeout(s.t.Context(), 3*time.Minute)
	defer cancel()
	if _, err := s.live.Await(within, e.ID); err != nil {
		s.t.Fatal(err)
	}
	return e
}

func (s *site) size() int64 {
	s.t.Helper()
	head, err := s.db.Head(s.t.Context(), journaltest.Bench)
	if err != nil {
		s.t.Fatal(err)
	}
	return head.Size
}

// ask asks for a page; with a form it is posted.
func (s *site) ask(path string, form url.Values) *httptest.ResponseRecorder {
	s.t.Helper()
	w := httptest.NewRecorder()
	s.mux.ServeHTTP(w, s.request(path, form))
	return w
}

// request is what a browser sends to ask for a page.
func (s *site) request(path string, form url.Values) *http.Request {
	s.t.Helper()
	method, body := http.MethodGet, ""
	if form != nil {
		method, body = http.MethodPost, form.Encode()
	}
	r := httptest.NewRequestWithContext(s.t.Context(), method, path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if s.by != "" {
		w := httptest.NewRecorder()
		gate.Scope("test").SetBy(w, r, s.by)
		for _, c := range w.Result().Cookies() {
			r.AddCookie(c)
		}
	}
	return r
}

func (s *site) sees(w *httptest.ResponseRecorder, status int, texts ...string) {
	s.t.Helper()
	if w.Code != status {
		s.t.Fatalf("status %d instead of %d: %s", w.Code, status, w.Body)
	}
	for _, text := range texts {
		if !strings.Contains(w.Body.String(), text) {
			s.t.Errorf("the page lacks %q:\n%s", text, w.Body)
		}
	}
}

func job() url.Values {
	return url.Values{"plate": {"TRL 4471"}, "odometer": {"84210"}, "odometer.unit": {"km"}, "corner": {"LF", "RF"}, "route": {"caliper"},
		"wish": {"calipers in signal orange"}, "customer": {"W. Tarn"}, "phone": {"555 0143"}, "terms": {"As agreed."}, "accepted": {"yes"}, "do": {"open"},
		"ready": {"2026-03-06"}, "months": {"24"}, "warranty": {"on film and refitting"}}
}

func TestStartAJob(t *testing.T) {
	s := newSite(t)
	s.sees(s.ask("/", nil), http.StatusOK, "No vehicle is on hand", "Start a job")
	s.sees(s.ask("/job/new", nil), http.StatusOK, "Calipers and brackets, powder coated", `value="caliper" checked`)
	w := s.ask("/job/new", job())
	s.sees(w, http.StatusSeeOther)
	at := strings.TrimPrefix(w.Header().Get("Location"), "/now") // what is done first
	j := s.live.View(t.Context()).Job(journal.JobID(strings.TrimPrefix(at, "/job/")))
	if j == nil || j.Stated.Odometer.String() != "84210 km" || len(j.Stated.Corners) != 2 || j.Stated.Edition != 1 || j.Customer == nil {
		t.Fatalf("got %+v", j)
	}
	if j.Stated.Note != "As agreed." || j.Stated.Terms.IsZero() {
		t.Errorf("the terms are not kept: %+v", j.Stated)
	}
	if j.Ready != "2026-03-06" || j.Warranty == nil || j.Warranty.String() != "24 months; on film and refitting" {
		t.Errorf("promised for %s, warranty %v", j.Ready, j.Warranty)
	}
	card, err := s.db.Card(t.Context(), j.Customer.Card)
	if err != nil || card.Details.Name != "W. Tarn" || !card.Opens(j.Customer.Commitment) {
		t.Errorf("the card is %+v, %v", card, err)
	}
	if first := s.ask("/", nil).Body.String(); strings.Contains(first, "Started, not stamped") {
		t.Error("the draft of a job that is open is still there")
	}
	s.sees(s.ask(at, nil), http.StatusOK, "TRL 4471", "Route card", `href="/stage/received/job/`, `data-live`)
	s.sees(s.ask("/", nil), http.StatusOK, "TRL 4471", "calipers in signal orange", "promised for 6 March 2026")
	raw, err := s.live.View(t.Context()).Job(j.ID).JSON(record.Options{})
	if err != nil || strings.Contains(string(raw), "Tarn") {
		t.Errorf("the customer’s name is in the record: %s, %v", raw, err)
	}
}

// TestOneJobFromOneForm: a form that is sent twice opens one job, and what its
// old page still sends is not a draft.
func TestOneJobFromOneForm(t *testing.T) {
	s := newSite(t)
	form := job()
	form.Set("once", "7f2c")
	first, again := s.ask("/job/new", form), s.ask("/job/new", form)
	s.sees(first, http.StatusSeeOther)
	if to := again.Header().Get("Location"); to == "" || to != first.Header().Get("Location") || len(s.live.View(t.Context()).Open(10)) != 1 {
		t.Errorf("sent twice it leads to %q and to %q", first.Header().Get("Location"), to)
	}
	form.Set("do", "draft")
	s.ask("/job/new", form)
	if strings.Contains(s.ask("/", nil).Body.String(), "Started, not stamped") {
		t.Error("an old page has made a draft")
	}
	form.Set("do", "open")
	form.Set("plate", "HX 12")
	s.sees(s.ask("/job/new", form), http.StatusUnprocessableEntity, "This form has already opened a job")
}

// TestBadInputAtTheCounter: each mistake has its sentence on the page, what
// was typed stays, and nothing is written.
func TestBadInputAtTheCounter(t *testing.T) {
	s := newSite(t)
	for name, trial := range map[string]struct {
		change url.Values
		says   string
	}{
		"no vehicle":                  {url.Values{"plate": {""}}, "Give the VIN or the plate"},
		"a VIN too short":             {url.Values{"vin": {"00FAH59H3SG11834"}}, "this has 16"},
		"an odometer in words":        {url.Values{"odometer": {"many"}}, "odometer"},
		"an odometer of two readings": {url.Values{"odometer": {"84.210"}}, "odometer"},
		"an odometer in weight":       {url.Values{"odometer": {"84210 kg"}}, "odometer"},
		"no corner":                   {url.Values{"corner": nil}, "Tick the corners"},
		"a phone without a name":      {url.Values{"customer": {""}}, "the customer’s name is missing"},
		"a card that is not here":     {url.Values{"route": {"nothere"}}, "There is no route card nothere"},
		"a day that is none":          {url.Values{"ready": {"soon"}}, "is not a day"},
		"a corner that is none":       {url.Values{"corner": {"XX"}}, "XX"},
	} {
		t.Run(name, func(t *testing.T) {
			s.t = t
			before := s.size()
			form := job()
			for k, v := range trial.change {
				form[k] = v
			}
			s.sees(s.ask("/job/new", form), http.StatusUnprocessableEntity, trial.says, "calipers in signal orange", `class="problem"`)
			if s.size() != before {
				t.Error("something was written")
			}
		})
	}
}

// TestVIN: a slip is found by the check digit, and the likely reading can be
// taken with one tap.
func TestVIN(t *testing.T) {
	s := newSite(t)
	form := job()
	form.Set("vin", "00FAH59H3SG118341")
	form.Set("corner", "")
	s.sees(s.ask("/job/new", form), http.StatusUnprocessableEntity, `value="vin=00FAH59H35G118341"`)
	// What was typed is kept until the job is open.
	s.sees(s.ask("/job/new", nil), http.StatusOK, "calipers in signal orange", `value="00FAH59H3SG118341"`)
	s.sees(s.ask("/", nil), http.StatusOK, "Started, not stamped", "A job to be opened")
	form.Set("do", "vin=00FAH59H35G118341")
	s.sees(s.ask("/job/new", form), http.StatusOK, `value="00FAH59H35G118341"`)
}

// The odometer of a car in the United States counts miles.
func TestUnitOfTheOdometer(t *testing.T) {
	s := newSite(t)
	s.sees(s.ask("/job/new", nil), http.StatusOK, "<option>km</option><option>mi</option>")
	s.write(journal.Of("shop", string(journaltest.Shop)), &journal.Units{Units: unit.USCustomary()})
	s.sees(s.ask("/job/new", nil), http.StatusOK, "<option>mi</option><option>km</option>")
}

func TestWho(t *testing.T) {
	s := newSite(t)
	s.by = ""
	w := s.ask("/job/new", nil)
	s.sees(w, http.StatusSeeOther)
	if to := w.Header().Get("Location"); to != "/who?back=%2Fjob%2Fnew" {
		t.Errorf("it leads to %s", to)
	}
	page := s.ask("/who?back=/job/new", nil)
	s.sees(page, http.StatusOK, `value="io"`)
	if strings.Contains(page.Body.String(), `value="gone"`) {
		t.Error("who works here no more can be chosen")
	}
	s.sees(s.ask("/who", url.Values{"by": {"gone"}}), http.StatusUnprocessableEntity, "Tap one of the names")
	for back, to := range map[string]string{"/job/new": "/job/new", "//elsewhere.example/": "/", "https://elsewhere.example": "/", `/\elsewhere.example`: "/", "/\t/elsewhere.example": "/", "": "/"} {
		w := s.ask("/who", url.Values{"by": {"io"}, "back": {back}})
		s.sees(w, http.StatusSeeOther)
		if w.Header().Get("Location") != to || len(w.Result().Cookies()) != 1 {
			t.Errorf("back to %q leads to %q", back, w.Header().Get("Location"))
		}
	}
}

// TestHostileText: what somebody typed never becomes markup.
func TestHostileText(t *testing.T) {
	s := newSite(t)
	const evil = `<script>alert(1)</script>"'><img src=x>`
	e := s.write("job/4f7kk2m9", &journal.Job{Vehicle: journal.Vehicle{Plate: evil, Looks: evil}, Wish: evil})
	for _, path := range []string{"/", "/job/4f7kk2m9", "/where"} {
		body := s.ask(path, nil).Body.String()
		if strings.Contains(body, "<script>alert") || strings.Contains(body, "<img src=x") {
			t.Errorf("%s shows it as markup (%s)", path, e.ID)
		}
	}
	s.sees(s.ask("/job/nothere", nil), http.StatusNotFound, "There is no job nothere")
}

// TestWhereEntriesAre tells the three states apart.
func TestWhereEntriesAre(t *testing.T) {
	s := newSite(t)
	s.sees(s.ask("/where", nil), http.StatusOK, "not since this tablet was started", "saved here")
	head, err := s.db.Head(t.Context(), journaltest.Bench)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.db.SaveCountersigned(t.Context(), journal.Countersigned{Device: journaltest.Bench, Size: head.Size, At: journaltest.Morning(), Note: head.Checkpoint}); err != nil {
		t.Fatal(err)
	}
	s.write("job/4f7kk2m9", &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1"}})
	s.write("job/4f7kk2m9", &journal.Remark{Evidence: journal.Evidence{Note: "boot torn"}})
	s.standing = bench.Standing{AtHub: head.Size + 1, Connected: journaltest.Morning(), Skew: -90 * time.Second, Problem: "the hub is not in reach"}
	body := s.ask("/where", nil)
	s.sees(body, http.StatusOK, "1m30s slow", "the hub is not in reach")
	for state, n := range map[string]int{"saved here": 1, "at the hub": 1, "countersigned": int(head.Size)} {
		if got := strings.Count(body.Body.String(), `<b class="far">`+state+`</b>`); got != n {
			t.Errorf("%d entries are %s, not %d", got, state, n)
		}
	}
}

// A tablet that the hub does not let in says so at the foot of every page, and since when.
func TestEveryPageSaysThatTheHubLetsNobodyIn(t *testing.T) {
	s := newSite(t)
	s.standing = bench.Standing{Connected: journaltest.Morning(), Away: true, Refused: journaltest.Morning()}
	for _, path := range []string{"/", "/where", "/who"} {
		s.sees(s.ask(path, nil), http.StatusOK, "The hub has not let this tablet in since", "It was revoked or cut off there", "until it is let in or joins again")
	}
}

// A tablet that the hub asked to wait says so, and until when, and not that it was revoked.
func TestEveryPageSaysThatTheHubAskedToWait(t *testing.T) {
	s := newSite(t)
	s.standing = bench.Standing{Connected: journaltest.Morning(), Away: true, Waits: journaltest.Morning().Add(time.Hour)}
	for _, path := range []string{"/", "/where", "/who"} {
		body := s.ask(path, nil)
		s.sees(body, http.StatusOK, "The hub asked this tablet to wait until", "Entries are safe here")
		if strings.Contains(body.Body.String(), "revoked") {
			t.Errorf("%s speaks of a revocation", path)
		}
	}
}

// A clock that is off by more than a minute is said on the first page, once the
// hub was heard; which entry came first does not hang on it.
func TestTheFirstPageSaysThatTheClockIsOff(t *testing.T) {
	s := newSite(t)
	const says = "This tablet’s clock is"
	for _, c := range []struct {
		skew time.Duration
		want string
	}{
		{-11 * time.Minute, "11 min slow. Set it."}, {90 * time.Minute, "1 h 30 min fast. Set it."}, {365 * 24 * time.Hour, "365 days fast. Set it."},
		{-61 * time.Second, "1 min slow. Set it."}, {time.Minute, ""}, {-3 * time.Second, ""},
	} {
		s.standing = bench.Standing{Connected: journaltest.Morning(), Skew: c.skew}
		body := s.ask("/", nil)
		s.sees(body, http.StatusOK, c.want)
		if got := strings.Contains(body.Body.String(), says); got != (c.want != "") {
			t.Errorf("off by %v, it is said: %t", c.skew, got)
		}
	}
	s.standing = bench.Standing{Skew: time.Hour}
	if strings.Contains(s.ask("/", nil).Body.String(), says) {
		t.Error("the hub was never heard, and the clock is said to be off")
	}
}

// A tablet that was put back from a backup finds that out when it meets the hub, so the
// first page says that it has not met it yet.
func TestTheFirstPageSaysThatTheHubWasNotMet(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct {
		met  time.Time
		says bool
	}{{time.Time{}, true}, {journaltest.Morning(), false}} {
		s.standing = bench.Standing{Connected: c.met, Away: true}
		if got := strings.Contains(s.ask("/", nil).Body.String(), "connect it to the hub once before"); got != c.says {
			t.Errorf("met at %v, it is said: %t", c.met, got)
		}
	}
}

// BenchmarkPages asks for the first page and a route card with two thousand
// jobs on the tablet, a hundred of them on hand.
func BenchmarkPages(b *testing.B) {
	s := newSite(b)
	var last *journal.Entry
	put := func(about journal.Subject, p journal.Payload) {
		e, err := s.db.Append(b.Context(), journal.Draft{Subject: about, By: "io", Data: p})
		if err != nil {
			b.Fatal(err)
		}
		last = e
	}
	for i := range 2000 {
		job := journal.JobID(fmt.Sprintf("j%07d", i))
		put(journal.About(job, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprintf("TRL %04d", i)}, Corners: []journal.Corner{"LF", "RF"}, Route: card.Usual, Edition: 1})
		for _, c := range []journal.Corner{"LF", "RF"} {
			put(journal.About(job, c, "caliper"), &journal.Removal{})
			put(journal.About(job, c, "caliper"), &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
		}
		if i < 1900 {
			put(journal.About(job, "", ""), &journal.Release{})
		}
	}
	if _, err := s.live.Await(b.Context(), last.ID); err != nil {
		b.Fatal(err)
	}
	for _, path := range []string{"/", "/job/j0001950", "/where"} {
		b.Run(path, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				begun := time.Now()
				s.sees(s.ask(path, nil), http.StatusOK)
				took = append(took, time.Since(begun))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*95/100])/float64(time.Millisecond), "p95-ms")
		})
	}
}
