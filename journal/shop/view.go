package shop

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// View is how somebody looks at the shop while one request is answered. What
// could not be read is nil, and [View.Err] says why; so whoever asks looks
// once, at the end.
type View struct {
	// Shop is what the shop's register says of people, devices, cards and
	// things. It has no jobs: those are asked for one by one.
	Shop   *record.Shop
	Serial uint64 // of the shop when the view was made

	ctx   context.Context
	shop  *Shop
	stock *facts.Stock // once it was asked for
	own   *supposing   // what is only supposed; nil in a view of what is
	seen  []*Case      // that were looked at
	err   error
}

// View looks at the shop as it is. Its questions are short and are asked to the
// end, even if whoever wanted to know is gone: to break one off could hit
// another one on the same connection.
func (s *Shop) View(ctx context.Context) *View {
	ctx = context.WithoutCancel(ctx)
	v := &View{ctx: ctx, shop: s}
	v.Serial, _ = s.Now()
	s.grown.RLock()
	defer s.grown.RUnlock()
	if s.inPart() {
		v.note(errInPart)
	}
	var err error
	v.Shop, err = s.registered(ctx)
	v.note(err)
	if v.Shop == nil {
		v.Shop = record.NewBook(v.shop.by).Shop()
	}
	return v
}

// errInPart is why nothing is said of a shop that was to be put in order anew,
// as long as that was cut off.
var errInPart = errors.New("the journal is being put in order again and has not been read to its end; try again in a moment")

// Err returns what went wrong first.
func (v *View) Err() error { return v.err }

func (v *View) note(err error) {
	if v.err == nil {
		v.err = err
	}
}

// Case returns the record of a home, nil if nothing is known of it.
func (v *View) Case(home journal.Subject) *Case {
	var c *Case
	var err error
	if v.own != nil {
		c, err = v.own.caseOf(v.ctx, home)
	} else {
		c, err = v.shop.Case(v.ctx, home)
	}
	v.note(err)
	if c != nil && !slices.Contains(v.seen, c) {
		v.seen = append(v.seen, c)
	}
	return c
}

// Job returns a job, or nil.
func (v *View) Job(id journal.JobID) *record.Job {
	if id == "" {
		return nil
	}
	if c := v.Case(journal.About(id, "", "")); c != nil {
		return c.Shop.Job(id)
	}
	return nil
}

// Run returns a run with its jobs, or nil.
func (v *View) Run(id journal.RunID) *record.Run {
	if id == "" {
		return nil
	}
	if c := v.Case(journal.Of("run", string(id))); c != nil {
		return c.Shop.Run(id)
	}
	return nil
}

// Line returns the lines with an id: none, one, or several after a fork. Each
// is of the case of its home.
func (v *View) Line(id journal.EntryID) []*record.Line {
	for _, c := range v.seen { // most entries that are asked for are of what is looked at
		if lines := c.Shop.Line(id); len(lines) == 1 && index.Home(lines[0].Subject) == c.Home {
			return lines
		}
	}
	rows, err := v.rows(id)
	v.note(err)
	var list []*record.Line
	for _, r := range rows {
		for _, l := range v.in(r).Line(id) {
			if l.Position() == r.Position {
				list = append(list, l)
			}
		}
	}
	return list
}

// IDs lists the ids of entries that begin so, the most that is asked for; none of what is
// only supposed.
func (v *View) IDs(begin journal.IDBeginning, most int) []journal.EntryID {
	from, to := begin.Range()
	list, err := v.shop.index.IDs(v.ctx, from, to, most)
	v.note(err)
	return list
}

// Within returns the line with an id as it stands in the record of a job, nil
// if it is not in it, or if there are several.
func (v *View) Within(job journal.Subject, id journal.EntryID) *record.Line {
	c := v.Case(index.Home(job))
	if c == nil {
		return nil
	}
	lines := c.Shop.Line(id)
	if len(lines) != 1 {
		return nil
	}
	return lines[0]
}

// Cited returns the lines with an id as far as a reference to them needs: from
// whatever was looked at, if they are in it.
func (v *View) Cited(id journal.EntryID) []*record.Line {
	if lines := v.Shop.Line(id); len(lines) > 0 {
		return lines
	}
	for _, c := range v.seen {
		if lines := c.Shop.Line(id); len(lines) > 0 {
			return lines
		}
	}
	return v.Line(id)
}

// in returns the fold in which an entry's line stands.
func (v *View) in(r index.Row) *record.Shop {
	if ofRegister(r.Home) && r.Kind != journal.ClockCompared {
		return v.Shop
	}
	c := v.Case(r.Home)
	if c == nil {
		return v.Shop
	}
	return c.Shop
}

func (v *View) rows(id journal.EntryID) ([]index.Row, error) {
	if v.own != nil {
		return v.own.ByID(v.ctx, id)
	}
	return v.shop.index.ByID(v.ctx, id)
}

// Around returns the fold in which an entry's line stands, such as that of its
// job or run.
func (v *View) Around(l *record.Line) *record.Shop {
	return v.in(index.Row{Home: index.Home(l.Subject), Kind: l.Kind})
}

// Initials returns what is pressed into the stamp of a person.
func (v *View) Initials(id journal.PersonID) string { return v.Shop.Initials(id) }

