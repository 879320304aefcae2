package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// factorPage is what one factor has to do with a defect.
type factorPage struct {
	asking
	Factor    recur.Factor
	Title     string
	Back      string // to all factors
	Known     string
	Shows     []string
	Groups    drawing
	Parts     []readonly.Link // the parts of each group that stands in the table
	Pooled    string
	Strata    []stratumRow
	Standing  string
	More      string
	Alongside string // path of the factor that it cannot be told from

	Investigate string             // page that begins an investigation of it
	CloseUps    []readonly.CloseUp // of parts on the side that the split names
	Unshown     int                // such parts whose photographs are not among these
}

// stratumRow is the factor within one kind of part and metal.
type stratumRow struct{ Name, There, Elsewhere, Difference string }

func (d *Desk) factor(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	p := factorPage{asking: readAsking(r.URL.Query())}
	var study *recur.Study
	if p.Problem == "" {
		var err error
		if study, err = d.study(s, p.asking); err != nil {
			p.Problem = words.Sentence(err.Error())
		}
	}
	if p.Problem != "" {
		http.Redirect(w, r, p.path("/recurring"), http.StatusSeeOther) // which says what is wrong
		return
	}
	f := study.Of(parts.Name(r.PathValue("factor")))
	if f.Name == "" {
		d.missing(w, r, "No factor of that name was tried; the page of recurring defects lists all.")
		return
	}
	p.fill(study, f, s.Shop.Writing())
	p.there(s, study, f, d.table(s))
	d.shell.Page(w, r, http.StatusOK, "factor", pages.View{Title: p.Title, Frame: d.Frame(r, s), Data: p, Live: true})
}

func (p *factorPage) fill(s *recur.Study, f recur.Factor, in words.Writing) {
	p.Defect = s.Defect
	p.Factor, p.Back, p.Investigate = f, p.path("/recurring"), p.investigatePath(f.Name)
	p.Title = fmt.Sprintf("%s and %s", words.Capital(s.Defect), f.Says)
	p.Known = in.Sprintf("Written down of %d of the %s that were looked at.", f.Known, in.Count(s.Looked, "coat"))
	p.Shows, p.Standing = sentences(f.Say(s.Defect, in)...), s.Standing(f, in)
	if f.Of != "" {
		p.Alongside = p.path("/recurring/" + url.PathEscape(string(f.Of)))
	}
	p.Groups = drawing{chart.Groups(s.Defect, f, in), "groups", "Groups", chart.BarsKey, ""}
	if left := len(p.Groups.Rows) - mostGroups; left > 0 {
		p.Groups.Rows = p.Groups.Rows[:mostGroups]
		p.Groups.Left = fmt.Sprintf("And %s more; all of them can be counted in the CSV form of the parts table.", in.Count(left, "group"))
	}
	p.ways(f, in)
	if f.Pooled == nil {
		return
	}
	p.Pooled = words.Sentence(f.Pooled.Written(in))
	for _, one := range f.Pooled.Strata {
		row := stratumRow{words.Choose(one.Name == "", "all", one.Name), one.Pair.First.Written(in), one.Pair.Second.Written(in), "–"}
		if e, err := stat.Difference(one.Pair, f.Pooled.OddsRatio.Level); err == nil {
			row.Difference = in.Number(fmt.Sprintf("%s to %s", recur.Signed(e.Size.Low), recur.Signed(e.Size.High)))
		}
		p.Strata = append(p.Strata, row)
	}
}

// there leads to the parts with the defect on the side that the split names, and
// shows them from close up. What only follows from the table, and people, have no
// condition for it.
func (p *factorPage) there(s *live.Snapshot, study *recur.Study, f recur.Factor, t *parts.Table) {
	tallies := study.Tallies(f.Name)
	if len(tallies) < 2 || tallies[1].Sample.Defects == 0 {
		return
	}
	side, in := tallies[1], s.Shop.Writing()
	filter, err := parts.ParseFilter(side.With)
	if err != nil {
		return // which says the same as a condition as it does in the study
	}
	p.CloseUps, p.Unshown = readonly.CloseUps(s, t.Where(append(slices.Clone(p.filter), filter...)), study.Defect, mostCloseUps)
	if f.Number {
		q := url.Values{"where": append(slices.Clone(p.Where), side.With, string(parts.Defect(study.Defect))+string(parts.Is)+"yes")}
		p.Parts = append(p.Parts, readonly.Link{Say: fmt.Sprintf("%s with %s, %s", in.Count(side.Sample.Defects, "part"), study.Defect, f.Called(f.Split, in)), Path: withQuery("/parts", q)})
	}
}

// mostGroups is how many groups stand among the figures: those with the highest
// rates, or the first spans of a number.
const mostGroups = 200

// mostWays is how many groups are led to.
const mostWays = 12

// ways leads to the parts of the groups, those with most defects first. Groups
// of numbers, and of what follows from the table, have no condition of their own.
func (p *factorPage) ways(f recur.Factor, in words.Writing) {
	if f.Number || !slices.ContainsFunc(parts.Columns(), func(c parts.Column) bool { return c.Name == f.Name }) {
		return
	}
	groups := slices.Clone(f.Groups)
	slices.SortStableFunc(groups, func(a, b stat.Sample) int { return b.Defects - a.Defects })
	for _, g := range groups[:min(mostWays, len(groups))] {
		q := url.Values{"where": append(slices.Clone(p.Where), string(f.Name)+string(parts.Is)+g.Name, string(parts.Defect(p.Defect))+string(parts.Is)+"yes")}
		if g.Defects > 0 {
			p.Parts = append(p.Parts, readonly.Link{Say: fmt.Sprintf("%s with %s, %s", in.Count(g.Defects, "part"), p.Defect, g.Name), Path: withQuery("/parts", q)})
		}
	}
}
