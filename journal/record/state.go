package record

import (
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// Obstacle is why somebody's word on which of two entries was done first counts
// for nothing, as a stable written word.
type Obstacle string

// The obstacles. The first that holds is given.
const (
	CountsNot  Obstacle = "counts not"
	KnownOrder Obstacle = "order known"
	DoneAgain  Obstacle = "done again" // it settles a check of finished brakes, which nobody's word does
	OthersWork Obstacle = "others' work"
)

// Sentence says in plain words what the obstacle means.
func (o Obstacle) Sentence() string {
	switch o {
	case CountsNot:
		return "one of the two entries does not count here, so there is no order to state"
	case KnownOrder:
		return "the record already says which of the two was done first"
	case DoneAgain:
		return "a check of finished brakes has to be done again; nobody’s word can take its place"
	case OthersWork:
		return "only somebody who did one of the two can say which was done first"
	default:
		return string(o)
	}
}

// Telling returns what stands against a person's word on which of two lines
// was done first; "" if it counts once they have seen both.
func Telling(by journal.PersonID, one, other *Line) Obstacle {
	switch {
	case !one.Counts() || !other.Counts():
		return CountsNot
	case one.stands.Relation(other.stands) != order.Unknown:
		return KnownOrder
	case one.Kind.Is(journal.ChecksBrakes) || other.Kind.Is(journal.ChecksBrakes):
		return DoneAgain
	case by != one.By && by != other.By:
		return OthersWork
	default:
		return ""
	}
}

// stated yields the lines of which a statement says which was first. It counts
// if nothing stands against it, if who says so had seen both, and if both are in
// the record of the job that it stands on: whoever looks at another job need not
// find it.
func (f *folding) stated(l *Line, s *journal.OrderStatement, in records) iter.Seq2[*Line, *Line] {
	return func(yield func(first, then *Line) bool) {
		for first := range f.ids.named(s.First) {
			for then := range f.ids.named(s.Then) {
				switch {
				case !in.record(l.Subject.Job(), first) || !in.record(l.Subject.Job(), then):
				case Telling(l.By, first, then) != "":
				case l.stands.Relation(first.stands) != order.After || l.stands.Relation(then.stands) != order.After:
				case !yield(first, then):
					return
				}
			}
		}
	}
}

// records know of runs in the records of which jobs they are.
type records map[journal.RunID]map[journal.JobID]bool

// records goes through what runs name, before lines are placed.
func (f *folding) records() records {
	of := make(records)
	for i := range f.lines {
		run := f.lines[i].Subject.Run()
		if run == "" {
			continue
		}
		for _, part := range journal.Hung(f.lines[i].Effect()) {
			if of[run] == nil {
				of[run] = make(map[journal.JobID]bool)
			}
			of[run][part.Job()] = true
		}
	}
	return of
}

// record reports whether a line is in the record of a job: its own, one of a
// run of its parts, or a rack that names one of them.
func (r records) record(job journal.JobID, l *Line) bool {
	return l.Subject.Job() == job || r[l.Subject.Run()][job] ||
		slices.ContainsFunc(journal.Hung(l.Effect()), func(part journal.Subject) bool { return part.Job() == job })
}

// word is what somebody stated: which of two lines was first.
type word struct{ first, then *Line }

// told are the words that count in a fold.
type told []word

// words gathers the words that count. Of those that contradict each other the
// last does, in whatever order the book is.
func (f *folding) words() (words told) {
	var statements []*Line
	for i := range f.lines {
		if _, ok := f.lines[i].Effect().(*journal.OrderStatement); ok {
			statements = append(statements, &f.lines[i])
		}
	}
	if len(statements) == 0 {
		return nil
	}
	in := f.records()
	slices.SortFunc(statements, func(a, b *Line) int { return b.stands.Compare(a.stands) })
	for _, l := range statements {
		for first, then := range f.stated(l, l.Effect().(*journal.OrderStatement), in) {
			if !words.before(then, first) {
				words = append(words, word{first, then})
			}
		}
	}
	return words
}

// before reports whether a came before b, by what was seen and what was
// stated.
func (t told) before(a, b *Line) bool {
	followed := make([]bool, len(t))
	for reached := []*Line{a}; len(reached) > 0; {
		x := reached[len(reached)-1]
		reached = reached[:len(reached)-1]
		if x == b || x.stands.Relation(b.stands) == order.Before {
			return true
		}
		for i, w := range t {
			if !followed[i] && (x == w.first || x.stands.Relation(w.first.stands) == order.Before) {
				followed[i] = true
				reached = append(reached, w.then)
			}
		}
	}
	return false
}

// heed returns the entries of lines in an order that is true to the words:
// whatever came before the first of two goes before the second. It reports
// whether that is another order.
func (t told) heed(list []*held, lines []Line) (heeded []*held, differs bool) {
	if len(t) == 0 {
		return list, false
	}
	in := make([]*Line, len(lines))
	for i := range lines {
		in[i] = &lines[i]
	}
	for _, w := range t {
		from, to := slices.Index(in, w.then), slices.Index(in, w.first)
		if to < from {
			continue
		}
		between := slices.Clone(in[from : to+1])
		earlier := slices.DeleteFunc(slices.Clone(between), func(l *Line) bool { return l != w.first && !t.before(l, w.first) })
		later := slices.DeleteFunc(between, func(l *Line) bool { return slices.Contains(earlier, l) })
		copy(in[from:], append(earlier, later...))
		differs = true
	}
	heeded = slices.Clone(list)
	for i, l := range in {
		heeded[i] = list[l.seq]
	}
	return heeded, differs
}
