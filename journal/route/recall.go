package route

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Recalls lists what came out about things that a job used ([facts.Matter]), as
// something that is owed to the customer: each until somebody was reached about
// this very matter.
func Recalls(job *record.Job) []FollowUp {
	var list []FollowUp
	for _, m := range facts.StockOf(job.Within()).Matters(job) {
		f := FollowUp{Name: string(m.Kind), Title: m.Title, About: words.Small(m.Title), Recall: m.Line.ID, Due: time.Time(m.Line.Clocks.Device), State: Due, Source: m.Source}
		var kept *record.Line
		for _, l := range job.Lines {
			c, ok := l.Effect().(*journal.Contact)
			switch {
			case !ok || c.Of != m.Line.ID || facts.Before(l, m.Line):
			case kept == nil && c.Reached && c.Answer != "":
				f.State, f.By, kept = Kept, l.ID, l
			case kept == nil:
				f.Tries = append(f.Tries, l.ID)
			}
		}
		f.Say = fmt.Sprintf("%s: %s; %s", f.Title, m.Why, m.Remedy) + f.tried()
		if kept != nil {
			f.Say = f.say(kept, job.Units().Writing)
		}
		list = append(list, f)
	}
	return list
}

// OpenRecalls lists those that the customer of a job was not told of yet.
func OpenRecalls(job *record.Job) []FollowUp {
	var list []FollowUp
	for _, f := range Recalls(job) {
		if f.State != Kept {
			list = append(list, f)
		}
	}
	return list
}
