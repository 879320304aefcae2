package desk

import (
	"fmt"
	"net/url"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// askedAgain is what an investigation asked of the parts table, asked again now.
type askedAgain struct {
	Defect  string
	Where   []string // conditions
	Path    string   // page of the same question
	Kept    bool     // counts were kept then
	Rows    []againRow
	Bare    []string // what is said where there is nothing to study
	Says    []string // what it goes with now
	Further []accused
	Over    []string
	Course  drawing
	Moments []moment
	Changes drawing
}

// againRow is a count as it was kept, and as it is now.
type againRow struct {
	With, Then, Now, Rate, Changed string
	Path                           string // of the parts that it counts
}

// moment is a change of card that came out of the investigation.
type moment struct {
	Card, Day, Before, Since, Change string
}

// askAgain asks the parts table what the investigation asked, and shows how it
// stands now.
func (d *Desk) askAgain(p *investigationPage, i *shop.Investigation, s *live.Snapshot) error {
	q, asked, err := i.Question()
	if err != nil || !asked {
		return err
	}
	q.People = true // who is signed in at the desk may know
	table := d.table(s)
	study, err := d.studies.Of(table, q)
	if err != nil {
		return err
	}
	study = study.Explained(s.Behind)
	p.defects(table.Where(q.Filter), study.Defect, s)
	in := i.Line.Writing()
	a := &askedAgain{Defect: study.Defect, Where: study.Filter}
	p.Asked = a
	same := asking{conditions: conditions{Where: study.Filter}, Defect: study.Defect}
	a.Path = same.path("/recurring")
	kept := i.Tallies()
	a.Kept = len(kept) > 0
	if !a.Kept {
		kept = []recur.Tally{{}}
	}
	for _, again := range study.Again(table, q, kept) {
		a.Rows = append(a.Rows, newAgainRow(again, same, a.Kept, in))
	}
	if study.Looked == 0 {
		a.Bare = study.Say(in)
		return nil
	}
	for _, one := range study.Accused {
		a.Says = append(a.Says, sentences(study.SayAccused(one, in)...)...)
	}
	if len(study.Accused) == 0 {
		a.Says = sentences(study.SaySearch(in)...)
	}
	if a.Kept {
		for _, one := range study.Further(kept) {
			a.Further = append(a.Further, accused{Title: study.Of(one.Name).Where(in), Path: same.path("/recurring/" + url.PathEscape(string(one.Name)))})
		}
	}
	a.over(study, i, in)
	return nil
}

// over shows the course of the defect, with the changes of card that came out of
// the investigation.
func (a *askedAgain) over(s *recur.Study, i *shop.Investigation, in words.Writing) {
	a.Over = sentences(s.Course.Say(in)...)
	a.Course = drawing{chart.Course(s.Defect, s.Course, in), "course", "Over time", chart.CourseKey, ""}
	changes := explained(s.Course.Changes, i.Line.ID)
	for _, c := range changes {
		m := moment{Card: c.Card, Day: recur.DayIn(c.Day, in), Before: recur.Between(c.Before, in), Since: recur.Between(c.After, in)}
		if c.Effect != nil {
			m.Change = in.Number(fmt.Sprintf("%s to %s", recur.Signed(c.Effect.Size.Low), recur.Signed(c.Effect.Size.High)))
		}
		a.Moments = append(a.Moments, m)
	}
	if len(changes) > 0 {
		a.Changes = drawing{chart.Changes(s.Defect, changes, in), "changes", "Since the change of the route card", chart.DifferencesKey, ""}
		a.Changes.Rows = nil // they stand in the table of moments
	}
}

// explained keeps the changes of card that came out of an investigation.
func explained(list []recur.Change, by journal.EntryID) (out []recur.Change) {
	for _, c := range list {
		if c.Because != nil && c.Because.Entry == by.String() {
			out = append(out, c)
		}
	}
	return out
}

func newAgainRow(a recur.Again, same asking, kept bool, in words.Writing) againRow {
	row := againRow{With: words.Choose(a.Then.With == "", "all that were looked at", a.Then.With), Then: "–", Now: a.Now.Written(in)}
	where := append(append([]string{}, same.Where...), string(parts.Looked)+string(parts.Is)+"yes")
	if a.Then.With != "" {
		where = append(where, a.Then.With)
	}
	row.Path = withQuery("/parts", url.Values{"where": where})
	if kept {
		row.Then = a.Then.Sample.Written(in)
	}
	if a.Wrong != nil {
		row.Now, row.Path, row.Changed = "–", "", words.Sentence(a.Wrong.Error())
		return row
	}
	if a.Rate != nil {
		row.Rate = in.Number(fmt.Sprintf("%s %% to %s %%", recur.Percent(a.Rate.Rate.Low), recur.Percent(a.Rate.Rate.High)))
	}
	if kept {
		row.Changed = words.Commas(changed(a, in), words.If(a.Then.With != "", words.Choose(a.Stands, "stands out now", "does not stand out now")))
	}
	return row
}

// changed says in short what is different from then.
func changed(a recur.Again, in words.Writing) string {
	switch bad, all := a.More(); {
	case bad == 0 && all == 0:
		return "as then"
	case bad < 0 || all < 0:
		return "fewer than then: entries were corrected since"
	default:
		return in.Sprintf("%s more, %d more with it", in.Count(all, "part"), bad)
	}
}
