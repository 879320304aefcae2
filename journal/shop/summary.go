package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/index"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"

	"github.com/go-json-experiment/json"
)

// worked is raised when summaries or rows are worked out in another way: then all
// are made anew.
const worked = 6

// edition tells how summaries are worked out, and what columns their rows have.
func edition() int64 { return worked<<32 | parts.Edition() }

// Summary is what lists show of a job without folding it.
type Summary struct {
	Job      journal.JobID    `json:"job"`
	State    record.State     `json:"state"`
	Vehicle  record.Key       `json:"vehicle,omitzero"`
	VIN      string           `json:"vin,omitzero"`
	Plate    string           `json:"plate,omitzero"`
	Looks    string           `json:"looks,omitzero"`
	Customer journal.CardID   `json:"customer,omitzero"`
	Opened   journal.Stamp    `json:"opened,omitzero"`
	Ready    journal.Date     `json:"ready,omitzero"` // the day by which it is promised
	Released journal.Stamp    `json:"released,omitzero"`
	Corners  []journal.Corner `json:"corners,omitempty"`
	Parts    []PartSummary    `json:"parts,omitempty"`
	Last     journal.Stamp    `json:"last,omitzero"` // of the last entry, by the clock of its device
	Entries  int              `json:"entries"`
	Photos   int              `json:"photos"`
	Claims   int              `json:"claims,omitzero"`  // complaints that wait for a decision
	Recalls  int              `json:"recalls,omitzero"` // or bad checks or surveys, of which the customer was not told yet
}

// Name is what a job is called: the plate, else the VIN, else its id.
func (s *Summary) Name() string { return cmp.Or(s.Plate, s.VIN, string(s.Job)) }

// Summary returns the summary of a job, if there is one.
func (v *View) Summary(id journal.JobID) (Summary, bool) {
	row, ok, err := v.shop.index.Summary(v.ctx, journal.About(id, "", ""))
	v.note(err)
	if !ok || row.State == aside {
		return Summary{}, false
	}
	return v.read(row), true
}

// PartSummary is a part of a job.
type PartSummary struct {
	Part    journal.Subject `json:"part"`
	Tag     string          `json:"tag,omitzero"`
	Number  string          `json:"number,omitzero"`
	Pattern string          `json:"pattern,omitzero"`
	Mark    string          `json:"mark,omitzero"`
}

// says is what stands on the part under the word of a key.
func (p PartSummary) says(word string) string {
	switch word {
	case index.Number:
		return p.Number
	case index.Pattern:
		return p.Pattern
	case index.CastMark:
		return p.Mark
	default:
		return p.Tag
	}
}

// The states of runs in the index, beside those of jobs ([record.State]).
const (
	bakeBare   = "a bake without temperatures"
	bakeTraced = "a bake with temperatures"
	aside      = "not listed"
)

// Homes that a listing brings up to date at once, and that the background does
// between two looks at whether it should end.
const (
	settled = 64
	atOnce  = 100
)

// settle brings the summaries of the newest homes up to date, so that a list
// shows what was just written.
func (v *View) settle() {
	switch {
	case v.own != nil, v.shop.reads:
	case v.shop.once:
		_, err := v.shop.summarizeAll(v.ctx)
		v.note(err)
	default:
		n, err := v.shop.summarize(v.ctx, settled)
		v.note(err)
		if n == settled {
			v.shop.owe()
		}
	}
}

// owe has the background say when it has done what a listing left over: whoever
// listed looks again when the shop has changed.
func (s *Shop) owe() {
	s.mu.Lock()
	s.owed = true
	s.mu.Unlock()
	s.summarizeSoon()
}

// owes reports whether a listing left something over, once.
func (s *Shop) owes() (was bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	was, s.owed = s.owed, false
	return was
}

// summarizeSoon has the background work.
func (s *Shop) summarizeSoon() {
	select {
	case s.due <- struct{}{}:
	default: // it has not yet begun on the last one
	}
}

// keepSummaries brings summaries up to date in the background.
func (s *Shop) keepSummaries(ctx context.Context) {
	var retry <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.due:
		case <-retry:
		}
		retry = nil
		if err := s.bringUp(ctx); err != nil && ctx.Err() == nil {
			s.logger.WarnContext(ctx, "summarize jobs", "error", err)
			retry = time.After(again)
		}
	}
}

// bringUp brings all summaries up to date, and says so if many were old, or if
// somebody listed before.
func (s *Shop) bringUp(ctx context.Context) error {
	begun := time.Now()
	done, err := s.summarizeAll(ctx)
	if done > atOnce {
		s.logger.DebugContext(ctx, "jobs summarized", "homes", done, "a_second", int(float64(done)/time.Since(begun).Seconds()))
	}
	if err == nil && s.owes() || done > atOnce {
		s.tell()
	}
	return err
}

// summarizeAll works out summaries until none is missing or old: those that
// were done last may have made others old, as a run makes its jobs.
func (s *Shop) summarizeAll(ctx context.Context) (done int, err error) {
	for ctx.Err() == nil {
		s.summarizing.Lock() // whoever waits for all of them need not work on the same
		n, err := s.summarize(ctx, atOnce)
		s.summarizing.Unlock()
		if done += n; n == 0 || err != nil {
			return done, err
		}
	}
	return done, ctx.Err()
}

// summarize works out summaries that are missing or old, at most so many, and
// returns how many it did.
func (s *Shop) summarize(ctx context.Context, most int) (int, error) {
	now := edition()
	s.grown.RLock() // what is dirty by now, no case knows otherwise
	dirty, err := s.index.DirtyHomes(ctx, now, most)
	s.grown.RUnlock()
	if err != nil || len(dirty) == 0 {
		return 0, err
	}
	var list []index.Summary
	for _, d := range dirty {
		one, err := s.summary(ctx, d, now)
		if err != nil {
			return 0, err
		}
		list = append(list, one)
	}
	return len(dirty), s.index.PutSummaries(ctx, list...)
}

