package shop

import (
	"context"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Match is one thing that a search found.
type Match struct {
	By   string // what fitted: "VIN", "plate", "job", "casting number", "pattern", "cast mark", "tag", "customer", a thing's word, or "words"
	Home journal.Subject
	// Whole says that it is so named in full, and not only begins so or holds
	// what was asked for.
	Whole bool
	Job   *Summary // of a job, and of what is on one
	Part  *PartSummary
	Line  *record.Line // of words
	Is    string       // of what is near: what it is called
}

// Find looks for what somebody may have read on a car, a casting or a paper:
// a VIN, a plate, a job or its beginning, a casting's number, pattern or mark, a
// tag, a lot, tool,
// fluid or figure, without regard to case, spaces and dashes; what is so named
// in full comes before what begins so, and that before what holds it.
func (v *View) Find(query string, most int) []Match {
	v.settle()
	var found []Match
	for i, look := range []func(*View, string, int) ([]index.Match, error){exactly, beginning, piece} {
		rows, err := look(v, query, most)
		v.note(err)
		for _, m := range rows {
			for _, one := range v.matches(m) {
				if one.Whole = i == 0; !slices.ContainsFunc(found, one.same) {
					found = append(found, one)
				}
			}
		}
		if len(found) >= most {
			return found[:most]
		}
	}
	return found
}

func exactly(v *View, q string, n int) ([]index.Match, error) { return v.shop.index.Find(v.ctx, q, n) }

// beginning finds names by how they begin; plates and marks are found by
// their pieces.
func beginning(v *View, q string, n int) ([]index.Match, error) {
	if len([]rune(index.Squash(q))) < shortest {
		return nil, nil
	}
	return v.shop.index.FindPrefix(v.ctx, q, n)
}

func piece(v *View, q string, n int) ([]index.Match, error) {
	return v.shop.index.FindPiece(v.ctx, q, n)
}

// shortest is the fewest characters of a beginning.
const shortest = 2

func (m Match) same(o Match) bool {
	return m.By == o.By && m.Home == o.Home && (m.Part == nil) == (o.Part == nil) && (m.Part == nil || m.Part.Part == o.Part.Part)
}

// matches makes finds of what the index found. A key that was corrected since
// finds nothing any more.
func (v *View) matches(m index.Match) []Match {
	if m.Home.Job() == "" {
		if v.stale(m) {
			return nil
		}
		return []Match{{By: m.By, Home: m.Home}}
	}
	row, _, err := v.shop.index.Summary(v.ctx, m.Home)
	v.note(err)
	s := v.read(row)
	if s.Job == "" { // it is not summarized yet, and what it is called is to be known all the same
		s = Summary{Job: m.Home.Job()}
		if j := v.Job(s.Job); j != nil {
			s = summaryOf(j)
		}
	}
	switch m.By {
	case index.Number, index.Pattern, index.CastMark, index.Tag:
		var list []Match
		for _, p := range s.Parts {
			if index.Squash(p.says(m.By)) == m.Text {
				list = append(list, Match{By: m.By, Home: m.Home, Job: &s, Part: &p})
			}
		}
		return list
	case index.VIN:
		if index.Squash(s.VIN) != m.Text {
			return nil
		}
	case index.Plate:
		if index.Squash(s.Plate) != m.Text {
			return nil
		}
	}
	return []Match{{By: m.By, Home: m.Home, Job: &s}}
}

// Words looks for entries that hold all words of a text, the newest first.
// Their jobs are not folded for it: a line does not say here what only the
// whole of its job tells, such as that it came after handover.
func (v *View) Words(text string, most int) []Match {
	rows, err := v.shop.index.Search(v.ctx, text, most)
	v.note(err)
	var list []Match
	for r, l := range v.scattered(rows) {
		list = append(list, Match{By: "words", Home: r.Home, Line: l})
	}
	return list
}

// Loose returns the lines of entries from anywhere. Their jobs are not folded for
// it, as with [View.Words].
func (v *View) Loose(ids ...journal.EntryID) []*record.Line {
	var rows []index.Row
	for _, id := range ids {
		more, err := v.rows(id)
		v.note(err)
		rows = append(rows, more...)
	}
	var list []*record.Line
	for _, l := range v.scattered(rows) {
		list = append(list, l)
	}
	return list
}

// scattered are the lines of entries from anywhere.
func (v *View) scattered(rows []index.Row) iter.Seq2[index.Row, *record.Line] {
	loose, err := v.loose(rows)
	v.note(err)
	return func(yield func(index.Row, *record.Line) bool) {
		for _, r := range rows {
			for _, l := range lines(loose, r.ID) {
				if l.Position() == r.Position && !yield(r, l) {
					return
				}
			}
		}
	}
}

// lines are those with an id in a fold, which is nil if it failed.
func lines(in *record.Shop, id journal.EntryID) []*record.Line {
	if in == nil {
		return nil
	}
	return in.Line(id)
}

// loose folds entries from anywhere, with others of their ids and what
// corrects them.
func (v *View) loose(rows []index.Row) (*record.Shop, error) {
	v.shop.grown.RLock()
	defer v.shop.grown.RUnlock()
	g := newGathering(v.ctx, v.shop.index, v.shop.read)
	if v.own != nil {
		g = newGathering(v.ctx, v.own, v.own.read)
	}
	for _, r := range rows {
		g.take(r)
	}
	if err := g.load(); err != nil {
		return nil, err
	}
	if err := g.clocks(v.shop.by); err != nil {
		return nil, err
	}
	book, err := g.book(v.shop.by)
	if err != nil {
		return nil, err
	}
	return book.Within(v.Shop, v.shop.used(context.WithoutCancel(v.ctx))), nil
}

// Vehicle returns a vehicle with its jobs in the order of opening, each as its
// own case has it, and how they stand; nil if no vehicle is known by the key
// now.
func (v *View) Vehicle(key record.Key) (*record.Vehicle, []*Standing) {
	home, ok := v.firstOf(key)
	if !ok {
		return nil, nil
	}
	j := v.Job(home.Job())
	if j == nil || j.Vehicle == nil || j.Vehicle.Key != key {
		return nil, nil
	}
	whole := *j.Vehicle
	whole.Jobs = nil
	var list []*Standing
	for _, other := range j.Vehicle.Jobs {
		if st := v.Standing(other.ID); st != nil {
			list, whole.Jobs = append(list, st), append(whole.Jobs, st.Job)
		}
	}
	return &whole, list
}

// mostOfVehicle bounds the jobs that are looked at to find one of a vehicle.
const mostOfVehicle = 100

// firstOf returns a job of the vehicle with a key.
func (v *View) firstOf(key record.Key) (journal.Subject, bool) {
	word, text := key.Parts()
	if word == "job" {
		return journal.About(journal.JobID(text), "", ""), true
	}
	found, err := v.shop.index.Find(v.ctx, text, mostOfVehicle)
	v.note(err)
	for _, r := range found {
		if j := v.Job(r.Home.Job()); j != nil && j.Vehicle != nil && j.Vehicle.Key == key {
			return r.Home, true
		}
	}
	return "", false
}
