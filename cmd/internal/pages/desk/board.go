package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// board is what is on hand.
type board struct {
	Stopped  bool // nothing is taken in, the disk is full
	Jobs     []jobRow
	More     int    // open jobs beyond those listed
	Pressing string // how many of them are late, and on hold
	Out      []thingRow
	MoreOut  int
	Lately   []jobRow
	Claims   []promiseRow // complaints that nobody decided yet
	Promises []promiseRow // the first of the follow-ups that are due
	Folded   []promiseRow // the others
	Due      int
	Default  bool // one of these names the shop's default as its source
	MoreDue  int  // vehicles with follow-ups that are due for longer than those
	Silent   []tabletRow
	Copies   *copiesRow // nil unless somebody has to look after the backups
	Missing  bool       // something that entries name was brought by no machine
	Idle     string     // of which logs something counts for nothing
	Empty    bool       // nothing was ever written about a job
	Tablets  bool       // one has joined
}

// jobRow is a job in a list.
type jobRow struct {
	Path, Plate, Looks, Wish string
	Since, Promised          string
	Late                     bool
	Promise                  string // page on which another day is promised
	Strip                    strip
	Drive                    string // why it is not to be driven
	Next                     string
	Urgent                   bool
	Held                     []heldRow

	due facts.Due
}

// heldRow is what of a job is broken, or hangs on an order that nobody knows.
type heldRow struct {
	Stamp pages.Stamp
	Path  string // of all of them
	Lead  string // said before them
	Says  []string
	More  int
}

const (
	heldShown   = 3
	latelyShown = 8
	dueShown    = 12 // vehicles with follow-ups
	dueUnfolded = 3  // follow-ups
	lately      = 14 * 24 * time.Hour
)

func (d *Desk) stopped() bool { return d.Stopped != nil && d.Stopped() }

func (d *Desk) board(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	now := d.Now()
	open := s.FirstPromised(live.Listed)
	b := board{Stopped: d.stopped(), More: max(0, s.Count(record.Open)-live.Listed), Empty: s.Count(record.Open, record.HandedBack, record.Sealed, record.Struck, record.NotHere) == 0}
	for _, j := range open {
		b.Jobs = append(b.Jobs, newJobRow(s.Standing(j.ID), now))
	}
	byPromise(b.Jobs)
	b.Pressing, b.Out = pressing(b.Jobs), d.runningOut(s)
	b.MoreOut = max(0, len(b.Out)-outShown)
	b.Out = b.Out[:len(b.Out)-b.MoreOut]
	for _, j := range handedBack(s.HandedBack(latelyShown), now) {
		b.Lately = append(b.Lately, jobRow{Path: readonly.JobPath(j.ID), Plate: j.Name(), Looks: j.Looks(),
			Since: fmt.Sprintf("%s %s", j.State, ago(time.Time(j.Released.Clocks.Device), now))})
	}
	var promises []live.Promise
	promises, b.MoreDue = s.Pressing(now, dueShown)
	for _, p := range promises {
		row := newPromiseRow(p, s)
		b.Default = b.Default || row.Default
		if !p.Claim.IsZero() {
			row.Age = ago(p.Due, now)
			b.Claims = append(b.Claims, row)
			continue
		}
		b.Promises = append(b.Promises, row)
	}
	b.Due = len(b.Promises)
	if b.Due > dueUnfolded {
		b.Promises, b.Folded = b.Promises[:dueUnfolded], b.Promises[dueUnfolded:]
	}
	b.Idle, b.Missing = idleSum(s), len(d.lacks(r.Context(), s)) > 0
	if c := d.copies(r.Context()); c != nil && c.Wrong {
		b.Copies = c
	}
	list, err := d.tablets(r.Context(), s)
	if err != nil {
		d.Logger.WarnContext(r.Context(), "ask for the tablets", "error", err)
	}
	b.Tablets = len(list) > 0
	for _, t := range list {
		if t.Silent {
			b.Silent = append(b.Silent, t)
		}
	}
	d.reads(w, r, s, "board", "On hand", b)
}

