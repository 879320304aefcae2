package trace_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trace"
	"fettlebook/journal/trade/unit"
)

// A wrench that is found out, a lot that is recalled and a bad survey open a promise
// for each car that they concern, and for no other; each is settled by itself, by
// nothing but somebody who was reached about this very matter.
func TestAPromiseForEachCar(t *testing.T) {
	found := func(w *works, result journal.CheckResult) {
		w.does("tool/tw-1", "io", &journal.ToolCheck{Tool: "tw-1", Result: result}, "matter")
	}
	recall := func(w *works, r journal.Recall) {
		r.Why, r.Remedy = "it chalks", "look at the coat"
		w.does("lot/so-118", "io", &r, "matter")
	}
	survey := func(w *works, door string) {
		w.does("tool/ov-1", "io", &journal.Service{Tool: "ov-1", Done: journal.OvenSurveyed, Set: measure[unit.Temperature]("200 °C"), Places: []journal.SurveyedPlace{{Place: "middle", Reads: measure[unit.Temperature]("201 °C")}, {Place: "door", Reads: measure[unit.Temperature](door)}}}, "matter")
	}
	tells := func(w *works, job journal.JobID, c journal.Contact) {
		if c.How == "" {
			c.How = journal.ByTelephone
		}
		if c.About == "" {
			c.About = "the wrench"
		}
		w.does(journal.About(job, "", ""), "io", &c, "told "+string(job))
	}
	reached := func(w *works, job journal.JobID) {
		tells(w, job, journal.Contact{Reached: true, Answer: "comes on Thursday", Of: w.ids["matter"]})
	}
	for _, trial := range []struct {
		what  string
		does  func(w *works)
		of    string
		tells string // cars whose customer has to be told, and of how much
	}{
		{"the wrench was good", func(w *works) { found(w, journal.InTolerance) }, "tool/tw-1", ""},
		{"the wrench was found out: the car since its last good check, and not the one on hand", func(w *works) { found(w, journal.OutOfTolerance) }, "tool/tw-1", "FB 502: 1"},
		{"it was broken", func(w *works) { found(w, journal.BrokenTool) }, "tool/tw-1", "FB 502: 1"},
		{"the good check in between was struck out: the car before it too", func(w *works) {
			found(w, journal.OutOfTolerance)
			w.corrects("tool/tw-1", "second check", nil)
		}, "tool/tw-1", "FB 502: 1, FB 501: 1"},
		{"the bad check was struck out", func(w *works) {
			found(w, journal.OutOfTolerance)
			w.corrects("tool/tw-1", "matter", nil)
		}, "tool/tw-1", ""},
		{"the use was struck out", func(w *works) {
			w.corrects(journal.About(two, "LF", ""), "tight two", nil)
			found(w, journal.OutOfTolerance)
		}, "tool/tw-1", ""},
		{"the car on hand went back after it was known", func(w *works) {
			found(w, journal.OutOfTolerance)
			w.handsBack(three)
		}, "tool/tw-1", "FB 502: 1"},
		{"it went back before", func(w *works) {
			w.handsBack(three)
			found(w, journal.OutOfTolerance)
		}, "tool/tw-1", "KX 900: 1, FB 502: 1"},
		{"the customer was told", func(w *works) {
			w.handsBack(three)
			found(w, journal.OutOfTolerance)
			reached(w, two)
		}, "tool/tw-1", "KX 900: 1"},
		{"both were told", func(w *works) {
			w.handsBack(three)
			found(w, journal.OutOfTolerance)
			reached(w, two)
			reached(w, three)
		}, "tool/tw-1", ""},
		{"nobody was reached", func(w *works) {
			found(w, journal.OutOfTolerance)
			tells(w, two, journal.Contact{Of: w.ids["matter"]})
		}, "tool/tw-1", "FB 502: 1"},
		{"reached, and no answer was noted", func(w *works) {
			found(w, journal.OutOfTolerance)
			tells(w, two, journal.Contact{Reached: true, Of: w.ids["matter"]})
		}, "tool/tw-1", "FB 502: 1"},
		{"told of nothing in particular", func(w *works) {
			found(w, journal.OutOfTolerance)
			tells(w, two, journal.Contact{Reached: true, Answer: "all is well"})
		}, "tool/tw-1", "FB 502: 1"},
		{"told of the check that was good", func(w *works) {
			found(w, journal.OutOfTolerance)
			tells(w, two, journal.Contact{Reached: true, Answer: "all is well", Of: w.ids["second check"]})
		}, "tool/tw-1", "FB 502: 1"},
		{"the owner of another car was told", func(w *works) {
			found(w, journal.OutOfTolerance)
			reached(w, one)
		}, "tool/tw-1", "FB 502: 1"},
		{"what was said is struck out", func(w *works) {
			found(w, journal.OutOfTolerance)
			reached(w, two)
			w.corrects(journal.About(two, "", ""), "told "+string(two), nil)
		}, "tool/tw-1", "FB 502: 1"},
		{"found out twice is one matter, settled by the first", func(w *works) {
			found(w, journal.OutOfTolerance)
			reached(w, two)
			found(w, journal.OutOfTolerance)
		}, "tool/tw-1", ""},
		{"a recalled lot: every car, the one on hand too", func(w *works) { recall(w, journal.Recall{}) }, "so-118", "KX 900: 1, FB 502: 1, FB 501: 1"},
		{"recalled for some days", func(w *works) { recall(w, journal.Recall{Since: "2026-03-20"}) }, "so-118", "KX 900: 1"},
		{"recalled up to a day", func(w *works) { recall(w, journal.Recall{Until: "2026-03-02"}) }, "so-118", "FB 502: 1, FB 501: 1"},
		{"recalled for days on which it was not used", func(w *works) { recall(w, journal.Recall{Since: "2026-03-03", Until: "2026-03-19"}) }, "so-118", ""},
		{"a recall that is struck out", func(w *works) {
			recall(w, journal.Recall{})
			w.corrects("lot/so-118", "matter", nil)
		}, "so-118", ""},
		{"settled one by one", func(w *works) {
			recall(w, journal.Recall{})
			reached(w, three)
			reached(w, one)
		}, "so-118", "FB 502: 1"},
		{"a rack that was another lot's", func(w *works) {
			w.corrects("run/coat-1", "coat-1", &journal.Coating{Rack: rack(caliper(one), caliper(two)), Lot: "so-119", Coat: 1})
			recall(w, journal.Recall{})
		}, "so-118", "KX 900: 1"},
		{"a bad survey: whoever went back", func(w *works) { survey(w, "189 °C") }, "tool/ov-1", "FB 502: 1, FB 501: 1"},
		{"a good survey", func(w *works) { survey(w, "195 °C") }, "tool/ov-1", ""},
		{"a recall and a bad check are two", func(w *works) {
			recall(w, journal.Recall{})
			w.does("tool/tw-1", "io", &journal.ToolCheck{Tool: "tw-1", Result: journal.OutOfTolerance})
		}, "tool/tw-1", "KX 900: 1, FB 502: 2"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			t.Parallel()
			w := threeCars(t)
			trial.does(w)
			var got []string
			for _, v := range w.traces(trial.of, trace.Options{}).Right {
				if v.Tell > 0 {
					got = append(got, fmt.Sprintf("%s: %d", v.Name, v.Tell))
				}
			}
			if list := strings.Join(got, ", "); list != trial.tells {
				t.Errorf("to be told are %q, not %q", list, trial.tells)
			}
		})
	}
}
