package dossier

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
)

// shared is a run in which parts of other jobs took part.
type shared struct {
	run  journal.RunID
	with map[journal.JobID]bool
}

// findOthers finds out which runs are shared, and with which jobs.
func (b *build) findOthers() {
	runs := make(map[journal.RunID]map[journal.JobID]bool)
	for _, p := range b.picked {
		if p.line == nil || p.line.Subject.Run() == "" {
			continue
		}
		id := p.line.Subject.Run()
		if runs[id] == nil {
			runs[id] = make(map[journal.JobID]bool)
		}
		for _, payload := range []journal.Payload{p.line.Payload, p.line.Effect()} {
			for _, s := range journal.Hung(payload) {
				if !slices.Contains(b.d.About.Jobs, s.Job()) {
					runs[id][s.Job()] = true
				}
			}
		}
	}
	for id, with := range runs {
		if len(with) > 0 {
			b.run = append(b.run, shared{id, with})
		}
	}
	slices.SortFunc(b.run, func(a, c shared) int { return strings.Compare(string(a.run), string(c.run)) })
}

// ofOthers says why the photographs of an entry may show another customer's car;
// "" if they do not.
func (b *build) ofOthers(l *record.Line) string {
	if l == nil {
		return "nothing in the record says any more what they are of, and they may show another customer’s car"
	}
	for _, i := range asInvestigation(l) {
		if b.around(l, i) {
			return "they were taken of what was looked into on several cars, and may show another customer’s car"
		}
	}
	if run := l.Subject.Run(); run != "" {
		if slices.ContainsFunc(b.run, func(s shared) bool { return s.run == run }) {
			return "they were taken of a run that was shared, and may show another customer’s car"
		}
		return ""
	}
	for _, payload := range []journal.Payload{l.Payload, l.Effect()} {
		for _, s := range journal.Hung(payload) {
			if !slices.Contains(b.d.About.Jobs, s.Job()) {
				return "they were taken of parts of several jobs, and may show another customer’s car"
			}
		}
	}
	return ""
}

// covers describes the seals. Of an entry that is withheld the hash of its
// leaf stands there.
func (b *build) covers() error {
	for _, s := range b.seals {
		seal := evidence.Seal{Job: s.Line.Subject.Job(), At: evidence.At(s.Line.Position())}
		var gone []journal.Position
		for _, at := range s.Covered {
			if b.picked[at] == nil {
				gone = append(gone, at)
			}
		}
		leaves, err := b.leaves(gone)
		if err != nil {
			return err
		}
		for _, at := range s.Covered {
			seal.Covers = append(seal.Covers, evidence.Covered{At: evidence.At(at), Leaf: leaves[at]})
		}
		b.d.Seals = append(b.d.Seals, seal)
	}
	return nil
}
