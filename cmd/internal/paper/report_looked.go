package paper

import (
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/recur"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// investigations take the entries of what was looked into among those of the
// report. Their photographs may show anybody's car and are not taken.
func (r *report) investigations(v *shop.View) (list []*shop.Investigation) {
	for _, id := range r.about.Investigations {
		i := v.Investigation(id)
		if i == nil || i.Investigation == nil {
			continue
		}
		if r.numberOf(i.Line) == 0 {
			r.numbers[i.Line] = len(r.numbers) + 1
		}
		list = append(list, i)
	}
	return list
}

// numberOf is the number of an entry of which the report tells; 0 of any other.
func (r *report) numberOf(l *record.Line) int {
	for other, n := range r.numbers {
		if l != nil && other.Position() == l.Position() {
			return n
		}
	}
	return 0
}

// looked is what was looked into because of the complaint, and how the same
// stands when the report is written. Of other cars it has counts and nothing
// else.
func (r *report) looked(v *shop.View, list []*shop.Investigation) error {
	if len(list) == 0 {
		return nil
	}
	r.add(NewPage{}, Heading{2, "What was looked into"}, say("These investigations name the complaint, a part of the vehicle, or what was used on it. They may have looked at other vehicles too; of those this report has counts and nothing else."))
	for _, i := range list {
		r.add(Heading{3, words.Capital(i.Matter)}, r.investigation(i))
		if err := r.again(v, i); err != nil {
			return fmt.Errorf("count again for investigation %s: %w", i.Line.ID, err)
		}
	}
	return nil
}

// investigation is what was written then, and what came of it.
func (r *report) investigation(i *shop.Investigation) Pairs {
	t := r.jobs[0]
	asked := words.Clauses(string(i.Defect), words.Fill("of parts with %s", words.And(i.Filter...)))
	pairs := Pairs{
		{"Asked of the parts table", say(words.Choose(asked == "", "nothing", asked))},
		{"Written", say(words.Commas(fmt.Sprintf("entry %d", r.numberOf(i.Line)), i.Line.Clocks.Device.Said(r.jobs[0].writing()), t.who(i.Line.By)))},
		{"Looked at", say(words.And(i.LookedAt...))},
		{"Found then", say(i.Found)},
		{"Concluded", say(words.Sentence(i.Concluded) + " (" + string(i.Sure) + ")")},
	}
	for _, o := range i.Decided {
		pairs = append(pairs, Pair{"Decided", say(words.Sentence(string(o.What) + words.Fill(": %s", o.Says)))})
	}
	if i.CameOf != "" {
		pairs = append(pairs, Pair{"What came of it", say(i.CameOf)})
	}
	if n := r.numberOf(i.Before); n > 0 {
		pairs = append(pairs, Pair{"Goes on with", say(fmt.Sprintf("entry %d", n))})
	}
	for _, later := range i.Later {
		if c, ok := later.Effect().(*journal.RouteCard); ok {
			pairs = append(pairs, Pair{"Came out of it", say(fmt.Sprintf("route card %s, edition %d, published %s", c.Route, c.Edition, later.Clocks.Device.Said(r.jobs[0].writing())))})
		}
		if n := r.numberOf(later); n > 0 {
			pairs = append(pairs, Pair{"Went on in", say(fmt.Sprintf("entry %d", n))})
		}
	}
	return pairs
}

// again asks the parts table what was asked then.
func (r *report) again(v *shop.View, i *shop.Investigation) error {
	q, asked, err := i.Question()
	if err != nil || !asked {
		return nil // what cannot be read any more stands in its words above
	}
	table := v.Parts()
	study, err := recur.Of(table, q)
	if err != nil {
		return err
	}
	told := func(card string) *recur.Reason {
		is := v.Behind(card)
		if is == nil || !slices.ContainsFunc(r.about.Investigations, func(id journal.EntryID) bool { return id.String() == is.Entry }) {
			return nil // it may tell of others
		}
		return is
	}
	study = study.Explained(told)
	kept, in := i.Tallies(), r.jobs[0].writing()
	known := len(kept) > 0
	if !known {
		kept = []recur.Tally{{}}
	}
	counted := Table{Title: "Then and now", Head: []string{words.Capital(study.Defect) + ", of parts with", "Then", "Now", "Rate now, 95 %"}, Shares: []float64{0.4, 0.15, 0.15, 0.3}}
	for _, a := range study.Again(table, q, kept) {
		then, rate := "–", "–"
		if known {
			then = a.Then.Sample.Written(in)
		}
		if a.Rate != nil {
			rate = in.Number(fmt.Sprintf("%s %% to %s %%", recur.Percent(a.Rate.Rate.Low), recur.Percent(a.Rate.Rate.High)))
		}
		now := a.Now.Written(in)
		if a.Wrong != nil {
			now = "–"
		}
		counted.Rows = append(counted.Rows, []Text{say(words.Choose(a.Then.With == "", "all that were looked at", a.Then.With)), figure(then), figure(now), figure(rate)})
	}
	r.add(Together{strong("Then and now"), counted})
	r.changes(study, i)
	r.course(study)
	return nil
}

// changes are the moments at which a card came in that came out of the
// investigation, with the rates before and since.
func (r *report) changes(s *recur.Study, i *shop.Investigation) {
	if s.Course == nil {
		return
	}
	in := r.jobs[0].writing()
	table := Table{Title: "Before and since", Head: []string{"Route card", "On parts from", "Before", "Since"}, Shares: []float64{0.2, 0.16, 0.32, 0.32}}
	for _, c := range s.Course.Changes {
		if c.Because != nil && c.Because.Entry == i.Line.ID.String() {
			table.Rows = append(table.Rows, []Text{say(c.Card), figure(recur.DayIn(c.Day, in)), say(words.Sentence(recur.Between(c.Before, in))), say(words.Sentence(recur.Between(c.After, in)))})
		}
	}
	if len(table.Rows) > 0 {
		r.add(Together{strong("Before and since"), table})
	}
}

// course is the defect over the months. The chart of the good parts between two
// defects has a point for each defect, which may be on another car; of that only
// the months are here.
func (r *report) course(s *recur.Study) {
	if s.Course == nil {
		return
	}
	in := r.jobs[0].writing()
	table := Table{Title: "Over the months", Small: true, Head: []string{"Month", words.Capital(s.Defect)}, Shares: []float64{0.5, 0.5}}
	for _, p := range s.Course.Periods {
		table.Rows = append(table.Rows, []Text{figure(recur.DayIn(p.Name, in)), figure(p.Sample.Written(in))})
	}
	if len(table.Rows) == 0 {
		return
	}
	list := Together{strong("Over the months")}
	if s.Course.Chart != nil && s.Course.Chart.Kind != stat.G {
		list = append(list, Chart{chart.Course(s.Defect, s.Course, in).Picture, chart.CourseKey})
	}
	r.add(append(list, table))
}
