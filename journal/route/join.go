package route

import (
	"iter"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// joined puts the verdicts on several things together that the card asks for
// once: those on the parts of a corner, or on all of a vehicle. Verdicts on one
// hold follow each other.
func joined(verdicts iter.Seq2[point, *Verdict]) (list []Verdict) {
	var about journal.Subject
	var of []*Verdict
	flush := func() {
		if len(of) > 0 {
			list = append(list, join(about, of))
		}
		of = nil
	}
	for p, v := range verdicts {
		around := p.hold.For.Around(v.Subject)
		if len(of) > 0 && (of[0].Hold != v.Hold || about != around) {
			flush()
		}
		about, of = around, append(of, v)
	}
	flush()
	return list
}

// join makes one verdict of those on several things: it stands as the worst of
// them, and says which those are.
func join(about journal.Subject, of []*Verdict) Verdict {
	if len(of) == 1 {
		return *of[0]
	}
	worst := slices.MinFunc(of, func(a, b *Verdict) int { return slices.Index(worse(), a.State) - slices.Index(worse(), b.State) })
	v := *worst
	v.Subject, v.Undone = about, journal.EntryID{}
	v.Statements, v.Entries, v.Notes, v.rests, v.asides = nil, nil, nil, nil, nil
	var bad []*Verdict
	for _, one := range of {
		v.Of, v.each = append(v.Of, one.Subject), append(v.each, one.State)
		v.Statements = append(v.Statements, one.Statements...)
		v.rests, v.asides = append(v.rests, one.rests...), append(v.asides, one.asides...)
		for _, note := range one.Notes {
			if !slices.Contains(v.Notes, note) {
				v.Notes = append(v.Notes, note)
			}
		}
		if one.State == v.State {
			bad = append(bad, one)
			v.At = append(v.At, one.Subject)
		}
		if !one.Undone.IsZero() && (v.Undone.IsZero() || one.State == v.State) {
			v.Undone = one.Undone
		}
	}
	slices.SortFunc(v.rests, facts.Compare)
	v.rests = slices.Compact(v.rests)
	for _, l := range v.rests {
		if !slices.Contains(v.Entries, l.ID) {
			v.Entries = append(v.Entries, l.ID)
		}
	}
	v.Figures = behind(v.asides, together(about, of, of, func(one *Verdict) []string { return one.Figures }))
	v.say(worst.reason, behind(v.asides, together(about, bad, of, func(one *Verdict) []string { return one.told }))...)
	return v
}

// behind puts what is an aside behind all else.
func behind(asides, clauses []string) []string {
	slices.SortStableFunc(clauses, func(a, b string) int {
		switch aside, other := slices.Contains(asides, a), slices.Contains(asides, b); {
		case aside == other:
			return 0
		case aside:
			return 1
		default:
			return -1
		}
	})
	return clauses
}

// standing is a verdict on those of its things at which it stands in a state,
// or nil if there are none.
func (v *Verdict) standing(as State) *Verdict {
	if v.State == as {
		return v
	}
	other := *v
	other.State, other.At = as, nil
	for i, s := range v.Of {
		if v.each[i] == as {
			other.At = append(other.At, s)
		}
	}
	if len(other.At) == 0 {
		return nil
	}
	return &other
}

// worse are the states, the worst first.
func worse() []State { return []State{Broken, InDoubt, Open, Waived, Met} }

// together says something of several things, each clause once: what is to be
// said of all there are comes first and names none of them, "no defect was
// written down"; then what is to be said of some, "caliper and bracket: …".
func together(about journal.Subject, some, all []*Verdict, says func(*Verdict) []string) []string {
	var clauses, groups []string // in the order in which they come up
	of := make(map[string][]string)
	for _, one := range some {
		for _, clause := range says(one) {
			if of[clause] == nil {
				clauses = append(clauses, clause)
			}
			if at := within(about, one.Subject); !slices.Contains(of[clause], at) {
				of[clause] = append(of[clause], at)
			}
		}
	}
	said := make(map[string][]string) // by the things that it is said of
	for _, clause := range clauses {
		at := ""
		if len(of[clause]) < len(all) {
			at = words.And(of[clause]...) + ": "
		}
		if said[at] == nil && at != "" {
			groups = append(groups, at)
		}
		said[at] = append(said[at], clause)
	}
	list := said[""]
	for _, at := range groups {
		list = append(list, at+strings.Join(said[at], "; "))
	}
	return list
}

// within says what a thing is called inside another: "bracket" of a corner,
// "LF bracket" of a vehicle.
func within(about, s journal.Subject) string {
	if s.Part() != "" && about.Corner() != "" {
		return s.Last()
	}
	return s.Place()
}

// say puts in words how a hold stands, and why it is asked if that is to be
// told.
func (v *Verdict) say(reason string, told ...string) {
	v.told, v.reason = told, reason
	v.Why = v.Found()
	if reason != "" {
		v.Why += " — " + reason
	}
}

// Found is what was found, without why it is asked.
func (v *Verdict) Found() string { return strings.Join(v.told, "; ") }

// Thing is what the hold stands so at: of several things the first.
func (v *Verdict) Thing() journal.Subject {
	if len(v.At) > 0 {
		return v.At[0]
	}
	return v.Subject
}

// Is reports whether the verdict is on a thing, alone or with others.
func (v *Verdict) Is(on journal.Subject) bool {
	return v.Subject == on || slices.Contains(v.Of, on)
}

// Each yields the verdicts of squares, on each thing one.
func Each(rows []Row) iter.Seq[Verdict] {
	return func(yield func(Verdict) bool) {
		for _, row := range rows {
			for _, q := range row.Squares {
				for _, v := range q.Holds {
					if !yield(v) {
						return
					}
				}
			}
		}
	}
}
