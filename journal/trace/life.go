package trace

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Life gathers what is known of the casting of a part, each job by its own
// record; nil if there is no such part.
func Life(s Shop, of journal.Subject) *facts.Life {
	p := part(s, of)
	if p == nil {
		return nil
	}
	lives := []*record.Part{p}
	if p.Casting != nil {
		lives = p.Casting.Parts
	}
	var stays []*facts.Stay
	for _, life := range lives {
		if st := standing(s, life.Subject.Job()); st != nil {
			stays = append(stays, st.Stock.Stay(st.Job, life.Subject))
		}
	}
	return s.Stock().LifeOf(p.Casting, stays...)
}

// Castings finds the castings that bear a number or a mark, each by its last part.
func Castings(s Shop, name string) (list []journal.Subject) {
	var seen []journal.Subject // lives of those that were found
	for _, m := range s.Look(name, false, found).Found {
		if m.Part == nil || !m.Whole || m.By != index.Number && m.By != index.CastMark || slices.Contains(seen, m.Part.Part) {
			continue
		}
		p := part(s, m.Part.Part)
		if p == nil {
			continue
		}
		seen = append(seen, p.Subject)
		if p.Casting != nil {
			for _, life := range p.Casting.Parts {
				seen = append(seen, life.Subject)
			}
			p = p.Casting.Parts[len(p.Casting.Parts)-1]
		}
		list = append(list, p.Subject)
	}
	return list
}

// part returns a part as its own job has it.
func part(s Shop, of journal.Subject) *record.Part {
	st := standing(s, of.Job())
	if st == nil {
		return nil
	}
	p, _ := st.Job.Part(of)
	return p
}
