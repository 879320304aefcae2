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
	State    Progress          `json:"state"`
	By       journal.EntryID   `json:"by,omitzero"`     // the entry that kept it
	Tries    []journal.EntryID `json:"tries,omitempty"` // contacts that did not keep it
	Source   string            `json:"source"`
	Say      string            `json:"say"` // one sentence
}

// FollowUps lists the promises of the card for a job that was handed back, in
// the order in which they are due, as they stand at a time. A promise that
// hangs on the odometer is due at its time at the latest, since nobody reads
// the odometer of a vehicle that is away. Work that struck-out entries told of
// keeps nothing.
func FollowUps(by *card.Card, job *record.Job, at time.Time) []FollowUp {
	if by == nil || job.Released == nil {
		return nil
	}
	release, ok := job.Released.Effect().(*journal.Release)
	if !ok {
		return nil
	}
	var list []FollowUp
	for _, p := range by.FollowUps {
		list = append(list, follow(&p, job, release, at))
	}
	slices.SortStableFunc(list, func(a, b FollowUp) int { return a.Due.Compare(b.Due) })
	return list
}

func follow(p *card.Promise, job *record.Job, release *journal.Release, at time.Time) FollowUp {
	from := time.Time(job.Released.Clocks.Device)
	f := FollowUp{Name: p.Name, Title: p.Title, Due: from.Add(time.Duration(p.Hours) * time.Hour), State: Pending, Source: p.Source}
	for _, told := range release.Told {
		if speaksOf(p, told) {
			f.Told = told
		}
	}
	odometer := release.Odometer
	if odometer.IsZero() {
		odometer = job.Odometer
	}
	f.Odometer = between(p, odometer)
	for _, l := range job.Lines {
		data := l.Effect()
		if data == nil || facts.Before(l, job.Released) || !slices.Contains(p.Kept, data.Kind()) {
			continue
		}
		kept, about := true, true
		if c, ok := data.(*journal.Contact); ok {
			about = speaksOf(p, c.About) || !time.Time(l.Clocks.Device).Before(f.Due)
			kept = c.Reached && about
		}
		switch {
		case kept && f.By.IsZero():
			f.State, f.By = Kept, l.ID
		case !kept && about:
			f.Tries = append(f.Tries, l.ID)
		}
	}
	if f.State == Pending && !at.Before(f.Due) {
		f.State = Due
	}
	f.Say = f.say()
	return f
}

// speaksOf reports whether a text is about the promise.
func speaksOf(p *card.Promise, text string) bool {
	return slices.ContainsFunc(p.Words, func(w string) bool { return strings.Contains(strings.ToLower(text), strings.ToLower(w)) })
}

// between says between which readings the promise is to be kept, in the unit
// of the odometer.
func between(p *card.Promise, odometer unit.Distance) string {
	if p.KilometresTo == 0 || odometer.IsZero() {
		return ""
	}
	perKilometre := odometer.Value() / odometer.In(unit.Kilometre)
	if !(odometer.In(unit.Kilometre) > 0) {
		return ""
	}
	reading := func(km int) float64 { return odometer.Value() + float64(km)*perKilometre }
	return fmt.Sprintf("%.0f to %s", reading(p.KilometresFrom), unit.Format(reading(p.KilometresTo), odometer.Unit(), 0))
}

func (f FollowUp) say() string {
	text := f.Title + ": "
	switch f.State {
	case Kept:
		return text + "done"
	case Due:
		text += "due since " + f.Due.Format("2006-01-02 15:04")
	default:
		text += "due on " + f.Due.Format("2006-01-02 15:04")
	}
	if f.Odometer != "" {
		text += ", at " + f.Odometer
	}
	if n := len(f.Tries); n > 0 {
		text += fmt.Sprintf("; tried %d times without reaching anyone or an answer", n)
	}
	return text
}
