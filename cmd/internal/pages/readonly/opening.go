package readonly

import (
	"fmt"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// Opening is how the record of a job opens: each place before the work and after it,
// the photographs stage by stage, and what was measured, drawn and in a table. Its
// words and its proof come below.
type Opening struct {
	Job    journal.JobID
	Pairs  []Sides
	Unseen string // of the places that nobody photographed, in a sentence
	Taken  int
	Stages []Album
	Says   []Fact
	Curves []Curve
	Joints []Joint
}

// IsZero reports whether there is nothing to open with.
func (o Opening) IsZero() bool { return o.Taken == 0 && len(o.Says)+len(o.Curves)+len(o.Joints) == 0 }

// Sides is a place as it was and as it is.
type Sides struct {
	Place         string
	Before, After Side
}

// Side is one of the two; nobody took a photograph if there is none.
type Side struct {
	Place, Says string
	Snap        *Snap
}

// Album is the photographs of a stage.
type Album struct {
	ID, Title string
	Count     int
	Snaps     []Snap
	More      int    // that are not shown here
	All       string // where they are
}

// Curve is what was measured, as a picture and in a table.
type Curve struct {
	ID, Title, Path string
	Key             string
	Wrong           string // why there is no picture
	chart.Drawing
}

// Joint is a joint as it was tightened.
type Joint struct {
	Place, Name, Path string
	Got               []pages.Bit
	Was               string // what was written first, if that was corrected
	Asked             []pages.Bit
	Wrong             bool
	Source            string
	Tools             string
	By                string
}

// shownOfStage is how many photographs of a stage stand on a record.
const shownOfStage = 12

// NewOpening lays out how the record of a job opens. base is the path of the page
// that has its lines.
func NewOpening(s *live.Snapshot, st *live.Standing, base string) Opening {
	o := Opening{Job: st.Job.ID}
	for _, of := range route.Sights(st.Rows, st.Job.Timeline()) {
		o.Taken += len(of.Sights)
		o.Stages = append(o.Stages, newAlbum(of, st.Job.ID, base))
	}
	for _, b := range st.Stock.Bakes(st.Job) {
		o.Curves = append(o.Curves, bakeCurve(b, st))
	}
	if st.Card == nil {
		return o
	}
	job := st.Stock.Job(st.Card, st.Job)
	var unseen []string
	for _, p := range job.Pairs() {
		if p.Before == nil && p.After == nil {
			unseen = append(unseen, pages.Place(p.About))
			continue
		}
		o.Pairs = append(o.Pairs, newSides(p, st.Job.ID))
	}
	if len(unseen) > 0 {
		o.Unseen = words.Capital(words.And(unseen...)) + ": nobody took a photograph, neither before the work nor after it."
	}
	o.Says = outcome(job)
	o.Curves = append(o.Curves, filmCurves(job.Films(), st.Job.ID)...)
	for _, is := range job.Tightened() {
		o.Joints = append(o.Joints, newJoint(is, st.Stock, s))
	}
	return o
}

func newSides(p facts.Pair, in journal.JobID) Sides {
	place := words.Capital(pages.Place(p.About))
	side := func(says string, s *facts.Sight) Side {
		is := Side{Place: place, Says: says}
		if s != nil {
			snap := newSnap(*s, in)
			is.Snap = &snap
		}
		return is
	}
	return Sides{place, side("before the work", p.Before), side("after the work", p.After)}
}

func newAlbum(of route.Shown, in journal.JobID, base string) Album {
	a := Album{ID: "shots-" + string(in), Title: "At any time", Count: len(of.Sights), All: Filter{What: "photos"}.path(base)}
	if of.Stage != nil {
		a.ID, a.Title, a.All = a.ID+"-"+of.Stage.Name, of.Stage.Title, Filter{What: "photos", Stage: of.Stage.Name}.path(base)
	}
	for _, s := range of.Sights[:min(len(of.Sights), shownOfStage)] {
		a.Snaps = append(a.Snaps, newSnap(s, in))
	}
	a.More = a.Count - len(a.Snaps)
	return a
}

// outcome is what the work comes down to, in sentences: of several places of which
// the same is to be said, once.
func outcome(job *facts.Job) (list []Fact) {
	say := func(name string, sites []*facts.Site, path string, wanted func(facts.Statement) bool, of ...facts.Quantity) {
		var said []string
		at := make(map[string][]string)
		for _, site := range sites {
			for _, is := range site.Stated(path, of...) {
				if !wanted(is) {
					continue
				}
				text := is.Say()
				if at[text] == nil {
					said = append(said, text)
				}
				at[text] = append(at[text], pages.Place(site.Subject))
			}
		}
		for _, text := range said {
			list = append(list, Fact{name, words.Sentence(words.Commas(at[text]...) + ": " + text)})
			name = ""
		}
	}
	any := func(facts.Statement) bool { return true }
	say("Bake", job.Parts, "part.cure", any, facts.Schedule)
	say("Film", job.Parts, "part.film", func(s facts.Statement) bool { return s.Met != facts.Yes }, facts.FilmMean)
	say("Bled", job.Corners, "corner.bleed", any, facts.Bled)
	return list
}

// bakeCurve draws a bake. Parts of other vehicles have no name in this one's record.
func bakeCurve(b facts.BakeRead, st *live.Standing) Curve {
	c := Curve{ID: "curve-" + string(st.Job.ID) + "-" + string(b.Run), Title: words.Capital(pages.Place(journal.Of("run", string(b.Run)))), Path: path("run", string(b.Run))}
	name := func(part string) string {
		if of := journal.Subject(part); of.Job() == st.Job.ID {
			return pages.Place(of)
		}
		return "a part of another job"
	}
	picture := chart.Bake{Title: "Bake " + string(b.Run), Trace: b.Series, Probes: b.Probes, Result: b.Result, Name: name, In: st.Stock.Units().Temperature, Writing: st.Stock.Writing()}
	drawn, err := picture.Draw()
	if err != nil {
		c.Wrong = words.Sentence(err.Error())
		return c
	}
	c.Drawing, c.Key = drawn, picture.Key()
	return c
}

// filmCurves draw films, those that are asked for the same range in one picture.
func filmCurves(films []facts.FilmRead, in journal.JobID) (list []Curve) {
	var limits []facts.Limit
	of := make(map[facts.Limit][]chart.Coat)
	for _, f := range films {
		if of[f.Is.Told().Limit] == nil {
			limits = append(limits, f.Is.Told().Limit)
		}
		of[f.Is.Told().Limit] = append(of[f.Is.Told().Limit], chart.Coat{Part: pages.Place(f.At), Film: f.Film})
	}
	for i, limit := range limits {
		list = append(list, Curve{ID: fmt.Sprintf("film-%s-%d", in, i+1), Title: "Film, asked " + limit.String(), Key: chart.FilmsKey, Drawing: chart.Films(of[limit])})
	}
	return list
}

func newJoint(is facts.Tightened, stock *facts.Stock, s *live.Snapshot) Joint {
	j := Joint{Place: words.Capital(pages.Place(is.At)), Name: is.Joint, Got: pages.Bits(is.Got), Was: is.Was, Asked: pages.Bits(is.Asked), Wrong: is.Wrong, Source: is.Is.Source}
	if is.Line == nil {
		return j
	}
	j.Path = EntryPath(is.Line.ID)
	j.By = s.Initials(is.Line.By) + ", " + s.Shop.Writing().ThisYear(time.Time(is.Line.Clocks.Device))
	var tools []string
	for _, t := range stock.Things(is.Line) {
		if t.Thing.Word() == "tool" && !slices.Contains(tools, t.Thing.Last()) {
			tools = append(tools, t.Thing.Last())
		}
	}
	j.Tools = words.Commas(tools...)
	return j
}

// sightOf is a photograph of an entry by its number from 1; ok is whether it has one.
func sightOf(l *record.Line, number int) (s facts.Sight, ok bool) {
	list := facts.Sights(l)
	if number < 1 || number > len(list) {
		return s, false
	}
	return list[number-1], true
}
