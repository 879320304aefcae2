package trace

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// find takes the one thing that a term names, or says which may be meant.
func (t *Trace) find(s Shop, o Options) {
	l := s.Look(t.Term, o.Customers, found)
	hidden := func(m shop.Match) bool { return !o.may(about(m)) }
	meant := l.Meant()
	untold := slices.ContainsFunc(meant, hidden)
	meant, l.Near = slices.DeleteFunc(meant, hidden), slices.DeleteFunc(l.Near, hidden)
	whole := slices.DeleteFunc(slices.Clone(meant), func(m shop.Match) bool { return !m.Whole })
	t.choose(s, cmpOr(whole, meant))
	if len(l.Near) == 0 {
		switch {
		case t.Of != nil || len(t.Choices) > 0:
		case untold:
			t.Untold, t.Says = true, append(t.Says, notToldHere)
		case l.NoDays != nil:
			t.Says = append(t.Says, sayNoDays(l.NoDays))
		default:
			t.Says = append(t.Says, fmt.Sprintf("Nothing here is called %s, nothing is near to it, and no entry has the words.", short(t.Term)))
		}
		return
	}
	var names []string
	for _, m := range l.Near {
		if name := m.Is + " (" + m.By + ")"; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	t.Says = append(t.Says, fmt.Sprintf("Nothing is called %s; near to it: %s.", short(t.Term), words.Commas(names...)))
	if t.Of == nil && len(t.Choices) == 0 {
		t.choose(s, l.Near)
		return
	}
	other := &Trace{}
	other.choose(s, l.Near)
	if other.Of != nil {
		other.Choices = []*Node{other.Of}
	}
	if t.Of != nil { // by its words only: what is near may be meant as well
		t.Choices, t.Of = append(t.Choices, t.Of), nil
	}
	t.Choices = append(other.Choices, t.Choices...)
}

// sayNoDays says what is wrong with days that cannot be, and how to write them.
func sayNoDays(n *shop.NoDays) string {
	if n.Than != "" {
		return fmt.Sprintf("%s is later than %s. Write the earlier day first: %s..%s.", n.Text, n.Than, n.Than, n.Text)
	}
	return fmt.Sprintf("Nothing here is called %s, and it is not a day or a month of the calendar. Write a day as 2026-03-01, a month as 2026-03, and several days as 2026-03-01..2026-03-14.", n.Text)
}

// short is a term as an answer repeats it.
func short(term string) string {
	const most = 60
	if letters := []rune(term); len(letters) > most {
		return string(letters[:most]) + "…"
	}
	return term
}

// about is what a match is about.
func about(m shop.Match) journal.Subject {
	if m.Line != nil {
		return m.Line.Subject
	}
	return m.Home
}

func cmpOr(first, second []shop.Match) []shop.Match {
	if len(first) > 0 {
		return first
	}
	return second
}

// choose takes the one thing that matches lead to; of several jobs of a vehicle
// and several lives of a casting, the newest.
func (t *Trace) choose(s Shop, list []shop.Match) {
	seen := make(map[string]bool)
	for _, m := range list {
		n, same := node(s, m)
		if n == nil || seen[same] {
			continue
		}
		seen[same] = true
		t.Choices = append(t.Choices, n)
	}
	if len(t.Choices) == 1 {
		t.Of, t.Choices = t.Choices[0], nil
	}
}

// node is what a match leads to, and by what it is the same as another.
func node(s Shop, m shop.Match) (*Node, string) {
	switch {
	case m.Line != nil:
		of := m.Line.Subject
		if of.Part() == "" && of.Job() != "" {
			of = journal.About(of.Job(), "", "")
		}
		if _, ok := subject(string(of)); !ok {
			return nil, ""
		}
		n := named(s, of)
		n.Known = []string{m.Line.Says()}
		return n, string(of)
	case m.Part != nil:
		n := &Node{Of: m.Part.Part, What: "part", Name: partName(m.Part.Part, m.Job), Known: []string{m.By + " " + cmp.Or(m.Is, partSays(m))}}
		if m.By == index.Number {
			return n, "casting " + words.Squash(m.Part.Number)
		}
		return n, string(n.Of)
	case m.Job != nil:
		n := &Node{Of: journal.About(m.Job.Job, "", ""), What: "vehicle", Name: m.Job.Name(), Known: []string{words.Commas(m.Job.Looks, "job "+string(m.Job.Job), string(m.Job.State))}}
		if m.By == "day" || m.By == "job" {
			return n, string(n.Of)
		}
		return n, cmp.Or(string(m.Job.Vehicle), string(n.Of))
	}
	if _, ok := subject(string(m.Home)); !ok || m.Home.Job() != "" {
		return nil, ""
	}
	return named(s, m.Home), string(m.Home)
}

func partSays(m shop.Match) string {
	switch m.By {
	case index.Number:
		return m.Part.Number
	case index.Pattern:
		return m.Part.Pattern
	case index.CastMark:
		return m.Part.Mark
	}
	return m.Part.Tag
}

func partName(of journal.Subject, j *shop.Summary) string {
	return fmt.Sprintf("%s %s of %s", of.Corner(), of.Part(), j.Name())
}

// named is a thing by its subject.
func named(s Shop, of journal.Subject) *Node {
	if job := of.Job(); job != "" {
		n := &Node{Of: of, What: "vehicle", Name: string(job)}
		if st := standing(s, job); st != nil {
			n.Name = st.Job.Name()
		}
		if of.Part() != "" {
			n.What, n.Name = "part", fmt.Sprintf("%s %s of %s", of.Corner(), of.Part(), n.Name)
		}
		return n
	}
	n := &Node{Of: of}
	n.What, n.Name = called(of, s.Stock())
	return n
}
