package route_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// A recall is owed to every customer for whom the thing was used on a day that
// is meant, until somebody was reached about this very recall. The job is of 2
// March 2026.
func TestRecalls(t *testing.T) {
	recall := func(of journal.Subject, r journal.Recall) step {
		r.Why, r.Remedy = "the maker recalls batch 2604", "replace the boots"
		return plain("recall", office, of, "io", r)
	}
	told := func(of string, reached bool, answer string) step {
		return linked("told", office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Contact{How: "telephone", About: "the recall", Reached: reached, Answer: answer, Of: ids[of]}
		})
	}
	kit := journal.Of("kit", "ks-7")
	for _, trial := range []struct {
		what  string
		steps []step
		state route.Progress // "" if nothing is owed
		tries int
	}{
		{"nothing was recalled", nil, "", 0},
		{"a kit that was fitted", []step{recall(kit, journal.Recall{})}, route.Due, 0},
		{"a kit that was not", []step{recall(journal.Of("kit", "ks-8"), journal.Recall{})}, "", 0},
		{"a powder lot", []step{recall(journal.Of("lot", "so-118"), journal.Recall{})}, route.Due, 0},
		{"a tool", []step{recall(journal.Of("tool", "tw-1"), journal.Recall{})}, route.Due, 0},
		{"used on the first day", []step{recall(kit, journal.Recall{Since: "2026-03-02"})}, route.Due, 0},
		{"used on the last day", []step{recall(kit, journal.Recall{Until: "2026-03-02"})}, route.Due, 0},
		{"used before", []step{recall(kit, journal.Recall{Since: "2026-03-03"})}, "", 0},
		{"used after", []step{recall(kit, journal.Recall{Since: "2026-02-01", Until: "2026-03-01"})}, "", 0},
		{"the customer was told", []step{recall(kit, journal.Recall{}), told("recall", true, "comes on Thursday")}, route.Kept, 0},
		{"nobody was reached", []step{recall(kit, journal.Recall{}), told("recall", false, "")}, route.Due, 1},
		{"no answer was noted", []step{recall(kit, journal.Recall{}), told("recall", true, "")}, route.Due, 1},
		{"told about something else", []step{recall(kit, journal.Recall{}), told("opened", true, "comes on Thursday")}, route.Due, 0},
		{"the recall was struck out", []step{recall(kit, journal.Recall{}), linked("struck", office, kit, "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["recall"], Reason: "another batch"}
		})}, "", 0},
	} {
		s := complete(t)
		edit(s, "LF rebuilt", func(r *journal.Rebuild) { r.Kits = []journal.KitID{"ks-7"} })
		s.add(trial.steps...)
		job, _ := fold(s.write().log)
		var got route.FollowUp
		for _, f := range route.Recalls(job) {
			got = f
		}
		if got.State != trial.state || len(got.Tries) != trial.tries {
			t.Errorf("%s: %s after %d tries: %s", trial.what, got.State, len(got.Tries), got.Say)
		}
		if open := len(route.OpenRecalls(job)); (open > 0) != (trial.state == route.Due) {
			t.Errorf("%s: %d are open", trial.what, open)
		}
		if got.State == route.Due && !strings.Contains(got.Say, "the maker recalls batch 2604; replace the boots") {
			t.Errorf("%s: %s", trial.what, got.Say)
		}
	}
}

