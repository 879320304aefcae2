package shop

import (
	"context"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Finder is what is asked of the index.
type Finder interface {
	// Home lists the entries of a job, a run or a thing of the register.
	Home(ctx context.Context, home journal.Subject) ([]index.Row, error)
	// Citing lists the entries that cite a thing, that stand on it, or that
	// cite something in it.
	Citing(ctx context.Context, thing journal.Subject) ([]index.Row, error)
	// Keyed lists the entries that say so of a vehicle or a casting.
	Keyed(ctx context.Context, key index.Key) ([]index.Row, error)
	// Named lists the entries with an id: one, or several after a fork.
	Named(ctx context.Context, id journal.EntryID) ([]index.Row, error)
}

// gathering collects the entries that the record of one thing rests on, and
// every question that it asked of the index on the way. What it collects is a
// superset: the fold decides what counts.
type gathering struct {
	ctx    context.Context
	find   Finder
	read   func(context.Context, []journal.Position) ([]*record.Read, error)
	asked  questions
	taken  map[journal.Position]*record.Read
	homes  map[journal.Subject]bool
	queue  []journal.Position // found and not read yet
	fresh  []*record.Read     // read and not looked through yet
	whole  func(journal.Subject) bool
	parts  map[journal.Subject]bool
	ids    map[journal.EntryID]bool
	strays bool
}

// gather collects what the record of a home rests on. Of a run that is all of
// its jobs too, since how its parts stand is theirs to say.
func gather(ctx context.Context, find Finder, read func(context.Context, []journal.Position) ([]*record.Read, error), home journal.Subject) (*gathering, error) {
	g := &gathering{ctx: ctx, find: find, read: read, asked: make(questions), taken: make(map[journal.Position]*record.Read),
		homes: make(map[journal.Subject]bool), parts: make(map[journal.Subject]bool), ids: make(map[journal.EntryID]bool)}
	switch {
	case home.Run() != "":
		if err := g.run(home); err != nil {
			return nil, err
		}
	case home.Job() != "":
		if err := g.job(home); err != nil {
			return nil, err
		}
	default:
		if err := g.home(home); err != nil {
			return nil, err
		}
	}
	return g, g.settle()
}

// job collects a job with the runs of its parts, the other lives of its
// castings, and the openings by which its vehicle is known.
func (g *gathering) job(home journal.Subject) error {
	if err := g.home(home); err != nil {
		return err
	}
	rows, err := g.citing(home)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Home.Run() != "" {
			err = g.home(r.Home)
		} else {
			g.take(r)
		}
		if err != nil {
			return err
		}
	}
	if err := g.load(); err != nil {
		return err
	}
	return g.kin(home)
}

// run collects a run with all its jobs.
func (g *gathering) run(home journal.Subject) error {
	if err := g.home(home); err != nil {
		return err
	}
	if err := g.load(); err != nil {
		return err
	}
	for _, e := range g.of(home) {
		for _, part := range e.Hung() {
			if job := journal.About(part.Job(), "", ""); !g.homes[job] {
				if err := g.job(job); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// home takes all entries of a home.
func (g *gathering) home(home journal.Subject) error {
	if g.homes[home] {
		return nil
	}
	g.homes[home] = true
	g.asked.home(home)
	rows, err := g.find.Home(g.ctx, home)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Kind != journal.ClockCompared {
			g.take(r)
		}
	}
	return nil
}

func (g *gathering) citing(thing journal.Subject) ([]index.Row, error) {
	g.asked.cite(thing)
	return g.find.Citing(g.ctx, thing)
}

func (g *gathering) take(r index.Row) {
	if _, ok := g.taken[r.Position]; !ok {
		g.taken[r.Position] = nil
		g.queue = append(g.queue, r.Position)
	}
}

// load reads what was found, and what corrects it, until nothing more is.
func (g *gathering) load() error {
	for len(g.queue) > 0 {
		list, err := g.read(g.ctx, g.queue)
		if err != nil {
			return err
		}
		g.queue = g.queue[:0]
		for _, e := range list {
			g.taken[e.Position()] = e
			g.fresh = append(g.fresh, e)
		}
		for _, e := range list {
			if err := g.corrections(e); err != nil {
				return err
			}
		}
	}
	return nil
}

// corrections takes what strikes an entry, wherever it stands, and other
// entries with its id.
func (g *gathering) corrections(e *record.Read) error {
	id := e.ID()
	if id.IsZero() || g.ids[id] {
		return nil
	}
	g.ids[id] = true
	rows, err := g.citing(journal.EntrySubject(id))
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Kind == journal.EntryCorrected {
			g.take(r)
		}
	}
	return nil
}

// of returns the entries of a home that were read.
func (g *gathering) of(home journal.Subject) []*record.Read {
	var list []*record.Read
	for _, e := range g.taken {
		if e != nil && (e.Subject() == home || strings.HasPrefix(string(e.Subject()), string(home)+"/")) {
			list = append(list, e)
		}
	}
	return list
}
