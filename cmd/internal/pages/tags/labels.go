package tags

import (
	"bytes"

	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/paper"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// labelPage offers labels for print.
type labelPage struct {
	Title  string
	Back   string
	Path   string
	Labels []offer
	First  []int // the place on a sheet at which the first is printed
	Wrong  string
}

// offer is a label that can be printed.
type offer struct {
	Of    journal.Subject
	Label paper.Label
	QR    pages.QR
}

// labels offers the labels of a job, a run or the shelf, or gives those that were
// chosen for print.
func (t *Tags) labels(w http.ResponseWriter, r *http.Request) {
	s := t.Live.View(r.Context())
	p := t.offers(s, journal.Subject(r.PathValue("of")))
	if p == nil {
		t.page(w, r, s, http.StatusNotFound, "unlabelled", pages.View{Title: "Not here", Data: "There is nothing here of that name for which labels are printed. It may still be on another tablet."})
		return
	}
	q := r.URL.Query()
	on := map[string]func() paper.Stock{"sheet": paper.Sheet, "roll": paper.Roll}[q.Get("on")]
	var chosen []paper.Label
	for _, o := range p.Labels {
		if slices.Contains(q["tag"], string(o.Of)) {
			chosen = append(chosen, o.Label)
		}
	}
	switch {
	case on == nil:
		t.page(w, r, s, http.StatusOK, "labels", pages.View{Title: p.Title, Data: p})
		return
	case len(chosen) == 0:
		p.Wrong = "No label is ticked. Tick those that are to be printed."
		t.page(w, r, s, http.StatusUnprocessableEntity, "labels", pages.View{Title: p.Title, Data: p})
		return
	}
	stock, skip := on(), 0
	if first, err := strconv.Atoi(q.Get("first")); err == nil && first > 1 && first <= stock.Each() {
		skip = first - 1
	}
	var file bytes.Buffer
	if err := paper.Labels(&file, chosen, stock, skip); err != nil {
		t.Logger.ErrorContext(r.Context(), "print labels", "error", err)
		http.Error(w, "These labels cannot be printed; the log on this machine says why.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="labels.pdf"`)
	w.Header().Set("Cache-Control", "no-store")
	_, _ = file.WriteTo(w) // who is gone needs no labels
}

// offers are the labels of a job, a run or the shelf; nil if there is no such.
func (t *Tags) offers(s *live.Snapshot, of journal.Subject) *labelPage {
	p := &labelPage{Path: "/labels/" + string(of)}
	for i := range paper.Sheet().Each() {
		p.First = append(p.First, i+1)
	}
	switch {
	case of.Word() == "job":
		job := s.Job(of.Job())
		if job == nil {
			return nil
		}
		p.Title, p.Back = "Labels of "+job.Name(), "/job/"+string(job.ID)
		for _, c := range job.Corners {
			for _, part := range c.Parts {
				p.add(s, part.Subject, partLabel(job, part))
			}
			p.add(s, journal.About(job.ID, c.Corner, ""), bagLabel(job, c))
		}
	case of.Word() == "run":
		run := s.Run(of.Run())
		if run == nil {
			return nil
		}
		p.Title, p.Back = "Label of run "+string(run.ID), "/run/"+string(run.ID)
		p.add(s, of, rackLabel(s, run))
	case of == "tools":
		p.Title, p.Back = "Labels of tools", "/"
		for _, name := range s.Names("tool") {
			of := journal.Of("tool", name)
			if l, ok := toolLabel(s, of); ok {
				p.add(s, of, l)
			}
		}
	default:
		return nil
	}
	return p
}

func (p *labelPage) add(s *live.Snapshot, of journal.Subject, l paper.Label) {
	l.Holds = tag.Tag{Shop: s.Shop.ID, Of: of}.String()
	code, err := pages.DrawQR(l.Holds)
	if err != nil { // a name that no code can hold
		return
	}
	l.Lines = slices.DeleteFunc(l.Lines, func(line string) bool { return line == "" })
	p.Labels = append(p.Labels, offer{of, l, code})
}

func partLabel(job *record.Job, part *record.Part) paper.Label {
	return paper.Label{Head: job.Name(), Lines: []string{words.Capital(pages.Place(part.Subject)), words.Fill("tag %s", part.Tag), "job " + string(job.ID)}}
}

// bagLabel is of the bag in which the small parts of a corner lie.
func bagLabel(job *record.Job, c *record.Corner) paper.Label {
	var bags []string
	for _, l := range c.Lines {
		if b, ok := l.Effect().(*journal.Bagging); ok && !slices.Contains(bags, b.Bag) {
			bags = append(bags, b.Bag)
		}
	}
	return paper.Label{Head: job.Name(), Lines: []string{string(c.Corner) + " small parts", words.Fill("bag %s", strings.Join(bags, ", ")), "job " + string(job.ID)}}
}

func rackLabel(s *live.Snapshot, run *record.Run) paper.Label {
	var cars []string
	for _, j := range run.Jobs {
		cars = append(cars, j.Name())
	}
	return paper.Label{Head: string(run.ID), Lines: []string{"rack: " + strings.Join(run.What, ", "), words.Count(len(run.Parts), "part"), words.Commas(cars...)}}
}

func toolLabel(s *live.Snapshot, of journal.Subject) (paper.Label, bool) {
	is := s.Stock().ToolNow(journal.ToolID(of.Last()), time.Time{})
	if is.Stated == nil {
		return paper.Label{}, false
	}
	return paper.Label{Head: of.Last(), Lines: []string{string(is.Stated.What), words.Fill("serial %s", is.Stated.Serial)}}, true
}
