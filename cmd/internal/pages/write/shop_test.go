package write_test

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"

	"github.com/nats-io/nkeys"
)

// shop is a data folder with its pages.
type shop struct {
	t       testing.TB
	f       *folder.Folder
	live    *live.Live
	drafts  string
	body    int64
	handler http.Handler
	by      journal.PersonID
	desk    bool // the pages are the hub's
	now     func() time.Time
	undo    bool // the pages offer to take a stamp back
	store   write.Store
	leads   func(*record.Line) string
	confirm *write.Confirm
	gone    context.Context // of requests whose browser may go away; nil if it stays
}

const (
	one journal.JobID = "4f7kk2m9"
	two journal.JobID = "8d2mm4rq"
)

var (
	lfCaliper = journal.About(one, "LF", "caliper")
	rfCaliper = journal.About(two, "RF", "caliper")
	lf        = journal.About(one, "LF", "")
)

// newShop has people, tools, a powder and two cars, each with a caliper off.
func newShop(t testing.TB) *shop {
	s := bare(t)
	s.write("person/io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"bench", "waive", "release"}})
	s.write("person/jr", &journal.Person{Person: "jr", Initials: "JR", Duties: []journal.Duty{"bench", "second check"}})
	s.write("tool/tw-1", &journal.Tool{Tool: "tw-1", What: "torque wrench", Low: q[unit.Torque]("5 N.m"), High: q[unit.Torque]("60 N.m"), Tolerance: q[unit.Ratio]("4 %")})
	s.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: "in tolerance", Due: "2099-09-30"})
	s.write("tool/oven-1", &journal.Tool{Tool: "oven-1", What: "oven"})
	s.write("lot/pw-0412", &journal.PowderLot{Lot: "pw-0412", Chemistry: "polyester/HAA", Colour: "signal orange",
		Schedule: []journal.BakePoint{{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("20 min")}, {Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")}}})
	s.write("spec/banjo", &journal.TorqueSpec{Spec: "banjo", Joint: "banjo bolt", Nominal: q[unit.Torque]("27 N.m"), Low: q[unit.Torque]("24 N.m"), High: q[unit.Torque]("30 N.m"), From: "maker's manual", Page: "4-112"})
	s.write(journal.About(one, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471", Looks: "moss-green estate"}, Corners: []journal.Corner{"LF", "RF"}})
	s.write(journal.About(two, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "HX 41 TRE"}, Corners: []journal.Corner{"RF"}})
	for _, p := range []journal.Subject{lfCaliper, rfCaliper} {
		s.write(p, &journal.Removal{})
		s.write(p, &journal.Tagging{Tag: strings.ReplaceAll(string(p.Job()), "/", "-"), Metal: "iron"})
	}
	return s
}

func bare(t testing.TB) *shop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "t3fz8c1n"))
	if err != nil {
		t.Fatal(err)
	}
	line, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	seed, err := line.Seed()
	if err != nil {
		t.Fatal(err)
	}
	id := folder.Identity{Role: folder.Tablet, Shop: "k7m2q4xw", ShopName: "Test", Device: "t3fz8c1n", Name: "bench 1", Hub: "t3fz8c1n", HubKey: key.Verifier()}
	if err := errors.Join(folder.WriteKey(dir, folder.LogKey, []byte(key.Secret())), folder.WriteKey(dir, folder.LineKey, seed), folder.WriteIdentity(dir, id)); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Found(t.Context(), dir, id, folder.Options{Now: time.Now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	s := &shop{t: t, f: f, store: f, live: live.New(f.Folded), drafts: filepath.Join(dir, "drafts"), by: "io", now: time.Now}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.live.Run(ctx, f.Log) }()
	t.Cleanup(func() {
		cancel()
		<-done
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := s.live.Ready(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.start()
	return s
}

// start makes the pages anew over the same folder, as after a restart.
func (s *shop) start() {
	s.t.Helper()
	store, err := draft.Open(s.drafts, draft.Options{Now: time.Now})
	if err != nil {
		s.t.Fatal(err)
	}
	w := write.New(write.Config{Device: s.f.Device, Store: s.store, Live: s.live, Drafts: store,
		Frame: func(*http.Request, *live.Snapshot) any { return nil },
		By:    func(*http.Request) journal.PersonID { return s.by },
		May: func(k journal.Kind) error {
			if !s.desk && slices.Equal(k.Places(), []string{"person"}) {
				return errors.New("people are added at the hub’s desk")
			}
			return nil
		},
		Judge: func(_ context.Context, shot write.Shot) []string {
			if len(shot.Thumb) < 2000 {
				return []string{"Blurred: hold still and take it again."}
			}
			return nil
		},
		Confirm: s.confirm,
		Figure:  figureOf, Page: s.leads, Body: s.body, Rand: rand.Reader, Now: s.now, Logger: slog.New(slog.DiscardHandler)})
	frame := fstest.MapFS{
		"html/frame.html":       {Data: []byte(`{{define "masthead"}}{{end}}{{define "bar"}}{{end}}`)},
		"html/part_figure.html": {Data: []byte(`{{define "figure"}}<div id="figure" class="verdict">{{.}}</div>{{end}}{{define "figured"}}{{.}}{{end}}{{define "folded"}}{{template "figure" .}}{{end}}`)},
	}
	options := pages.Options{Set: words.Choose(s.desk, "desk", "bench"), Now: s.now, Logger: slog.New(slog.DiscardHandler)}
	if s.undo {
		options.Undo = w.Undo
	}
	shell, err := pages.New(options, frame, write.Templates())
	if err != nil {
		s.t.Fatal(err)
	}
	w.Show(shell)
	mux := http.NewServeMux()
	w.Routes(mux)
	mux.HandleFunc("GET /assets/", shell.Assets)
	mux.HandleFunc("GET "+pages.WorkerPath, shell.Worker)
	mux.HandleFunc("GET /thumb/", func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write(photo(1)) })
	s.handler = pages.Guard(mux)
}

// figureOf stands for package figure: what the entry says, and the verdicts
// that rest on it.
func figureOf(s *live.Snapshot, id journal.EntryID) any {
	lines := s.Line(id)
	if len(lines) == 0 {
		return nil
	}
	said := []string{lines[0].Says()}
	if st := s.Standing(lines[0].Subject.Job()); st != nil {
		for _, v := range st.Verdicts.List {
			if slices.Contains(v.Entries, id) {
				said = append(said, v.Title+": "+string(v.State))
			}
		}
	}
	return strings.Join(said, "; ")
}

func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

// write puts an entry into the log past the pages.
func (s *shop) write(about journal.Subject, data journal.Payload) journal.EntryID {
	s.t.Helper()
	e, err := s.f.Log.Append(s.t.Context(), journal.Draft{Subject: about, By: "io", Data: data})
	if err != nil {
		s.t.Fatal(err)
	}
	if _, err := s.live.Await(s.t.Context(), e.ID); err != nil {
		s.t.Fatal(err)
	}
	return e.ID
}
