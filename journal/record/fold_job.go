package record

import (
	"cmp"
	"iter"
	"slices"
	"strings"

	"fettlebook/journal"
)

func (f *folding) job(id journal.JobID) *Job {
	j := f.jobs[id]
	if j == nil {
		j = &Job{ID: id, shop: f.Shop}
		f.jobs[id] = j
	}
	return j
}

// placeInJob puts a line on the job, a corner or a part; below is the rest of
// its subject after the job.
func (f *folding) placeInJob(j *Job, below string, l *Line) {
	word, rest, _ := strings.Cut(below, "/")
	if word != "corner" {
		j.Lines = append(j.Lines, l)
		if below == "" {
			j.absorb(l)
		}
		return
	}
	corner, below, _ := strings.Cut(rest, "/")
	c := j.corner(journal.Corner(corner))
	word, rest, _ = strings.Cut(below, "/")
	if word != "part" {
		c.Lines = append(c.Lines, l)
		return
	}
	name, below, _ := strings.Cut(rest, "/")
	p := c.part(journal.PartID(name))
	p.Lines = append(p.Lines, l)
	if below == "" {
		p.absorb(l)
		f.use(l)
	}
	// A rack belongs on a run. If a part's own entry names others all the
	// same, they refer to it too.
	for _, s := range journal.Hung(l.Effect()) {
		if other := f.part(s); other != nil && other != p {
			other.Lines = append(other.Lines, l)
		}
	}
}

// absorb takes in the facts that an entry states of the job as a whole.
func (j *Job) absorb(l *Line) {
	if l.Kind == journal.JobOpened {
		j.openings = append(j.openings, l)
	}
	switch p := l.Effect().(type) {
	case *journal.Job:
		if j.Opened != nil {
			j.Opened.flag(JobTwice)
			l.flag(JobTwice)
			return
		}
		j.Opened, j.Stated, j.Customer = l, p, p.Customer
		if j.Odometer.IsZero() {
			j.Odometer = p.Odometer
		}
		for _, c := range p.Corners {
			j.corner(c)
		}
		j.promise(l, p.Ready, p.Warranty)
	case *journal.Promise:
		j.promise(l, p.Ready, p.Warranty)
	case *journal.Arrival:
		if !p.Odometer.IsZero() {
			j.Odometer = p.Odometer
		}
	case *journal.Release:
		if j.Released == nil {
			j.Released = l
		}
	case *journal.Seal:
		if j.Sealed == nil {
			j.Sealed = l
		}
	}
}

// promise takes in what was promised; what an entry leaves out stays.
func (j *Job) promise(l *Line, ready journal.Date, warranty *journal.Warranty) {
	if !ready.IsZero() {
		j.Ready, j.Promised = ready, l
	}
	if warranty != nil {
		j.Warranty = warranty
	}
}

// absorb takes in what an entry states of the part.
func (p *Part) absorb(l *Line) {
	switch t := l.Effect().(type) {
	case *journal.Tagging:
		p.Tag, p.Number, p.Pattern, p.Mark, p.Metal, p.tagged = t.Tag, t.Number, t.Pattern, t.Mark, t.Metal, l
	case *journal.CastingMatch:
		if len(l.Photos)+len(t.Photos) > 0 {
			p.matched = append(p.matched, t)
		}
	}
}

func (j *Job) corner(name journal.Corner) *Corner {
	for _, c := range j.Corners {
		if c.Corner == name {
			return c
		}
	}
	c := &Corner{Corner: name, Job: j}
	j.Corners = append(j.Corners, c)
	return c
}

func (c *Corner) part(name journal.PartID) *Part {
	for _, p := range c.Parts {
		if p.ID == name {
			return p
		}
	}
	p := &Part{ID: name, Corner: c, Subject: journal.About(c.Job.ID, c.Corner, name)}
	c.Parts = append(c.Parts, p)
	return p
}

// part finds or begins the part that a subject names, or returns nil.
func (f *folding) part(s journal.Subject) *Part {
	if s.Word() != "job/corner/part" {
		return nil
	}
	return f.job(s.Job()).corner(s.Corner()).part(s.Part())
}

// settleJob does what needs all lines of the job in place.
func (f *folding) settleJob(j *Job) {
	switch {
	case len(j.openings) == 0:
		j.State = NotHere
	case j.Opened == nil:
		j.State = Struck
	case j.Sealed != nil:
		j.State = Sealed
	case j.Released != nil:
		j.State = HandedBack
	default:
		j.State = Open
	}
	if j.Customer != nil && f.erased[j.Customer.Card] {
		j.Erased = true
		j.Opened.flag(CustomerErased)
	}
	slices.SortFunc(j.Corners, func(a, b *Corner) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.Corner, b.Corner))
	})
	handover := j.handover()
	for l := range j.own() {
		if handover != nil && replay(l, handover) > 0 && l != j.Released && l != j.Sealed {
			l.flag(AfterHandover)
		}
	}
	for _, c := range j.Corners {
		slices.SortFunc(c.Parts, func(a, b *Part) int { return cmp.Compare(a.ID, b.ID) })
	}
}

// handover is the entry that ended the job: the first of release and seal.
func (j *Job) handover() *Line {
	if j.Released == nil || j.Sealed != nil && replay(j.Sealed, j.Released) < 0 {
		return j.Sealed
	}
	return j.Released
}

// own yields every line that stands on the job, its corners and parts, without
// runs. What another job's entry names of its parts is a line of that job, where
// it may be long before the handover.
func (j *Job) own() iter.Seq[*Line] {
	return func(yield func(*Line) bool) {
		lists := [][]*Line{j.Lines}
		for _, c := range j.Corners {
			lists = append(lists, c.Lines)
			for _, p := range c.Parts {
				lists = append(lists, p.Lines)
			}
		}
		for _, l := range slices.Concat(lists...) {
			if l.Subject.Job() == j.ID && !yield(l) {
				return
			}
		}
	}
}

// rank orders the corners as the word list does, unknown ones last.
func (c *Corner) rank() int {
	words := c.Corner.Words()
	if i := slices.Index(words, string(c.Corner)); i >= 0 {
		return i
	}
	return len(words)
}