func (s *Shop) summary(ctx context.Context, d index.Dirty, edition int64) (index.Summary, error) {
	out := index.Summary{Home: d.Home, Edition: edition, Stamp: d.Stamp, Own: d.Own, State: aside}
	switch {
	case d.Home.Run() != "":
		run, err := s.alone(ctx, d.Home)
		if err != nil || run == nil {
			return out, err
		}
		summarizeRun(&out, run)
		if out.Body, err = json.Marshal(runSummaryOf(run), json.Deterministic(true)); err != nil {
			return out, fmt.Errorf("summarize %s: %w", d.Home, err)
		}
		out.Holders, err = s.others(ctx, d.Home, nil)
		return out, err
	case d.Home.Job() == "":
		return out, nil
	}
	c, err := s.glance(ctx, d.Home)
	if err != nil || c == nil {
		return out, err
	}
	if d.Own {
		if out.Rests, err = s.others(ctx, d.Home, c); err != nil {
			return out, err
		}
	}
	j := c.Shop.Job(d.Home.Job())
	if j == nil {
		return out, nil
	}
	out.State = string(j.State)
	switch {
	case j.Released != nil:
		out.Sort = int64(j.Released.Place())
	case j.Opened != nil:
		out.Sort = int64(j.Opened.Place())
	}
	by, err := route.Pinned(s.shelf, j, c.Shop)
	if err != nil && !errors.Is(err, card.ErrNoCard) {
		by = nil // it cannot be read, so nothing is known to be promised
	}
	for _, f := range route.FollowUps(by, j, time.Time{}) {
		if due := f.Due.UnixMilli(); f.State != route.Kept && (out.Due == 0 || due < out.Due) {
			out.Due = due
		}
	}
	if out.Parts, err = partsOf(j, c.Shop); err != nil {
		return out, fmt.Errorf("summarize %s: %w", d.Home, err)
	}
	if out.Body, err = json.Marshal(summaryOf(j), json.Deterministic(true)); err != nil {
		return out, fmt.Errorf("summarize %s: %w", d.Home, err)
	}
	return out, nil
}

// alone folds what is written of a run, without its jobs.
func (s *Shop) alone(ctx context.Context, home journal.Subject) (*record.Run, error) {
	s.grown.RLock()
	defer s.grown.RUnlock()
	reg, err := s.registered(ctx)
	if err != nil {
		return nil, err
	}
	g := newGathering(ctx, s.index, s.read)
	g.home(home)
	if err := g.load(); err != nil {
		return nil, err
	}
	book, err := g.book(s.by)
	if err != nil {
		return nil, err
	}
	return book.Within(reg, s.used(context.WithoutCancel(ctx))).Run(home.Run()), nil
}

func summaryOf(j *record.Job) Summary {
	out := Summary{Job: j.ID, State: j.State, Ready: j.Ready, Claims: len(route.OpenClaims(j)), Recalls: len(route.OpenRecalls(j))}
	if j.Vehicle != nil {
		out.Vehicle, out.VIN = j.Vehicle.Key, j.Vehicle.VIN
	}
	if j.Customer != nil {
		out.Customer = j.Customer.Card
	}
	if st := j.Stated; st != nil {
		out.Plate, out.Looks, out.Opened = st.Vehicle.Plate, st.Vehicle.Looks, j.Opened.Clocks.Device
		if out.VIN == "" {
			out.VIN = st.Vehicle.VIN
		}
	}
	if j.Released != nil {
		out.Released = j.Released.Clocks.Device
	}
	for _, c := range j.Corners {
		out.Corners = append(out.Corners, c.Corner)
		for _, p := range c.Parts {
			out.Parts = append(out.Parts, PartSummary{Part: p.Subject, Tag: p.Tag, Number: p.Number, Pattern: p.Pattern, Mark: p.Mark})
		}
	}
	for _, l := range j.Timeline() {
		out.Entries++
		out.Photos += len(l.Photos)
		out.Last = l.Clocks.Device
	}
	return out
}

func summarizeRun(out *index.Summary, run *record.Run) {
	for _, l := range run.Lines {
		switch l.Effect().(type) {
		case *journal.BakeStart:
			out.Sort = int64(l.Place())
			if out.State == aside {
				out.State = bakeBare
			}
		case *journal.ProbeTrace:
			out.State = bakeTraced
		}
	}
	if out.Sort == 0 {
		out.State = aside
	}
}

// Summaries lists the jobs in some states, the newest first.
func (v *View) Summaries(most int, states ...record.State) []Summary {
	v.settle()
	var list []Summary
	for _, state := range states {
		rows, err := v.shop.index.Summaries(v.ctx, string(state), most)
		v.note(err)
		for _, r := range rows {
			list = append(list, v.read(r))
		}
	}
	return list
}

func (v *View) read(r index.Summary) Summary {
	var s Summary
	if len(r.Body) > 0 {
		v.note(json.Unmarshal(r.Body, &s))
	}
	return s
}

// Bakes lists the runs that are bakes, the newest first: those of which no
// temperatures are here yet, or those of which some are.
func (v *View) Bakes(most int, traced bool) []*record.Run {
	v.settle()
	state := bakeBare
	if traced {
		state = bakeTraced
	}
	rows, err := v.shop.index.Summaries(v.ctx, state, most)
	v.note(err)
	var list []*record.Run
	for _, r := range rows {
		if run := v.Run(r.Home.Run()); run != nil {
			list = append(list, run)
		}
	}
	return list
}
