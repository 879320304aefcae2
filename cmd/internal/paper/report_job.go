package paper

import (
	"fmt"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// numbered is a photograph with its number in the report.
type numbered struct {
	facts.Sight
	of     *told
	number int
}

// job is all that the record holds of one job.
func (r *report) job(t *told) error {
	r.add(NewPage{}, Heading{2, "Timeline of job " + string(t.Job.ID)}, r.timeline(t))
	if err := r.pictures(t); err != nil {
		return err
	}
	r.holds(t)
	if list := t.joints(); len(list) > 0 {
		r.add(Heading{2, "Torque"})
		r.add(t.jointTable(list)...)
	}
	r.bakes(t)
	r.films(t)
	r.corrections(t)
	r.waivers(t)
	if t.Job.Released != nil {
		r.add(Heading{2, "Terms and seal"})
		r.add(t.terms()...)
		r.add(t.sealed())
	}
	return nil
}

// timeline is every entry in the order in which the record has them.
func (r *report) timeline(t *told) Table {
	table := Table{Title: "Timeline", Head: []string{"Entry", "When", "By", "Where", "What was written, and what it amounts to"}, Shares: []float64{0.06, 0.14, 0.06, 0.14, 0.6}}
	beside := shop.Beside([]*shop.Standing{t.Standing}, t.held)
	for _, l := range t.Job.Timeline() {
		table.Rows = append(table.Rows, []Text{
			figure(fmt.Sprint(r.numbers[l])), say(t.writing().Zoned(time.Time(l.Clocks.Device))), say(t.who(l.By)), say(t.where(l)), r.told(t, l, beside(l)),
		})
	}
	return table
}

// where says what an entry is about.
func (t *told) where(l *record.Line) string {
	if run := l.Subject.Run(); run != "" {
		return "run " + string(run)
	}
	return t.thing(l.Subject)
}

// told is an entry in words: what was written, struck or not, and what it amounts to.
func (r *report) told(t *told, l *record.Line, beside *record.Beside) Text {
	own := t.own(l)
	said := Run{Text: words.Capital(own.Says()) + r.cites(t, l)}
	if l.Struck != nil {
		said.Face = Struck
	}
	text := Text{said}
	if shown := r.shown(l); shown != "" {
		text = text.then(Run{Text: " (" + shown + ")"})
	}
	under := func(face Face, clause string) {
		if clause != "" {
			text = text.then(Run{Face: Break}, Run{"– " + clause, face})
		}
	}
	if s := l.Struck; s != nil {
		under(Bold, fmt.Sprintf("struck out by %s on %s: %s", t.who(s.By), s.Time.Said(t.writing()), s.Reason))
		under(Bold, words.Fill("instead: %s", own.Now()))
	}
	for _, f := range l.Flags {
		under(Bold, f.Sentence())
	}
	if l.Waits != nil {
		under(Bold, l.Waits.Sentence())
	}
	if beside != nil {
		for _, clause := range beside.Says {
			under(Plain, clause)
		}
	}
	return text
}

// cites names the entries of which one speaks.
func (r *report) cites(t *told, l *record.Line) string {
	var list []string
	for _, id := range journal.CitedEntries(l.Payload) {
		if of := t.view.Within(journal.About(t.Job.ID, "", ""), id); of != nil && r.numbers[of] > 0 {
			list = append(list, fmt.Sprint(r.numbers[of]))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return " (of " + words.Noun(len(list), "entry") + " " + words.And(list...) + ")"
}

// shown names the photographs of an entry by their numbers.
func (r *report) shown(l *record.Line) string {
	var list []string
	for _, p := range r.photos {
		if p.Line == l {
			list = append(list, fmt.Sprint(p.number))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return words.Noun(len(list), "photograph") + " " + words.And(list...)
}

// pictures are the photographs of a job, each with what its entry and its camera say.
func (r *report) pictures(t *told) error {
	of := Pictures{Across: 2}
	for _, p := range r.photos {
		if p.of != t {
			continue
		}
		shows := words.Capital(words.Commas(t.where(p.Line), p.Role))
		camera := "the camera gave no time"
		if p.Taken != "" {
			camera = "camera " + p.Taken.Said(t.writing())
		}
		one, err := picture(t.ctx, t.ask.Photos, p.Photo, shows, Text{
			{fmt.Sprintf("%d ", p.number), Bold}, {shows + ". ", Plain}, {fmt.Sprintf("Entry %d, %s, %s; %s. ", r.numbers[p.Line], t.who(p.Line.By), p.Line.Clocks.Device.Said(t.writing()), camera), Plain}, {p.Ref.Hex()[:16], Figure},
		})
		if err != nil {
			return err
		}
		of.Of = append(of.Of, one)
	}
	r.add(Heading{2, "Photographs"})
	if len(of.Of) == 0 {
		r.add(say("No photograph belongs to this job."))
		return nil
	}
	r.add(Fine{say(lieBeside(t.ask.Beside) + " The figures below each are the first 16 of the hash of the original, by which its entry names the photograph; the file names it in full.")}, of)
	return nil
}

// lieBeside says which photographs lie beside the report, and whether they tell
// where they were taken.
func lieBeside(a evidence.Asked) string {
	switch {
	case a.Photos == evidence.Originals && a.Location:
		return "The photographs lie beside this report as the cameras wrote them, with the place where each was taken if its camera wrote one."
	case a.Photos == evidence.Originals:
		return "The photographs lie beside this report without the place where they were taken: of an original that tells it there is a copy that does not."
	case a.Photos == evidence.Thumbnails:
		return "Thumbnails of the photographs lie beside this report; they do not tell where they were taken."
	}
	return "No photographs lie beside this report."
}

// holds are the hold points with their reasons: what is not met first.
func (r *report) holds(t *told) {
	order := []route.State{route.Broken, route.InDoubt, route.Open, route.Waived, route.Met}
	list := slices.Clone(t.Verdicts.List)
	slices.SortStableFunc(list, func(a, b route.Verdict) int { return slices.Index(order, a.State) - slices.Index(order, b.State) })
	table := Table{Title: "Hold points", Head: []string{"Where", "Hold point", "State", "Why", "Limit, and where it comes from"}, Shares: []float64{0.12, 0.2, 0.1, 0.36, 0.22}}
	for _, v := range list {
		state := say(string(v.State))
		if v.State != route.Met {
			state = strong(string(v.State))
		}
		table.Rows = append(table.Rows, []Text{say(t.things(v.At)), say(v.Title + " (" + string(v.Class) + ")"), state, say(words.Sentence(v.Why)), say(words.Commas(v.Limit, v.Source))})
		if len(v.At) == 0 {
			table.Rows[len(table.Rows)-1][0] = say(t.thing(v.Subject))
		}
	}
	r.add(Heading{2, "Hold points"}, t.standing(), table)
}

// bakes are the curves of the bakes that the job's parts were in.
func (r *report) bakes(t *told) {
	for _, b := range t.Stock.Bakes(t.Job) {
		title := "Bake " + string(b.Run)
		picture := chart.Bake{Title: title, Trace: b.Series, Probes: b.Probes, Result: b.Result, Name: r.part, In: t.Stock.Units().Temperature, Writing: t.Stock.Writing()}
		d, err := picture.Draw()
		if err != nil {
			r.add(Heading{2, title}, say(words.Sentence(err.Error())))
			continue
		}
		r.drawing(title, picture.Key(), d)
	}
}

// part names a part in a chart; one of another vehicle has no name here.
func (r *report) part(name string) string {
	s := journal.Subject(name)
	i := slices.IndexFunc(r.jobs, func(t *told) bool { return t.Job.ID == s.Job() })
	if i < 0 {
		return "a part of another job"
	}
	return r.jobs[i].thing(s)
}

func (r *report) films(t *told) {
	for _, l := range t.Job.Timeline() {
		if film := t.Stock.Entry(l).Film; film != nil {
			r.drawing(fmt.Sprintf("Film of the %s, entry %d", t.where(l), r.numbers[l]), chart.FilmKey, chart.Film(*film))
		}
	}
}

// drawing adds a chart with its table.
func (r *report) drawing(title, key string, d chart.Drawing) {
	table := Table{Title: title, Head: d.Head}
	for range d.Head {
		table.Shares = append(table.Shares, 1)
	}
	for _, row := range d.Rows {
		var cells []Text
		for i, text := range row {
			cells = append(cells, figure(text))
			if i < 2 {
				cells[i] = say(text)
			}
		}
		table.Rows = append(table.Rows, cells)
	}
	list := Together{Heading{2, title}}
	if !d.Picture.IsZero() {
		list = append(list, Chart{d.Picture, key})
	}
	r.add(append(list, table))
}

// corrections are the entries that were struck through, with what stands instead.
func (r *report) corrections(t *told) {
	table := Table{Title: "Corrections", Head: []string{"Entry", "Written", "Struck out by", "Because", "Instead"}, Shares: []float64{0.07, 0.3, 0.16, 0.2, 0.27}}
	for _, l := range t.Job.Timeline() {
		if s := l.Struck; s != nil {
			table.Rows = append(table.Rows, []Text{figure(fmt.Sprint(r.numbers[l])), {{t.own(l).Says(), Struck}}, say(words.Commas(t.who(s.By), s.Time.Said(t.writing()))), say(s.Reason), say(words.Choose(l.Now() == "", "nothing", t.own(l).Now()))})
		}
	}
	r.add(Heading{2, "Corrections"})
	if len(table.Rows) == 0 {
		r.add(say("No entry of this job was corrected."))
		return
	}
	r.add(say("Nothing is deleted: what was written first stays, with a line through it."), table)
}

// waivers are the hold points that somebody waived, with the reason.
func (r *report) waivers(t *told) {
	table := Table{Title: "Waivers", Head: []string{"Where", "Hold point", "Waived by", "Because"}, Shares: []float64{0.15, 0.3, 0.1, 0.45}}
	for _, v := range t.Verdicts.List {
		if v.State == route.Waived && v.Waiver != nil {
			table.Rows = append(table.Rows, []Text{say(t.thing(v.Thing())), say(v.Title), say(t.who(v.Waiver.By)), say(words.Sentence(v.Waiver.Reason))})
		}
	}
	r.add(Heading{2, "Waivers"})
	if len(table.Rows) == 0 {
		r.add(say("No hold point of this job was waived."))
		return
	}
	r.add(table)
}
