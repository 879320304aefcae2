package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/index"
)

// job collects a job: its own entries, those of the runs of its parts, the
// other lives of its castings, and the openings by which its vehicle is known.
func (g *gathering) job(home journal.Subject) error {
	if err := g.home(home); err != nil {
		return err
	}
	if err := g.hung(home); err != nil {
		return err
	}
	if err := g.load(); err != nil {
		return err
	}
	for _, d := range g.in(home) {
		for _, p := range says(d.Payload()) {
			if t, ok := p.(*journal.Tagging); ok {
				if err := g.casting(t, home); err != nil {
					return err
				}
			}
		}
	}
	if err := g.vehicle(home); err != nil {
		return err
	}
	return g.load()
}

// hung collects the runs that a thing took part in, and racks on other parts'
// entries that name it.
func (g *gathering) hung(thing journal.Subject) error {
	rows, err := g.citing(thing)
	if err != nil {
		return err
	}
	var elsewhere []index.Row
	for _, r := range rows {
		g.take(r)
		if r.Home.Run() != "" {
			if err := g.home(r.Home); err != nil {
				return err
			}
		}
		if r.Kind == journal.EntryCorrected {
			elsewhere = append(elsewhere, r)
		}
	}
	return g.corrected(elsewhere)
}

// corrected collects the runs of which corrections speak, which may stand
// anywhere.
func (g *gathering) corrected(rows []index.Row) error {
	if err := g.load(); err != nil {
		return err
	}
	for _, r := range rows {
		d := g.here[r.Position]
		if d == nil {
			continue
		}
		c, ok := d.Payload().(*journal.Correction)
		if !ok {
			continue
		}
		of, err := g.named(c.Of)
		if err != nil {
			return err
		}
		for _, t := range of {
			if t.Home.Run() != "" {
				if err := g.home(t.Home); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// casting collects the other lives of a casting. A mark that was corrected
// stands with the replacement, which is looked for too.
func (g *gathering) casting(t *journal.Tagging, job journal.Subject) error {
	rows, err := g.keyed(t.Mark)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Home == job && r.Kind == journal.PartTagged {
			continue
		}
		g.take(r)
		if err := g.load(); err != nil {
			return err
		}
		for _, part := range g.tagged(r) {
			if err := g.hung(part); err != nil {
				return err
			}
		}
	}
	return nil
}

// tagged returns the part whose tag an entry states, or corrects.
func (g *gathering) tagged(r index.Row) []journal.Subject {
	d := g.here[r.Position]
	if d == nil || d.Entry() == nil {
		return nil
	}
	c, ok := d.Payload().(*journal.Correction)
	if !ok {
		return []journal.Subject{d.Entry().Subject}
	}
	var parts []journal.Subject
	rows, err := g.named(c.Of)
	if err != nil {
		return nil // asked again by whoever reads that entry
	}
	for _, r := range rows {
		g.take(r)
	}
	if g.load() != nil {
		return nil
	}
	for _, r := range rows {
		if d := g.here[r.Position]; d != nil && d.Entry() != nil {
			parts = append(parts, d.Entry().Subject)
		}
	}
	return parts
}

// run collects a run with all its jobs.
func (g *gathering) run(home journal.Subject) error {
	if err := g.home(home); err != nil {
		return err
	}
	if err := g.load(); err != nil {
		return err
	}
	for _, d := range g.in(home) {
		cited := d.Cites()
		if c, ok := d.Payload().(*journal.Correction); ok {
			cited = append(cited, g.instead(c)...)
		}
		for _, s := range cited {
			if job := index.Home(s); job.Job() != "" && !g.homes[job] {
				if err := g.job(job); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
