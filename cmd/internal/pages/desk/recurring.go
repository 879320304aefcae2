package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

// asking is a question about recurring defects, as somebody typed it.
type asking struct {
	conditions
	Defect string
	Since  string
}

func readAsking(q url.Values) asking {
	a := asking{conditions: readConditions(q), Defect: strings.TrimSpace(q.Get("defect")), Since: strings.TrimSpace(q.Get("since"))}
	if a.Problem == "" && a.Since != "" {
		since, err := parts.ParseFilter(string(parts.Date) + string(parts.AtLeast) + a.Since)
		if a.filter = append(a.filter, since...); err != nil {
			a.Problem = words.Sentence(err.Error())
		}
	}
	if err := (recur.Question{Defect: a.Defect}).Check(); err != nil && a.Problem == "" {
		a.Problem = words.Sentence(err.Error())
	}
	return a
}

// path leads to a page of the same question.
func (a asking) path(base string) string {
	q := url.Values{}
	if a.Defect != "" {
		q.Set("defect", a.Defect)
	}
	if a.Since != "" {
		q.Set("since", a.Since)
	}
	if len(a.Where) > 0 {
		q["where"] = a.Where
	}
	return withQuery(base, q)
}

// study makes the study that is asked for, or takes the one that was made
// before. People are named: who is signed in at the desk may know.
func (d *Desk) study(s *live.Snapshot, a asking) (*recur.Study, error) {
	study, err := d.studies.Of(d.table(s), recur.Question{Defect: a.Defect, Filter: a.filter, People: true})
	if err != nil {
		return nil, err
	}
	return study.Explained(s.Behind), nil
}

// table is the parts table of the shop.
func (d *Desk) table(s *live.Snapshot) *parts.Table {
	if d.Parts != nil {
		return d.Parts(s)
	}
	return s.Parts()
}

// drawing is a picture with its figures, which are folded below it on a screen.
type drawing struct {
	chart.Drawing
	ID, Title, Key string
	Left           string // what is not among the figures
}

// recurringPage is what recurring defects go with.
type recurringPage struct {
	asking
	Defects  []seenDefect // that were seen, with how often
	Look     *readonly.Look
	Bare     []string     // what is said where there is nothing to study
	Study    *recur.Study // nil without
	Rate     []string
	Rates    drawing
	CloseUps []readonly.CloseUp
	Unshown  int      // parts with the defect whose photographs are not among these
	Over     []string // time
	Course   drawing
	Changes  drawing
	Accused  []accused
	Search   []string
	Factors  []factorRow
	Shown    drawing // differences
	Named    []named
	Place    string // what the film was where the defect was
	Late     string
	Good     drawing
	Download string

	Looked, Coats string // how many that were looked at, of how many

	Reasons     []readonly.Link // the investigations that changes of the card came out of
	Investigate string          // page that begins one of this; "" where there is nothing to look into
}

// seenDefect is a defect that can be asked about, with its drawing.
type seenDefect struct {
	readonly.Choice
	Look *readonly.Look
}

// accused is a factor that a defect goes with.
type accused struct {
	Title, Path string
	Says        []string
}

// named is a pattern with what it rests on.
type named struct {
	Title, Says string
	Casting     string // path of its life
	Entries     []readonly.Link
	More        int
}

// factorRow is a factor in the table of all.
type factorRow struct {
	Says, Where, Path string
	There, Elsewhere  string
	Difference        string
	Adjusted          string
	Stands            string
	More              string
}

func (d *Desk) recurring(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	p := recurringPage{asking: readAsking(r.URL.Query())}
	if p.Problem == "" {
		study, err := d.study(s, p.asking)
		if err != nil {
			p.Problem = words.Sentence(err.Error())
		} else {
			p.fill(study, s.Shop.Writing())
			if p.Study != nil {
				p.CloseUps, p.Unshown = readonly.CloseUps(s, d.table(s).Where(p.filter), study.Defect, mostCloseUps)
			}
		}
	}
	d.shell.Page(w, r, p.status(), "recurring", pages.View{Title: "Recurring defects", Frame: d.Frame(r, s), Data: p, Live: true})
}

// mostCloseUps is how many photographs of a defect stand side by side.
const mostCloseUps = 12

