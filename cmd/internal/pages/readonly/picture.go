package readonly

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// picturePage is one photograph, large.
type picturePage struct {
	Plate, Record  string // the job that it is looked at from, and its page
	Place, Shows   string
	When, By       string
	Source         string // the picture on the page: the original, if it is here
	Width, Height  int    // of the thumbnail: the shape of the picture
	Photo          photoView
	Rings          template.HTML // over the picture
	Marks          []markSaid
	Earlier        string // how many marks more there are
	Plain          string // the same page without the marks, or with them
	Unmarked       bool
	Mark           string // page on which something is marked
	Counted        string // "4 of 26"
	Previous, Next *Link
	Stage          string
	Beside         []Snap // of the same stage
	Spot           *Sides
	Line           Line
	Day            string
	Entry          string
}

// markSaid is a mark on the picture, in words.
type markSaid struct {
	Number int
	Says   string
	By     Link
}

func (p *Paper) large(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	lines := p.named(w, r, s, "photograph")
	if len(lines) == 0 {
		return
	}
	number, err := strconv.Atoi(r.PathValue("number"))
	if err != nil {
		p.noSuch(w, r, "photograph")
		return
	}
	sight, ok := sightOf(lines[0], number)
	if !ok {
		p.Missing(w, r, "This entry has "+words.Count(len(lines[0].Photos), "photograph")+" and not this one.")
		return
	}
	d := p.newPicturePage(r, s, sight)
	// It is not drawn anew under who looks at it closely.
	p.shell.Page(w, r, http.StatusOK, "picture", pages.View{Title: d.Shows + " · " + d.Place, Frame: p.Frame(r, s), Data: d})
}

func (p *Paper) newPicturePage(r *http.Request, s *live.Snapshot, of facts.Sight) picturePage {
	l := of.Line
	d := picturePage{
		Place: words.Capital(pages.Place(l.Subject)), Shows: words.Capital(cmp.Or(of.Role, "photograph")), When: l.Writing().Zoned(time.Time(l.Clocks.Device)), By: s.Initials(l.By),
		Photo: p.photoView(r, of.Photo, l, s, "photo"), Line: NewLine(l, s), Day: dayOf(l), Entry: EntryPath(l.ID),
	}
	d.Line.Photos = nil // it stands above
	d.Source = cmp.Or(d.Photo.Original, d.Photo.Thumb)
	d.mark(p, r, s, of)
	if st := p.lookedFrom(r, s, l); st != nil {
		d.within(st, of)
	}
	return d
}

// lookedFrom is the job from whose record a photograph is looked at: of a run the
// one that the address names, else its first.
func (p *Paper) lookedFrom(r *http.Request, s *live.Snapshot, l *record.Line) *live.Standing {
	id := l.Subject.Job()
	if run := s.Run(l.Subject.Run()); run != nil && len(run.Jobs) > 0 {
		id = run.Jobs[0].ID
		if named := journal.JobID(r.URL.Query().Get("job")); slices.ContainsFunc(run.Jobs, func(j *record.Job) bool { return j.ID == named }) {
			id = named
		}
	}
	return s.Standing(id)
}

// mark lays the marks over the picture, unless they are not asked for.
func (d *picturePage) mark(p *Paper, r *http.Request, s *live.Snapshot, of facts.Sight) {
	if d.Photo.Withdrawn != nil {
		return
	}
	d.Width, d.Height = p.sizeOf(r, of.Thumb)
	d.Mark = MarkPath(of)
	marks, places, before := drawn(s.Marks(of.Line, of.Ref))
	if len(marks) == 0 {
		return
	}
	q := r.URL.Query()
	d.Unmarked = q.Get("marks") == "off"
	if d.Unmarked {
		q.Del("marks")
	} else {
		q.Set("marks", "off")
	}
	d.Plain = r.URL.Path
	if len(q) > 0 {
		d.Plain += "?" + q.Encode()
	}
	for i, m := range marks {
		d.Marks = append(d.Marks, markSaid{places[i].Number, words.Capital(m.Says), CiteEntry(m.By.ID, s)})
	}
	if before > 0 {
		d.Earlier = words.Either(before, "earlier mark is not drawn; it stands in the record.", "earlier marks are not drawn; they stand in the record.")
	}
	if !d.Unmarked && d.Width > 0 {
		d.Rings = outline.Rings(d.Width, d.Height, places)
	}
}

// within shows where the photograph stands in its job.
func (d *picturePage) within(st *live.Standing, of facts.Sight) {
	in := st.Job.ID
	d.Plate, d.Record = st.Job.Name(), path("record", string(in))
	var all []facts.Sight
	at := -1
	for _, shown := range route.Sights(st.Rows, st.Job.Timeline()) {
		here := slices.IndexFunc(shown.Sights, of.Is)
		if here >= 0 {
			at = len(all) + here
			if shown.Stage != nil {
				d.Stage = shown.Stage.Title
			}
			for i, s := range shown.Sights {
				one := newSnap(s, in)
				one.On = i == here
				d.Beside = append(d.Beside, one)
			}
		}
		all = append(all, shown.Sights...)
	}
	if at >= 0 {
		d.Counted = fmt.Sprintf("%d of %s", at+1, words.Count(len(all), "photograph"))
		link := func(i int) *Link {
			if i < 0 || i >= len(all) {
				return nil
			}
			return &Link{cmp.Or(all[i].Role, "photograph"), PicturePath(all[i], in)}
		}
		d.Previous, d.Next = link(at-1), link(at+1)
	}
	if st.Card == nil {
		return
	}
	if spot := st.Stock.Job(st.Card, st.Job).SameSpot(of.Line.Subject); spot.Before != nil || spot.After != nil {
		sides := newSides(spot, in)
		d.Spot = &sides
	}
}
