package dossier

import (
	"slices"
	"strings"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

const (
	// telling is the fewest characters of a plate or a name that tell whose car
	// it is.
	telling = 4

	// longest is more characters than a plate or a VIN has, and mostWords more
	// words than anyone writes it in.
	longest, mostWords = 24, 8
)

// others is what tells of other customers and other cars, as far as any of the
// texts may hold it.
type others struct {
	named  map[string]bool     // plates and VINs, squashed
	cards  map[string][]string // by a word, in upper case, what cards with it say
	beside map[journal.RunID][]string
}

// others finds out which of what the texts say tells of others. A plate is found
// in whatever way it is spaced; of a card, what it says as whole words.
func (b *build) others(texts []text) (*others, error) {
	o := &others{named: make(map[string]bool), cards: make(map[string][]string), beside: make(map[journal.RunID][]string)}
	heard, names, single := make(map[string]bool), make(map[string]bool), make(map[string]bool)
	for _, t := range texts {
		if heard[t.said] { // most of what is said is said of many parts
			continue
		}
		heard[t.said] = true
		for name := range spelled(t.said) {
			names[name] = true
		}
		for _, w := range wordsOf(t.said) {
			single[w.upper(t.said)] = true
		}
	}
	for _, n := range b.view.Named(sorted(names)) {
		if !slices.ContainsFunc(n.Jobs, func(id journal.JobID) bool { return slices.Contains(b.d.About.Jobs, id) }) {
			o.named[n.Text] = true
		}
	}
	own, err := b.own()
	if err != nil {
		return nil, err
	}
	told := make(map[journal.CardID][]string)
	for _, w := range sorted(single) {
		for _, id := range b.view.CardsWith(w) {
			says, known := told[id]
			if !known {
				if says, err = b.says(id, own); err != nil {
					return nil, err
				}
				told[id] = says
			}
			o.cards[w] = append(o.cards[w], says...)
		}
	}
	for _, r := range b.run {
		if o.beside[r.run], err = b.besideOn(r, own); err != nil {
			return nil, err
		}
	}
	return o, b.view.Err()
}

// in reports whether a text tells of others.
func (o *others) in(t text) bool {
	for name := range spelled(t.said) {
		if o.named[name] {
			return true
		}
	}
	found := wordsOf(t.said)
	for i, w := range found {
		for _, says := range o.cards[w.upper(t.said)] {
			if holds(t.said, found, i, says) {
				return true
			}
		}
	}
	// Whoever worked on the run knows these cars and may have written them in
	// any way.
	if names := o.beside[t.run]; len(names) > 0 {
		all := squash(t.said)
		return slices.ContainsFunc(names, func(name string) bool { return strings.Contains(all, name) })
	}
	return false
}

// word is a word of a text, from one byte to another.
type word struct{ from, to int }

func (w word) upper(of string) string { return strings.ToUpper(of[w.from:w.to]) }

func inWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
}

// wordsOf cuts a text into its words.
func wordsOf(of string) (list []word) {
	from := -1
	for i, r := range of {
		switch is := inWord(r); {
		case is && from < 0:
			from = i
		case !is && from >= 0:
			list, from = append(list, word{from, i}), -1
		}
	}
	if from >= 0 {
		list = append(list, word{from, len(of)})
	}
	return list
}

// spelled yields, squashed, what of a text may be a plate or a VIN: some words in a row,
// with a letter among them, since numbers alone are readings.
func spelled(of string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		list := wordsOf(of)
		for i, first := range list {
			for _, last := range list[i:min(i+mostWords, len(list))] {
				name := of[first.from:last.to]
				squashed := index.Squash(name)
				if len(squashed) > longest {
					break
				}
				if len(squashed) >= telling && strings.ContainsFunc(name, unicode.IsLetter) && !yield(squashed) {
					return
				}
			}
		}
	}
}

// holds reports whether a text has, from or up to one of its words, what a card
// says. A name of one word may be an ordinary word: it counts with a capital
// inside a sentence.
func holds(of string, list []word, at int, says string) bool {
	want := squash(says)
	if len(wordsOf(says)) == 1 && !strings.ContainsFunc(says, unicode.IsDigit) {
		begins := at == 0 || strings.ContainsAny(of[list[at-1].to:list[at].from], ".!?:\n")
		first := []rune(of[list[at].from:list[at].to])[0]
		return squash(of[list[at].from:list[at].to]) == want && unicode.IsUpper(first) && !begins
	}
	for i := at; i >= 0; i-- {
		for _, last := range list[at:] {
			if got := squash(of[list[i].from:last.to]); got == want {
				return true
			} else if len(got) > len(want) {
				break
			}
		}
		if len(squash(of[list[i].from:list[at].to])) > len(want) {
			break
		}
	}
	return false
}

// says returns what a card says that tells whose it is and is not one's own too.
func (b *build) says(id journal.CardID, own map[string]bool) (list []string, err error) {
	card, err := cardOf(b.ctx, b.Cards, id)
	if err != nil || card == nil {
		return nil, err
	}
	for _, text := range details(card) {
		if s := squash(text); len(s) >= telling && !own[s] {
			list = append(list, text)
		}
	}
	return list, nil
}

func details(card *journal.Card) []string {
	return []string{card.Details.Name, card.Details.Phone, card.Details.Mail, card.Details.Address}
}

// own is what tells of the jobs' own cars and customers and of the people who
// work here, squashed, and the shop's own name.
func (b *build) own() (map[string]bool, error) {
	own := map[string]bool{squash(b.view.Shop.Name): true}
	var cards []journal.CardID
	for _, j := range b.jobs {
		for _, name := range vehicleOf(j) {
			own[squash(name)] = true
		}
		if j.Customer != nil {
			own[squash(string(j.Customer.Card))] = true
			cards = append(cards, j.Customer.Card)
		}
	}
	for _, p := range b.view.Shop.People {
		if p.Stated != nil && p.Stated.Card != "" {
			cards = append(cards, p.Stated.Card)
		}
	}
	for _, id := range cards {
		card, err := cardOf(b.ctx, b.Cards, id)
		if err != nil {
			return nil, err
		}
		if card != nil {
			for _, text := range details(card) {
				own[squash(text)] = true
			}
		}
	}
	return own, nil
}

// vehicleOf is what stands on a job's vehicle.
func vehicleOf(j *record.Job) (list []string) {
	if j.Vehicle != nil {
		list = append(append(list, j.Vehicle.VIN), j.Vehicle.Plates...)
	}
	if j.Stated != nil {
		list = append(list, j.Stated.Vehicle.VIN, j.Stated.Vehicle.Plate)
	}
	return list
}

// besideOn is what tells whose cars a run is shared with, squashed.
func (b *build) besideOn(r shared, own map[string]bool) (list []string, err error) {
	for id := range r.with {
		j := b.view.Job(id)
		if j == nil {
			continue
		}
		told := vehicleOf(j)
		if j.Customer != nil {
			told = append(told, string(j.Customer.Card))
			card, err := cardOf(b.ctx, b.Cards, j.Customer.Card)
			if err != nil {
				return nil, err
			}
			if card != nil {
				told = append(told, details(card)...)
			}
		}
		for _, text := range told {
			if text = squash(text); len(text) >= telling && !own[text] {
				list = append(list, text)
			}
		}
	}
	return list, b.view.Err()
}

func sorted(set map[string]bool) []string {
	list := make([]string, 0, len(set))
	for s := range set {
		list = append(list, s)
	}
	slices.Sort(list)
	return list
}
