package index_test

import (
	"maps"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// shelved is an index in which no summary is due.
func shelved(t *testing.T) (*index.DB, []journal.Subject) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	if err := db.Load(t.Context(), history(400), nil); err != nil {
		t.Fatal(err)
	}
	settle(t, db, nil)
	jobs, err := db.Homes(t.Context(), "job")
	if err != nil || len(jobs) < 4 {
		t.Fatalf("%d jobs (%v)", len(jobs), err)
	}
	return db, jobs
}

// settle keeps a summary of all that is due, each changed by with, and returns
// what was, and whether by its own entries.
func settle(t *testing.T, db *index.DB, with func(*index.Summary)) map[journal.Subject]bool {
	t.Helper()
	dirty, err := db.DirtyHomes(t.Context(), 1, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	was := make(map[journal.Subject]bool)
	var list []index.Summary
	for _, d := range dirty {
		was[d.Home] = d.Own
		s := index.Summary{Home: d.Home, Edition: 1, Stamp: d.Stamp, Own: d.Own}
		if with != nil {
			with(&s)
		}
		list = append(list, s)
	}
	if err := db.PutSummaries(t.Context(), list...); err != nil {
		t.Fatal(err)
	}
	return was
}

// Rows come out when they have changed, and only then.
func TestPartsOfHomes(t *testing.T) {
	db, jobs := shelved(t)
	var after int64
	hear := func(want map[journal.Subject]string) {
		t.Helper()
		list, stamp, err := db.Parts(t.Context(), after)
		got := make(map[journal.Subject]string)
		for _, p := range list {
			got[p.Home] = string(p.Body)
		}
		if err != nil || !maps.Equal(got, want) || stamp < after || len(list) > 0 && stamp == after {
			t.Fatalf("rows of %v at %d after %d (%v), want %v", got, stamp, after, err, want)
		}
		after = stamp
	}
	put := func(rows map[journal.Subject]string) {
		t.Helper()
		if err := db.MarkDirty(t.Context(), slices.Collect(maps.Keys(rows))...); err != nil {
			t.Fatal(err)
		}
		settle(t, db, func(s *index.Summary) { s.Parts = []byte(rows[s.Home]) })
	}
	hear(map[journal.Subject]string{})
	put(map[journal.Subject]string{jobs[0]: "a", jobs[1]: "b", jobs[2]: ""})
	hear(map[journal.Subject]string{jobs[0]: "a", jobs[1]: "b"})
	put(map[journal.Subject]string{jobs[0]: "a", jobs[1]: "c"})
	hear(map[journal.Subject]string{jobs[1]: "c"})
	put(map[journal.Subject]string{jobs[0]: "", jobs[2]: ""})
	hear(map[journal.Subject]string{jobs[0]: ""})
	put(map[journal.Subject]string{jobs[0]: ""})
	hear(map[journal.Subject]string{})
	put(map[journal.Subject]string{jobs[0]: "d"})
	hear(map[journal.Subject]string{jobs[0]: "d"})
	if err := db.Clear(t.Context()); err != nil {
		t.Fatal(err)
	}
	hear(map[journal.Subject]string{})
}

// What changes by its own entries marks what rests on it; that marks nobody in
// turn, and those that are worked out together have seen each other.
func TestWhatRestsOnAHome(t *testing.T) {
	db, jobs := shelved(t)
	a, b, c := jobs[0], jobs[1], jobs[2]
	runs, err := db.Homes(t.Context(), "run")
	if err != nil || len(runs) == 0 {
		t.Fatal(err)
	}
	lives := func(s *index.Summary) {
		switch {
		case s.Home == runs[0]:
			s.Holders = []journal.Subject{a, b}
		case s.Own:
			s.Rests = slices.DeleteFunc([]journal.Subject{a, b, c}, func(h journal.Subject) bool { return h == s.Home })
		}
	}
	for _, step := range []struct {
		what string
		mark func() error
		want []map[journal.Subject]bool // what is due, round by round
	}{
		{"own", func() error { return db.MarkDirty(t.Context(), a) }, []map[journal.Subject]bool{{a: true}, {b: false, c: false}, {}}},
		{"two at once", func() error { return db.MarkDirty(t.Context(), a, b) }, []map[journal.Subject]bool{{a: true, b: true}, {c: false}, {}}},
		{"resting", func() error { return db.MarkResting(t.Context(), a) }, []map[journal.Subject]bool{{a: false}, {}}},
		{"resting does not lessen own", func() error {
			if err := db.MarkDirty(t.Context(), a); err != nil {
				return err
			}
			return db.MarkResting(t.Context(), a)
		}, []map[journal.Subject]bool{{a: true}, {b: false, c: false}, {}}},
		{"a run", func() error { return db.MarkDirty(t.Context(), runs[0]) }, []map[journal.Subject]bool{{runs[0]: true}, {a: true, b: true}, {c: false}, {}}},
		{"a run with one of its jobs", func() error { return db.MarkDirty(t.Context(), runs[0], a) }, []map[journal.Subject]bool{{runs[0]: true, a: true}, {b: true, c: false}, {a: false}, {}}},
		{"a run, and one of its jobs for another reason", func() error {
			if err := db.MarkDirty(t.Context(), runs[0]); err != nil {
				return err
			}
			return db.MarkResting(t.Context(), a)
		}, []map[journal.Subject]bool{{runs[0]: true, a: false}, {a: true, b: true}, {c: false}, {}}},
		{"a run whose powder is known now", func() error { return db.MarkResting(t.Context(), runs[0]) }, []map[journal.Subject]bool{{runs[0]: false}, {a: false, b: false}, {}}},
	} {
		if err := step.mark(); err != nil {
			t.Fatal(err)
		}
		for round, want := range step.want {
			if got := settle(t, db, lives); !maps.Equal(got, want) {
				t.Errorf("%s, round %d: due is %v, want %v", step.what, round, got, want)
			}
		}
	}
}
