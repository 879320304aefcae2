package tags

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

var noTime time.Time

// scanPage is the page on which codes are read.
type scanPage struct {
	Title string
	For   journal.Kind    // of the run on which parts are put
	Of    journal.Subject // the run, or the corner's bag, whose list is ticked off
	Got   []journal.Subject
	List  []row
	Bag   []journal.Item
	Say   string
	// Unread says that no code was found: of a live picture that is nothing to tell.
	Unread bool
	Went   string // what was read and is on the list now
	To     string // where the page goes by itself
	Links  []link
	Back   link
}

// row is a part of a list.
type row struct {
	Of    journal.Subject
	Place string
	Plate string // of the first of a car's parts that follow each other
	On    bool
}

// Left is how many of the list were not read yet.
func (p scanPage) Left() (n int) {
	for _, r := range p.List {
		if !r.On {
			n++
		}
	}
	return n
}

// most is how many parts one page holds.
const most = journal.MaxParts

// scan is the page on which a code is read, and the answer to one.
func (t *Tags) scan(w http.ResponseWriter, r *http.Request) {
	s := t.Live.View(r.Context())
	frame := r.Header.Get("X-Part") == "scanned"
	fields, in := r.URL.Query(), (*posted)(nil)
	if r.Method == http.MethodPost {
		var err error
		if in, err = t.take(w, r, frame); errors.Is(err, errBusy) {
			http.Error(w, "Another picture is being read.", http.StatusTooManyRequests)
			return
		}
		if err != nil { // the list came before the picture, and stays
			in.text, in.trouble = "", "What was sent did not arrive whole, or was too large. Take the photograph again."
		}
		fields = in.fields
	}
	p := t.asked(s, fields)
	status := http.StatusOK
	if in != nil {
		status = t.answer(s, &p, in)
	}
	t.fill(s, &p)
	switch {
	case frame:
		t.shell.Fragment(w, r, "scan", "scanned", p)
	case p.To != "":
		http.Redirect(w, r, p.To, http.StatusSeeOther)
	default:
		t.page(w, r, s, status, "scan", pages.View{Title: p.Title, Data: p})
	}
}

// asked is the page as its address or its form says, without what cannot be.
func (t *Tags) asked(s *live.Snapshot, fields url.Values) scanPage {
	p := scanPage{Title: "Read a tag", Back: link{"/", "Jobs on hand"}}
	kind, of := journal.Kind(fields.Get("for")), journal.Subject(fields.Get("of"))
	switch {
	case kind.Known() && slices.Contains(kind.Places(), "run"):
		p.For, p.Title, p.Back = kind, "Put parts on the run", link{"/run/new/" + string(kind), "Back to the run"}
	case of.Word() == "run" && s.Run(of.Run()) != nil:
		p.Of, p.Title, p.Back = of, "Tick off run "+of.Last(), link{"/run/" + of.Last(), "Back to the run"}
	case of.Word() == "job/corner" && knows(s, of):
		p.Of, p.Title = of, "Bag of "+pages.Place(of)+", "+s.Job(of.Job()).Name()
		p.Back = link{"/job/" + string(of.Job()), "The job of " + s.Job(of.Job()).Name()}
	}
	for _, name := range fields["got"] {
		if of, err := journal.ParseSubject(name); err == nil && of.Part() != "" && !slices.Contains(p.Got, of) && len(p.Got) < most {
			p.Got = append(p.Got, of)
		}
	}
	return p
}

// knows reports whether something is written here of a corner of a job.
func knows(s *live.Snapshot, of journal.Subject) bool {
	job := s.Job(of.Job())
	return job != nil && slices.ContainsFunc(job.Corners, func(c *record.Corner) bool { return c.Corner == of.Corner() })
}

// answer does with a code what the page is for.
func (t *Tags) answer(s *live.Snapshot, p *scanPage, in *posted) int {
	if in.text == "" {
		p.Say, p.Unread = cmp.Or(in.trouble, unchosen), true
		return http.StatusUnprocessableEntity
	}
	f := t.find(s, in.text)
	p.Say, p.Links = f.Say, f.Links
	switch {
	case f.Of == "":
		return http.StatusUnprocessableEntity
	case p.For == "" && p.Of.Word() != "run":
		p.To = f.Path
	case f.Of.Part() == "":
		p.Say = f.Named + " is not a part. Read the tag of a part."
		return http.StatusUnprocessableEntity
	case p.Of != "" && !slices.Contains(s.Run(p.Of.Run()).Parts, f.Of):
		p.Say = f.Named + " is not in run " + p.Of.Last() + ". Nothing was ticked."
		return http.StatusUnprocessableEntity
	case slices.Contains(p.Got, f.Of):
		p.Went = f.Named + " is on the list already."
	case len(p.Got) == most:
		p.Say = "One run holds " + words.Count(most, "part") + ". Put these on the run first."
		return http.StatusUnprocessableEntity
	default:
		p.Got, p.Went = append(p.Got, f.Of), f.Named
	}
	return http.StatusOK
}

// fill lists what there is to be read, and what was.
func (t *Tags) fill(s *live.Snapshot, p *scanPage) {
	list := p.Got
	if run := s.Run(p.Of.Run()); run != nil {
		list = run.Parts
	}
	var last journal.JobID
	for _, of := range list {
		one := row{Of: of, Place: words.Capital(pages.Place(of)), On: slices.Contains(p.Got, of)}
		if job := s.Job(of.Job()); job != nil && job.ID != last {
			one.Plate, last = job.Name(), job.ID
		}
		p.List = append(p.List, one)
	}
	if p.For != "" && len(p.Got) > 0 {
		p.Links = append(p.Links, link{pages.RunPath(p.For, p.Got), "Put " + words.Count(len(p.Got), "part") + " on the run"})
	}
	if job := s.Job(p.Of.Job()); job != nil {
		p.Bag = facts.InBag(job, p.Of.Corner())
	}
}
