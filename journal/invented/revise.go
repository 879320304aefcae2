package invented

import (
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// revise writes what was looked into, and the edition of the route card that
// came out of it.
func (w *writing) revise() error {
	at := w.plan.revised()
	if at.IsZero() {
		return nil
	}
	text, err := card.Supplied(card.Usual)
	if err != nil {
		return err
	}
	about := journal.Of("route", string(card.Usual))
	var looked journal.EntryID
	asked := at.Add(-2 * time.Hour)
	counted, err := w.plan.counted(asked)
	if err != nil {
		return err
	}
	w.say(asked, Counter, desk, about, &journal.Investigation{
		Matter: "pinholes on parts that were soaked", LookedAt: []string{"the parts table", "the parts with pinholes"}, Defect: journal.Pinhole, Counted: counted,
		Found: "many of them were soaked cooler than they were baked", Concluded: "gas comes out of the casting in the bake", Sure: journal.Probable,
		Decided: []journal.Outcome{{What: journal.CardChanged, Says: "the soak is read on the metal"}}}).Wrote = func(id journal.EntryID) { looked = id }
	w.say(at.Add(-time.Hour), Office, desk, about, nil).Data = func() (journal.Payload, error) {
		return &journal.RouteCard{Route: card.Usual, Edition: 2, Text: strings.Replace(text, "\nedition: 1\n", "\nedition: 2\n", 1), Because: looked}, nil
	}
	return nil
}

// counted is what a study of pinholes told at a moment: of all coats, and of the
// soaks that it finds to go with them.
func (p *Plan) counted(at time.Time) (list []journal.Count, err error) {
	s, err := recur.Of(p.known(at), recur.Question{Defect: string(journal.Pinhole)})
	if err != nil {
		return nil, err
	}
	for _, t := range s.Tallies(parts.SoakOverBake) {
		list = append(list, journal.Count{With: t.With, Defects: t.Sample.Defects, Parts: t.Sample.Parts})
	}
	return list, nil
}
