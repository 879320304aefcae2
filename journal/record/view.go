package record

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// View returns the record of the vehicle with all its jobs.
func (v *Vehicle) View(o Options) *View { return newView(v, v.Jobs, o) }

// JSON returns the record of the vehicle with all its jobs.
func (v *Vehicle) JSON(o Options) ([]byte, error) { return v.View(o).encode() }

// View returns the record of the job with what is known of its vehicle.
func (j *Job) View(o Options) *View { return newView(j.Vehicle, []*Job{j}, o) }

// JSON returns the record of the job with what is known of its vehicle.
func (j *Job) JSON(o Options) ([]byte, error) { return j.View(o).encode() }

func (v *View) encode() ([]byte, error) {
	raw, err := json.Marshal(v, json.Deterministic(true), jsontext.PreserveRawStrings(true))
	if err != nil {
		return nil, fmt.Errorf("encode the record: %w", err)
	}
	return raw, nil
}

// viewing is what one record is about, as JSON or as text.
type viewing struct {
	o      Options
	jobs   []*Job
	people map[journal.PersonID]bool // who appears in it
}

func newViewing(jobs []*Job, o Options) *viewing {
	return &viewing{o: o, jobs: jobs, people: make(map[journal.PersonID]bool)}
}

func newView(v *Vehicle, jobs []*Job, o Options) *View {
	w := newViewing(jobs, o)
	out := &View{Format: "fettlebook record 1", Caution: Caution}
	if v != nil {
		out.Vehicle = &VehicleView{Key: v.Key, VIN: v.VIN, VINNote: v.VINNote(), Plates: v.Plates, Looks: v.Looks, Notes: v.Notes}
	}
	for _, j := range jobs {
		out.Jobs = append(out.Jobs, w.job(j))
	}
	for _, r := range runsOf(jobs) {
		out.Runs = append(out.Runs, w.run(r))
	}
	for _, c := range castingsOf(jobs) {
		out.Castings = append(out.Castings, w.casting(c))
	}
	for _, id := range slices.Sorted(maps.Keys(w.people)) {
		out.People = append(out.People, PersonView{Person: id, Initials: jobs[0].shop.Initials(id)})
	}
	return out
}

func (w *viewing) job(j *Job) JobView {
	out := JobView{Job: j.ID, State: j.State, Odometer: j.Odometer, Ready: j.Ready, Warranty: j.Warranty, Lines: w.show(j.Lines)}
	out.Opened, out.Released, out.Sealed = idOf(j.Opened), idOf(j.Released), idOf(j.Sealed)
	if s := j.Stated; s != nil {
		out.Wish, out.Route, out.Edition = s.Wish, s.Route, s.Edition
	}
	if j.Customer != nil {
		out.Customer = &CustomerView{Citation: *j.Customer, Erased: j.Erased}
	}
	for _, c := range j.Corners {
		corner := CornerView{Corner: c.Corner, Lines: w.show(c.Lines)}
		for _, p := range c.Parts {
			corner.Parts = append(corner.Parts, PartView{
				Part: p.ID, Tag: p.Tag, Number: p.Number, Pattern: p.Pattern, Mark: p.Mark, Metal: p.Metal,
				Runs: runIDs(p.Runs), Unhung: runIDs(p.Unhung), Lines: w.show(p.Lines),
			})
		}
		out.Corners = append(out.Corners, corner)
	}
	return out
}

func (w *viewing) run(r *Run) RunView {
	out := RunView{Run: r.ID, What: r.What, Lots: r.Lots, Lines: w.show(w.linesOf(r))}
	out.Parts, out.OtherParts = w.split(r.Parts)
	for _, j := range r.Jobs {
		if !w.mine(journal.About(j.ID, "", "")) {
			out.OtherJobs++
		}
	}
	return out
}

// split returns the subjects that lie in the jobs, and counts the others.
func (w *viewing) split(parts []journal.Subject) (mine []journal.Subject, others int) {
	for _, s := range parts {
		if w.mine(s) {
			mine = append(mine, s)
		} else {
			others++
		}
	}
	return mine, others
}