func newJobRow(st *live.Standing, now time.Time) jobRow {
	j := st.Job
	row := jobRow{Path: readonly.JobPath(j.ID), Plate: j.Name(), Looks: j.Looks(), Wish: j.Stated.Wish, Drive: st.DoNotDrive(), Strip: newStrip(st.Rows),
		Since: "opened " + ago(time.Time(j.Opened.Clocks.Device), now), Promise: readonly.WritePath(journal.JobPromised, journal.About(j.ID, "", "")), due: facts.DueOn(j.Ready, now)}
	row.Promised, row.Late = promised(row.due, j.Units().Writing), row.due.Past()
	if len(st.Next) > 0 && st.Next[0].Task != route.TooLate {
		row.Next, row.Urgent = words.Capital(pages.Next(st.Next[0])), st.Next[0].Urgent
	}
	doubt := heldIn(st, route.InDoubt)
	doubt.Lead = "order in doubt: "
	for _, held := range []heldRow{heldIn(st, route.Broken), doubt} {
		if len(held.Says) > 0 {
			row.Held = append(row.Held, held)
		}
	}
	return row
}

// heldIn lists the hold points of a job that stand in a way.
func heldIn(st *live.Standing, state route.State) heldRow {
	row := heldRow{Stamp: pages.Stamp{State: state}, Path: "/holds/" + string(st.Job.ID) + "?" + url.Values{"state": {string(state)}}.Encode()}
	for _, v := range st.Verdicts.List {
		switch {
		case v.State != state:
		case len(row.Says) < heldShown:
			row.Says = append(row.Says, pages.Place(v.Subject)+": "+v.Title)
		default:
			row.More++
		}
	}
	return row
}

// handedBack are those of the jobs that were handed back lately.
func handedBack(jobs []*record.Job, now time.Time) []*record.Job {
	return slices.DeleteFunc(jobs, func(j *record.Job) bool { return now.Sub(time.Time(j.Released.Clocks.Device)) >= lately })
}

// strip is how far a job is: one small shape for each stage of its card, and
// the same in words.
type strip struct {
	Width int
	Marks []mark
	Says  string
}

type mark struct {
	X     int
	State string // "met", "broken", "in doubt", "waived", "begun" or "to do"
}

const pitch = 14 // of the shapes of a strip

func newStrip(rows []route.Row) strip {
	s := strip{Width: max(1, len(rows)) * pitch}
	counts := make(map[string]int)
	for i, row := range rows {
		state := stageState(row.Squares)
		counts[state]++
		s.Marks = append(s.Marks, mark{X: i*pitch + pitch/2, State: state})
	}
	if len(rows) == 0 {
		s.Says = "its route card is not here yet"
		return s
	}
	words := []string{fmt.Sprintf("%d of %s done", counts["met"]+counts["waived"], words.Count(len(rows), "stage"))}
	for _, state := range []string{"begun", "broken", "in doubt"} {
		if counts[state] > 0 {
			words = append(words, fmt.Sprintf("%d %s", counts[state], state))
		}
	}
	s.Says = strings.Join(words, ", ")
	return s
}

// stageState is how a stage stands over all its places at which it is asked for: a
// casting that came bare has no rubber to be taken out.
func stageState(squares []route.Square) string {
	squares = slices.DeleteFunc(slices.Clone(squares), route.Square.Unasked)
	counts := make(map[route.State]int)
	for _, q := range squares {
		counts[q.State]++
	}
	switch n := len(squares); {
	case counts[route.Broken] > 0:
		return "broken"
	case counts[route.InDoubt] > 0:
		return "in doubt"
	case n > 0 && counts[route.Met] == n:
		return "met"
	case n > 0 && counts[route.Met]+counts[route.Waived] == n:
		return "waived"
	case n == counts[""]:
		return "to do"
	default:
		return "begun"
	}
}
