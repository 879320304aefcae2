package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/index"
)

// job collects a job: its own entries, those of the runs of its parts, the
// other lives of its castings, the tags of parts that share a probe with them, what has
// the photographs of its second looks, and the openings by which its vehicle is known.
func (g *gathering) job(home journal.Subject) error {
	g.home(home)
	if err := g.hung(home); err != nil {
		return err
	}
	if err := g.load(); err != nil {
		return err
	}
	for _, d := range g.in(home) {
		if look, ok := d.Payload().(*journal.SecondCheck); ok {
			if err := g.pictured(look); err != nil {
				return err
			}
		}
	}
	if err := g.lives(home); err != nil {
		return err
	}
	if err := g.probed(home); err != nil {
		return err
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
			g.home(r.Home)
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
	if len(rows) == 0 {
		return nil
	}
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
				g.home(t.Home)
			}
		}
	}
	return nil
}

// pictured collects whatever has a photograph of a second look too: in a shop
// of one a look has a photograph of its own.
func (g *gathering) pictured(look *journal.SecondCheck) error {
	for _, p := range look.Photos {
		rows, err := g.citing(journal.PhotoSubject(p.Ref))
		if err != nil {
			return err
		}
		for _, r := range rows {
			g.take(r)
		}
	}
	return g.load()
}

// run collects a run with all its jobs.
func (g *gathering) run(home journal.Subject) error {
	g.home(home)
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
