package route

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Progress says how a promise stands.
type Progress string

// How a promise may stand.
const (
	Pending Progress = "open" // not due yet
	Due     Progress = "due"
	Kept    Progress = "kept"
)

// FollowUp is a promise of a job that was handed back.
type FollowUp struct {
	Name     string            `json:"name"`
	Title    string            `json:"title"`
	Due      time.Time         `json:"due"`               // by the clock of the device that released
	Odometer string            `json:"odometer,omitzero"` // between which readings, such as "84266 to 84316 km"
	Told     string            `json:"told,omitzero"`     // what the customer was told about it
	About    string            `json:"about,omitzero"`    // what the customer is asked about
	Answers  []string          `json:"answers,omitempty"` // that the customer usually gives
	State    Progress          `json:"state"`
	By       journal.EntryID   `json:"by,omitzero"`     // the entry that kept it
	Tries    []journal.EntryID `json:"tries,omitempty"` // contacts that did not keep it
	Source   string            `json:"source"`
	Say      string            `json:"say"`             // one sentence
	Claim    journal.EntryID   `json:"claim,omitzero"`  // of a complaint that has to be decided
	Recall   journal.EntryID   `json:"recall,omitzero"` // or a bad check or survey: of which the customer has to be told
}

// FollowUps lists what is owed to the customer, in the order in which it is due,
// as it stands at a time: complaints that came in, recalls of what
// was used, the day that was promised, and the promises of the card for a job that was handed back. A promise that
// hangs on the odometer is due at its time at the latest, since nobody reads
// the odometer of a vehicle that is away. Work that struck-out entries told of
// keeps nothing.
func FollowUps(by *card.Card, job *record.Job, at time.Time) []FollowUp {
	var list []FollowUp
	for _, c := range Claims(job) {
		if c.stands != nil {
			list = append(list, c.demand())
		}
	}
	list = append(list, Recalls(job)...)
	if f, ok := ready(job, at); ok {
		list = append(list, f)
	}
	if by != nil && job.Released != nil {
		if release, ok := job.Released.Effect().(*journal.Release); ok {
			for _, p := range by.FollowUps {
				list = append(list, follow(&p, job, release, at))
			}
		}
	}
	slices.SortStableFunc(list, func(a, b FollowUp) int { return a.Due.Compare(b.Due) })
	return list
}

func follow(p *card.Promise, job *record.Job, release *journal.Release, at time.Time) FollowUp {
	from := time.Time(job.Released.Clocks.Device)
	f := FollowUp{Name: p.Name, Title: p.Title, Due: from.Add(time.Duration(p.Hours) * time.Hour), State: Pending, Source: p.Source, Answers: p.Answers, About: askedAbout(p)}
	for _, advice := range release.Advised {
		if f.Told == "" && speaksOf(p, string(advice)) {
			f.Told = string(advice)
		}
	}
	for _, told := range release.Told {
		if speaksOf(p, told) {
			f.Told = told
		}
	}
	odometer := release.Odometer
	if odometer.IsZero() {
		odometer = job.Odometer
	}
	f.Odometer = between(p, odometer, job.Units().Distance)
	var kept *record.Line
	for _, l := range job.Lines {
		data := l.Effect()
		if data == nil || facts.Before(l, job.Released) || !slices.Contains(p.Kept, data.Kind()) {
			continue
		}
		does, about := true, true
		if c, ok := data.(*journal.Contact); ok {
			about = asks(p, c)
			does = c.Reached && c.Answer != "" && about
		}
		switch {
		case does && kept == nil:
			f.State, f.By, kept = Kept, l.ID, l
		case !does && about:
			f.Tries = append(f.Tries, l.ID)
		}
	}
	if f.State == Pending && !at.Before(f.Due) {
		f.State = Due
	}
	f.Say = f.say(kept, job.Units().Writing)
	return f
}

// askedAbout is what the customer is asked about. A card that has no words of its own
// for it has those by which such a contact is known.
func askedAbout(p *card.Promise) string {
	if p.About == "" && len(p.Words) > 0 {
		return p.Words[0]
	}
	return p.About
}

// asks reports whether a contact is about the promise. One that names the promise it
// keeps is about that one, whatever its words.
func asks(p *card.Promise, c *journal.Contact) bool {
	if c.Keeps != "" {
		return c.Keeps == p.Name
	}
	return speaksOf(p, c.About)
}

// speaksOf reports whether a text is about the promise.
func speaksOf(p *card.Promise, text string) bool {
	return slices.ContainsFunc(p.Words, func(w string) bool { return strings.Contains(strings.ToLower(text), strings.ToLower(w)) })
}

// between says between which readings the promise is to be kept, in the unit in
// which the shop works and, where that is another, as the odometer shows it.
func between(p *card.Promise, odometer unit.Distance, in unit.DistanceUnit) string {
	now := odometer.In(unit.Kilometre)
	if p.KilometresTo == 0 || !(now > 0) {
		return ""
	}
	readings := func(in unit.DistanceUnit) string {
		from, to := now+float64(p.KilometresFrom), now+float64(p.KilometresTo)
		return fmt.Sprintf("%.0f to %s", unit.Convert(from, unit.Kilometre, in), unit.Show(to, unit.Kilometre, in, 0))
	}
	if unit.Foreign(odometer, in) {
		return readings(in) + " (" + readings(odometer.Unit()) + " on the odometer)"
	}
	return readings(odometer.Unit())
}

// say says how the promise stands. What was done is said in the words of the
// entry that did it: a telephone call tells what was answered and no more.
func (f FollowUp) say(kept *record.Line, w words.Writing) string {
	text := f.Title + ": "
	switch f.State {
	case Kept:
		return text + journal.Told(kept.Effect(), w).Say() + ", " + kept.Clocks.Device.Said(w)
	case Due:
		text += "due since " + journal.Stamp(f.Due).Said(w)
	default:
		text += "due on " + journal.Stamp(f.Due).Said(w)
	}
	if f.Odometer != "" {
		text += ", at " + w.Number(f.Odometer)
	}
	return text + f.tried()
}

// tried says how often somebody tried in vain, as a further clause.
func (f FollowUp) tried() string {
	return words.If(len(f.Tries) > 0, fmt.Sprintf("; tried %s, nobody reached or no answer noted", words.Count(len(f.Tries), "time")))
}
