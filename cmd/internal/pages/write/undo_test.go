package write_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// later is a clock that a test sets ahead.
type later struct {
	mu sync.Mutex
	by time.Duration
}

func (l *later) now() time.Time {
	l.mu.Lock()
	defer l.mu.Unlock()
	return time.Now().Add(l.by)
}

func (l *later) pass(d time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.by += d
}

// undoing has a clock that can be set ahead, and a page on which what is offered stands.
func undoing(t testing.TB) (*shop, *later) {
	s, clock := newShop(t), &later{}
	s.now, s.undo = clock.now, true
	s.start()
	return s, clock
}

func undoPath(id journal.EntryID) string { return "/undo/" + id.String() }

// cornerJoints is the stage again, whose other joints are not tight yet.
const cornerJoints = "/stage/joints/job/4f7kk2m9/corner/LF"

// A stamp is taken back: struck out without replacement, and the form is as it was.
func TestUndo(t *testing.T) {
	t.Parallel()
	s, _ := undoing(t)
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}), upload{"picture", "a.jpg", photo(7)}).to(t, cornerJoints)
	id := s.lines(journal.TorqueApplied)[0].ID
	s.get("/write/note.made/"+string(lf)).want(t, http.StatusOK, "<b>Stamped:</b>", "72 N.m", `action="`+undoPath(id)+`"`, "Undo", "within 10 seconds")
	s.stamp("/write/note.made/"+string(lf), url.Values{"note": {"x"}}) // meanwhile, in another window
	s.get("/write/note.made/"+string(lf)).want(t, http.StatusOK, "<b>Stamped:</b>", "LF")
	s.post(undoPath(id), nil, "").to(t, torquePage)
	l := s.lines(journal.TorqueApplied)[0]
	if l.Struck == nil || l.Struck.Reason != "slip" || l.Struck.By != "io" || l.Effect() != nil {
		t.Fatalf("struck: %+v, stands: %v", l.Struck, l.Effect())
	}
	s.get(torquePage).want(t, http.StatusOK, "<b>Taken back:</b>", `value="72"`, "stays in the record, struck through")
	s.post(undoPath(id), nil, "").to(t, torquePage) // pressed twice
	if n := len(s.lines(journal.EntryCorrected)); n != 1 {
		t.Errorf("%d corrections were written", n)
	}
	// The form goes on from what it held, its photograph too.
	s.stamp(torquePage, with(tight("27"), url.Values{"sure": {"1"}})).to(t, cornerJoints)
	if now := s.lines(journal.TorqueApplied); len(now) != 2 || len(now[0].Photos)+len(now[1].Photos) != 2 {
		t.Errorf("stamped again: %+v", now)
	}
}

// What was stamped is said on whatever page comes next, for as long as it can be taken back,
// and not at a reload after that. What only a correction takes back is said without the offer.
func TestStampedIsSaidForAMoment(t *testing.T) {
	t.Parallel()
	s, clock := undoing(t)
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}))
	s.get(cornerJoints).want(t, http.StatusOK, "<b>Stamped:</b>", "72 N.m")
	clock.pass(10 * time.Second)
	if p := s.get(cornerJoints); strings.Contains(p.body, "Stamped:") {
		t.Error("a reload says it again when its time is over")
	}

	// A press that is sent again after a restart has written before.
	s = onStands(t)
	s.undo = true
	s.start()
	fields, key := s.forms()
	fields.Set(key[rfOff]+"_now", "yes")
	s.press(nowPage, fields).to(t, nowPage)
	s.start()
	s.post(nowPage, fields, "").to(t, nowPage)
	p := s.get(nowPage).want(t, http.StatusOK, "<b>Stamped:</b>", "RF caliper")
	if strings.Contains(p.body, "/undo/") {
		t.Error("what the form held is not known any more, and its stamp is offered to be taken back")
	}
	s.post(undoPath(s.lines(journal.PartRemoved)[0].ID), nil, "").want(t, http.StatusConflict, "a correction strikes it through")
}

// One entry for all parts of a run is taken back as one.
func TestUndoARun(t *testing.T) {
	t.Parallel()
	s, _ := undoing(t)
	const path = "/run/new/part.blasted"
	s.stamp(path, url.Values{"part": {string(lfCaliper), string(rfCaliper)}, "media": {"glass bead"}, "sure": {"1"}})
	l := s.lines(journal.PartBlasted)[0]
	s.get(path).want(t, http.StatusOK, "<b>Stamped:</b>", "2 parts")
	s.post(undoPath(l.ID), nil, "").to(t, path)
	if l := s.lines(journal.PartBlasted)[0]; l.Effect() != nil {
		t.Error("the run still stands")
	}
	p := s.get(path).want(t, http.StatusOK, "glass bead")
	if n := strings.Count(p.body, `name="part" value="job/`); n == 0 || strings.Count(p.body, `" checked> `) < 2 {
		t.Error("its parts are not ticked any more")
	}
}

// What a correction struck stands again when the correction is taken back.
func TestUndoACorrection(t *testing.T) {
	t.Parallel()
	s, _ := undoing(t)
	id := s.write(lf, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("27 N.m"), Tool: "tw-1"})
	s.stamp("/correct/"+id.String(), url.Values{"do": {"strike"}})
	c := s.lines(journal.EntryCorrected)[0]
	s.post(undoPath(c.ID), nil, "").to(t, "/correct/"+id.String())
	if s.live.View(t.Context()).Line(id)[0].Effect() == nil {
		t.Error("the entry does not stand again")
	}
}

