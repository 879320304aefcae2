package desk

import (
	"fmt"
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// uncountedPage is what counts for nothing, log by log.
type uncountedPage struct {
	Logs []idleLog
}

// idleLog is what of one log counts for nothing.
type idleLog struct {
	Name    string
	Entries string
	Rows    []idleRow
	More    string // "" for none
}

// idleRow is an entry that counts for nothing.
type idleRow struct {
	Path  string // of its page, "" for bytes that are not an entry
	What  string
	Why   string
	State string // "waits" or "never counts"
	Since string // when the hub had it
}

// mostIdle is how many of them are listed, of all logs.
const mostIdle = 100

const (
	waits = "waits"
	never = "never counts"
)

func (d *Desk) uncounted(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var p uncountedPage
	in := s.Shop.Writing()
	for _, of := range s.Idle(mostIdle) {
		l := idleLog{Name: words.Capital(s.Shop.DeviceName(of.Device)), Entries: in.Count(of.Entries, "entry")}
		if more := of.Entries - len(of.First); more > 0 {
			l.More = in.Sprintf("%d", more)
		}
		for _, one := range of.First {
			l.Rows = append(l.Rows, newIdleRow(one, s, d.Now().Location()))
		}
		p.Logs = append(p.Logs, l)
	}
	d.reads(w, r, s, "uncounted", "Entries that do not count", p)
}

func newIdleRow(i shop.Idle, s *live.Snapshot, zone *time.Location) idleRow {
	row := idleRow{What: "bytes that are not an entry", State: never, Since: "not signed by the hub yet"}
	if e := i.Entry; e != nil {
		row.Path = readonly.EntryPath(e.ID)
		about := e.Type.Kind.About()
		if about == "" {
			about = string(e.Type.Kind)
		}
		row.What = fmt.Sprintf("%s: %s, by %s", pages.Place(e.Subject), about, s.Initials(e.By))
	}
	row.What = fmt.Sprintf("Entry %d · %s", i.Index+1, row.What)
	switch {
	case i.Never != "":
		row.Why = i.Never.Sentence()
	case i.Waits != nil:
		row.Why = i.Waits.In("the log of " + s.Shop.DeviceName(i.Waits.Device))
		if i.Waits.Comes() {
			row.State = waits
		}
	}
	row.Why = words.Sentence(row.Why)
	if !i.Received.IsZero() {
		row.Since = "here since " + s.Shop.Writing().Zoned(i.Received.In(zone))
	} else if s.Shop.Founded != nil && s.Shop.Founded.Device == i.Device {
		row.Since = "written at the hub"
	}
	return row
}

// idleSum says in one sentence of which logs something counts for nothing, ""
// of none.
func idleSum(s *live.Snapshot) string {
	n, in := 0, s.Shop.Writing()
	var names []string
	for _, of := range s.Uncounted() {
		n += of.Entries
		names = append(names, in.Sprintf("%s: %d", s.Shop.DeviceName(of.Device), of.Entries))
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%s (%s)", in.Either(n, "entry does not count", "entries do not count"), words.Commas(names...))
}