// A check that finds a tool out, and a bad survey of an oven, are owed to
// everyone whose vehicle was handed back before it, if no good one lies between
// it and the use. Nobody has to write a recall.
func TestMatters(t *testing.T) {
	check := func(name string, tool journal.ToolID, result journal.CheckResult) step {
		return plain(name, office, journal.Of("tool", string(tool)), "io", journal.ToolCheck{Tool: tool, Result: result})
	}
	survey := func(name string, on journal.Date, door string) step {
		return plain(name, office, journal.Of("tool", "oven-1"), "io", journal.Service{Tool: "oven-1", Done: journal.OvenSurveyed, On: on, Set: q[unit.Temperature]("200 °C"),
			Places: []journal.SurveyedPlace{{Place: "middle", Reads: q[unit.Temperature]("201 °C")}, {Place: "door", Reads: q[unit.Temperature](door)}}})
	}
	told := func(of string) step {
		return linked("told "+of, office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Contact{How: "telephone", About: "the wrench", Reached: true, Answer: "comes on Thursday", Of: ids[of]}
		})
	}
	const bad, good = journal.OutOfTolerance, journal.InTolerance
	for _, trial := range []struct {
		what   string
		before []step // the car is handed back
		after  []step
		want   []route.Progress
	}{
		{"a good check", nil, []step{check("1", "tw-1", good)}, nil},
		{"found out", nil, []step{check("1", "tw-1", bad)}, []route.Progress{route.Due}},
		{"found out, and never found good before", []step{linked("no check", office, journal.Of("tool", "tw-1"), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["check tw-1"], Reason: "another wrench"}
		})}, []step{check("1", "tw-1", bad)}, []route.Progress{route.Due}},
		{"broken", nil, []step{check("1", "tw-1", journal.BrokenTool)}, []route.Progress{route.Due}},
		{"adjusted", nil, []step{check("1", "tw-1", journal.AdjustedWasOut)}, []route.Progress{route.Due}},
		{"another tool", nil, []step{check("1", "tw-9", bad)}, nil},
		{"a good check between", nil, []step{check("1", "tw-1", good), check("2", "tw-1", bad)}, nil},
		{"a good check after", nil, []step{check("1", "tw-1", bad), check("2", "tw-1", good)}, []route.Progress{route.Due}},
		{"two bad checks are one matter", nil, []step{check("1", "tw-1", bad), check("2", "tw-1", bad)}, []route.Progress{route.Due}},
		{"two tools are two", nil, []step{check("1", "tw-1", bad), check("2", "tw-2", bad)}, []route.Progress{route.Due, route.Due}},
		{"found out before it was handed back", []step{check("1", "tw-1", bad)}, nil, nil},
		{"the customer was told", nil, []step{check("1", "tw-1", bad), told("1")}, []route.Progress{route.Kept}},
		{"told of the other", nil, []step{check("1", "tw-1", bad), check("2", "tw-2", bad), told("2")}, []route.Progress{route.Due, route.Kept}},
		{"the check was struck out", nil, []step{check("1", "tw-1", bad), linked("struck", office, journal.Of("tool", "tw-1"), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["1"], Reason: "another wrench"}
		})}, nil},
		{"a good survey", nil, []step{survey("1", "", "193 °C")}, nil},
		{"a bad survey", nil, []step{survey("1", "", "189 °C")}, []route.Progress{route.Due}},
		{"an oven that is too hot", nil, []step{survey("1", "", "211 °C")}, []route.Progress{route.Due}},
		{"a good one between", nil, []step{survey("1", "", "195 °C"), survey("2", "", "180 °C")}, nil},
		{"a good one between by its day, written later", nil, []step{survey("1", "2026-03-09", "180 °C"), survey("2", "2026-03-08", "195 °C")}, nil},
		{"a bad one from before, written later", nil, []step{survey("1", "2026-02-20", "180 °C")}, []route.Progress{route.Due}},
		{"and a good one since, before the bake", nil, []step{survey("1", "2026-02-20", "180 °C"), survey("2", "2026-02-25", "195 °C")}, nil},
	} {
		s := complete(t)
		edit(s, "bake", func(b *journal.BakeStart) { b.Oven = "oven-1" })
		s.add(released())
		for _, st := range trial.before {
			s.steps = slices.Insert(s.steps, s.index("released"), st)
		}
		s.add(trial.after...)
		job, _ := fold(s.write().log)
		if job.Released == nil {
			t.Fatal("the vehicle was not handed back")
		}
		var got []route.Progress
		for _, f := range route.Recalls(job) {
			got = append(got, f.State)
			if f.State == route.Due && (f.Title == "" || !strings.Contains(f.Say, f.Title)) {
				t.Errorf("%s: %s", trial.what, f.Say)
			}
		}
		if !slices.Equal(got, trial.want) {
			t.Errorf("%s: %v, want %v", trial.what, got, trial.want)
		}
	}
}
