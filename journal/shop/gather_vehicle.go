package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// vehicle collects the openings of all jobs that VINs and plates tie
// together.
func (g *gathering) vehicle(job journal.Subject) error {
	seen := make(map[string]bool)
	for jobs := []journal.Subject{job}; len(jobs) > 0; jobs = jobs[1:] {
		for _, d := range g.in(jobs[0]) {
			for _, text := range openingKeys(g.says(d)) {
				if seen[text] {
					continue
				}
				seen[text] = true
				fresh, err := g.known(text)
				if err != nil {
					return err
				}
				jobs = append(jobs, fresh...)
			}
		}
	}
	return nil
}

// openingKeys are the VINs and plates that an entry states; see says.
func openingKeys(says []journal.Payload) []string {
	var list []string
	for _, p := range says {
		if j, ok := p.(*journal.Job); ok {
			list = append(list, index.Keys(j)...)
		}
	}
	return list
}

// known takes the openings of the jobs that bear a key, and returns the jobs
// of which they were not here.
func (g *gathering) known(text string) (fresh []journal.Subject, err error) {
	g.asked.ask(keyed(text), whole)
	homes, err := g.find.KeyedHomes(g.ctx, text)
	if err != nil {
		return nil, err
	}
	for _, home := range homes {
		took, err := g.openings(home)
		if err != nil {
			return nil, err
		}
		if took {
			fresh = append(fresh, home)
		}
	}
	return fresh, nil
}

// openings takes how a job was opened, and what corrects that; of the job
// itself everything is here.
func (g *gathering) openings(home journal.Subject) (fresh bool, err error) {
	if g.homes[home] || g.opened[home] || home.Job() == "" {
		return false, nil
	}
	g.opened[home] = true
	g.asked.ask(inHome(home), whole)
	rows, err := g.find.Entries(g.ctx, home, journal.JobOpened, journal.EntryCorrected)
	if err != nil {
		return false, err
	}
	astray, err := g.find.Astray(g.ctx, home)
	if err != nil {
		return false, err
	}
	for _, r := range append(rows, astray...) {
		if r.Kind == journal.JobOpened || r.Kind == journal.EntryCorrected {
			g.take(r)
		}
	}
	return true, g.load()
}

// says is what an entry states, worked out once: it is asked of every entry
// that is here in each round of a search. An entry that is not read yet states
// nothing.
func (g *gathering) says(d *record.Decoded) []journal.Payload {
	if d == nil || d.Entry() == nil {
		return nil
	}
	if _, corrects := d.Payload().(*journal.Correction); !corrects {
		return says(d.Payload())
	}
	list, known := g.stated[d]
	if !known {
		list = says(d.Payload())
		g.stated[d] = list
	}
	return list
}

// says returns what an entry states, or what corrections put in the place of
// that, of openings, tags, castings and bakes. What a correction is of may not be here, so
// its replacement is read as whatever it can be.
func says(p journal.Payload) []journal.Payload {
	switch p := p.(type) {
	case *journal.Job, *journal.Tagging, *journal.CastingMatch, *journal.BakeStart:
		return []journal.Payload{p}
	case *journal.Correction:
		var list []journal.Payload
		for _, kind := range []journal.Kind{journal.JobOpened, journal.PartTagged, journal.CastingMatched, journal.BakeStarted, journal.EntryCorrected} {
			if now, err := journal.ParsePayload(journal.Type{Kind: kind, Version: kind.Version()}, p.Data); err == nil && len(p.Data) > 0 {
				list = append(list, says(now)...)
			}
		}
		return list
	}
	return nil
}
