package dossier

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/index"
	"fettlebook/journal/words"
)

// withhold leaves out every chosen entry in which somebody wrote whose car
// another one is: a VIN, a plate, or what a customer's card says, of a vehicle
// or a customer that the dossier is not about. It does not matter what kind of
// entry it is and who wrote it, a remark on the job or a note at a wrench's
// check. Only what the proofs rest on stays: what founds the shop, admits its
// devices and ends its logs.
func (b *build) withhold() error {
	texts, err := b.texts()
	if err != nil {
		return err
	}
	others, err := b.others(texts)
	if err != nil {
		return err
	}
	for _, t := range texts {
		p := b.picked[t.at]
		if p == nil || !others.in(t) && !b.singles(p, t.said) {
			continue
		}
		delete(b.picked, t.at)
		b.leave("entries", "they name another customer or another car")
		// Papers tell nothing of the notes at things of the register, and of
		// investigations only those that are here.
		b.hidden = b.hidden || p.why != evidence.ForClaim && (!t.note || slices.Contains([]evidence.Why{evidence.ForJob, evidence.ForRun}, p.why))
		if p.line != nil && p.why == evidence.ForRoute {
			if c, ok := p.line.Effect().(*journal.RouteCard); ok {
				delete(b.routes, routePath(c))
			}
		}
	}
	b.keepAbout()
	return nil
}

// text is a text of a chosen entry.
type text struct {
	at   journal.Position
	run  journal.RunID // that the entry is about
	note bool          // it is the entry's note
	said string
}

// texts gathers all texts of the chosen entries, of those too that are quoted.
func (b *build) texts() ([]text, error) {
	var list []text
	for part := range slices.Chunk(b.places(), batch) {
		raw, err := b.bytes(part)
		if err != nil {
			return nil, err
		}
		for _, at := range part {
			e, err := journal.Decode(raw[at])
			if err != nil {
				continue // which is found when it is packed
			}
			if _, quoted := e.Quotes(); quoted != nil {
				e = quoted
			}
			if e.Type.Kind.Is(journal.Proves) {
				continue
			}
			for pointer, said := range index.Texts(e.Data) {
				list = append(list, text{journal.Position(at), e.Subject.Run(), pointer == "/note", said})
			}
		}
	}
	return list, nil
}

// keepAbout has the dossier not say that it is about what only an entry shows
// that is withheld.
func (b *build) keepAbout() {
	about := &b.d.About
	opened, claimed := false, false
	for _, p := range b.picked {
		if p.line == nil {
			continue
		}
		claimed = claimed || p.line.ID == about.Claim
		for _, payload := range []journal.Payload{p.line.Payload, p.line.Effect()} {
			if j, ok := payload.(*journal.Job); ok {
				for _, name := range []string{j.Vehicle.VIN, j.Vehicle.Plate} {
					opened = opened || words.Squash(name) == words.Squash(about.Vehicle)
				}
			}
		}
	}
	if !opened {
		about.Vehicle = ""
	}
	if !claimed {
		about.Claim = journal.EntryID{}
	}
}

// squash leaves out what people write differently: spaces and dashes, and what
// stands before the first word and behind the last, such as the + of a telephone.
func squash(text string) string {
	text = strings.TrimFunc(text, func(r rune) bool { return !inWord(r) })
	return strings.ToUpper(strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -.\t\n", r) {
			return -1
		}
		return r
	}, text))
}
