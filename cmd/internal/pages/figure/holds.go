package figure

import (
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// holds says how the hold points stand that the entry has a part in. Places of
// which the same is to be said share a sentence.
func (w *work) holds() {
	var said []route.Verdict
	places := make(map[int][]journal.Subject)
	for _, j := range w.jobs() {
		standing := w.snap.Standing(j.ID)
		if standing == nil {
			continue
		}
		for v := range standing.Each() {
			if !w.concerns(v) {
				continue
			}
			w.rest = append(w.rest, v)
			i := slices.IndexFunc(said, func(o route.Verdict) bool {
				return o.Hold == v.Hold && o.State == v.State && o.Why == v.Why && o.Limit == v.Limit && slices.Equal(o.Notes, v.Notes)
			})
			if i < 0 {
				i = len(said)
				said = append(said, v)
			}
			places[i] = append(places[i], v.Subject)
		}
	}
	for i, v := range said {
		text := v.Title + ": " + v.Why
		if at := w.names(places[i]); at != "" {
			text = at + ", " + words.Small(v.Title) + ": " + v.Why
		}
		for _, note := range v.Notes {
			text += ". " + note
		}
		w.say(Sentence{Text: text, State: v.State, Safety: v.Class == card.Safety, Rests: rests(v.Limit, v.Source), Default: card.ByDefault(v.Source), Holds: len(places[i])})
	}
}

// jobs returns the jobs that the entry is about.
func (w *work) jobs() []*record.Job {
	if j := w.shop.Job(w.line.Subject.Job()); j != nil {
		return []*record.Job{j}
	}
	if r := w.run(); r != nil {
		return r.Jobs
	}
	return nil
}

func (w *work) run() *record.Run { return w.shop.Run(w.line.Subject.Run()) }

// concerns reports whether a verdict rests on the entry, was undone by it, or
// was waived by it.
func (w *work) concerns(v route.Verdict) bool {
	id := w.line.ID
	if slices.Contains(v.Entries, id) || v.Undone == id || v.Waiver != nil && v.Waiver.At == id {
		return true
	}
	waiver, ok := w.line.Effect().(*journal.Waiver)
	return ok && waiver.Hold == v.Hold && facts.Covers(w.line.Subject, v.Subject)
}

// told reports whether a verdict has stated the same already. A joint that a
// hold point of a corner or part judged is not judged once more.
func (w *work) told(s facts.Statement) bool {
	return slices.ContainsFunc(w.rest, func(v route.Verdict) bool {
		if s.Quantity == facts.JointTorque && s.Because != facts.Warned {
			return v.Subject.Corner() != "" && slices.Contains(v.Entries, w.line.ID)
		}
		return slices.ContainsFunc(v.Statements, func(o facts.Statement) bool {
			o.About = s.About // of a rack, each part says it
			return o.Same(s)
		})
	})
}

// names names places other than the entry's own.
func (w *work) names(places []journal.Subject) string {
	if len(places) == 1 && places[0] == w.line.Subject {
		return ""
	}
	var list []string
	for _, p := range places {
		if p.Corner() == "" && len(w.jobs()) < 2 {
			continue // the vehicle is the only one
		}
		list = append(list, w.name(p))
	}
	return w.listed(list)
}

// mostNamed is how many places a sentence names. A rack may hold forty parts; the pages of
// hold points have each.
const mostNamed = 6

// listed names places, or says how many there are.
func (w *work) listed(places []string) string {
	n := len(places)
	if n <= mostNamed {
		return words.Commas(places...)
	}
	if run := w.run(); run != nil && n == len(run.Parts) {
		return "all " + words.Count(n, "part")
	}
	return fmt.Sprintf("%s and %d more", words.Commas(places[:mostNamed]...), n-mostNamed)
}

// name names a place, with its vehicle where there are several.
func (w *work) name(place journal.Subject) string {
	text := pages.Place(place)
	if len(w.jobs()) < 2 {
		return text
	}
	vehicle := string(place.Job())
	if j := w.shop.Job(place.Job()); j != nil && j.Stated != nil && j.Stated.Vehicle.Plate != "" {
		vehicle = j.Stated.Vehicle.Plate
	}
	return text + " of " + vehicle
}

// rests says what a figure was held against, and where that comes from.
func rests(limit, source string) string {
	switch {
	case limit == "":
		return source
	case source == "":
		return "Asked: " + limit
	}
	return "Asked: " + limit + ". Source: " + source
}
