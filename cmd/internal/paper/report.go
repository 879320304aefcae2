package paper

import (
	"context"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// About says what a report is about.
type About struct {
	Jobs  []journal.JobID // in the order in which they are told
	Claim journal.EntryID // the complaint, if it is about one
	Asked string          // the VIN or plate, if it was asked for by one
	// Investigations are told of beside the jobs, the oldest first.
	Investigations []journal.EntryID
}

// report is a report in the making.
type report struct {
	Document
	about   About
	jobs    []*told
	numbers map[*record.Line]int // of the entries, from 1, in the order in which they are told
	photos  []numbered
}

// NewReport writes what a dossier says to people: on its first page what is claimed
// and what the record says to it, then all that the record holds of the jobs, and
// what it does not prove. Nothing of other vehicles is in it.
func NewReport(ctx context.Context, v *shop.View, about About, a Asked) (*Document, error) {
	r := &report{about: about, numbers: make(map[*record.Line]int)}
	for _, id := range about.Jobs {
		st := v.Standing(id)
		if st == nil {
			return nil, fmt.Errorf("report on job %s: it is not here", id)
		}
		r.jobs = append(r.jobs, tell(ctx, v, st, a))
	}
	if len(r.jobs) == 0 {
		return nil, fmt.Errorf("a report is about at least one job")
	}
	last := r.jobs[len(r.jobs)-1]
	name := last.Job.Name()
	r.Title, r.By, r.Dated, r.Letters = "Report: "+name, v.Shop.Name, a.At, 8.8
	r.Running = words.Commas(v.Shop.Name, name, r.named())
	for _, t := range r.jobs {
		for _, l := range t.Job.Timeline() {
			r.number(t, l)
		}
	}
	looked := r.investigations(v)
	right := []string{"entries up to"}
	r.add(Head{v.Shop.Name, name, append(right, r.newest())}, Heading{1, "Report on " + r.named()})
	r.first()
	for _, t := range r.jobs {
		if err := r.job(t); err != nil {
			return nil, err
		}
	}
	r.touched()
	if err := r.looked(v, looked); err != nil {
		return nil, err
	}
	r.clocks()
	r.unproven()
	return &r.Document, v.Err()
}

// named names the jobs.
func (r *report) named() string {
	var ids []string
	for _, t := range r.jobs {
		ids = append(ids, string(t.Job.ID))
	}
	return words.Choose(len(ids) == 1, "job ", "the jobs ") + words.And(ids...)
}

// number gives an entry its number and takes its photographs.
func (r *report) number(t *told, l *record.Line) {
	if _, known := r.numbers[l]; known {
		return
	}
	r.numbers[l] = len(r.numbers) + 1
	for _, one := range facts.Sights(l) {
		r.photos = append(r.photos, numbered{one, t, len(r.photos) + 1})
	}
}

// newest is when the newest entry was written, by its device.
func (r *report) newest() string {
	var at time.Time
	for l := range r.numbers {
		if t := time.Time(l.Clocks.Device); t.After(at) {
			at = t
		}
	}
	return journal.Stamp(at).Said(r.jobs[0].writing())
}

// first is what a reader must know: what is claimed, and what the record says to it.
func (r *report) first() {
	if said := r.claim(); said != nil {
		r.add(Heading{2, "What is claimed"})
		r.add(said...)
		r.add(Heading{2, "What the record says to it"})
	} else {
		r.add(Heading{2, "What this report is about"}, say("No complaint is the subject of this report. It shows all that the shop’s record holds of "+r.named()+words.Fill(", asked for by %s", r.about.Asked)+"."),
			Heading{2, "What the record says"})
	}
	for _, t := range r.jobs {
		r.add(Heading{3, "Job " + string(t.Job.ID) + ": " + string(t.Job.State)}, t.summary(), t.standing())
		if t.held != nil {
			r.add(strong(t.held.Says()))
		}
		if list := t.amiss(); len(list) > 0 {
			r.add(list)
		}
		if list := t.open(); len(list) > 0 {
			r.add(list)
		}
	}
	r.add(say("What follows, for each job: its timeline, photographs, hold points, torque, bakes and films, what was corrected or waived, its terms and its seal. At the end stand the clocks side by side, and what the record does not prove."),
		Fine{say("LF, RF, LR and RR are the corners of the vehicle, as its driver sits: left front, right front, left rear and right rear. Entries and photographs are called by their numbers in this report.")}, Fine{say(card.Sources)},
		Caution{say(record.Caution)})
}

// claim is the complaint and what was decided about it.
func (r *report) claim() (list []Block) {
	for _, t := range r.jobs {
		for _, c := range t.view.Complaints(t.Standing) {
			if c.Opened.ID != r.about.Claim {
				continue
			}
			opened := Text{{c.Opened.Clocks.Device.Said(t.writing()) + ": ", Bold}, {words.Sentence(c.Opened.Says()), Plain}}
			if c.Opened.Struck != nil {
				opened[1].Face = Struck
			}
			list = append(list, opened)
			if amounts := t.amounts(c.Opened); len(amounts) > 0 {
				list = append(list, amounts)
			}
			for _, l := range c.Settled {
				list = append(list, Text{{l.Clocks.Device.Said(t.writing()) + ": ", Bold}, {words.Sentence(l.Says()), Plain}})
			}
			if c.Open() {
				list = append(list, say("Nobody has decided about this complaint yet."))
			}
			for _, j := range c.Reworks {
				if slices.Contains(r.about.Jobs, j.ID) {
					list = append(list, say("Job "+string(j.ID)+" was opened to answer it: "+string(j.State)+"."))
				}
			}
		}
	}
	return list
}

// touched lists, for who asks what a complaint may come of, what had to do with the
// parts of these jobs. Other vehicles are counted and not named.
func (r *report) touched() {
	if r.about.Claim.IsZero() {
		return
	}
	var jobs []*record.Job
	for _, t := range r.jobs {
		jobs = append(jobs, t.Job)
	}
	table := Table{Title: "What touched the parts", Head: []string{"What", "What it touched in all"}, Shares: []float64{0.5, 0.5}}
	for _, one := range r.jobs[0].view.Touched(jobs) {
		table.Rows = append(table.Rows, []Text{say(one.Name), say(one.Says)})
	}
	if len(table.Rows) == 0 {
		return
	}
	r.add(Heading{2, "What touched the parts"}, say("The runs of these parts, and the powder, fluids, kits, figures and tools that were used on them. Other vehicles are counted here and not named."), table)
}

// amounts are what an entry amounts to by itself, with the limit and its source.
func (t *told) amounts(l *record.Line) (list List) {
	for _, s := range t.Stock.Entry(l).Statements {
		if s.Verdict(l.Kind) {
			list = append(list, say(words.Sentence(s.Say()+words.Fill(" (%s)", words.Commas(s.Told().Limit.String(), s.Source)))))
		}
	}
	return list
}

// summary says which job it was.
func (t *told) summary() Text {
	j := t.Job
	says := []string{vehicle(j)}
	if j.Opened != nil {
		says = append(says, "opened on "+j.Opened.Clocks.Device.Said(t.writing()))
	}
	if j.Released != nil {
		says = append(says, "handed back on "+j.Released.Clocks.Device.Said(t.writing()))
	}
	if j.Stated != nil && j.Stated.Wish != "" {
		says = append(says, "wanted: "+j.Stated.Wish)
	}
	text := say(words.Sentence(words.Clauses(says...)))
	if done := t.done(); done != nil {
		text = append(text.then(Run{Text: " "}), done...)
	}
	return text
}

// standing counts how the hold points stand.
func (t *told) standing() Text {
	if t.Card == nil {
		return say("The route card of this job is not here, so no hold point can be judged.")
	}
	is := t.Verdicts.Tally()
	says := []string{fmt.Sprintf("%d met", is.Met)}
	for _, s := range []struct {
		n    int
		word string
	}{{is.Waived, "waived"}, {is.Broken, "not met"}, {is.InDoubt, "in doubt"}, {is.Open, "not yet met"}} {
		if s.n > 0 {
			says = append(says, fmt.Sprintf("%d %s", s.n, s.word))
		}
	}
	return say(fmt.Sprintf("%s of the route card “%s”, edition %d: %s.", words.Count(len(t.Verdicts.List), "hold point"), t.Card.Name, t.Card.Edition, words.And(says...)))
}
