package live_test

import (
	"bufio"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/live/livetest"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// open opens a log and what keeps its pages up to date.
func open(t *testing.T) (*sqlitelog.DB, *live.Live) {
	t.Helper()
	db, _ := livetest.Bench(t, journaltest.NewWatch(journaltest.Morning()))
	return db, livetest.Open(t, journal.Authority{Hub: journaltest.Bench}, db)
}

func append1(t *testing.T, db *sqlitelog.DB, s journal.Subject, p journal.Payload) *journal.Entry {
	t.Helper()
	e, err := db.Append(t.Context(), journal.Draft{Subject: s, By: "io", Data: p})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func opened(plate string) *journal.Job { return &journal.Job{Vehicle: journal.Vehicle{Plate: plate}} }

// TestWhoWroteSeesIt: after Await the view holds the entry.
func TestWhoWroteSeesIt(t *testing.T) {
	db, l := open(t)
	for i := range 20 {
		e := append1(t, db, journal.About(journal.JobID(fmt.Sprintf("job%05d", i)), "", ""), opened(fmt.Sprint("AB ", i)))
		s, err := l.Await(t.Context(), e.ID)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Open(100)) != i+1 || s.Open(1)[0].Opened.ID != e.ID {
			t.Fatalf("after %d jobs %d are on hand, first %v", i+1, len(s.Open(100)), s.Open(1)[0].Opened.ID)
		}
	}
	if l.View(t.Context()).Standing("nothere") != nil {
		t.Error("a job that is not here stands somehow")
	}
}

// TestSuppose: what would be is not what is.
func TestSuppose(t *testing.T) {
	db, l := open(t)
	e := append1(t, db, "job/4f7kk2m9", opened("AB 1"))
	if _, err := l.Await(t.Context(), e.ID); err != nil {
		t.Fatal(err)
	}
	s, id, err := l.Suppose(t.Context(), journal.Draft{Subject: journal.About("4f7kk2m9", "LF", "caliper"), By: "io", Data: &journal.Removal{}})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Line(id)) != 1 || len(s.Job("4f7kk2m9").Corners) != 1 {
		t.Error("the supposed entry is not in its view")
	}
	if now := l.View(t.Context()); len(now.Line(id)) != 0 || len(now.Job("4f7kk2m9").Corners) != 0 {
		t.Error("the supposed entry is in a view of what is")
	}
}

// TestTimesOfReceipt: a countersignature that comes later brings the time of
// receipt to entries that were read before.
func TestTimesOfReceipt(t *testing.T) {
	db, l := open(t)
	e := append1(t, db, "job/4f7kk2m9", opened("AB 1"))
	if _, err := l.Await(t.Context(), e.ID); err != nil {
		t.Fatal(err)
	}
	at := journaltest.Morning().Add(time.Hour).UTC().Truncate(time.Second)
	head, err := db.Head(t.Context(), journaltest.Bench)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.SaveCountersigned(t.Context(), journal.Countersigned{Device: journaltest.Bench, Size: 1, At: at, Note: head.Checkpoint}); err != nil {
		t.Fatal(err)
	}
	within, stop := context.WithTimeout(t.Context(), 3*time.Minute)
	defer stop()
	for {
		_, changed := l.Now()
		line := l.View(t.Context()).Line(e.ID)[0]
		if time.Time(line.Clocks.Received).Equal(at) {
			return
		}
		select {
		case <-changed:
		case <-within.Done():
			t.Fatalf("the time of receipt is %v", line.Clocks.Received)
		}
	}
}

// TestEvents: a browser hears the serial of the shop now and of what it is next.
func TestEvents(t *testing.T) {
	db, l := open(t)
	events := httptest.NewServer(http.HandlerFunc(l.Events))
	defer events.Close()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, events.URL, nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := events.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if kind := answer.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Errorf("the stream is %q", kind)
	}
	in := bufio.NewScanner(answer.Body)
	first := next(t, in)
	append1(t, db, "job/4f7kk2m9", opened("AB 1"))
	if second := next(t, in); second == first {
		t.Errorf("the shop changed and has the serial %s", first)
	}
	cancel()
}

func next(t *testing.T, in *bufio.Scanner) string {
	t.Helper()
	for in.Scan() {
		if serial, ok := strings.CutPrefix(in.Text(), "id: "); ok {
			return serial
		}
	}
	t.Fatal("the stream ended")
	return ""
}
