package main

import (
	"context"
	"html/template"
	"io/fs"
	"net/http"
	"path/filepath"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/draft"
	pagefigure "fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/pages/tags"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// site is what the bench's pages and the desk's have in common: the record
// kept up to date, the pages that write entries, and those that are only read.
type site struct {
	live    *live.Live
	drafts  *draft.Store
	counter *counter.Counter
	writer  *write.Writer
	paper   *readonly.Paper
	tags    *tags.Tags
	by      func(r *http.Request) journal.PersonID // who works at a browser
}

// house is where a set of pages writes entries, photographs and customers' cards.
type house interface {
	write.Store
	newjob.Book
}

// own is what a set of pages says of itself.
type own struct {
	set   string // "bench" or "desk"
	by    func(r *http.Request) journal.PersonID
	frame func(r *http.Request, s *live.Snapshot) any
	page  func(l *record.Line) string // where whoever wrote an entry is led; nil if where the form leads
	// barred says why whoever asks may not write a kind; nil if everybody may.
	barred  func(r *http.Request, kind journal.Kind) error
	confirm *write.Confirm // how whoever stamps shows that it is them
}

// newSite joins the pages to a data folder. They read on from its log until
// the serving that they belong to is closed.
func newSite(serving *serving, t *terminal, f *folder.Folder, in house, o own) (*site, error) {
	drafts, err := draft.Open(filepath.Join(f.Dir, "drafts"), draft.Options{Now: t.Now})
	if err != nil {
		return nil, err
	}
	s := &site{live: live.New(f.Folded), drafts: drafts}
	serving.beside(func(ctx context.Context) {
		if err := f.Folded.Run(ctx, f.Log); err != nil && ctx.Err() == nil {
			t.Logger.ErrorContext(ctx, "keep the shop up to date", "error", err)
		}
	})
	shows := func(s *live.Snapshot, id journal.EntryID) any {
		if one := pagefigure.Of(s, id); !one.IsZero() {
			return one
		}
		return nil
	}
	by := func(r *http.Request) journal.PersonID { return here(o.by(r), s.live.View(r.Context()).Shop) }
	s.by = by
	s.counter = counter.New(counter.Config{Device: f.Device, Works: o.set == "bench", Book: in, Cards: f.Log, Live: s.live, Drafts: drafts, Frame: o.frame, By: by, Rand: t.Rand, Now: t.Now, Logger: t.Logger})
	serving.beside(s.counter.Forget)
	s.writer = write.New(write.Config{
		Device: f.Device, Store: in, Live: s.live, Drafts: drafts, Frame: o.frame, By: by, Figure: shows, Page: o.page, Barred: o.barred, Confirm: o.confirm,
		May:   func(kind journal.Kind) error { return mayWrite(kind, f.Identity) },
		Judge: newJudge(t, func(ctx context.Context, id journal.JobID) *record.Job { return s.live.View(ctx).Job(id) }, f.Log.Thumb).judge,
		Rand:  t.Rand, Now: t.Now, Logger: t.Logger,
	})
	s.tags = tags.New(tags.Config{Live: s.live, Frame: o.frame, Logger: t.Logger, Thing: func(of journal.Subject) string {
		if o.set == "desk" {
			return "/shelf/" + string(of)
		}
		return readonly.TracePath(string(of))
	}})
	s.paper = readonly.New(readonly.Config{
		Live: s.live, Thumbs: f.Log, Originals: f.Photos, Cards: f.Log, Desk: o.set == "desk", Figure: shows, Frame: o.frame, Now: t.Now, Logger: t.Logger,
	})
	return s, nil
}

// here is the person if it is one who works in the shop: a browser can say
// anything, and may have said it before the person left.
func here(id journal.PersonID, shop *record.Shop) journal.PersonID {
	for _, p := range shop.Staff() {
		if p.ID == id {
			return id
		}
	}
	return ""
}

// show makes the shell of a set and gives it to those who show pages.
func (s *site) show(t *terminal, set string, funcs template.FuncMap, sites ...fs.FS) (*pages.Shell, error) {
	shell, err := pages.New(pages.Options{Set: set, Now: t.Now, Logger: t.Logger, Funcs: funcs, Undo: s.writer.Undo}, append(sites, counter.Templates(), write.Templates(), tags.Templates(), readonly.Templates(), pagefigure.Templates())...)
	if err != nil {
		return nil, err
	}
	s.counter.Show(shell)
	s.writer.Show(shell)
	s.paper.Show(shell)
	s.tags.Show(shell)
	return shell, nil
}

// limit is how many bytes the body of a request may have; 0 where nothing is said.
func (s *site) limit(r *http.Request) int64 { return max(s.writer.Limit(r), s.tags.Limit(r)) }

func (s *site) routes(mux *http.ServeMux) {
	s.counter.Routes(mux)
	s.writer.Routes(mux)
	s.paper.Routes(mux)
	s.tags.Routes(mux)
}
