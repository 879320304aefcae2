package shop

import (
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// lives collects the other lives of a job's castings: the parts that bear the
// number or mark of one, those that somebody says are the same, and theirs in
// turn.
func (g *gathering) lives(job journal.Subject) error {
	mine := make(map[journal.Subject]bool)   // parts that may be one of these castings
	asked := make(map[string]bool)           // numbers and marks that were looked for
	reach := func(s journal.Subject) error { // of the job itself everything is here
		if mine[s] || s.Word() != "job/corner/part" {
			return nil
		}
		if mine[s] = true; s.Job() == job.Job() {
			return nil
		}
		if err := g.hung(s); err != nil {
			return err
		}
		return g.load()
	}
	for {
		before := len(mine) + len(asked)
		for _, t := range g.told() {
			if t.of.Job() == job.Job() {
				if err := reach(t.of); err != nil {
					return err
				}
			}
			switch p := t.data.(type) {
			case *journal.Tagging:
				for _, text := range []string{p.Number, p.Mark} {
					if !mine[t.of] || asked[text] {
						continue
					}
					asked[text] = true
					parts, err := g.bearing(text)
					if err != nil {
						return err
					}
					for _, s := range parts {
						if err := reach(s); err != nil {
							return err
						}
					}
				}
			case *journal.CastingMatch:
				if !mine[t.of] && !mine[p.As] && p.As.Job() != job.Job() {
					continue
				}
				for _, s := range []journal.Subject{t.of, p.As} {
					if err := reach(s); err != nil {
						return err
					}
				}
			}
		}
		if len(mine)+len(asked) == before {
			return nil
		}
	}
}

// bearing takes the tags with a number or mark and returns their parts. One
// that was corrected stands with the replacement, which is looked for too.
func (g *gathering) bearing(text string) ([]journal.Subject, error) {
	rows, err := g.keyed(text)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		g.take(r)
	}
	if err := g.load(); err != nil {
		return nil, err
	}
	var parts []journal.Subject
	abouts := g.abouts()
	for _, r := range rows {
		if d := g.here[r.Position]; d != nil {
			parts = append(parts, abouts.of(d)...)
		}
	}
	return parts, nil
}

// told is what an entry says of a part, or what a correction puts in its
// place.
type told struct {
	of   journal.Subject
	data journal.Payload
}

// told lists what the entries that are here say of castings.
func (g *gathering) told() []told {
	var list []told
	abouts := g.abouts()
	for _, d := range slices.Collect(maps.Values(g.here)) {
		if d == nil || d.Entry() == nil {
			continue
		}
		for _, p := range says(d.Payload()) {
			if _, opens := p.(*journal.Job); opens {
				continue
			}
			for _, s := range abouts.of(d) {
				list = append(list, told{s, p})
			}
		}
	}
	return list
}

// abouts are entries by their ids; of an id that several have, all of them.
type abouts map[journal.EntryID][]*record.Decoded

func (g *gathering) abouts() abouts {
	a := make(abouts)
	for _, d := range g.here {
		if d != nil && d.Entry() != nil {
			a[d.Entry().ID] = append(a[d.Entry().ID], d)
		}
	}
	return a
}

// of returns what an entry is about. A correction is about what it corrects.
func (a abouts) of(d *record.Decoded) []journal.Subject {
	var found []journal.Subject
	seen := make(map[journal.EntryID]bool)
	for list := []*record.Decoded{d}; len(list) > 0; list = list[1:] {
		if list[0].Entry() == nil {
			continue
		}
		c, ok := list[0].Payload().(*journal.Correction)
		switch {
		case !ok:
			found = append(found, list[0].Entry().Subject)
		case !seen[c.Of]:
			seen[c.Of] = true
			list = append(list, a[c.Of]...)
		}
	}
	return found
}
