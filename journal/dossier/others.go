package dossier

import (
	"bytes"
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

// findOthers finds out which runs are shared, and withholds the entries of
// these that name whose car it is with which they are shared.
func (b *build) findOthers() error {
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
	for _, r := range b.run {
		if err := b.withhold(r); err != nil {
			return err
		}
	}
	return nil
}

// telling is the fewest characters of a plate or a name that tell whose car it
// is.
const telling = 4

// withhold leaves out the entries of a shared run in which somebody wrote the
// plate, the VIN or the customer of a car with which it is shared.
func (b *build) withhold(r shared) error {
	names, err := b.names(r)
	if err != nil || len(names) == 0 {
		return err
	}
	for at, p := range b.picked {
		if p.line == nil || p.line.Subject.Run() != r.run {
			continue
		}
		text := squash(string(p.line.Data))
		if slices.ContainsFunc(names, func(name string) bool { return strings.Contains(text, name) }) {
			delete(b.picked, at)
			b.hidden = true
			b.leave("entries of a run that was shared", "they name another customer or another car")
		}
	}
	return nil
}

// names are what tells whose cars a run is shared with, squashed.
func (b *build) names(r shared) (list []string, err error) {
	for id := range r.with {
		j := b.view.Job(id)
		if j == nil {
			continue
		}
		var told []string
		if j.Vehicle != nil {
			told = append(append(told, j.Vehicle.VIN), j.Vehicle.Plates...)
		}
		if j.Stated != nil {
			told = append(told, j.Stated.Vehicle.VIN, j.Stated.Vehicle.Plate)
		}
		if j.Customer != nil {
			told = append(told, string(j.Customer.Card))
			card, err := cardOf(b.ctx, b.Cards, j.Customer.Card)
			if err != nil {
				return nil, err
			}
			if card != nil {
				told = append(told, card.Details.Name, card.Details.Phone, card.Details.Mail, card.Details.Address)
			}
		}
		for _, text := range told {
			if text = squash(text); len(text) >= telling {
				list = append(list, text)
			}
		}
	}
	return list, b.view.Err()
}

// squash leaves out what people write differently.
func squash(text string) string {
	return strings.ToUpper(string(bytes.Map(func(r rune) rune {
		if strings.ContainsRune(" -.\t\n", r) {
			return -1
		}
		return r
	}, []byte(text))))
}

// ofOthers reports whether the photographs of an entry may show another
// customer's car.
func (b *build) ofOthers(l *record.Line) bool {
	if l == nil {
		return true // nobody knows what it is of
	}
	if run := l.Subject.Run(); run != "" {
		return slices.ContainsFunc(b.run, func(s shared) bool { return s.run == run })
	}
	for _, payload := range []journal.Payload{l.Payload, l.Effect()} {
		for _, s := range journal.Hung(payload) {
			if !slices.Contains(b.d.About.Jobs, s.Job()) {
				return true
			}
		}
	}
	return false
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
