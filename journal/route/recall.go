package route

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Recalls lists the recalls of what a job used, as something that is owed to
// the customer: each until somebody was reached about this very recall.
func Recalls(job *record.Job) []FollowUp {
	var list []FollowUp
	for _, r := range job.Recalled() {
		what := words.Choose(r.Of.Word() == "lot", "powder lot", r.Of.Word()) + " " + r.Of.Last()
		f := FollowUp{Name: "recall", Title: "Recall of " + what, Recall: r.Line.ID, Due: time.Time(r.Line.Clocks.Device), State: Due, Source: "the recall"}
		var kept *record.Line
		for _, l := range job.Lines {
			c, ok := l.Effect().(*journal.Contact)
			switch {
			case !ok || c.Of != r.Line.ID || facts.Before(l, r.Line):
			case kept == nil && c.Reached && c.Answer != "":
				f.State, f.By, kept = Kept, l.ID, l
			case kept == nil:
				f.Tries = append(f.Tries, l.ID)
			}
		}
		f.Say = fmt.Sprintf("%s: %s; %s", f.Title, r.Said.Why, r.Said.Remedy) + f.tried()
		if kept != nil {
			f.Say = f.say(kept)
		}
		list = append(list, f)
	}
	return list
}

// OpenRecalls lists the recalls that the customer of a job was not told of yet.
func OpenRecalls(job *record.Job) []FollowUp {
	var list []FollowUp
	for _, f := range Recalls(job) {
		if f.State != Kept {
			list = append(list, f)
		}
	}
	return list
}
