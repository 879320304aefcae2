package shop

import (
	"errors"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/words"
)

// Looked is what was found of a term.
type Looked struct {
	Term  string
	Found []Match // what is so named, what begins so or holds it, what was done in those days, customers, and who works here
	Said  []Match // entries with its words
	// Near is what is one slip away, if nothing has the term as its name, nor
	// begins so or holds it.
	Near []Match
	// NoDays is why the term names no days although it is written as days are; nil
	// otherwise.
	NoDays *NoDays
}

// Look looks for whatever somebody may hold: what [View.Find] finds, a day, month,
// year or two days with ".." between them, a customer's name or that of somebody who
// works here, and words of entries, such as a colour or a defect; and for what is one
// slip away, if nothing is so named. Names are asked for only where cards may be looked
// at.
func (v *View) Look(term string, customers bool, most int) Looked {
	l := Looked{Term: strings.TrimSpace(term)}
	if l.Term == "" {
		return l
	}
	from, to, err := Days(l.Term)
	l.Found = v.Find(l.Term, most)
	named := len(l.Found) > 0
	errors.As(err, &l.NoDays)
	if err == nil {
		in := v.Between(from, to, most)
		l.Found, named = append(l.Found, in...), named || len(in) > 0
	}
	if customers {
		l.Found = append(l.Found, v.Customers(l.Term, most)...)
		for _, m := range v.People(l.Term) {
			if !slices.ContainsFunc(l.Found, func(f Match) bool { return f.Home == m.Home }) {
				l.Found, named = append(l.Found, m), named || m.Whole
			}
		}
	}
	if !named {
		l.Near = v.Near(l.Term, most)
	}
	if left := most - len(l.Found); left > 0 {
		l.Said = v.Words(l.Term, min(left, mostSaid))
	}
	return l
}

// Meant is what the term may name as it was typed: what was found, and what entries
// say with its words. The pieces of a number that something bears are not words.
func (l Looked) Meant() []Match {
	if strings.ContainsAny(l.Term, "0123456789") && len(l.Found)+len(l.Near) > 0 {
		return l.Found
	}
	return slices.Concat(l.Found, l.Said)
}

// mostSaid is how many entries are looked at that hold the words.
const mostSaid = 20

// Near finds what is one slip away from a text: a character wrong, missing or
// too many, or two the other way round.
func (v *View) Near(text string, most int) []Match {
	rows, err := v.shop.index.FindNear(v.ctx, text, most)
	v.note(err)
	var list []Match
	for _, m := range rows {
		for _, one := range v.matches(m) {
			if one.Is = v.name(one, m); !slices.ContainsFunc(list, one.same) {
				list = append(list, one)
			}
		}
	}
	return list
}

// name is what was found of a match, as it was written.
func (v *View) name(m Match, found index.Match) string {
	switch {
	case m.Part != nil:
		return m.Part.says(m.By)
	case m.By == index.VIN:
		return m.Job.VIN
	case m.By == index.Plate:
		return m.Job.Plate
	case m.By == index.Serial, m.By == index.Batch:
		return v.stands(found)
	}
	return m.Home.Last()
}

// Between finds the jobs and runs with entries from one day to another, the
// last ones first.
func (v *View) Between(from, to journal.Date, most int) []Match {
	homes, err := v.shop.index.DayHomes(v.ctx, from, to, most)
	v.note(err)
	var list []Match
	for _, h := range homes {
		m := Match{By: "day", Home: h}
		if job := h.Job(); job != "" {
			s, ok := v.Summary(job)
			if !ok {
				continue
			}
			m.Job = &s
		}
		list = append(list, m)
	}
	return list
}

// stands is the serial number or batch that the register says of a thing by now.
func (v *View) stands(m index.Match) (says string) {
	switch id := m.Home.Last(); m.By {
	case index.Serial:
		if is := v.Stock().ToolNow(journal.ToolID(id), time.Time{}); is.Stated != nil {
			says = is.Stated.Serial
		}
	case index.Batch:
		if kit, _ := v.Stock().Kit(journal.KitID(id)); kit != nil && m.Home.Word() == "kit" {
			says = kit.Batch
		}
		if fluid, _ := v.Stock().Fluid(journal.FluidID(id)); fluid != nil && m.Home.Word() == "fluid" {
			says = fluid.Batch
		}
	}
	return says
}

// stale reports whether the register says another one by now.
func (v *View) stale(m index.Match) bool {
	return (m.By == index.Serial || m.By == index.Batch) && words.Squash(v.stands(m)) != m.Text
}
