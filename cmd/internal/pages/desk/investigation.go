package desk

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// investigationPage is one investigation: what was asked and found then, the
// same worked out now, what was decided and what came of it.
type investigationPage struct {
	Line                     readonly.Line // as the record has it
	Title, Day, By           string
	Struck                   bool
	LookedAt                 []string
	Found, Concluded, CameOf string
	Sure                     journal.Certainty
	Decided                  []decided
	Before, Later, Rests     []readonly.Line
	Pictures                 []affected
	MorePictures             int
	GoOn, Entry              string // the page that goes on with it, and that of its entry
	Asked                    *askedAgain
	Wrong                    string // why the same cannot be asked again
}

// decided is what was decided, with the page on which it is done.
type decided struct {
	What    journal.Upshot
	Says    string
	Do, How string
}

// investigations lists all that was looked into.
func (d *Desk) investigations(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var p investigationsPage
	for _, l := range s.Investigations() {
		p.Rows = append(p.Rows, newInvestigationRow(l, s))
	}
	d.reads(w, r, s, "investigations", "Investigations", p)
}

type investigationsPage struct {
	Rows []investigationRow
}

// investigationRow is an investigation in the list.
type investigationRow struct {
	Path, Day, By, Place, Title, Found, Concluded string
	Decided                                       []string
	Came                                          []string // of it
	Struck                                        bool
}

func newInvestigationRow(l *record.Line, s *live.Snapshot) investigationRow {
	row := investigationRow{Path: readonly.InvestigationPath(l.ID), Day: l.Writing().Day(time.Time(l.Clocks.Device)), By: s.Initials(l.By), Place: placeOf(l.Subject, s), Struck: l.Effect() == nil}
	i, ok := cmp.Or(l.Effect(), l.Payload).(*journal.Investigation)
	if !ok {
		return row
	}
	row.Title, row.Found, row.Concluded = words.Capital(i.Matter), i.Found, i.Concluded
	for _, o := range i.Decided {
		row.Decided = append(row.Decided, string(o.What))
	}
	for _, later := range s.Investigation(l.ID).Later {
		row.Came = append(row.Came, later.About)
	}
	return row
}

// placeOf says what an entry is about.
func placeOf(of journal.Subject, s *live.Snapshot) string {
	if j := s.Job(of.Job()); j != nil {
		return words.Commas(j.Name(), pages.Place(of))
	}
	if of.Word() == "shop" {
		return "the whole shop"
	}
	return pages.Place(of)
}

func (d *Desk) investigation(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var i *shop.Investigation
	if id, err := journal.ParseEntryID(r.PathValue("id")); err == nil {
		i = s.Investigation(id)
	}
	if i == nil {
		d.missing(w, r, "There is no such investigation on this machine. It may still be on a tablet that the hub has not heard of.")
		return
	}
	p := newInvestigationPage(i, s)
	if err := d.askAgain(&p, i, s); err != nil {
		p.Wrong = words.Sentence("what it asked cannot be asked again: " + err.Error())
	}
	d.reads(w, r, s, "investigation", p.Title+" · investigation", p)
}

func newInvestigationPage(i *shop.Investigation, s *live.Snapshot) investigationPage {
	l := i.Line
	p := investigationPage{Line: readonly.Dated(l, s), Day: l.Writing().Day(time.Time(l.Clocks.Device)), By: s.Initials(l.By), Title: "Investigation", Entry: readonly.EntryPath(l.ID)}
	if i.Investigation == nil {
		p.Struck = true
		return p
	}
	is := i.Investigation
	p.Title, p.LookedAt, p.Found, p.Concluded, p.Sure, p.CameOf = words.Capital(is.Matter), is.LookedAt, is.Found, is.Concluded, is.Sure, is.CameOf
	for _, o := range is.Decided {
		one := decided{What: o.What, Says: o.Says}
		if o.What == journal.CardChanged && !slices.ContainsFunc(i.Later, func(l *record.Line) bool { return l.Kind == journal.RoutePublished }) {
			one.Do, one.How = withQuery("/routes", url.Values{"because": {l.ID.String()}}), "Write the next edition"
		}
		p.Decided = append(p.Decided, one)
	}
	if i.Before != nil {
		p.Before = append(p.Before, investigationLine(i.Before, s))
	}
	for _, later := range i.Later {
		p.Later = append(p.Later, investigationLine(later, s))
	}
	for _, rests := range i.Rests {
		p.Rests = append(p.Rests, readonly.Dated(rests, s))
	}
	p.GoOn = goOnPath(i)
	p.photographs(i.Line, s)
	for _, rests := range i.Rests {
		p.photographs(rests, s)
	}
	return p
}

// investigationLine is a line that leads to the page of an investigation, if it
// is one.
func investigationLine(l *record.Line, s *live.Snapshot) readonly.Line {
	v := readonly.Dated(l, s)
	if l.Kind == journal.InvestigationMade {
		v.Path = readonly.InvestigationPath(l.ID)
	}
	return v
}

// goOnPath is the page that writes an investigation that goes on with one, and
// asks the same.
func goOnPath(i *shop.Investigation) string {
	pairs := []string{"of", i.Line.ID.String(), "matter", i.Matter, "defect", string(i.Defect)}
	for n, text := range i.Filter {
		pairs = append(pairs, fmt.Sprintf("filter.%d", n), text)
	}
	return readonly.WritePath(journal.InvestigationMade, i.Line.Subject, pairs...)
}

// affected is a photograph of a part that had the defect, or that the
// investigation shows.
type affected struct {
	readonly.Snap
	Place, Part string // where it is, and the page of what touched it
	Day         string
}

// mostPictures is how many photographs stand side by side.
const mostPictures = 24

// photographs adds those of an entry that are not there yet. One that was
// withdrawn is not shown.
func (p *investigationPage) photographs(l *record.Line, s *live.Snapshot) {
	for _, snap := range readonly.Dated(l, s).Photos {
		if snap.Withdrawn || p.shows(snap.Thumb) {
			continue
		}
		if len(p.Pictures) == mostPictures {
			p.MorePictures++
			continue
		}
		a := affected{Snap: snap, Place: placeOf(l.Subject, s), Day: l.Writing().Day(time.Time(l.Clocks.Device))}
		if l.Subject.Job() != "" {
			a.Part = readonly.TracePath(string(l.Subject))
		}
		p.Pictures = append(p.Pictures, a)
	}
}

// defects adds a close-up of each part that has the defect, the newest first.
func (p *investigationPage) defects(t *parts.Table, defect string, s *live.Snapshot) {
	list, more := readonly.CloseUps(s, t, defect, mostPictures-len(p.Pictures))
	p.MorePictures += more
	for _, c := range list {
		if !p.shows(c.Thumb) {
			p.Pictures = append(p.Pictures, affected{Snap: readonly.Snap{Path: c.Path, Thumb: c.Thumb, Shows: c.Shows}, Place: placeOf(c.Of, s), Part: readonly.TracePath(string(c.Of)), Day: c.Day})
		}
	}
}

func (p *investigationPage) shows(thumb string) bool {
	return slices.ContainsFunc(p.Pictures, func(have affected) bool { return have.Thumb == thumb })
}
