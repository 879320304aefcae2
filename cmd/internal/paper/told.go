package paper

import (
	"context"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// Asked says what a paper is to show.
type Asked struct {
	At     time.Time // as of when promises stand
	Photos Photos
	// Name says who somebody is; nil gives initials only.
	Name func(journal.PersonID) string
	// Beside says which photographs lie beside a report; the zero value is none.
	Beside evidence.Asked
	// Seal is the receipt of a sealed job, nil while the hub's signature over
	// the seal is not here.
	Seal func(journal.JobID) *evidence.Receipt
}

// told is a job as papers tell of it.
type told struct {
	*shop.Standing
	ctx   context.Context
	view  *shop.View
	ask   Asked
	facts *facts.Job    // nil while the job's card is not here
	held  *shop.Sealing // against its seal, nil of a job that is not sealed

	replaces map[journal.Subject]string // names of parts that take the place of others, for customers
}

func tell(ctx context.Context, v *shop.View, st *shop.Standing, a Asked) *told {
	t := &told{Standing: st, ctx: ctx, view: v, ask: a, held: v.Sealing(st.Job)}
	if st.Card != nil {
		t.facts = st.Stock.Job(st.Card, st.Job)
	}
	return t
}

// writing is how the shop writes numbers and days.
func (t *told) writing() words.Writing { return t.view.Shop.Writing() }

// own is an entry as it is told of the job: a run is shared with parts of others.
func (t *told) own(l *record.Line) *record.Line {
	return l.Of(func(s journal.Subject) bool { return s.Job() == t.Job.ID })
}

// who names somebody.
func (t *told) who(id journal.PersonID) string {
	if t.ask.Name != nil {
		if name := t.ask.Name(id); name != "" {
			return name
		}
	}
	return t.view.Initials(id)
}

// corners and parts are the things that the job is about.
func (t *told) corners() []*facts.Site {
	if t.facts == nil {
		return nil
	}
	return t.facts.Corners
}

func (t *told) parts() []*facts.Site {
	if t.facts == nil {
		return nil
	}
	return t.facts.Parts
}

// line is the entry that a statement rests on first: the one that was written of it.
func (t *told) line(s facts.Statement) *record.Line {
	for _, id := range s.Entries {
		if l := t.view.Within(journal.About(t.Job.ID, "", ""), id); l != nil {
			return l
		}
	}
	return nil
}

// same gathers things of which the same is said, in the order of the first.
type same struct {
	says string
	of   []journal.Subject
}

func gather(list []same, says string, of journal.Subject) []same {
	for i := range list {
		if list[i].says == says {
			list[i].of = append(list[i].of, of)
			return list
		}
	}
	return append(list, same{says, []journal.Subject{of}})
}
