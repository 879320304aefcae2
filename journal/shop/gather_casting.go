package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/index"
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
		return g.hung(s)
	}
	for {
		if err := g.load(); err != nil {
			return err
		}
		before := len(mine) + len(asked)
		var texts []string
		for _, t := range g.told() {
			if t.of.Job() == job.Job() {
				if err := reach(t.of); err != nil {
					return err
				}
			}
			switch p := t.data.(type) {
			case *journal.Tagging:
				for _, text := range []string{p.Number, p.Mark} {
					if mine[t.of] && !asked[text] {
						asked[text] = true
						texts = append(texts, text)
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
		parts, err := g.bearing(texts)
		if err != nil {
			return err
		}
		for _, s := range parts {
			if err := reach(s); err != nil {
				return err
			}
		}
		if len(mine)+len(asked) == before {
			return nil
		}
	}
}

// bearing takes the tags with one of some numbers or marks and returns their
// parts. One that was corrected stands with the replacement, which is looked
// for too.
func (g *gathering) bearing(texts []string) ([]journal.Subject, error) {
	var tags []index.Row
	for _, text := range texts {
		rows, err := g.keyed(text)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			g.take(r)
		}
		tags = append(tags, rows...)
	}
	if err := g.load(); err != nil {
		return nil, err
	}
	var parts []journal.Subject
	for _, r := range tags {
		if d := g.here[r.Position]; d != nil {
			parts = append(parts, g.abouts(d)...)
		}
	}
	return parts, nil
}

// told is what an entry says of a part or a run, or what a correction puts in
// its place.
type told struct {
	of   journal.Subject
	data journal.Payload
}

// told lists what the entries that are here say of castings and bakes.
func (g *gathering) told() []told {
	var list []told
	for _, d := range g.here {
		for _, p := range g.says(d) {
			if _, opens := p.(*journal.Job); opens {
				continue
			}
			for _, s := range g.abouts(d) {
				list = append(list, told{s, p})
			}
		}
	}
	return list
}

// abouts returns what an entry is about. A correction is about what it
// corrects.
func (g *gathering) abouts(d *record.Decoded) []journal.Subject {
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
			list = append(list, g.alike[c.Of]...)
		}
	}
	return found
}
