package write

import (
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
)

// cautions are what the cards say at the work that an entry is about: the card
// of a stage at that stage, and for a run the cards of all jobs that have a
// part in it, of which none may be chosen yet.
func (t *task) cautions() []string {
	if t.at != nil {
		return saidAt(nil, t.snap, t.at.Card, t.at.Stage)
	}
	var list []string
	for _, c := range t.cards() {
		for i := range c.Stages {
			stage := &c.Stages[i]
			if slices.Contains(slices.Concat(stage.Wants, stage.May), t.kind) {
				list = saidAt(list, t.snap, c, stage)
			}
		}
	}
	return list
}

// cards are those of the jobs of a run: of the parts in it, and while it is
// put together of all jobs on hand. There are none for what is not a run's.
func (t *task) cards() []*card.Card {
	if t.subject.Word() != "run" {
		return nil
	}
	var jobs []journal.JobID
	if t.rack {
		for _, j := range t.snap.Open(looked) {
			jobs = append(jobs, j.ID)
		}
	} else if run := t.snap.Run(t.subject.Run()); run != nil {
		for _, j := range run.Jobs {
			jobs = append(jobs, j.ID)
		}
	}
	var list []*card.Card
	for _, id := range jobs {
		if st := t.snap.Standing(id); st != nil && st.Card != nil && !slices.Contains(list, st.Card) {
			list = append(list, st.Card)
		}
	}
	return list
}

// saidAt adds the cautions of a stage that are not in a list yet.
func saidAt(list []string, s *live.Snapshot, c *card.Card, stage *card.Stage) []string {
	for _, text := range stage.Cautions {
		if say := c.Say(text, s.Shop.Units); !slices.Contains(list, say) {
			list = append(list, say)
		}
	}
	return list
}
