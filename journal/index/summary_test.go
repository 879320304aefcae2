package index_test

import (
	"errors"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

func TestSummaries(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	ctx := t.Context()
	if err := db.Load(ctx, history(400), nil); err != nil {
		t.Fatal(err)
	}
	jobs, err := db.Homes(ctx, "job")
	if err != nil || len(jobs) < 4 {
		t.Fatalf("%d jobs (%v)", len(jobs), err)
	}
	dirty := func(edition int64) map[journal.Subject]int64 {
		t.Helper()
		list, err := db.DirtyHomes(ctx, edition, 10_000)
		if err != nil {
			t.Fatal(err)
		}
		stamps := map[journal.Subject]int64{}
		for _, d := range list {
			stamps[d.Home] = d.Stamp
		}
		return stamps
	}
	begun := dirty(1)
	for _, j := range jobs {
		if begun[j] == 0 {
			t.Errorf("%s is not dirty", j)
		}
	}
	summary := func(home journal.Subject, state string, sort, due int64) index.Summary {
		return index.Summary{Home: home, Edition: 1, State: state, Sort: sort, Due: due, Body: []byte("of " + home), Stamp: begun[home]}
	}
	// A home that is marked while its summary is worked out stays dirty.
	if err := db.MarkDirty(ctx, jobs[3], "job/none"); err != nil {
		t.Fatal(err)
	}
	if err := db.PutSummaries(ctx, summary(jobs[0], "open", 10, 0), summary(jobs[1], "open", 30, 7), summary(jobs[2], "released", 20, 5), summary(jobs[3], "open", 20, 0)); err != nil {
		t.Fatal(err)
	}
	after := dirty(1)
	for i, want := range []bool{false, false, false, true} {
		if (after[jobs[i]] != 0) != want {
			t.Errorf("job %d: dirty %v", i, !want)
		}
	}
	if len(after) != len(begun)-3 {
		t.Errorf("%d homes are dirty, want %d", len(after), len(begun)-3)
	}
	homes := func(list []index.Summary, err error) (names []journal.Subject) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range list {
			names = append(names, s.Home)
		}
		return names
	}
	if got, want := homes(db.Summaries(ctx, "open", 10)), []journal.Subject{jobs[1], jobs[3], jobs[0]}; !slices.Equal(got, want) {
		t.Errorf("open are %v, want %v", got, want)
	}
	if got := homes(db.Summaries(ctx, "open", 1)); !slices.Equal(got, jobs[1:2]) {
		t.Errorf("the first open one is %v", got)
	}
	if got, want := homes(db.Promises(ctx, 6, 10)), []journal.Subject{jobs[2]}; !slices.Equal(got, want) {
		t.Errorf("due are %v, want %v", got, want)
	}
	if s, ok, err := db.Summary(ctx, jobs[1]); err != nil || !ok || s.Sort != 30 || s.Due != 7 || string(s.Body) != "of "+string(jobs[1]) {
		t.Errorf("the summary came back as %+v (%v)", s, err)
	}
	if _, ok, err := db.Summary(ctx, jobs[4]); err != nil || ok {
		t.Errorf("a job without a summary has one (%v)", err)
	}
	if err := db.PutSummaries(ctx, index.Summary{Home: "job/none"}); err != nil { // it was worked out before the index was begun anew
		t.Errorf("the summary of nothing gave %v", err)
	}
	if _, found, err := db.Summary(ctx, "job/none"); found || err != nil {
		t.Errorf("the summary of nothing is kept: %v", err)
	}
	// Another edition makes all dirty; an entry makes its home dirty.
	if got := dirty(2); len(got) != len(begun) {
		t.Errorf("%d homes are of an older edition, want %d", len(got), len(begun))
	}
	n := 0
	for item, err := range history(2000) {
		if err != nil {
			t.Fatal(err)
		}
		if n++; n > 400 {
			if err := db.Put(ctx, []index.Item{item}); err != nil {
				t.Fatal(err)
			}
			home := index.Home(item.Entry.Subject)
			if dirty(1)[home] == 0 {
				t.Fatalf("%s has a new entry and is not dirty", home)
			}
			if home == jobs[0] || home == jobs[1] || n > 600 {
				break
			}
		}
	}
}

func TestUsesAreReplaced(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	items := samples(t)
	if err := db.Put(t.Context(), items); err != nil {
		t.Fatal(err)
	}
	times := func(s journal.Subject) int {
		t.Helper()
		n, err := db.Times(t.Context(), s, 0, 1<<64-1)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	i := slices.IndexFunc(items, func(i index.Item) bool { return i.Entry.Type.Kind == journal.TorqueApplied })
	before := times("tool/tw-1")
	for _, c := range []struct {
		uses   []journal.Use
		change int
	}{
		{nil, -1}, // the sample tightens one bolt
		{[]journal.Use{{Of: "tool/tw-1", Times: 5}}, 4},
		{[]journal.Use{{Of: "tool/tw-9", Times: 1}}, -1},
	} {
		if err := db.SetUses(t.Context(), index.Used{Position: items[i].Position, Uses: c.uses}); err != nil {
			t.Fatal(err)
		}
		if got := times("tool/tw-1"); got != before+c.change {
			t.Errorf("%v: %d uses, want %d", c.uses, got, before+c.change)
		}
	}
	if got := times("tool/tw-9"); got != 1 {
		t.Errorf("the other tool was used %d times", got)
	}
	if err := db.SetUses(t.Context(), index.Used{Position: journal.Position{Device: "nobody"}}); !errors.Is(err, index.ErrNoEntry) {
		t.Errorf("uses of nothing gave %v", err)
	}
}

// Two who work out summaries at once may end in any order: what the slower one
// saw before the home changed does not take the place of what the other one saw
// since, which nobody would ask for again.
func TestASummaryThatComesLateIsLeftOut(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	ctx := t.Context()
	if err := db.Load(ctx, history(400), nil); err != nil {
		t.Fatal(err)
	}
	stamps := func() map[journal.Subject]int64 {
		t.Helper()
		list, err := db.DirtyHomes(ctx, 1, 10_000)
		if err != nil {
			t.Fatal(err)
		}
		of := make(map[journal.Subject]int64)
		for _, d := range list {
			of[d.Home] = d.Stamp
		}
		return of
	}
	jobs, err := db.Homes(ctx, "job")
	if err != nil {
		t.Fatal(err)
	}
	job := jobs[0]
	put := func(edition int64, state string, stamp int64) {
		t.Helper()
		if err := db.PutSummaries(ctx, index.Summary{Home: job, Edition: edition, State: state, Stamp: stamp}); err != nil {
			t.Fatal(err)
		}
	}
	is := func(state string, dirty bool) {
		t.Helper()
		s, _, err := db.Summary(ctx, job)
		if _, still := stamps()[job]; err != nil || s.State != state || still != dirty {
			t.Errorf("it is %q, dirty %v, not %q, dirty %v (%v)", s.State, still, state, dirty, err)
		}
	}
	before := stamps()[job]
	if err := db.MarkDirty(ctx, job); err != nil {
		t.Fatal(err)
	}
	since := stamps()[job]
	put(1, "open", before)
	is("open", true)
	put(1, "released", since)
	is("released", false)
	put(1, "open", before)
	is("released", false)
	// Of another edition it is made anew, whether or not it is dirty, and once.
	put(2, "sealed", 0)
	put(2, "released", 0)
	put(2, "open", before)
	if s, _, err := db.Summary(ctx, job); err != nil || s.State != "sealed" || s.Edition != 2 {
		t.Errorf("of the new edition it is %+v (%v)", s, err)
	}
}
