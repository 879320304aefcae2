package record

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Casting is a piece of metal with its own life over jobs and years. It is told
// by the number that the shop put into it. One that bears none is told by the
// mark that was read on it, as long as that tells castings apart; and whatever
// somebody showed to be the same is the same.
type Casting struct {
	Number string // as first written
	Mark   string // as first written
	Parts  []*Part
	Notes  []string // what is doubtful, a sentence each
}

// Name is what the casting is called.
func (c *Casting) Name() string {
	first := c.Parts[0]
	return cmp.Or(c.Number, c.Mark, words.Fill("pattern %s", first.Pattern), fmt.Sprintf("%s %s of job %s", first.Corner.Corner, first.ID, first.Corner.Job.ID))
}

// Timeline returns the lines of the casting over all jobs.
func (c *Casting) Timeline() []*Line {
	var lines []*Line
	for _, p := range c.Parts {
		lines = append(lines, p.Timeline()...)
	}
	return merged(lines)
}

// Known is what tells the part's casting from others, or may: the number, else
// the mark.
func (p *Part) known() string { return words.Squash(cmp.Or(p.Number, p.Mark)) }

// castings gathers the parts of all jobs into castings, in the order of their
// names.
func (f *folding) castings() []*Casting {
	lives := make(lives)
	alike := make(map[string][]*Part) // by what they are known
	var parts []*Part
	for _, j := range f.Jobs {
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				if p.known() != "" || len(p.matched) > 0 {
					parts = append(parts, p)
				}
				if known := p.known(); known != "" {
					alike[known] = append(alike[known], p)
				}
			}
		}
	}
	shared := make(map[*Part]bool) // whose mark is a pattern
	for _, list := range alike {
		marked := slices.DeleteFunc(slices.Clone(list), func(p *Part) bool { return p.Number != "" })
		if twoOfOneJob(marked) {
			for _, p := range marked {
				shared[p] = true
			}
			list = slices.DeleteFunc(slices.Clone(list), func(p *Part) bool { return shared[p] })
		}
		for _, p := range list {
			lives.join(list[0], p)
		}
	}
	for _, p := range slices.Clone(parts) {
		for _, m := range p.matched {
			if other := f.find(m.As); other != nil {
				parts = append(parts, other)
				lives.join(p, other)
			}
		}
	}
	of := make(map[*Part]*Casting)
	var all []*Casting
	for _, p := range parts {
		first := lives.first(p)
		if of[first] == nil {
			of[first] = new(Casting)
			all = append(all, of[first])
		}
		if p.Casting == nil {
			p.Casting = of[first]
			p.Casting.Parts = append(p.Casting.Parts, p)
		}
	}
	for _, c := range all {
		c.settle(shared)
	}
	slices.SortFunc(all, (*Casting).compare)
	return all
}

// compare orders castings by their names; no two have a part in common.
func (c *Casting) compare(o *Casting) int {
	return cmp.Or(cmp.Compare(words.Squash(c.Name()), words.Squash(o.Name())), cmp.Compare(c.Parts[0].Subject, o.Parts[0].Subject))
}

// find returns the part that a subject names, nil if nothing tells of it.
func (f *folding) find(s journal.Subject) *Part {
	j := f.jobs[s.Job()]
	if j == nil {
		return nil
	}
	p, _ := j.Part(s)
	return p
}

// lives says of parts which others are the same casting: each leads to another
// one, the first of all to none.
type lives map[*Part]*Part

func (l lives) first(p *Part) *Part {
	for l[p] != nil {
		p = l[p]
	}
	return p
}

func (l lives) join(a, b *Part) {
	if a, b = l.first(a), l.first(b); a != b {
		l[b] = a
	}
}

// twoOfOneJob reports whether two of the parts are in the shop at once.
func twoOfOneJob(parts []*Part) bool {
	for i, p := range parts {
		if slices.ContainsFunc(parts[:i], func(q *Part) bool { return q.Corner.Job == p.Corner.Job }) {
			return true
		}
	}
	return false
}

// settle orders the casting's parts by when they were tagged, and says what is
// doubtful of them.
func (c *Casting) settle(shared map[*Part]bool) {
	slices.SortFunc(c.Parts, func(a, b *Part) int {
		switch {
		case a.tagged != nil && b.tagged != nil:
			return cmp.Or(replay(a.tagged, b.tagged), cmp.Compare(a.Subject, b.Subject))
		case a.tagged != nil:
			return 1
		case b.tagged != nil:
			return -1
		}
		return cmp.Compare(a.Subject, b.Subject)
	})
	var numbers, patterns []string
	for _, p := range c.Parts {
		c.Mark = cmp.Or(c.Mark, p.Mark)
		numbers, patterns = fresh(numbers, p.Number), fresh(patterns, p.Pattern)
		if shared[p] {
			c.Notes = append(c.Notes, fmt.Sprintf("two parts of one job bear the mark %s, so it is a pattern and does not tell one casting from another", p.Mark))
		}
	}
	if len(numbers) > 0 {
		c.Number = numbers[0]
	}
	if len(numbers) > 1 {
		c.Notes = append(c.Notes, fmt.Sprintf("this casting is said to bear the numbers %s; one of them is wrong", words.And(numbers...)))
	}
	if len(patterns) > 1 {
		c.Notes = append(c.Notes, fmt.Sprintf("this casting is said to bear the patterns %s; one of them is wrong", words.And(patterns...)))
	}
	if twoOfOneJob(c.Parts) {
		c.Notes = append(c.Notes, fmt.Sprintf("two parts of one job are taken for the casting %s; one of them is another", c.Name()))
	}
}

// fresh adds a text to those that it does not mean the same as.
func fresh(list []string, text string) []string {
	if text == "" || slices.ContainsFunc(list, func(s string) bool { return words.Squash(s) == words.Squash(text) }) {
		return list
	}
	return append(list, text)
}