// Standing returns how a job stands on its card, or nil if there is no such
// job.
func (v *View) Standing(id journal.JobID) *Standing { return v.Standings(id)[0] }

// Standings returns how jobs stand on their cards, nil for those that there are not.
// They are worked out beside each other.
func (v *View) Standings(ids ...journal.JobID) []*Standing {
	type job struct {
		id journal.JobID
		in *Case
	}
	var jobs []job
	for _, id := range ids {
		j := job{id: id}
		if id != "" {
			j.in = v.Case(journal.About(id, "", ""))
		}
		jobs = append(jobs, j)
	}
	return abreast(jobs, func(j job) *Standing {
		if j.in == nil {
			return nil
		}
		return j.in.Standing(j.id)
	})
}

// Stock tells how the things of the register stand, by all of the shop.
func (v *View) Stock() *facts.Stock {
	switch {
	case v.stock != nil:
	case v.own != nil && v.own.counted != nil:
		v.stock = facts.StockOf(v.own.counted())
	default:
		v.stock = facts.StockOf(v.Shop)
	}
	return v.stock
}

// Cites returns the lines of entries that cite a thing, in the order of
// replay.
func (v *View) Cites(thing journal.Subject) []*record.Line {
	rows, err := v.shop.index.Citing(v.ctx, thing)
	v.note(err)
	return v.lines(rows)
}

// Newest returns the newest lines of a device's log, the newest first.
func (v *View) Newest(device journal.DeviceID, most int) []*record.Line {
	rows, err := v.shop.index.Newest(v.ctx, device, most)
	v.note(err)
	return v.lines(rows)
}

func (v *View) lines(rows []index.Row) []*record.Line {
	var list []*record.Line
	for _, r := range rows {
		for _, l := range v.in(r).Line(r.ID) {
			if l.Position() == r.Position {
				list = append(list, l)
			}
		}
	}
	return list
}

// Clock returns how the clock of a device stood when it was compared last, or
// nil.
func (v *View) Clock(device journal.DeviceID) *record.Line {
	home := journal.Of("device", string(device))
	rows, err := v.shop.index.Spell(v.ctx, home, journal.ClockCompared, whole, whole)
	v.note(err)
	list, err := v.shop.read(v.ctx, rows)
	v.note(err)
	book := record.NewBook(v.shop.by)
	for _, d := range list {
		book.Take(d, order.Standing{})
	}
	for _, d := range book.Shop().Devices {
		if d.ID == device && len(d.Lines) > 0 {
			return d.Lines[len(d.Lines)-1]
		}
	}
	return nil
}

// Open returns the newest jobs that are on hand, at most so many.
func (v *View) Open(most int) []*record.Job {
	v.settle()
	return v.jobs(most, record.Open)
}

// FirstPromised returns jobs that are on hand, at most so many: those that are promised for
// a day, the earliest first, and then the newest of the others.
func (v *View) FirstPromised(most int) []*record.Job {
	if v.Count(record.Open) <= most { // who lists them sorts them
		return v.Open(most)
	}
	all := v.Summaries(math.MaxInt32, record.Open)
	const never journal.Date = "9999-12-31"
	slices.SortStableFunc(all, func(a, b Summary) int {
		return cmp.Compare(cmp.Or(a.Ready, never), cmp.Or(b.Ready, never))
	})
	var list []*record.Job
	for _, one := range all {
		if len(list) == most {
			break
		}
		if j := v.Job(one.Job); j != nil && j.State == record.Open {
			list = append(list, j)
		}
	}
	return list
}

// Count returns how many jobs are in some states.
func (v *View) Count(states ...record.State) (n int) {
	v.settle()
	for _, state := range states {
		some, err := v.shop.index.Count(v.ctx, string(state))
		v.note(err)
		n += some
	}
	return n
}

// HandedBack returns the jobs that were handed back last, at most so many.
func (v *View) HandedBack(most int) []*record.Job {
	v.settle()
	list := slices.DeleteFunc(v.jobs(most, record.HandedBack, record.Sealed), func(j *record.Job) bool { return j.Released == nil || j.Opened == nil })
	slices.SortStableFunc(list, func(a, b *record.Job) int { return b.Released.Compare(a.Released) })
	return list[:min(most, len(list))]
}

// jobs returns the first jobs in some states.
func (v *View) jobs(most int, states ...record.State) []*record.Job {
	var list []*record.Job
	for _, state := range states {
		rows, err := v.shop.index.Summaries(v.ctx, string(state), most)
		v.note(err)
		for _, r := range rows {
			if j := v.Job(r.Home.Job()); j != nil && slices.Contains(states, j.State) {
				list = append(list, j)
			}
		}
	}
	return list
}

// Written returns the lines of a kind that a person wrote since a time.
func (v *View) Written(kind journal.Kind, by journal.PersonID, since time.Time) []*record.Line {
	const day = 24 * time.Hour // wherever the devices' calendars are
	rows, err := v.shop.index.OfKind(v.ctx, kind, journal.Date(since.Add(-day).UTC().Format(time.DateOnly)), "9999-12-31")
	v.note(err)
	rows = slices.DeleteFunc(rows, func(r index.Row) bool {
		return r.By != by || r.ID.Time().Before(since.Truncate(time.Millisecond))
	})
	return v.lines(rows)
}