// Wrong in every way: too late, by somebody else, of something else, not a stamp of this
// page. Nothing is written then, and the page leads to the correction.
func TestNotUndone(t *testing.T) {
	t.Parallel()
	for name, wrong := range map[string]struct {
		do     func(s *shop, clock *later)
		status int
		says   string
	}{
		"ten seconds later": {func(_ *shop, c *later) { c.pass(10 * time.Second) }, http.StatusConflict, "within 10 seconds"},
		"an hour later":     {func(_ *shop, c *later) { c.pass(time.Hour) }, http.StatusConflict, "within 10 seconds"},
		"by somebody else":  {func(s *shop, _ *later) { s.by = "jr" }, http.StatusConflict, "within 10 seconds"},
		"by nobody":         {func(s *shop, _ *later) { s.by = "" }, http.StatusSeeOther, ""},
		"after a restart":   {func(s *shop, _ *later) { s.start() }, http.StatusConflict, "within 10 seconds"},
		"of what was struck": {func(s *shop, c *later) {
			s.write(lf, &journal.Correction{Of: s.lines(journal.TorqueApplied)[0].ID, Reason: "entered twice"})
			c.pass(time.Minute)
		}, http.StatusConflict, "struck through already"},
	} {
		t.Run(name, func(t *testing.T) {
			s, clock := undoing(t)
			s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}))
			id := s.lines(journal.TorqueApplied)[0].ID
			wrong.do(s, clock)
			before := len(s.lines(journal.EntryCorrected))
			p := s.post(undoPath(id), nil, "")
			if wrong.says == "" {
				p.to(t, "/who?back=%2F")
			} else {
				p.want(t, wrong.status, wrong.says, "/correct/"+id.String())
			}
			if n := len(s.lines(journal.EntryCorrected)); n != before {
				t.Errorf("%d corrections, %d before", n, before)
			}
		})
	}
	s, clock := undoing(t)
	s.post("/undo/nothing", nil, "").want(t, http.StatusNotFound)
	s.post("/undo/0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d", nil, "").want(t, http.StatusNotFound)
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}))
	clock.pass(10 * time.Second)
	if p := s.get(torquePage); strings.Contains(p.body, "data-undo") {
		t.Error("what is over is offered")
	}
}

// slow is a store that has the browser go away while what it wrote is not in the record
// yet, once it is told to.
type slow struct {
	write.Store
	leave func()
}

func (s *slow) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	e, err := s.Store.Append(ctx, d)
	if err != nil || s.leave == nil {
		return e, err
	}
	s.leave()
	later := *e
	later.ID[len(later.ID)-1]++ // nobody holds it
	return &later, nil
}

// A stamp that is not in the record yet may be one that ends all taking back, so what was
// stamped before it is taken back by a correction only.
func TestUndoBehindWhatIsNotKnownYet(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	store := &slow{Store: s.f}
	s.undo, s.store = true, store
	s.start()
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}})).to(t, cornerJoints)
	before := s.lines(journal.TorqueApplied)[0].ID
	s.gone, store.leave = context.WithCancel(t.Context())
	s.stamp("/write/note.made/"+string(lf), url.Values{"note": {"hose is old"}}).want(t, http.StatusSeeOther)
	s.gone = nil
	if p := s.get(cornerJoints).want(t, http.StatusOK, "<b>Stamped:</b>", "1 entry"); strings.Contains(p.body, "/undo/") {
		t.Error("what is not known yet is offered to be taken back")
	}
	s.post(undoPath(before), nil, "").want(t, http.StatusConflict, "a correction strikes it through")
	if s.live.View(t.Context()).Line(before)[0].Effect() == nil {
		t.Error("it is struck through")
	}
}

// Which kinds are taken back follows from the register: not what only the hub may write,
// nor what a correction cannot take back, nor what has the record sealed.
func TestTakesBack(t *testing.T) {
	t.Parallel()
	never := []journal.Kind{journal.VehicleReleased, journal.RecordSealed, journal.CardWritten, journal.CardErased, journal.PhotoWithdrawn, journal.DeviceRevoked, journal.ShopFounded, journal.EntryTakenOver, "from.tomorrow"}
	for _, kind := range never {
		if kind.TakesBack() {
			t.Errorf("%s can be taken back", kind)
		}
	}
	for kind := range journal.Kinds() {
		if want := kind.Hand() != journal.ByProgram && !kind.Is(journal.Final) && kind != journal.VehicleReleased; kind.TakesBack() != want {
			t.Errorf("%s: taken back %v", kind, kind.TakesBack())
		}
	}
}

// In the browser the seconds are counted down, and then the offer goes; a press strikes.
func TestUndoInTheBrowser(t *testing.T) {
	t.Parallel()
	s, clock := undoing(t)
	server := httptest.NewServer(s.handler)
	t.Cleanup(server.Close)
	p := house.Browser(t).Page(browsertest.Phone)
	clock.pass(-8 * time.Second)
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}))
	clock.pass(8 * time.Second)
	p.Open(server.URL + torquePage)
	p.Until(`document.querySelector("[data-left]")?.textContent === "1 s"`)
	p.Until(`document.querySelector("[data-undo]") === null`)
	s.stamp(torquePage, with(tight("73"), url.Values{"sure": {"1"}}))
	p.Open(server.URL + torquePage)
	for _, found := range slices.Concat(p.Targets(60), p.Overflow()) {
		t.Error(found)
	}
	still := house.Browser(t).Page(browsertest.Phone.Twice()) // without a script the seconds stand in words
	still.NoScript()
	still.Open(server.URL + torquePage)
	still.Sees("Undo within")
	for _, found := range still.Overflow() {
		t.Errorf("without a script, at a zoom of 200 %%: %s", found)
	}
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "undo.png"))
	}
	p.Go("Undo")
	if l := s.lines(journal.TorqueApplied); l[0].Effect() != nil && l[1].Effect() != nil {
		t.Error("both still stand")
	}
	p.Until(`document.querySelector("[name=torque]").value === "73"`)
}
