package shop_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
)

// written is a shop of which one author wrote all.
func written(t *testing.T, drafts ...journal.Draft) (*shop.Shop, *logs, *index.DB) {
	t.Helper()
	w := newWriters(t)
	for _, d := range drafts {
		w.drafted("bench-1", d)
	}
	s, idx := open(t, w.logs, t.TempDir())
	t.Cleanup(func() { idx.Close() })
	if err := s.CatchUp(context.Background()); err != nil {
		t.Fatal(err)
	}
	return s, w.logs, idx
}

func opened(job journal.JobID, vin, plate string) journal.Draft {
	return journal.Draft{Subject: journal.About(job, "", ""), Data: &journal.Job{Vehicle: journal.Vehicle{VIN: vin, Plate: plate}, Corners: []journal.Corner{"LF"}}}
}

// What is so named in full is found whatever it is and however it is typed, and
// before what begins so or holds it. Each is found once.
func TestFind(t *testing.T) {
	const number = "ZZZ11AAA0A0000001"
	s, _, _ := written(t,
		opened("4f7kk2m9", number, "ab 12-cde"),
		journal.Draft{Subject: "job/4f7kk2m9/corner/LF/part/caliper", Data: &journal.Tagging{Mark: "K7 2291", Tag: "LF1", Metal: journal.Iron}},
		journal.Draft{Subject: "job/9w3c0x1t/corner/RF/part/caliper", Data: &journal.Tagging{Number: "0-117", Pattern: "57 2L", Tag: "RF1", Metal: journal.Iron}},
		opened("9w3c0x1t", "", "XY 77 ZZ"),
		journal.Draft{Subject: "job/9w3", Data: &journal.Remark{Evidence: journal.Evidence{Note: "an id that another begins with"}}},
		journal.Draft{Subject: "run/bake-17", Data: &journal.Coating{Rack: journal.Rack{Parts: []journal.Subject{"job/4f7aaaaa/corner/RR/part/arm"}}, Lot: "pw-0412", Coat: 1}},
		journal.Draft{Subject: "job/4f7aaaaa", Data: &journal.Remark{Evidence: journal.Evidence{Note: "another beginning"}}},
	)
	for _, test := range []struct{ query, whole, other string }{
		{number, "VIN 4f7kk2m9", ""},
		{" " + strings.ToLower(number[:8]) + "-" + number[8:], "VIN 4f7kk2m9", ""},
		{"AB12CDE", "plate 4f7kk2m9", ""},
		{"xy-77-zz", "plate 9w3c0x1t", ""},
		{"4F7K K2M9", "job 4f7kk2m9", ""},
		{"4f7k", "", "job 4f7kk2m9"},
		{"4f7", "", "job 4f7aaaaa, job 4f7kk2m9"},
		{"9w3", "job 9w3", "job 9w3c0x1t"},
		{"k7-2291", "cast mark 4f7kk2m9 LF caliper", ""},
		{"lf1", "tag 4f7kk2m9 LF caliper", ""},
		{"0117", "casting number 9w3c0x1t RF caliper", ""},
		{"57-2l", "pattern 9w3c0x1t RF caliper", ""},
		{"572", "", "pattern 9w3c0x1t RF caliper"},
		{"b12", "", "plate 4f7kk2m9"},
		{"229", "", "cast mark 4f7kk2m9 LF caliper"},
		{"bake 17", "run bake-17", ""},
		{"", "", ""},
		{" - ", "", ""},
		{"nothing", "", ""},
	} {
		v := s.View(context.Background())
		var whole, other []string
		for _, m := range v.Find(test.query, 10) {
			if m.Whole && len(other) > 0 {
				t.Errorf("%q found what is so named after what is not", test.query)
			}
			if m.Whole {
				whole = append(whole, described(m))
			} else {
				other = append(other, described(m))
			}
		}
		slices.Sort(other)
		if w, o := strings.Join(whole, ", "), strings.Join(other, ", "); w != test.whole || o != test.other {
			t.Errorf("%q found %q and %q, want %q and %q", test.query, w, o, test.whole, test.other)
		}
		if v.Err() != nil {
			t.Fatal(v.Err())
		}
	}
}

func described(m shop.Match) string {
	switch {
	case m.Part != nil:
		return fmt.Sprintf("%s %s %s %s", m.By, m.Job.Job, m.Part.Part.Corner(), m.Part.Part.Part())
	case m.Job != nil:
		return m.By + " " + string(m.Job.Job)
	default:
		return m.By + " " + m.Home.Last()
	}
}

// A record that lacks what the index knows would look whole.
func TestGone(t *testing.T) {
	_, l, idx := written(t, opened("4f7kk2m9", "", "AB 1"), opened("9w3c0x1t", "", "CD 2"))
	l.held["bench-1"] = l.held["bench-1"][:1]
	s := shop.Open(by, l, idx, slog.New(slog.DiscardHandler))
	v := s.View(context.Background())
	if j := v.Job("4f7kk2m9"); j == nil || v.Err() != nil {
		t.Errorf("the job that is there is not shown (%v)", v.Err())
	}
	if j := v.Job("9w3c0x1t"); j != nil || !errors.Is(v.Err(), shop.ErrGone) {
		t.Errorf("of a job that is gone there is %v (%v)", j, v.Err())
	}
}

// What many jobs are called is found also while their summaries are not there yet: a
// plate that is not found would be taken for one that was never here.
func TestFindBeforeSummaries(t *testing.T) {
	const jobs = 70 // more than a search brings up to date
	w := newWriters(t)
	for i := range jobs {
		w.drafted("bench-1", opened(journal.JobID(fmt.Sprintf("j%02d", i)), "", fmt.Sprintf("TRL %d", 100+i)))
	}
	s, idx := open(t, w.logs, t.TempDir())
	t.Cleanup(func() { idx.Close() })
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	found := s.View(context.Background()).Find("TRL 100", 20)
	if len(found) == 0 || !found[0].Whole || found[0].By != index.Plate || found[0].Job.Job != "j00" || found[0].Job.Plate != "TRL 100" {
		t.Errorf("the oldest of %d jobs: %+v", jobs, found)
	}
}
