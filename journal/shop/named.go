package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/index"
)

// Named is a vehicle's VIN or plate, and the jobs that bear it.
type Named struct {
	Text string // squashed
	Jobs []journal.JobID
}

// Named returns the VINs and plates among some names, without regard to case,
// spaces and dashes. One that was corrected since is still among them.
func (v *View) Named(names []string) []Named {
	squashed := make([]string, len(names))
	for i, name := range names {
		squashed[i] = index.Squash(name)
	}
	found, err := v.shop.index.Named(v.ctx, squashed)
	v.note(err)
	var list []Named
	at := make(map[string]int)
	for _, m := range found {
		i, known := at[m.Text]
		if !known {
			i, at[m.Text] = len(list), len(list)
			list = append(list, Named{Text: m.Text})
		}
		list[i].Jobs = append(list[i].Jobs, m.Home.Job())
	}
	return list
}

// CardsWith returns the customer cards that hold a word.
func (v *View) CardsWith(word string) []journal.CardID {
	cards, err := v.shop.index.CardsWith(v.ctx, word)
	v.note(err)
	return cards
}