// linesOf returns the lines of a run that concern the jobs: all if a part of
// theirs took part, else only the struck lines that named one.
func (w *viewing) linesOf(r *Run) []*Line {
	if slices.ContainsFunc(r.Parts, w.mine) {
		return r.Lines
	}
	return slices.DeleteFunc(slices.Clone(r.Lines), func(l *Line) bool {
		return !slices.ContainsFunc(journal.Hung(l.Payload), w.mine)
	})
}

func (w *viewing) casting(c *Casting) CastingView {
	out := CastingView{Number: c.Number, Mark: c.Mark, Notes: c.Notes}
	var all []journal.Subject
	for _, p := range c.Parts {
		all = append(all, p.Subject)
	}
	out.Parts, out.OtherParts = w.split(all)
	return out
}

// mine reports whether a subject lies in one of the jobs of the view.
func (w *viewing) mine(s journal.Subject) bool {
	id := s.Job()
	return slices.ContainsFunc(w.jobs, func(j *Job) bool { return j.ID == id })
}

// show copies lines as far as the record may show them.
func (w *viewing) show(lines []*Line) []*Line {
	var out []*Line
	for _, l := range lines {
		shown := *l.Of(w.mine)
		if l.By != "" {
			w.people[l.By] = true
		}
		if !w.o.Receipts {
			shown.Clocks.Received = journal.Stamp{}
			shown.Flags = slices.DeleteFunc(slices.Clone(l.Flags), func(f Flag) bool { return f == ClockAhead })
		}
		shown.Data, shown.Withheld = withhold(l.Data, w.mine)
		if _, quotes := l.Payload.(*journal.TakenOver); quotes { // as one text, of which nothing can be left out
			shown.Data, shown.Withheld = nil, 1
		}
		if w.o.Beside != nil {
			if b := w.o.Beside(l); b != nil {
				facts, n := withhold(b.Facts, w.mine)
				shown.Beside = &Beside{Says: b.Says, Facts: facts}
				shown.Withheld += n
			}
		}
		if l.Subject.Job() != "" && !w.mine(l.Subject) {
			shown.Subject = ""
			shown.Withheld++
			// That the other vehicle had gone back by then is that one's record.
			shown.Flags = slices.DeleteFunc(slices.Clone(shown.Flags), func(f Flag) bool { return f == AfterHandover })
		}
		if l.Struck != nil {
			struck, n := *shown.Struck, 0
			struck.Replacement, n = withhold(struck.Replacement, w.mine)
			w.people[struck.By] = true
			shown.Struck = &struck
			shown.Withheld += n
		}
		out = append(out, &shown)
	}
	return out
}

// runsOf returns the runs that name a part of the jobs, in the order in which
// they began, each once: jobs that were folded apart have a run of their own of
// what they share.
func runsOf(jobs []*Job) []*Run {
	var runs []*Run
	for _, j := range jobs {
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				runs = append(append(runs, p.Runs...), p.Unhung...)
			}
		}
	}
	slices.SortFunc(runs, func(a, b *Run) int { return cmp.Compare(a.ID, b.ID) })
	runs = slices.CompactFunc(runs, func(a, b *Run) bool { return a.ID == b.ID })
	slices.SortStableFunc(runs, (*Run).compare)
	return runs
}

// castingsOf returns the castings of the jobs' parts, by name, each once: jobs
// that were folded apart have each its own of a casting that they share.
func castingsOf(jobs []*Job) []*Casting {
	var castings []*Casting
	for _, j := range jobs {
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				if p.Casting != nil {
					castings = append(castings, p.Casting)
				}
			}
		}
	}
	slices.SortFunc(castings, (*Casting).compare)
	return slices.CompactFunc(castings, func(a, b *Casting) bool { return a.compare(b) == 0 })
}

func idOf(l *Line) journal.EntryID {
	if l == nil {
		return journal.EntryID{}
	}
	return l.ID
}

func runIDs(runs []*Run) []journal.RunID {
	var ids []journal.RunID
	for _, r := range runs {
		ids = append(ids, r.ID)
	}
	return ids
}
