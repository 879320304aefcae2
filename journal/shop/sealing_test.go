package shop_test

import (
	"bytes"
	"context"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
)

// What a job's entries are now is held against its seal, also where somebody
// with a tablet's keys has written its log anew.
func TestSealing(t *testing.T) {
	const job = journal.JobID("4f7kk2m9")
	about := journal.About(job, "", "")
	remark := func(text string) journal.Draft {
		return journal.Draft{Subject: about, Data: &journal.Remark{Evidence: journal.Evidence{Note: text}}}
	}
	for _, test := range []struct {
		name  string
		says  bool // which entries the seal covers
		since []journal.Draft
		spoil func(bench []journal.Logged) []journal.Logged
		state shop.SealState
		later int
		gone  int
	}{
		{"as handed over", true, nil, nil, shop.SealFits, 0, 0},
		{"by an earlier program", false, nil, nil, shop.SealFits, 0, 0},
		{"with a remark since", true, []journal.Draft{remark("tightened again")}, nil, shop.SealFits, 1, 0},
		{"by an earlier program, with a remark since", false, []journal.Draft{remark("tightened again")}, nil, shop.SealFits, 1, 0},
		{"an entry changed", true, nil, changed, shop.SealBroken, 0, 0},
		{"an entry changed, by an earlier program", false, nil, changed, shop.SealUntold, 0, 0},
		{"an entry not here", true, nil, func(bench []journal.Logged) []journal.Logged { return bench[:2] }, shop.SealWaits, 0, 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			l := newLogs()
			watch := journaltest.NewWatch(journaltest.Morning())
			authors := map[journal.DeviceID]*journaltest.Author{}
			for _, d := range []journal.DeviceID{"bench-1", "hub"} {
				authors[d] = journaltest.NewAuthor(d, watch, "sealing "+string(d))
			}
			write := func(device journal.DeviceID, d journal.Draft) {
				t.Helper()
				watch.Advance(time.Minute)
				d.By = "io"
				raw, err := authors[device].Encoded(d)
				if err != nil {
					t.Fatal(err)
				}
				l.arrive(device, raw)
			}
			for _, d := range []journal.Draft{opened(job, "", "AB 1"), remark("one"), remark("two")} {
				write("bench-1", d)
			}
			seal := &journal.Seal{Entries: 3}
			var entries [][]byte
			var at []journal.Position
			for _, e := range l.held["bench-1"] {
				entries, at = append(entries, e.Bytes), append(at, e.Position)
			}
			seal.Root = proof.Seal(entries)
			if test.says {
				seal.Covers = journal.Stretches(at)
			}
			write("hub", journal.Draft{Subject: about, Data: seal})
			for _, d := range test.since {
				write("bench-1", d)
			}
			s, idx := open(t, l, t.TempDir())
			defer idx.Close()
			if err := s.CatchUp(context.Background()); err != nil {
				t.Fatal(err)
			}
			v := s.View(context.Background())
			j := v.Job(job)
			if test.spoil != nil {
				l.held["bench-1"] = test.spoil(l.held["bench-1"])
			}
			is := v.Sealing(j)
			if v.Err() != nil || is == nil {
				t.Fatalf("%+v: %v", is, v.Err())
			}
			if is.State != test.state || len(is.Later) != test.later || is.Missing != test.gone {
				t.Errorf("%s, %d later, %d missing; want %s, %d, %d", is.State, len(is.Later), is.Missing, test.state, test.later, test.gone)
			}
			t.Log(is.Says())
		})
	}
}

// changed says something else in the last entry, which stays an entry.
func changed(bench []journal.Logged) []journal.Logged {
	last := &bench[len(bench)-1]
	last.Bytes = bytes.Replace(last.Bytes, []byte("two"), []byte("2wo"), 1)
	return bench
}

// A job that is not sealed has no seal to be held against.
func TestNotSealed(t *testing.T) {
	s, _, _ := written(t, opened("4f7kk2m9", "", "AB 1"))
	v := s.View(context.Background())
	if is := v.Sealing(v.Job("4f7kk2m9")); is != nil {
		t.Errorf("it stands against a seal as %+v", is)
	}
}
