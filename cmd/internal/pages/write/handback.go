package write

import (
	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// handback are the ways to the stages whose hold points are not met, of a vehicle
// that is to be handed back. Those that forbid it are a page of their own, with no
// button; the record names the others.
func (t *task) handback() (forbid, named []way) {
	st := t.snap.Standing(t.subject.Job())
	if t.kind != journal.VehicleReleased || t.of != nil || st == nil {
		return nil, nil
	}
	for v := range st.Each() {
		if v.State == route.Met || v.Class != card.Safety && v.State == route.Waived {
			continue
		}
		w := way{Path: "/holds/" + string(t.subject.Job()), Say: pages.Place(v.Subject) + " · " + v.Title, Why: words.Sentence(v.Found()), State: v.State}
		if st.Card != nil {
			if stage, _ := st.Card.Hold(v.Hold); stage != nil {
				w.Path = pages.StagePath(stage.Name, v.Subject)
				if k := v.Answer(stage); k != "" {
					w.Path += "?kind=" + string(k)
				}
			}
		}
		if o := pages.OrderOf(v); o != nil {
			w.Path = o.Path
		}
		if v.Class == card.Safety {
			forbid = append(forbid, w)
		} else {
			named = append(named, w)
		}
	}
	return forbid, named
}
