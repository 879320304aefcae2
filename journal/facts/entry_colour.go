package facts

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// approval says whether a photograph shows what the customer approved.
func (w *entry) approval(d *journal.ColourApproval) {
	if len(w.line.Photos) == 0 {
		w.state(Statement{Quantity: ApprovedColour, Of: d.Sample, Met: NotKnown, Sure: NotProven, Because: NoPhotograph})
	}
}

// approved says for each vehicle whose parts are coated what its customer had
// approved by then.
func (w *entry) approved(d *journal.Coating) {
	seen := make(map[journal.JobID]bool)
	for _, on := range slices.Concat(w.hung(d.Parts), []journal.Subject{w.line.Subject}) {
		job := w.shop.Job(on.Job())
		if job == nil || seen[job.ID] {
			continue
		}
		seen[job.ID] = true
		e := lastOf(w.events(job.Timeline()), func(e Event) bool { return is[journal.ColourApproval](e) && Before(e.Line, w.line) })
		if e == nil {
			continue
		}
		c := e.Data.(*journal.ColourApproval)
		s := Statement{About: journal.About(job.ID, "", ""), Quantity: ApprovedColour, Of: c.Sample, Value: string(d.Lot), With: []Figure{with("code", c.Code), with("gloss", c.Gloss), with("texture", c.Texture), with("sample of lot", string(c.Lot))}}
		if c.Lot == d.Lot {
			s.Met = Yes
		}
		w.state(s.on(e.Line))
	}
}

// hung returns the parts that an entry names, or those of its run.
func (w *entry) hung(named []journal.Subject) []journal.Subject {
	if run := w.shop.Run(w.line.Subject.Run()); len(named) == 0 && run != nil {
		return run.Parts
	}
	return named
}

// approvedWords says what the customer approved. Several lots may make one
// colour, so another one is told and is not wrong.
func (s Statement) approvedWords() string {
	if s.Because == NoPhotograph {
		return fmt.Sprintf("no photograph shows the sample %s that the customer accepted", s.Of)
	}
	text := "the customer accepted sample " + words.Commas(s.Of, words.Fill("code %s", s.Has("code")), words.Fill("gloss %s", s.Has("gloss")), words.Fill("texture %s", s.Has("texture")))
	switch lot := s.Has("sample of lot"); {
	case lot == "":
		return text
	case s.Met == Yes:
		return text + ", coated from this lot"
	default:
		return fmt.Sprintf("%s, coated from lot %s; this coat is of lot %s", text, lot, s.Value)
	}
}
