package record

import (
	"iter"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Match is one thing that a search found, with all that it lies in. A casting
// gives one match for each of its parts.
type Match struct {
	By      string // "VIN", "plate", "job", "cast mark", "tag" or "lot": what fitted
	Vehicle *Vehicle
	Job     *Job
	Part    *Part
	Run     *Run // of a lot, the run that put it on
	Lot     *Lot
}

// shortest is the fewest characters of a job's id that are searched for.
const shortest = 3

// Find looks for a VIN, a plate, a job's id or the beginning of one, a cast
// mark, a tag or a powder lot, in this order and without regard to case,
// spaces and dashes. An id given whole wins over ids that only begin with it;
// a beginning that fits several jobs gives them all.
func (s *Shop) Find(query string) []Match {
	want := words.Squash(query)
	if want == "" {
		return nil
	}
	return slices.Concat(s.findVehicles(want), s.findJobs(want), s.findParts(want), s.findLots(want))
}

// FindPieces looks for what holds three characters or more of a query: in
// plates and VINs, cast marks and tags. It is for people who have only read a
// piece, and gives what Find would not.
func (s *Shop) FindPieces(query string) []Match {
	piece := words.Squash(query)
	if len(piece) < shortest {
		return nil
	}
	holds := func(text string) bool {
		whole := words.Squash(text)
		return whole != piece && strings.Contains(whole, piece)
	}
	var found []Match
	for _, v := range s.Vehicles {
		switch {
		case slices.ContainsFunc(v.Plates, holds):
			found = append(found, Match{By: "plate", Vehicle: v})
		case holds(v.VIN):
			found = append(found, Match{By: "VIN", Vehicle: v})
		}
	}
	for p := range s.parts() {
		switch {
		case holds(p.Mark):
			found = append(found, p.match("cast mark"))
		case holds(p.Tag):
			found = append(found, p.match("tag"))
		}
	}
	return found
}

func (s *Shop) findVehicles(want string) []Match {
	var found []Match
	for _, v := range s.Vehicles {
		switch {
		case v.VIN == want:
			found = append(found, Match{By: "VIN", Vehicle: v})
		case slices.ContainsFunc(v.Plates, func(p string) bool { return words.Squash(p) == want }):
			found = append(found, Match{By: "plate", Vehicle: v})
		}
	}
	return found
}

func (s *Shop) findJobs(want string) []Match {
	var whole, begun []Match
	for _, j := range s.Jobs {
		m := Match{By: "job", Vehicle: j.Vehicle, Job: j}
		switch id := words.Squash(string(j.ID)); {
		case id == want:
			whole = append(whole, m)
		case len(want) >= shortest && strings.HasPrefix(id, want):
			begun = append(begun, m)
		}
	}
	if len(whole) > 0 {
		return whole
	}
	return begun
}

func (s *Shop) findParts(want string) []Match {
	var marks, tags []Match
	for _, c := range s.Castings {
		if words.Squash(c.Mark) == want {
			for _, p := range c.Parts {
				marks = append(marks, p.match("cast mark"))
			}
		}
	}
	for p := range s.parts() {
		if words.Squash(p.Tag) == want {
			tags = append(tags, p.match("tag"))
		}
	}
	return append(marks, tags...)
}

func (s *Shop) findLots(want string) []Match {
	var found []Match
	for _, lot := range s.Lots {
		if words.Squash(string(lot.ID)) != want {
			continue
		}
		found = append(found, Match{By: "lot", Lot: lot})
		for _, r := range s.Runs {
			if slices.Contains(r.Lots, lot.ID) {
				found = append(found, Match{By: "lot", Lot: lot, Run: r})
			}
		}
		for p := range s.parts() {
			if slices.ContainsFunc(p.Lines, func(l *Line) bool { c, ok := l.Effect().(*journal.Coating); return ok && c.Lot == lot.ID }) {
				m := p.match("lot")
				m.Lot = lot
				found = append(found, m)
			}
		}
	}
	return found
}

func (p *Part) match(by string) Match {
	j := p.Corner.Job
	return Match{By: by, Vehicle: j.Vehicle, Job: j, Part: p}
}

// parts yields every part of every job.
func (s *Shop) parts() iter.Seq[*Part] {
	return func(yield func(*Part) bool) {
		for _, j := range s.Jobs {
			for _, c := range j.Corners {
				for _, p := range c.Parts {
					if !yield(p) {
						return
					}
				}
			}
		}
	}
}