// fill lays a study out.
func (p *recurringPage) fill(s *recur.Study, in words.Writing) {
	for _, r := range s.Rates {
		other := p.asking
		other.Defect = r.Defect
		p.Defects = append(p.Defects, seenDefect{readonly.Choice{Link: readonly.Link{Say: in.Sprintf("%s, %d", r.Defect, r.Rate.Sample.Defects), Path: other.path("/recurring")}, On: r.Defect == s.Defect}, readonly.LookOf(r.Defect)})
	}
	if s.Looked == 0 || s.Defect == "" {
		p.Bare = s.Say(in)
		return
	}
	same := p.asking
	same.Defect = s.Defect // also where nobody asked for one
	p.Study, p.Look, p.Investigate = s, readonly.LookOf(s.Defect), same.investigatePath("")
	p.Rate, p.Over, p.Search = sentences(s.SayRate(in)...), sentences(s.Course.Say(in)...), sentences(s.SaySearch(in)...)
	p.Looked, p.Coats = in.Count(s.Looked, "coat"), in.Sprintf("%d", s.Parts)
	p.Rates = drawing{chart.Rates(s.Rates, in), "rates", "How often each defect was seen", "A bar is the share of parts with the defect, the thin line what the counts leave open.", ""}
	p.Course = drawing{chart.Course(s.Defect, s.Course, in), "course", "Over time", chart.CourseKey, ""}
	for _, c := range s.Course.Changes {
		if id, err := journal.ParseEntryID(reason(c)); err == nil {
			p.Reasons = append(p.Reasons, readonly.Link{Say: c.Card + ": " + c.Because.Says, Path: readonly.InvestigationPath(id)})
		}
	}
	if len(s.Course.Changes) > 0 {
		p.Changes = drawing{chart.Changes(s.Defect, s.Course.Changes, in), "changes", "Changes of the route card", chart.DifferencesKey, ""}
	}
	for _, a := range s.Accused {
		p.Accused = append(p.Accused, accused{words.Capital(s.Of(a.Name).Where(in)), p.factorPath(a.Name), sentences(s.SayAccused(a, in)...)})
	}
	p.factors(s, in)
	for _, n := range s.Named {
		p.Named = append(p.Named, newNamed(n, in))
	}
	if s.Place != nil {
		p.Place = words.Sentence(s.Place.Say(in))
	}
	if s.Late != nil {
		p.Late = words.Sentence(s.Late.Say(s.Defect, in))
		if s.Late.Good != nil {
			p.Good = drawing{chart.Good(s.Defect, *s.Late.Good, in), "good", "Parts still good after handover", chart.GoodKey, "Days on which no part had the defect are left out."}
		}
	}
}

// reason is the entry that a change of card came out of, "" if none is known.
func reason(c recur.Change) string {
	if c.Because == nil {
		return ""
	}
	return c.Because.Entry
}

func (p *recurringPage) factorPath(name parts.Name) string {
	return p.path("/recurring/" + url.PathEscape(string(name)))
}

// mostShown is how many factors the picture of differences has. The table has
// all.
const mostShown = 12

// factors lists all factors, and draws those that show most.
func (p *recurringPage) factors(s *recur.Study, in words.Writing) {
	var drawn []recur.Factor
	for _, f := range s.Factors {
		row := factorRow{Says: words.Capital(f.Says), Path: p.factorPath(f.Name), Where: f.Called(f.Split, in), Stands: s.Standing(f, in)}
		if f.Split != "" {
			row.There, row.Elsewhere = f.Pair.First.Written(in), f.Pair.Second.Written(in)
			row.Adjusted = in.Number(recur.Chance(f.Adjusted))
		}
		if f.Effect != nil {
			row.Difference = in.Number(fmt.Sprintf("%s to %s", recur.Signed(f.Effect.Size.Low), recur.Signed(f.Effect.Size.High)))
			if len(drawn) < mostShown {
				drawn = append(drawn, f)
			}
		}
		if f.More > 0 {
			row.More = f.SayMore(in)
		}
		p.Factors = append(p.Factors, row)
	}
	p.Shown = drawing{Drawing: chart.Factors(s.Defect, drawn, in), ID: "differences", Title: "Differences", Key: chart.DifferencesKey}
	p.Shown.Rows = nil // they stand in the table of all factors
}

// mostEntries is how many entries of a pattern are led to.
const mostEntries = 12

func newNamed(n recur.Named, in words.Writing) named {
	out := named{Title: words.Capital(string(n.Pattern)), Says: words.Sentence(n.Say(in))}
	if n.Pattern == recur.CastingAgain {
		out.Casting = readonly.CastingPath(n.Where)
	}
	for i, id := range n.Defects {
		if i == mostEntries {
			out.More = len(n.Defects) - i
			break
		}
		if entry, err := journal.ParseEntryID(id); err == nil {
			out.Entries = append(out.Entries, readonly.Link{Say: fmt.Sprintf("defect %d", i+1), Path: readonly.EntryPath(entry)})
		}
	}
	return out
}

func sentences(clauses ...string) []string {
	for i := range clauses {
		clauses[i] = words.Sentence(clauses[i])
	}
	return clauses
}
