package shop

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/recur"
)

// Investigation is something that was looked into, with what came before and
// after it.
type Investigation struct {
	*journal.Investigation // what counts of it; nil if it was struck out
	Line                   *record.Line
	Before                 *record.Line   // the one that it goes on with, if it is here
	Rests                  []*record.Line // on which it rests, as far as they are here
	Later                  []*record.Line // entries that speak of it: a card that came out of it, one that goes on with it
}

// Investigation returns an investigation by its entry, nil if there is none.
func (v *View) Investigation(id journal.EntryID) *Investigation {
	for _, l := range v.Line(id) {
		if _, ok := l.Payload.(*journal.Investigation); ok && l.Counts() {
			return v.investigation(l)
		}
	}
	return nil
}

func (v *View) investigation(l *record.Line) *Investigation {
	i := &Investigation{Line: l}
	i.Investigation, _ = l.Effect().(*journal.Investigation)
	if i.Investigation == nil {
		return i
	}
	for _, rests := range i.Investigation.Rests {
		i.Rests = append(i.Rests, v.Line(rests)...)
	}
	if !i.Of.IsZero() {
		for _, before := range v.Line(i.Of) {
			i.Before = before
		}
	}
	for _, later := range v.Cites(journal.EntrySubject(l.ID)) {
		if later.Kind != journal.EntryCorrected && slices.Contains(journal.CitedEntries(later.Effect()), l.ID) {
			i.Later = append(i.Later, later)
		}
	}
	return i
}

// Investigations lists what was looked into in the whole shop, the newest first.
// What was struck out is among it.
func (v *View) Investigations() []*record.Line {
	rows, err := v.shop.index.OfKind(v.ctx, journal.InvestigationMade, "0001-01-01", "9999-12-31")
	v.note(err)
	list := slices.DeleteFunc(v.lines(rows), func(l *record.Line) bool { return !l.Counts() })
	slices.Reverse(list)
	return list
}

// Question is what the investigation asked of the parts table. Of one that does
// not name a defect it is that whose presence its conditions ask for; asked is
// false if there is none. A condition that cannot be read is an error.
func (i *Investigation) Question() (q recur.Question, asked bool, err error) {
	if i.Investigation == nil {
		return q, false, nil
	}
	f, err := parts.ParseFilter(i.Filter...)
	if err != nil {
		return q, false, err
	}
	q.Defect = string(i.Defect)
	for _, c := range f {
		look, ok := c.Column.Name.Look()
		has := ok && c.Relation == parts.Is && c.Value.Is()
		if has && q.Defect == "" {
			q.Defect = look
		}
		if has && q.Defect == look {
			continue // to look only at those that have it would leave nothing to compare
		}
		q.Filter = append(q.Filter, c)
	}
	return q, q.Defect != "", q.Check()
}

// Tallies are the counts that were kept.
func (i *Investigation) Tallies() (list []recur.Tally) {
	if i.Investigation == nil {
		return nil
	}
	for _, c := range i.Counted {
		t := recur.Tally{With: c.With}
		t.Sample.Defects, t.Sample.Parts = c.Defects, c.Parts
		list = append(list, t)
	}
	return list
}
